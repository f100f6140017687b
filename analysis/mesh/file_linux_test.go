package mesh

import (
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// A path that is a file when it is looked at and a named pipe when it is opened, or
// the other way round, is not waited on, and what is opened is a file.
func TestOpenWhatChangesPlaces(t *testing.T) {
	path, pipe := filepath.Join(t.TempDir(), "a.stl"), filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, os.WriteFile(path, []byte("x"), 0o666))
	require.NoError(t, unix.Mkfifo(pipe, 0o666))
	var over atomic.Bool
	var all sync.WaitGroup
	all.Go(func() {
		for !over.Load() {
			if err := unix.Renameat2(unix.AT_FDCWD, path, unix.AT_FDCWD, pipe, unix.RENAME_EXCHANGE); err != nil {
				t.Error(err)
				return
			}
		}
	})
	opened, refused := 0, 0
	for range 20_000 { // with one of the three guards out, a few dozen go wrong
		f, err := Open(path)
		if err != nil {
			refused++
			continue
		}
		opened++
		if !f.info.Mode().IsRegular() {
			t.Errorf("what was opened is %v", f.info.Mode())
		}
		require.NoError(t, f.Close())
	}
	over.Store(true)
	all.Wait()
	require.Positive(t, opened)
	require.Positive(t, refused)
}
