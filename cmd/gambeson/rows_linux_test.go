package main

import (
	"bytes"
	"maps"
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"gambeson/cmd/gambeson/store"
	"gambeson/report/disk"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// A part that cannot be read is said once for what is in it, however often it
// is saved like that, and also over a restart; once more when something else is
// in it that cannot be read.
func TestOneErrorForEachContent(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	bad := filepath.Join(suit, "bad.stl")
	save := func(text string) { // as another file, so that it is looked into each time
		require.NoError(t, os.WriteFile(filepath.Join(suit, "next"), []byte(text), 0o666))
		require.NoError(t, os.Rename(filepath.Join(suit, "next"), bad))
	}
	const kept, refused = `"event":"kept","file":"bad.stl"`, `"event":"unreadable","file":"bad.stl"`
	save("no mesh")
	said := 0
	for range 2 {
		log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
		until(t, "ready", func() bool { return log.has(`"event":"ready"`) })
		until(t, "a refusal", func() bool { return strings.Contains(string(contentOf(bad+".md")), "could not be read") })
		for n := range 6 {
			before := log.count(kept)
			if n%2 == 0 {
				save("no mesh")
			} else {
				require.NoError(t, os.Chtimes(bad, time.Unix(int64(n), 0), time.Unix(int64(n), 0)))
			}
			until(t, "looked into again", func() bool { return log.count(kept) > before })
		}
		stop()
		said += log.count(refused)
	}
	require.Equal(t, 1, said)
	log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "ready", func() bool { return log.has(`"event":"ready"`) })
	save("solid x\nfacet normal 0 0 what\nendsolid x\n")
	until(t, "the other error", func() bool { return log.has(refused) })
	stop()
	require.Equal(t, 1, log.count(refused), log.String())
}

// What bears the name of a part and is no file is not opened, and not
// waited for; no report is written on it. The parts beside it have theirs. Asked
// about it by name, check says what it is.
func TestWhatIsNoFileIsLeftAlone(t *testing.T) {
	own, suit := t.TempDir(), t.TempDir()
	kinds := map[string]string{}
	special := func(name, kind string, err error) {
		t.Helper()
		if os.IsPermission(err) {
			t.Logf("no %s may be made here", kind)
			return
		}
		require.NoError(t, err)
		kinds[name] = kind
	}
	special("pipe.stl", "a named pipe", unix.Mkfifo(filepath.Join(suit, "pipe.stl"), 0o666))
	const zero, loop = 1<<8 | 5, 7<<8 | 250 // Documentation/admin-guide/devices.txt of the kernel
	special("zero.stl", "a device", unix.Mknod(filepath.Join(suit, "zero.stl"), unix.S_IFCHR|0o666, zero))
	special("disk.obj", "a device", unix.Mknod(filepath.Join(suit, "disk.obj"), unix.S_IFBLK|0o666, loop))
	socket, err := net.ListenUnix("unix", &net.UnixAddr{Name: filepath.Join(suit, "socket.3mf"), Net: "unix"})
	special("socket.3mf", "a socket", err)
	defer socket.Close()
	require.NoError(t, os.Mkdir(filepath.Join(suit, "folder.stl"), 0o777))
	require.NoError(t, unix.Mkfifo(filepath.Join(suit, "suit.toml"), 0o666))
	tube(t, filepath.Join(suit, "a.stl"), 12)

	command, log := daemonIn(t, own, nil, suit, "--log=json")
	until(t, "a report", func() bool { return len(contentOf(filepath.Join(suit, "a.stl.md"))) > 0 })
	require.NoError(t, os.Remove(filepath.Join(suit, "a.stl"))) // a part becomes a pipe
	special("a.stl", "a named pipe", unix.Mkfifo(filepath.Join(suit, "a.stl"), 0o666))
	tube(t, filepath.Join(suit, "b.stl"), 12)
	until(t, "the next one", func() bool { return len(contentOf(filepath.Join(suit, "b.stl.md"))) > 0 })
	until(t, "gone", func() bool { return log.has(`"event":"gone","file":"a.stl"`) })
	require.NoError(t, command.Process.Signal(syscall.SIGTERM))
	require.NoError(t, command.Wait())
	require.Contains(t, string(contentOf(filepath.Join(suit, "SUIT.md"))), "suit.toml: is a pipe")
	require.NoError(t, os.Remove(filepath.Join(suit, "suit.toml")))
	for name, kind := range kinds {
		if name != "a.stl" { // whose report was there before
			require.NoFileExists(t, filepath.Join(suit, name+".md"))
		}
		var out lines
		code := run(t.Context(), []string{"check", filepath.Join(suit, name)}, &out, &out)
		if code == exitWell || !strings.Contains(out.String(), kind) {
			t.Errorf("check %s: exit status %d, %s; want to hear of %s", name, code, out.String(), kind)
		}
	}
}

// Whatever lies where the daemon keeps its own books, empty, full of zeros as
// after a power cut, cut, of a later version or nonsense: the next one starts,
// knows every part, does not touch a report, and makes its books anew.
func TestBooksThatAreNone(t *testing.T) {
	own, suit := t.TempDir(), busySuit(t)
	rest := func() (log *lines) {
		command, log := daemonIn(t, own, nil, suit, "--log=json")
		until(t, "all looked into", func() bool {
			s := daemonState(own, suit)
			return s.PID == command.Process.Pid && s.Parts == 7 && s.Queued == 0 && log.has(`"event":"ready"`)
		})
		require.NoError(t, command.Process.Signal(syscall.SIGTERM))
		require.NoError(t, command.Wait())
		return log
	}
	rest()
	before, good := modified(t, suit), books(t, own)
	require.Greater(t, len(good), 3)
	for name, spoil := range map[string]func([]byte) []byte{
		"empty":    func([]byte) []byte { return nil },
		"zeros":    func(text []byte) []byte { return make([]byte, len(text)) },
		"cut":      func(text []byte) []byte { return text[:len(text)/2] },
		"tail":     func(text []byte) []byte { return append(bytes.Clone(text), text...) },
		"nonsense": func(text []byte) []byte { return bytes.Repeat([]byte("\xff{]"), 1+len(text)/3) },
		"later": func([]byte) []byte {
			return []byte(`{"pid":"no number","version":99,"parts":{},"concerns":[{"about":"broken.stl","what":"mesh-open","text":"?"}]}`)
		},
	} {
		for path, text := range good {
			require.NoError(t, os.WriteFile(path, spoil(text), 0o600), name)
		}
		log := rest()
		require.Zero(t, log.count(`"event":"reported"`), "%s: %s", name, log)
		require.Zero(t, log.count(`"level":"error"`), "%s: %s", name, log)
		require.Zero(t, log.count(`"event":"warning_ended"`), "%s: %s", name, log)
		require.Equal(t, before, modified(t, suit), name)
		require.Equal(t, 7, daemonState(own, suit).Parts, name)
	}
}

// A power cut that leaves what was written last empty or full of zeros costs no
// more than the time to write it again. Nothing of it is taken for notes of the
// person's, nor for a page of theirs.
func TestReportsLostInAPowerCut(t *testing.T) {
	own, suit := t.TempDir(), t.TempDir()
	for n, name := range []string{"a.stl", "b.stl"} {
		barAt(t, filepath.Join(suit, name), 60+float64(n))
	}
	texts := func() map[string]string {
		all := map[string]string{}
		walk(t, suit, func(path string, text []byte) {
			if filepath.Ext(path) != ".stl" {
				all[path] = string(text)
			}
		})
		return all
	}
	run := func(what string, done func() bool) {
		t.Helper()
		command, log := daemonIn(t, own, nil, suit, "--log=json")
		until(t, "ready", func() bool { return log.has(`"event":"ready"`) })
		until(t, what, done)
		require.NoError(t, command.Process.Signal(syscall.SIGTERM))
		require.NoError(t, command.Wait())
	}
	for range 2 { // how parts are alike is told by their ages, once they are all known
		run("the summary", func() bool { return strings.Count(texts()[filepath.Join(suit, "SUIT.md")], "\n| [") == 2 })
	}
	want := texts()
	require.Greater(t, len(want), 8)
	for name, size := range map[string]int{"empty": 0, "zeros": 700} {
		for path := range want {
			require.NoError(t, os.WriteFile(path, make([]byte, size), 0o666), name)
		}
		run("all as before, where it was "+name, func() bool { return maps.Equal(want, texts()) })
	}
}

// What a killed run left half-written of a daemon's own books is removed at the
// next start, and nothing that may be another daemon's.
func TestOwnLeftoversAreRemoved(t *testing.T) {
	ownFolders(t)
	suit, other := t.TempDir(), t.TempDir()
	barAt(t, filepath.Join(suit, "a.stl"), 60)
	good, err := goodPath(suit)
	require.NoError(t, err)
	theirs, err := goodPath(other)
	require.NoError(t, err)
	leave := func(path string) string {
		t.Helper()
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		f, err := os.CreateTemp(filepath.Dir(path), store.Leftover(filepath.Base(path)))
		require.NoError(t, err)
		require.NoError(t, f.Close())
		return f.Name()
	}
	left := []string{leave(good), leave(keptPath(disk.Place{Root: suit, Part: "a.stl"}))}
	stays := []string{leave(theirs), leave(keptPath(disk.Place{Root: other, Part: "a.stl"}))}
	log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "a report", func() bool { return log.has(`"event":"reported"`) })
	stop()
	for _, path := range left {
		require.NoFileExists(t, path)
	}
	for _, path := range stays {
		require.FileExists(t, path)
	}
}

// books are the files that a daemon with a state of its own keeps beside it.
func books(t *testing.T, own string) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	walk(t, own, func(path string, text []byte) { all[path] = text })
	return all
}

// Where the daemon may not keep books, it reports all the same.
func TestNoRoomForBooks(t *testing.T) {
	suit, own := t.TempDir(), smallDisk(t, "size=4m")
	tube(t, filepath.Join(suit, "a.stl"), 12)
	_ = ownState(own) // makes the folders
	locks := filepath.Join(t.TempDir(), "locks")
	require.NoError(t, os.Mkdir(locks, 0o700))
	require.NoError(t, unix.Mount("gambeson-test", own, "", unix.MS_REMOUNT|unix.MS_RDONLY, ""))
	command, log := daemonIn(t, own, []string{"XDG_RUNTIME_DIR=" + locks}, suit, "--log=json", "--level=debug")
	until(t, "a report", func() bool { return log.has(`"event":"reported","file":"a.stl"`) })
	until(t, "SUIT.md", func() bool { return len(contentOf(filepath.Join(suit, "SUIT.md"))) > 0 })
	tube(t, filepath.Join(suit, "b.stl"), 12)
	until(t, "the next", func() bool { return log.has(`"event":"reported","file":"b.stl"`) })
	require.NoError(t, command.Process.Signal(syscall.SIGTERM))
	require.NoError(t, command.Wait())
	require.Zero(t, log.count(`"level":"error"`), log.String())
}

// A report that somebody deletes, alone or with all that belongs to it, is made
// again at the next change in the folder.
func TestDeletedReportsAreMadeAgain(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	at := func(name string) string { return filepath.Join(suit, name) }
	for _, name := range []string{"alone.stl", "all.stl", "findings.stl"} {
		barAt(t, at(name), 60)
	}
	log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "the summary", func() bool { return strings.Count(string(contentOf(at("SUIT.md"))), "\n| [") == 3 })
	before := map[string][]byte{}
	for _, file := range []string{"alone.stl.md", "all.stl.md", "all.stl.fit/findings.json", "findings.stl.fit/findings.json"} {
		before[file] = contentOf(at(file))
	}
	require.NoError(t, os.Remove(at("alone.stl.md")))
	require.NoError(t, os.Remove(at("all.stl.md")))
	require.NoError(t, os.RemoveAll(at("all.stl.fit")))
	require.NoError(t, os.Remove(at("findings.stl.fit/findings.json")))
	barAt(t, at("new.stl"), 70)
	for file, text := range before {
		until(t, file, func() bool { return bytes.Equal(text, contentOf(at(file))) })
	}
	until(t, "all in the summary", func() bool { return strings.Count(string(contentOf(at("SUIT.md"))), "\n| [") == 4 })
	stop()
	require.Zero(t, log.count(`"level":"error"`), log.String())
}
