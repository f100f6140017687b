package watcher

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

func TestAskLease(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.stl")
	ask := func(what string, want lease) {
		t.Helper()
		if got := askLease(path); got != want {
			t.Errorf("%s: lease is %v, want %v", what, got, want)
		}
	}
	ask("no file", unknown)
	f, err := os.Create(path)
	require.NoError(t, err)
	ask("open for writing", taken)
	require.NoError(t, f.Truncate(9000))
	mapped, err := unix.Mmap(int(f.Fd()), 0, 9000, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	ask("mapped for writing, closed", taken)
	require.NoError(t, unix.Munmap(mapped))
	ask("nobody writes", free)
	r, err := os.Open(path)
	require.NoError(t, err)
	ask("open for reading", free)
	require.NoError(t, r.Close())
	pipe := filepath.Join(t.TempDir(), "pipe.stl")
	require.NoError(t, unix.Mkfifo(pipe, 0o644))
	path = pipe
	ask("a pipe, which must not block", unknown)
	path = filepath.Dir(path)
	ask("a folder", unknown)
}

// The kernel tells the holder of a lease by SIGIO that somebody wants to
// write. It must not end the program.
func TestWriterInTheMomentOfTheLease(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.stl")
	require.NoError(t, os.WriteFile(path, []byte("x"), 0o644))
	fd, err := unix.Open(path, unix.O_RDONLY, 0)
	require.NoError(t, err)
	_, err = unix.FcntlInt(uintptr(fd), unix.F_SETLEASE, unix.F_RDLCK)
	require.NoError(t, err)
	_, err = unix.Open(path, unix.O_WRONLY|unix.O_NONBLOCK, 0)
	require.ErrorIs(t, err, unix.EWOULDBLOCK)
	require.NoError(t, unix.Close(fd))
	w, err := unix.Open(path, unix.O_WRONLY|unix.O_NONBLOCK, 0)
	require.NoError(t, err)
	require.NoError(t, unix.Close(w))
}

// writers is a bench where files are whole when they hold eight bytes that
// are not zero, and which knows what the watcher found.
type writers struct {
	*bench
	open, cut chan bool
}

func newWriters(t *testing.T) writers {
	w := writers{open: make(chan bool, 1<<16), cut: make(chan bool, 1<<16)}
	w.bench = newBench(t, Options{Look: func(path string) (Look, string) {
		text, err := os.ReadFile(path)
		if err != nil || len(text) < 8 || bytes.IndexByte(text, 0) >= 0 {
			w.cut <- true
			return Cut, "half a file"
		}
		return Whole, ""
	}})
	w.w.lease = func(path string) lease {
		l := askLease(path)
		if l == taken {
			w.open <- true
		}
		return l
	}
	w.run()
	return w
}

// foundOpen waits until a file was found open for writing some more times, and
// checks that it has not been handed over.
func (w writers) foundOpen() {
	w.t.Helper()
	for range 5 {
		w.found(w.open)
	}
	require.Empty(w.t, w.events)
}

// foundCut is the same for a file that looks cut.
func (w writers) foundCut() {
	w.t.Helper()
	w.found(w.cut)
	require.Empty(w.t, w.events)
}

func (w writers) found(what <-chan bool) {
	w.t.Helper()
	select {
	case <-what:
	case <-time.After(tooLong):
		w.t.Fatal("not found")
	}
}

func TestSlowWriter(t *testing.T) {
	b := newWriters(t)
	f, err := os.Create(b.path("x.stl"))
	require.NoError(t, err)
	for range 8 {
		_, err := f.WriteString("x")
		require.NoError(t, err)
		b.foundOpen()
	}
	b.foundOpen() // whole, but still open
	require.Equal(t, "still open for writing", b.w.Status().Waiting[0].Why)
	require.NoError(t, f.Close())
	b.wait("x.stl")
	b.calm()
}

func TestPreallocatedFile(t *testing.T) {
	b := newWriters(t)
	f, err := os.Create(b.path("x.stl"))
	require.NoError(t, err)
	require.NoError(t, unix.Fallocate(int(f.Fd()), 0, 0, 8))
	b.foundOpen()
	_, err = f.WriteString("xxxx")
	require.NoError(t, err)
	b.foundOpen()
	require.NoError(t, f.Close()) // half of it
	b.foundCut()
	require.NoError(t, os.WriteFile(b.path("x.stl"), []byte("xxxxxxxx"), 0o644))
	b.wait("x.stl")
	b.calm()
}

func TestMappedWriter(t *testing.T) {
	b := newWriters(t)
	f, err := os.Create(b.path("x.stl"))
	require.NoError(t, err)
	require.NoError(t, f.Truncate(8))
	mapped, err := unix.Mmap(int(f.Fd()), 0, 8, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	for i := range mapped {
		mapped[i] = 'x'
		b.foundOpen()
	}
	require.NoError(t, unix.Munmap(mapped))
	b.wait("x.stl")
	b.calm()
}

// A writer that opens the file anew for each piece.
func TestPausingWriter(t *testing.T) {
	b := newWriters(t)
	for n := range 7 {
		require.NoError(t, os.WriteFile(b.path("x.stl"), []byte(strings.Repeat("x", n+1)), 0o644))
		b.foundCut()
	}
	require.NoError(t, os.WriteFile(b.path("x.stl"), []byte("xxxxxxxx"), 0o644))
	b.wait("x.stl")
	b.calm()
}

func TestSilentTypes(t *testing.T) {
	for magic, want := range map[uint32]string{ // statfs(2)
		0x6969: "NFS", 0x517b: "SMB", 0xff534d42: "SMB", 0xfe534d42: "SMB", 0x65735546: "FUSE", 0x01021997: "9p",
		0xef53: "", 0x01021994: "", 0x794c7630: "", 0x9123683e: "", // ext4, tmpfs, overlay, btrfs
	} {
		if got := silentType(magic); got != want {
			t.Errorf("silentType(%#x) = %q, want %q", magic, got, want)
		}
	}
}
