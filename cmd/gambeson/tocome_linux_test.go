package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
)

// As long as files are still to be looked into, SUIT.md and status say how many: while
// the first of them is at work, and when some are done. A file that goes before its
// turn is not waited for.
func TestFilesToComeAreSaid(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	at := func(name string) string { return filepath.Join(suit, name) }
	summary := func() string { return string(contentOf(at("SUIT.md"))) }
	denseGreave(t, at("next"), 2**dense) // 400,000 triangles
	log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "the empty folder", func() bool { return strings.Contains(summary(), "**No part yet") })

	require.NoError(t, os.Rename(at("next"), at("greave.stl")))
	until(t, "the part at work", func() bool {
		now, err := standingOf(suit)
		return err == nil && now.Handling == "greave.stl"
	})
	barAt(t, at("a.stl"), 60)
	barAt(t, at("b.stl"), 70)
	require.NoError(t, os.WriteFile(at("c.stl"), []byte("solid"), 0o666)) // not whole: it waits for minutes
	until(t, "SUIT.md", func() bool {
		return strings.Contains(summary(), "**4 files are being looked into, none is done yet.**")
	})
	until(t, "status", func() bool {
		s, err := readState(suit)
		return err == nil && s.Queued == 3
	})
	require.False(t, log.has(`"event":"reported"`), log.String())

	until(t, "the one that is not whole", func() bool {
		return strings.Contains(summary(), "**3 parts so far, 1 file still to be looked into:")
	})
	require.Contains(t, summary(), "Wait until `c.stl` is looked into:")
	require.NoError(t, os.Remove(at("c.stl")))
	until(t, "all", func() bool { return strings.Contains(summary(), "**3 parts: ") })
	stop()
}

// Counted are the meshes of the suit itself that were not looked into yet.
func TestToCome(t *testing.T) {
	root := t.TempDir()
	for _, name := range []string{"done.stl", "legs/a.stl", "b.STL.part", ".c.stl", "d.stl.crdownload", "other/suit.toml", "other/e.stl", "other/arms/f.stl"} {
		path := filepath.Join(root, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, nil, 0o666))
	}
	require.NoError(t, os.Mkdir(filepath.Join(root, "g.stl"), 0o777))
	require.NoError(t, os.Symlink("nowhere", filepath.Join(root, "h.stl")))
	f := newFolder(root, 1, zerolog.Nop())
	require.Equal(t, []string{"done.stl", "legs/a.stl"}, f.toCome().looked)
	f.setRows("done.stl", []row{})
	require.Equal(t, []string{"legs/a.stl"}, f.toCome().looked)
}

// A check of one file says in SUIT.md that the others were not looked into.
func TestCheckOfOneFileSaysWhatIsLeft(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	tube(t, filepath.Join(suit, "a.stl"), 12)
	tube(t, filepath.Join(suit, "b.stl"), 12)
	summary := func(path string) string {
		run(t.Context(), []string{"check", path}, &lines{}, &lines{})
		return string(contentOf(filepath.Join(suit, "SUIT.md")))
	}
	require.Contains(t, summary(filepath.Join(suit, "a.stl")), "**1 part so far, 1 file not looked into yet: ")
	require.Contains(t, summary(suit), "**2 parts: ")
}

// Where no daemon ever counted the parts, status does not say that there are none.
func TestStatusCountsNoPartsUncounted(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	tube(t, filepath.Join(suit, "a.stl"), 12)
	status := func() string {
		var out lines
		run(t.Context(), []string{"status", suit}, &out, &lines{})
		return out.String()
	}
	run(t.Context(), []string{"check", suit}, &lines{}, &lines{})
	require.Equal(t, "No daemon watches "+suit+".\n", status())
	_, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "counted", func() bool {
		return strings.Contains(status(), "Every file was looked into.\n1 part, of which 0 cannot be read.\n")
	})
	stop()
	require.Contains(t, status(), "1 part, of which 0 cannot be read.")
}

// What SUIT.md says of bed loads that were taken away goes once they are laid out again,
// though nobody tells the daemon, whose folder it is.
func TestLoadsLaidAgainUnderTheDaemon(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	tube(t, filepath.Join(suit, "a.stl"), 16)
	summary := func() string { return string(contentOf(filepath.Join(suit, "SUIT.md"))) }
	lay := func() { require.Zero(t, run(t.Context(), []string{"loads", suit}, &lines{}, &lines{})) }
	_, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "the part", func() bool { return strings.Contains(summary(), "**1 part: ") })
	lay()
	tube(t, filepath.Join(suit, "a.stl"), 20)
	until(t, "the load is taken away", func() bool { return strings.Contains(summary(), "`load-1.stl` was taken away") })
	lay()
	until(t, "the load is laid out", func() bool { return !strings.Contains(summary(), "taken away") })
	require.FileExists(t, filepath.Join(suit, "SUIT.fit/loads/load-1.stl"))
	stop()
}
