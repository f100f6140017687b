package watcher

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// inOwnNamespace runs a test again in namespaces of its own, where it is root and may
// mount and set limits; user_namespaces(7). It is true there. Where the system
// grants none the test is skipped.
func inOwnNamespace(t *testing.T) bool {
	const mark = "WATCHER_TEST_NAMESPACE"
	if os.Getenv(mark) == t.Name() {
		require.NoError(t, unix.Mount("", "/", "", unix.MS_REC|unix.MS_PRIVATE, ""))
		return true
	}
	c := exec.Command("/proc/self/exe", "-test.run=^"+t.Name()+"$", "-test.v")
	c.Env = append(os.Environ(), mark+"="+t.Name())
	one := func(id int) []syscall.SysProcIDMap { return []syscall.SysProcIDMap{{HostID: id, Size: 1}} }
	c.SysProcAttr = &syscall.SysProcAttr{Cloneflags: unix.CLONE_NEWUSER | unix.CLONE_NEWNS, UidMappings: one(os.Getuid()), GidMappings: one(os.Getgid())}
	out, err := c.CombinedOutput()
	if _, ran := err.(*exec.ExitError); err != nil && !ran {
		t.Skipf("no namespaces here: %v", err)
	}
	if err != nil || !strings.Contains(string(out), "--- PASS: "+t.Name()) {
		t.Errorf("in its own namespace: %v\n%s", err, out)
	}
	return false
}

// The kernel grants no more watches: the rest is polled, which is said with the
// limit, the need and the command; granted more, all is watched again.
func TestWatchLimitOfTheKernel(t *testing.T) {
	if !inOwnNamespace(t) {
		return
	}
	const sysctl = "/proc/sys/user/max_inotify_watches"
	require.NoError(t, os.WriteFile(sysctl, []byte("4"), 0o644))
	b := newBench(t, Options{})
	for n := range 9 {
		b.write(fmt.Sprintf("%d/x.stl", n), "x")
	}
	b.run()
	b.until("nine", func() bool { return len(b.last) == 9 })
	b.waitTold("+watch-limit")
	require.Equal(t, 6, b.w.Status().Polled)
	c := b.w.Status().Conditions[0]
	require.Contains(t, c.Text, "6 of 10 folders are polled")
	for _, part := range []string{"10 watches are needed", "fs.inotify.max_user_watches (now ", "sudo sysctl fs.inotify.max_user_watches="} {
		require.Contains(t, c.Cure, part)
	}
	b.seen = nil
	for n := range 9 {
		b.write(fmt.Sprintf("%d/y.stl", n), "y")
		b.wait(fmt.Sprintf("%d/y.stl", n))
	}
	require.NoError(t, os.WriteFile(sysctl, []byte("1000"), 0o644))
	b.waitTold("-watch-limit")
	require.Zero(t, b.w.Status().Polled)
}

// The kernel grants not even one queue of events.
func TestInstanceLimitOfTheKernel(t *testing.T) {
	if !inOwnNamespace(t) {
		return
	}
	const sysctl = "/proc/sys/user/max_inotify_instances"
	require.NoError(t, os.WriteFile(sysctl, []byte("0"), 0o644))
	b := newBench(t, Options{})
	b.w.rescan = 0
	b.write("a/x.stl", "x")
	b.run().wait("a/x.stl")
	b.waitTold("+watch-limit")
	require.Contains(t, b.w.Status().Conditions[0].Cure, "max_user_instances=1024")
	require.NoError(t, os.WriteFile(sysctl, []byte("10"), 0o644))
	b.waitTold("-watch-limit")
	b.write("a/y.stl", "x")
	b.wait("a/y.stl")
}

// A disk is mounted over a folder with parts, and taken away again: none of
// them is gone meanwhile. What is on the disk is found.
func TestMounts(t *testing.T) {
	if !inOwnNamespace(t) {
		return
	}
	b := newBench(t, Options{})
	b.w.rescan, b.w.walkShare = 0, 1 // a mount is announced to nobody
	b.write("disk/below.stl", "x")
	b.run().wait("disk/below.stl")
	require.NoError(t, unix.Mount("tmpfs", b.path("disk"), "tmpfs", 0, "size=1m"))
	b.waitTold("+unmounted/disk")
	require.NoError(t, os.WriteFile(b.path("disk/on.stl"), []byte("x"), 0o644))
	b.wait("disk/on.stl", "-disk/below.stl") // it is another disk's content now
	b.waitTold("-unmounted/disk")
	require.NoError(t, unix.Unmount(b.path("disk"), unix.MNT_DETACH)) // it may be being listed
	b.wait("-disk/on.stl", "disk/below.stl")
	b.write("disk/new.stl", "x")
	b.wait("disk/new.stl")
	b.calm()
}

// An overlay says nothing of what is done to the folder it lies over: the walk
// finds it.
func TestOverlay(t *testing.T) {
	if !inOwnNamespace(t) {
		return
	}
	base := t.TempDir()
	require.NoError(t, unix.Mount("tmpfs", base, "tmpfs", 0, "size=1m"))
	t.Cleanup(func() { _ = unix.Unmount(base, unix.MNT_DETACH) })
	for _, dir := range []string{"lower", "upper", "work", "seen"} {
		require.NoError(t, os.Mkdir(filepath.Join(base, dir), 0o755))
	}
	seen := filepath.Join(base, "seen")
	over := fmt.Sprintf("lowerdir=%s/lower,upperdir=%s/upper,workdir=%s/work", base, base, base)
	if err := unix.Mount("overlay", seen, "overlay", 0, over); err != nil {
		t.Skipf("no overlay here: %v", err)
	}
	b := newBench(t, Options{Roots: []string{seen}})
	b.w.rescan, b.w.walkShare = 0, 1
	b.run()
	require.NoError(t, os.WriteFile(filepath.Join(base, "upper/x.stl"), []byte("x"), 0o644))
	b.wait("x.stl")
	require.NoError(t, unix.Unmount(seen, unix.MNT_DETACH))
	b.waitTold("+unmounted")
}

// The system's own queue of events overflows while the program is stopped, as
// by SIGSTOP or a lid that is closed.
func TestQueueOverflows(t *testing.T) {
	text, err := os.ReadFile("/proc/sys/fs/inotify/max_queued_events")
	require.NoError(t, err)
	most, err := strconv.Atoi(strings.TrimSpace(string(text)))
	require.NoError(t, err)
	if most > 20_000 {
		t.Skipf("the queue holds %d events", most)
	}
	held := make(chan struct{})
	b := newBench(t, Options{})
	b.w.open = func() (notifier, error) { return stopped(held) }
	b.run()
	for n := range most + 5_000 { // each an event, and not a file to hand over
		require.NoError(t, os.WriteFile(b.path(fmt.Sprintf("%d.txt", n)), nil, 0o644))
	}
	b.write("late/x.stl", "x")
	close(held)
	b.waitTold("-overflow")
	b.until("the last file", func() bool { return slices.Contains(b.seen, "late/x.stl") })
	require.Positive(t, b.w.Status().Overflows)
	require.Equal(t, []string{"+overflow", "-overflow"}, b.told, "once each")
}
