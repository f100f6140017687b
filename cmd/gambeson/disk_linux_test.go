package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"gambeson/cmd/gambeson/store"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// smallDisk mounts an empty disk of so many bytes in memory.
func smallDisk(t *testing.T, options string) string {
	t.Helper()
	dir := t.TempDir()
	if err := unix.Mount("gambeson-test", dir, "tmpfs", 0, options); err != nil {
		t.Skipf("no disk may be mounted here (%v)", err)
	}
	t.Cleanup(func() { require.NoError(t, unix.Unmount(dir, unix.MNT_DETACH)) })
	return dir
}

// watching runs a daemon in this process until stop.
func watching(t *testing.T, suit string) (log *lines, stop func()) {
	t.Helper()
	ownFolders(t)
	return watchingAt(t, suit, pace{again: 200 * time.Millisecond})
}

// watchingAt is the same at a pace, with the folders of its own that are there.
func watchingAt(t *testing.T, suit string, p pace) (log *lines, stop func()) {
	t.Helper()
	log = &lines{}
	ctx, cancel := context.WithCancel(t.Context())
	var all sync.WaitGroup
	all.Go(func() {
		c := newConsole(log, log, "json", "debug")
		if err := attend(ctx, c, "check", []string{suit}, p, nil); err != nil {
			t.Error(err)
		}
	})
	stop = sync.OnceFunc(func() { cancel(); all.Wait() })
	t.Cleanup(stop)
	return log, stop
}

// A disk that is full keeps the old reports, leaves nothing half-written, is
// said once with the room that is left, and is forgotten when there is room.
func TestFullDisk(t *testing.T) {
	suit := smallDisk(t, "size=4m")
	tube(t, filepath.Join(suit, "a.stl"), 12)
	log, stop := watching(t, suit)
	until(t, "a report", func() bool {
		return log.has(`"event":"reported","file":"a.stl"`) && len(contentOf(filepath.Join(suit, "SUIT.md"))) > 0
	})
	old := contentOf(filepath.Join(suit, "a.stl.md"))

	tube(t, filepath.Join(suit, "b.new"), 12)
	tube(t, filepath.Join(suit, "a.new"), 13)
	filler := filepath.Join(suit, "filler")
	f, err := os.Create(filler)
	require.NoError(t, err)
	for room := 64 << 10; room >= 512; room /= 2 { // to the last byte
		for {
			if _, err := f.Write(make([]byte, room)); err != nil {
				break
			}
		}
	}
	require.NoError(t, f.Close())
	require.NoError(t, os.Rename(filepath.Join(suit, "b.new"), filepath.Join(suit, "b.stl")))
	require.NoError(t, os.Rename(filepath.Join(suit, "a.new"), filepath.Join(suit, "a.stl")))
	until(t, "the word", func() bool { return log.has(`"reason":"no space left on device"`) })
	until(t, "both are known", func() bool {
		s, err := readState(suit)
		return err == nil && s.Parts == 2 && len(s.Unwritten) >= 2
	})
	require.Equal(t, 1, log.count(`"event":"write_failed"`), log.String())
	require.Contains(t, log.String(), `"free_bytes":`)
	require.Equal(t, string(old), string(contentOf(filepath.Join(suit, "a.stl.md"))))
	nothingTorn(t, suit)

	require.NoError(t, os.Remove(filler))
	until(t, "the new reports", func() bool {
		return log.has(`"event":"write_again"`) && len(contentOf(filepath.Join(suit, "b.stl.md"))) > 0 && !bytes.Equal(old, contentOf(filepath.Join(suit, "a.stl.md")))
	})
	stop()
	require.Equal(t, 1, log.count(`"event":"write_failed"`), log.String())
	nothingTorn(t, suit)
	walk(t, suit, func(path string, _ []byte) {
		if temporaryName(path) {
			t.Errorf("%s was left over", path)
		}
	})
}

// A folder that takes no reports is looked into all the same: status tells what
// was found, check prints it, and it is looked into once.
func TestReadOnlyFolder(t *testing.T) {
	suit := smallDisk(t, "size=4m")
	tube(t, filepath.Join(suit, "a.stl"), 12)
	require.NoError(t, os.WriteFile(filepath.Join(suit, "b.stl"), []byte("no mesh"), 0o666))
	require.NoError(t, unix.Mount("gambeson-test", suit, "", unix.MS_REMOUNT|unix.MS_RDONLY, ""))
	log, stop := watching(t, suit)
	until(t, "both are known", func() bool {
		s, err := readState(suit)
		return err == nil && s.Parts == 2 && len(s.Unwritten) == 3
	})
	seen := map[time.Time]bool{}
	until(t, "several tries", func() bool {
		if s, err := readState(suit); err == nil {
			seen[s.Written] = true // anew with each
		}
		return len(seen) > 5
	})
	now, err := standingOf(suit)
	require.NoError(t, err)
	require.True(t, now.Running && now.Degraded)
	require.Contains(t, strings.Join(now.Warnings, "\n"), "b.stl: cannot be read")
	stop()
	require.Equal(t, 1, log.count(`"event":"write_failed"`), log.String())
	require.Equal(t, 1, log.count(`"event":"unreadable"`), log.String())
	require.Equal(t, 1, log.count(`"event":"timed"`), "looked into once")

	var out lines
	code := run(t.Context(), []string{"check", suit}, &out, &out)
	require.Equal(t, exitCannot, code, out.String())
	require.Contains(t, out.String(), "a.stl: fits the bed")
	require.Contains(t, out.String(), "read-only file system")
}

// What was found of parts whose reports could not be written is known as long as
// the daemon runs, also after it has let go of what can be read again.
func TestUnwrittenStaysKnown(t *testing.T) {
	ownFolders(t)
	suit := smallDisk(t, "size=4m")
	barAt(t, filepath.Join(suit, "long.stl"), 900)
	require.NoError(t, unix.Mount("gambeson-test", suit, "", unix.MS_REMOUNT|unix.MS_RDONLY, ""))
	f := newFolder(suit, 1, zerolog.Nop())
	f.daemon = true
	done, err := f.look(t.Context(), "long.stl")
	require.NoError(t, err)
	require.Error(t, done[0].unwritten)
	for range 2 {
		var s state
		f.tell(&s)
		require.Len(t, s.Warnings, 1)
		require.Contains(t, s.Warnings[0], "long.stl: ")
		lost, err := f.sum()
		require.Empty(t, lost)
		require.ErrorContains(t, err, "read-only file system")
		f.rest()
	}
}

// What the system refuses while a report is written is named, and leaves the
// old report and nothing half-written. (Faults are put in with strace.)
func TestSystemRefuses(t *testing.T) {
	tracer, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("no strace here")
	}
	program, err := exec.LookPath("gambeson")
	require.NoError(t, err)
	for _, c := range []struct{ fault, of, said string }{
		{"fsync:error=EIO:when=1", "", "input/output error"},                                    // the first is of a file
		{"fsync:error=EIO", "a.stl.fit", "may not be safe on the disk yet: input/output error"}, // of a folder
		{"renameat,renameat2:error=EACCES", "", "permission denied"},
		{"renameat,renameat2:error=EIO", "", "input/output error"},
	} {
		fault, said := c.fault, c.said
		own, suit := t.TempDir(), t.TempDir()
		tube(t, filepath.Join(suit, "a.stl"), 12)
		check := func(args ...string) (int, string) {
			command := exec.Command(args[0], args[1:]...)
			command.Env = append(os.Environ(), ownState(own)...)
			out, _ := command.CombinedOutput() // the code tells
			return command.ProcessState.ExitCode(), string(out)
		}
		code, out := check(program, "check", suit)
		require.Equal(t, exitWell, code, out)
		old := contentOf(filepath.Join(suit, "a.stl.md"))
		tube(t, filepath.Join(suit, "a.stl"), 14)
		traced := []string{tracer, "-f", "-qq", "-o", "/dev/null", "-e", "trace=" + calls(fault), "-e", "inject=" + fault}
		if c.of != "" { // calls are counted by thread, so that no number tells which it is
			traced = append(traced, "-P", filepath.Join(suit, c.of))
		}
		code, out = check(append(traced, program, "check", suit)...)
		require.Equal(t, exitCannot, code, "%s: %s", fault, out)
		require.Contains(t, out, said, fault)
		require.Contains(t, out, "a.stl: fits the bed", fault)
		require.Equal(t, string(old), string(contentOf(filepath.Join(suit, "a.stl.md"))), fault)
		nothingTorn(t, suit)
		walk(t, suit, func(path string, _ []byte) {
			if temporaryName(path) {
				t.Errorf("%s: %s was left over", fault, path)
			}
		})
	}
}

// Whatever is put into the place of a file has been written through to the disk
// before, and the folder is after that: a power cut leaves the old or the new one.
// (Told by strace.)
func TestWrittenThroughToTheDisk(t *testing.T) {
	tracer, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("no strace here")
	}
	program, err := exec.LookPath("gambeson")
	require.NoError(t, err)
	own, suit := t.TempDir(), t.TempDir()
	tube(t, filepath.Join(suit, "a.stl"), 12)
	calls := filepath.Join(own, "calls")
	command := exec.Command(tracer, "-f", "-qq", "-y", "-s", "4096", "-o", calls, "-e", "trace=fsync,renameat,renameat2", program, "check", suit)
	command.Env = append(os.Environ(), ownState(own)...)
	out, err := command.CombinedOutput()
	require.NoError(t, err, string(out))
	synced := regexp.MustCompile(`fsync\(\d+<([^>]*)>`)
	renamed := regexp.MustCompile(`renameat2?\(\d+<([^>]*)>, "([^"]*)", \d+<[^>]*>, "([^"]*)"`)
	files, due, moved := map[string]bool{}, map[string]bool{}, 0
	for line := range strings.Lines(string(contentOf(calls))) {
		if m := synced.FindStringSubmatch(line); m != nil {
			files[m[1]] = true
			delete(due, m[1])
		}
		if m := renamed.FindStringSubmatch(line); m != nil && store.LiesIn(suit, m[1]) {
			moved++
			if !files[filepath.Join(m[1], m[2])] {
				t.Errorf("%s is put into its place without being on the disk", filepath.Join(m[1], m[3]))
			}
			due[m[1]] = true
		}
	}
	require.Greater(t, moved, 5)
	require.Empty(t, due, "folders with names that are not on the disk")
}

// calls are the system calls that a fault is put into.
func calls(fault string) string {
	names, _, _ := strings.Cut(fault, ":")
	return names
}

// A folder that is taken away is said to be missing, once, and not that reports
// cannot be written in it as well; when it is back, all goes on.
func TestFolderTakenAway(t *testing.T) {
	base := t.TempDir()
	suit := filepath.Join(base, "suit")
	require.NoError(t, os.Mkdir(suit, 0o777))
	log, stop := watching(t, suit)
	until(t, "the summary", func() bool { return len(contentOf(filepath.Join(suit, "SUIT.md"))) > 0 })
	require.NoError(t, os.Rename(suit, filepath.Join(base, "away")))
	until(t, "known to be missing, after a try to sum up", func() bool {
		s, err := readState(suit)
		return err == nil && len(s.Watched) == 1
	})
	require.NoError(t, os.Rename(filepath.Join(base, "away"), suit))
	tube(t, filepath.Join(suit, "a.stl"), 16)
	until(t, "a report", func() bool { return log.has(`"event":"reported","file":"a.stl"`) })
	stop()
	require.Equal(t, 1, log.count(`"event":"condition"`), log.String())
	require.Equal(t, 1, log.count(`"event":"condition_ended"`), log.String())
	require.Zero(t, log.count(`"event":"write_failed"`), log.String())
	require.Zero(t, log.count(`"event":"gone"`), log.String())
}
