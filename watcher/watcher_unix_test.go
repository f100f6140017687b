//go:build unix

package watcher

import (
	"os"
	"path/filepath"
	"sync/atomic"
	"syscall"
	"testing"

	"github.com/fsnotify/fsnotify"
	"github.com/stretchr/testify/require"
)

func TestWhatIsNoFile(t *testing.T) {
	b := newBench(t, Options{})
	outside := filepath.Join(t.TempDir(), "outside.stl")
	require.NoError(t, os.WriteFile(outside, []byte("x"), 0o644))
	b.write("legs/real.stl", "x")
	for link, target := range map[string]string{
		"loop.stl": "loop.stl", "up.stl": "..", "legs/self": ".", "legs/up": "..", "dangling.stl": "nowhere.stl",
		"out.stl": outside, "in.stl": "legs/real.stl", "via.stl": "in.stl", "folder.stl": "legs",
	} {
		require.NoError(t, os.Symlink(target, b.path(link)))
	}
	require.NoError(t, syscall.Mkfifo(b.path("pipe.stl"), 0o644))
	b.run().wait("legs/real.stl", "in.stl", "via.stl")
	require.NoError(t, syscall.Mkfifo(b.path("pipe2.stl"), 0o644))
	require.NoError(t, os.Symlink(outside, b.path("out2.stl")))
	require.NoError(t, os.WriteFile(outside, []byte("changed"), 0o644))
	b.calm()
	b.write("legs/real.stl", "changed") // and so have the links
	b.wait("legs/real.stl", "in.stl", "via.stl")
	require.NoError(t, os.Remove(b.path("legs/real.stl")))
	b.wait("-legs/real.stl", "-in.stl", "-via.stl")
	b.calm()
	require.Equal(t, 2, b.w.Status().Folders)
}

// What comes where a dangling link leads tells nothing of the link itself.
func TestLinkComesToLife(t *testing.T) {
	b := newBench(t, Options{}).run()
	require.NoError(t, os.Symlink("legs/real.stl", b.path("link.stl")))
	b.calm()
	for range 2 {
		b.write("legs/real.stl", "x")
		b.wait("legs/real.stl", "link.stl")
		require.NoError(t, os.RemoveAll(b.path("legs")))
		b.wait("-legs/real.stl", "-link.stl")
	}
	require.NoError(t, os.Remove(b.path("link.stl")))
	b.write("legs/real.stl", "x")
	b.wait("legs/real.stl")
	b.calm()
}

// A link that a walk comes by before what it leads to is followed all the same.
func TestWalkFollowsLinks(t *testing.T) {
	b := newBench(t, Options{})
	require.NoError(t, os.Symlink("z/real.stl", b.path("a.stl")))
	errs := b.mute()
	b.run()
	for range 3 {
		b.write("z/real.stl", "x")
		errs <- fsnotify.ErrEventOverflow
		b.wait("z/real.stl", "a.stl")
		require.NoError(t, os.Remove(b.path("z/real.stl")))
		errs <- fsnotify.ErrEventOverflow
		b.wait("-z/real.stl", "-a.stl")
	}
}

// asNobody takes root's rights away, so that permissions mean something.
func asNobody(t *testing.T, dir string) {
	if os.Geteuid() != 0 {
		return
	}
	const nobody = 65534
	require.NoError(t, os.Chown(dir, nobody, nobody))
	require.NoError(t, os.Chmod(filepath.Dir(dir), 0o755))
	require.NoError(t, os.Chmod(filepath.Dir(filepath.Dir(dir)), 0o755))
	require.NoError(t, syscall.Setreuid(-1, nobody))
	t.Cleanup(func() { require.NoError(t, syscall.Setreuid(-1, 0)) })
}

func TestUnreadableFolder(t *testing.T) {
	b := newBench(t, Options{})
	asNobody(t, b.root)
	create := func(name string) {
		require.NoError(t, os.MkdirAll(filepath.Dir(b.path(name)), 0o755))
		require.NoError(t, os.WriteFile(b.path(name), []byte(name), 0o644))
	}
	create("a/x.stl")
	create("a/b/y.stl")
	b.run().wait("a/x.stl", "a/b/y.stl")
	require.NoError(t, os.Chmod(b.path("a"), 0))
	b.waitTold("+unreadable/a")
	require.NoError(t, os.Chmod(b.path("a"), 0o400)) // may be listed, not entered
	create("z.stl")
	b.wait("z.stl") // and neither x nor y is gone
	b.w.Rescan()
	b.wait("z.stl")
	require.NoError(t, os.Chmod(b.path("a"), 0o755))
	b.waitTold("-unreadable/a")
	create("a/new.stl")
	b.wait("a/new.stl")
	require.Equal(t, []string{"+unreadable/a", "-unreadable/a"}, b.told)

	create("c/locked.stl")
	b.wait("c/locked.stl")
	require.NoError(t, os.Chmod(b.path("c/locked.stl"), 0)) // handed over: to say so is not our business
	b.wait("c/locked.stl")
	require.NoError(t, os.Chmod(b.path("c/locked.stl"), 0o644))
	b.wait("c/locked.stl")
}

// A known file that cannot be looked at for a while, be it that its path has become
// too long or that its disk fails, is said to be so, is not gone, and is known when
// it can be looked at again.
func TestFileThatCannotBeLookedAt(t *testing.T) {
	for _, fault := range []syscall.Errno{syscall.ENAMETOOLONG, syscall.EIO, syscall.EACCES} {
		b := newBench(t, Options{})
		var faulty atomic.Bool
		b.w.stat = func(root, path string) (Stamp, bool, error) {
			if faulty.Load() && path == b.path("x.stl") {
				return Stamp{}, false, fault
			}
			return stampOf(root, path)
		}
		b.write("x.stl", "x")
		b.run().wait("x.stl")
		faulty.Store(true)
		require.NoError(t, os.Chmod(b.path("x.stl"), 0o600)) // something is heard of it
		b.waitTold("+unreadable/x.stl")
		b.calm()
		faulty.Store(false)
		require.NoError(t, os.Chmod(b.path("x.stl"), 0o644))
		b.waitTold("-unreadable/x.stl")
		b.wait("x.stl") // by its new times
		require.Equal(t, []string{"+unreadable/x.stl", "-unreadable/x.stl"}, b.told)
		b.stop()
	}
}
