package main

import (
	"archive/zip"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/adrg/xdg"
	"github.com/stretchr/testify/require"
)

// badArchive writes an archive of parts that cannot be read, and one that can.
func badArchive(t *testing.T, path string, bad int) {
	t.Helper()
	good := filepath.Join(t.TempDir(), "good.stl")
	tube(t, good, 12)
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for n := range bad {
		w, err := z.Create(fmt.Sprintf("part-%03d.stl", n))
		require.NoError(t, err)
		_, err = fmt.Fprintf(w, "solid x\nfacet normal 0 0 what%d\nendsolid x\n", n)
		require.NoError(t, err)
	}
	w, err := z.Create("good.stl")
	require.NoError(t, err)
	_, err = w.Write(contentOf(good))
	require.NoError(t, err)
	require.NoError(t, z.Close())
	require.NoError(t, os.WriteFile(path+".new", out.Bytes(), 0o666))
	require.NoError(t, os.Rename(path+".new", path))
}

// What SUIT.md and the list of an archive say of parts that cannot be read is the
// same when all that the daemon knew is lost and only the reports are left.
func TestUnreadableAfterTheBooksAreLost(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(suit, "bad.stl"), []byte("solid x\nfacet normal 0 0 what\nendsolid x\n"), 0o666))
	badArchive(t, filepath.Join(suit, "kit.zip"), 2)
	pages := []string{"SUIT.md", "SUIT.html", "bad.stl.md", "kit.zip.md"}
	after := func() (all []string) {
		log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
		until(t, "all summed up", func() bool {
			return log.has(`"event":"ready"`) && strings.Contains(string(contentOf(filepath.Join(suit, "SUIT.md"))), "4 parts")
		})
		until(t, "looked into", func() bool {
			return log.has(`"file":"bad.stl"`) && log.has(`"file":"kit.zip/good.stl"`)
		})
		stop()
		for _, p := range pages {
			all = append(all, string(contentOf(filepath.Join(suit, p))))
		}
		return all
	}
	before := after()
	require.Contains(t, before[0], "(at line 3)")
	require.NoError(t, os.RemoveAll(xdg.StateHome))
	now := after()
	for i, p := range pages {
		if now[i] != before[i] {
			t.Errorf("%s is otherwise:\n%s\nbefore:\n%s", p, now[i], before[i])
		}
	}
}

// The parts of an archive that cannot be read make one line of the log, and not
// one each; those that can have theirs.
func TestOneLineForAnArchive(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	const bad = 40
	kit := filepath.Join(suit, "kit.zip")
	log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "ready", func() bool { return log.has(`"event":"ready"`) })
	badArchive(t, kit, bad)
	until(t, "a report", func() bool { return log.has(`"event":"reported","file":"kit.zip/good.stl"`) })
	until(t, "a line", func() bool { return log.has(`"event":"unreadable"`) })
	badArchive(t, kit, bad+1) // one more
	until(t, "the other line", func() bool { return log.count(`"event":"unreadable"`) > 1 })
	stop()
	require.Equal(t, 2, log.count(`"event":"unreadable"`), log.String())
	require.Equal(t, 1, log.count(fmt.Sprintf(`"parts":%d`, bad)), log.String())
	require.Equal(t, 1, log.count(fmt.Sprintf(`"event":"unreadable","file":"kit.zip/part-%03d.stl"`, bad)), log.String())
	list := string(contentOf(kit + ".md"))
	for n := range bad + 1 {
		require.Contains(t, list, fmt.Sprintf("part-%03d.stl", n))
	}
}

// What is kept of a file whose name is no text, as only some systems allow, is
// found again at the next start: it is not said twice, and not for ever.
func TestBooksOfNamesThatAreNoText(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	const bad = "bad\xff.stl"
	path := filepath.Join(suit, bad)
	require.NoError(t, os.WriteFile(path, []byte("no mesh"), 0o666))
	said := 0
	for range 2 {
		log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
		until(t, "ready", func() bool { return log.has(`"event":"ready"`) })
		until(t, "known", func() bool { s, err := readState(suit); return err == nil && s.Unreadable == 1 })
		stop()
		said += log.count(`"event":"unreadable"`)
	}
	require.Equal(t, 1, said)
	s, err := readState(suit)
	require.NoError(t, err)
	require.Len(t, s.Concerns, 1)
	require.Equal(t, bad, s.Concerns[0].About)
	log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "ready", func() bool { return log.has(`"event":"ready"`) })
	require.NoError(t, os.Remove(path))
	until(t, "forgotten", func() bool { s, err := readState(suit); return err == nil && s.Parts == 0 && len(s.Concerns) == 0 })
	stop()

	path, err = statePath(suit)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(suit, bad), []byte("no mesh"), 0o666))
	var due deadline
	counts := map[string]ends{}
	for range mostEnds {
		f := newFolder(suit, 1, newConsole(&lines{}, &lines{}, "json", "info").log)
		f.openLedger(counts, filepath.Join(t.TempDir(), "no words"), &due)
		f.begin(bad, time.Minute)                                     // and never ends
		require.NoError(t, replace(path, state{Ends: f.ledger.ends})) // as of the ends before
		s, err := readState(suit)
		require.NoError(t, err)
		counts = s.Ends
	}
	f := newFolder(suit, 1, newConsole(&lines{}, &lines{}, "json", "info").log)
	f.openLedger(counts, "", &due)
	require.Error(t, f.poison(bad))
}
