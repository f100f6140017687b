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
