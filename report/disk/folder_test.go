package disk

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"gambeson/analysis/mesh"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// A report that the person saves while it is composed is composed again from
// what they saved.
func TestASaveInBetweenIsNotOverwritten(t *testing.T) {
	root := sample.Folder(t)
	sample.WriteFile(t, root, "SUIT.md", "one")
	dir, err := Open(root)
	require.NoError(t, err)
	defer dir.Close()
	saved := 0
	require.NoError(t, dir.Rewrite("SUIT.md", func(old []byte) ([]byte, error) {
		if saved++; saved < 3 {
			sample.WriteFile(t, root, "SUIT.md", fmt.Sprintf("saved %d", saved))
		}
		return append([]byte("seen: "), old...), nil
	}))
	if got := sample.ReadFile(t, root, "SUIT.md"); got != "seen: saved 2" {
		t.Errorf("got %q", got)
	}
	err = dir.Rewrite("SUIT.md", func([]byte) ([]byte, error) {
		saved++
		sample.WriteFile(t, root, "SUIT.md", strings.Repeat("x", saved))
		return []byte("ours"), nil
	})
	if err == nil || sample.ReadFile(t, root, "SUIT.md") != strings.Repeat("x", saved) {
		t.Errorf("saved at every moment: error %v", err)
	}
	if got := len(sample.Files(t, root)); got != 3 {
		t.Errorf("%d files are left behind", got-3)
	}
}

func TestErrorsSayWhatFailedOnce(t *testing.T) {
	for _, err := range []error{
		&fs.PathError{Op: "openat", Path: "legs/a.stl.md", Err: errors.New("no space left on device")},
		&os.LinkError{Op: "renameat", Old: "x", New: "legs/a.stl.md", Err: errors.New("no space left on device")},
	} {
		if got := Failed("legs/a.stl.md", "cannot be written", err).Error(); got != "legs/a.stl.md: cannot be written: no space left on device" {
			t.Errorf("got %q", got)
		}
	}
	if got := Shown("a\x1b[2J\nb"); strings.ContainsAny(got, "\x1b\n") {
		t.Errorf("an error could clear the terminal: %q", got)
	}
}

// A person moves the folder of a part about while its report is written: that
// may fail, but leaves nothing half-written wherever the folder goes.
func TestFolderMovedWhileWriting(t *testing.T) {
	root := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(root, "here"), 0o755))
	d, err := Open(root)
	require.NoError(t, err)
	defer d.Close()
	here, there := filepath.Join(root, "here"), filepath.Join(root, "there")
	wrote := 0
	for n := range 100 {
		var mover sync.WaitGroup
		mover.Go(func() {
			_ = os.Rename(here, there)
			_ = os.Rename(there, here)
		})
		if d.Write("here/a.stl.fit/x.json", fmt.Appendf(nil, "%d", n)) == nil {
			wrote++
		}
		mover.Wait()
	}
	if wrote == 0 {
		t.Error("nothing could be written")
	}
	for _, dir := range []string{"here", "there"} {
		for _, name := range d.List(dir + "/a.stl.fit") {
			if name != "x.json" {
				t.Errorf("%s was left in %s", name, dir)
			}
		}
	}
}

func TestSweepRemovesOurOrphansOnly(t *testing.T) {
	root := sample.Folder(t)
	orphan := "legs/" + tempStart + "ABCDEFGHIJKLMNOPQRSTUVWXYZ" + tempEnd
	theirs := []string{"legs/a.stl", "legs/" + tempStart + "short" + tempEnd, "legs/x.tmp", tempStart + "abcdefghijklmnopqrstuvwxyz" + tempEnd}
	for _, name := range append(theirs, orphan) {
		sample.WriteFile(t, root, name, "x")
	}
	folder := filepath.Join(root, tempStart+"BBCDEFGHIJKLMNOPQRSTUVWXYZ"+tempEnd)
	require.NoError(t, os.Mkdir(folder, 0o755))
	require.NoError(t, Sweep(root))
	left := sample.Files(t, root)
	if _, ok := left[orphan]; ok {
		t.Error("the orphan is still there")
	}
	for _, name := range theirs {
		if _, ok := left[name]; !ok {
			t.Errorf("%s is gone", name)
		}
	}
	if _, err := os.Stat(folder); err != nil {
		t.Error("a folder of the person's is gone")
	}
	if err := Sweep(filepath.Join(root, "nowhere")); err == nil {
		t.Error("a folder that is not there was swept")
	}
}

// What compose leaves alone stays as it is, by its very time; what fails leaves nothing.
func TestWhatIsLeftAloneIsNotWritten(t *testing.T) {
	root := sample.Folder(t)
	sample.WriteFile(t, root, "SUIT.md", "theirs")
	longAgo := time.Date(2001, 2, 3, 4, 5, 6, 0, time.UTC)
	require.NoError(t, os.Chtimes(filepath.Join(root, "SUIT.md"), longAgo, longAgo))
	dir, err := Open(root)
	require.NoError(t, err)
	defer dir.Close()
	before := sample.Files(t, root)
	leave := func([]byte) ([]byte, error) { return nil, nil }
	require.NoError(t, dir.Rewrite("SUIT.md", leave))
	require.NoError(t, dir.Rewrite("legs/a.stl.md", leave))
	require.NoError(t, dir.Write("SUIT.md", []byte("theirs")))
	require.EqualError(t, dir.Rewrite("SUIT.md", func(old []byte) ([]byte, error) { return append(old, '!'), errors.New("no") }), "no")
	require.Equal(t, before, sample.Files(t, root))
	info, err := os.Stat(filepath.Join(root, "SUIT.md"))
	require.NoError(t, err)
	require.Equal(t, longAgo, info.ModTime().UTC())

	require.NoError(t, dir.Write("legs/a.stl.md", nil))
	require.Empty(t, sample.ReadFile(t, root, "legs/a.stl.md"), "nothing is content too")
	require.NoError(t, dir.Remove("legs/a.stl.md"))
	require.NoError(t, dir.Remove("legs/a.stl.md"), "it is gone already")
}

// Folders are made where they are ours, not where they are the person's, and nothing is
// written or read out of the suit folder or through what is no plain file.
func TestNothingIsWrittenElsewhere(t *testing.T) {
	root, outside := sample.Folder(t), t.TempDir()
	sample.WriteFile(t, outside, "a.txt", "theirs")
	require.NoError(t, os.Symlink(outside, filepath.Join(root, "legs", "b.stl.fit")))
	require.NoError(t, os.Symlink(filepath.Join(outside, "a.txt"), filepath.Join(root, "legs", "b.stl.md")))
	require.NoError(t, os.Mkdir(filepath.Join(root, "legs", "c.stl.md"), 0o755))
	require.NoError(t, os.Symlink("notes.txt", filepath.Join(root, "legs", "e.stl.md")))
	sample.WriteFile(t, root, "legs/notes.txt", "theirs")
	sample.WriteFile(t, root, "legs/d.stl.fit", "a file")
	dir, err := Open(root)
	require.NoError(t, err)
	defer dir.Close()
	before := sample.Files(t, root)
	for _, name := range []string{"../a.txt", "/a.txt", "gone/a.stl.md", "gone/a.stl.fit/x.json", "legs/b.stl.fit/x.json", "legs/b.stl.md", "legs/c.stl.md", "legs/d.stl.fit/x.json", "legs/e.stl.md"} {
		require.Error(t, dir.Write(name, []byte("x")), name)
	}
	require.Equal(t, before, sample.Files(t, root))
	require.Equal(t, map[string]string{"a.txt": "theirs"}, sample.Files(t, outside))
	for _, name := range []string{"legs/b.stl.md", "legs/c.stl.md", "legs/nothing"} {
		require.Nil(t, dir.Head(name, 4), name)
	}
	require.NoError(t, dir.Write("legs/a.stl.fit/bands/x.json", []byte("0123")))
	require.Equal(t, "01", string(dir.Head("legs/a.stl.fit/bands/x.json", 2)))
	require.Equal(t, "0123", string(dir.Head("legs/a.stl.fit/bands/x.json", 9)))
	require.Equal(t, []string{"x.json"}, dir.List("legs/a.stl.fit/bands"))
	require.Nil(t, dir.List("legs/nothing"))
}

// Whether a report can be written is tried without leaving anything.
func TestWritable(t *testing.T) {
	root := sample.Folder(t)
	before := sample.Files(t, root)
	require.NoError(t, Writable(Place{Root: root, Part: "legs/a.stl"}))
	require.Error(t, Writable(Place{Root: root, Part: "gone/a.stl"}))
	require.Error(t, Writable(Place{Root: filepath.Join(root, "gone"), Part: "a.stl"}))
	require.Equal(t, before, sample.Files(t, root))
}

// A mesh that is written is known for ours by its first bytes, and is the same when it
// is read.
func TestSolidsAreReadBack(t *testing.T) {
	root := sample.Folder(t)
	dir, err := Open(root)
	require.NoError(t, err)
	defer dir.Close()
	want := sample.Wedge(3)
	require.NoError(t, dir.WriteSolid("legs/a.stl.fit/bands/1.stl", want))
	require.Equal(t, SolidHeader, string(dir.Head("legs/a.stl.fit/bands/1.stl", int64(len(SolidHeader)))))
	file, err := mesh.Open(filepath.Join(root, "legs/a.stl.fit/bands/1.stl"))
	require.NoError(t, err)
	defer file.Close()
	got, err := file.Load(t.Context(), mesh.DefaultLimits())
	require.NoError(t, err)
	require.Equal(t, want.Triangles(), got.Mesh.Triangles())
	require.InDelta(t, want.Volume(), got.Mesh.Volume(), 1e-6*want.Volume())
	require.Equal(t, want.Bounds(), got.Mesh.Bounds())
}
