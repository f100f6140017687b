package store

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/adrg/xdg"
	"github.com/gofrs/flock"
	"github.com/stretchr/testify/require"
)

func ownFolders(t *testing.T) {
	t.Helper()
	t.Cleanup(xdg.Reload) // after the variables are what they were
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	t.Setenv("XDG_RUNTIME_DIR", t.TempDir())
	xdg.Reload()
}

// A folder is held once, by whichever way one comes to it, until it is released.
func TestFolderIsHeldOnce(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links are not for everybody there, and a locked file is not to be read")
	}
	ownFolders(t)
	root := t.TempDir()
	link := filepath.Join(t.TempDir(), "link")
	require.NoError(t, os.Symlink(root, link))
	require.Equal(t, Key(root), Key(link))

	_, held, err := Holding(root)
	require.NoError(t, err)
	require.False(t, held)
	hold, own, err := Take(root, "watch")
	require.NoError(t, err)
	require.Equal(t, os.Getpid(), own.PID)
	_, by, err := Take(link, "check")
	require.ErrorIs(t, err, ErrHeld)
	require.Equal(t, "watch", by.Command)
	require.Equal(t, root, by.Of(link))
	by, held, err = Holding(link)
	require.NoError(t, err)
	require.True(t, held)
	require.Equal(t, own.String(), by.String())

	hold.Release()
	_, held, err = Holding(root)
	require.NoError(t, err)
	require.False(t, held)
	(*Hold)(nil).Release()
}

// Who holds a folder keeps others from those that lie in it and in which it lies,
// and from no other.
func TestFoldersThatLieInOneAnother(t *testing.T) {
	ownFolders(t)
	root := t.TempDir()
	inner := filepath.Join(root, "suit")
	require.NoError(t, os.MkdirAll(filepath.Join(inner, "arms"), 0o777))
	path, err := lockPath(inner)
	require.NoError(t, err)
	text, err := json.Marshal(Holder{PID: os.Getpid() + 1, Command: "watch", Root: inner}) // another process
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, text, 0o600))
	lock := flock.New(path)
	got, err := lock.TryLock()
	require.NoError(t, err)
	require.True(t, got)
	for folder, want := range map[string]bool{root: true, filepath.Join(inner, "arms"): true, root + "-other": false, filepath.Join(root, "suits"): false} {
		by, held, err := Holding(folder)
		require.NoError(t, err)
		if held != want || held && by.Root != inner {
			t.Errorf("%s: held %v by %s, want %v", folder, held, by, want)
		}
	}
	require.NoError(t, lock.Close())
	hold, _, err := Take(root, "check")
	require.NoError(t, err)
	hold.Release()
}

// What was sealed is read back; a file with any byte changed, or cut short, is not.
func TestSealed(t *testing.T) {
	data := []byte("Copper Heron")
	file := Sealed(data)
	got, ok := Unsealed(file)
	require.True(t, ok)
	require.Equal(t, data, got)
	for i := range file {
		torn := bytes.Clone(file)
		torn[i] ^= 1
		_, ok := Unsealed(torn)
		require.False(t, ok, "byte %d", i)
		_, ok = Unsealed(file[:i])
		require.False(t, ok, "%d bytes", i)
	}
}

// Replace leaves nothing beside, and the file for the person's own eyes.
func TestReplace(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	path := filepath.Join(dir, "a.json")
	for _, text := range []string{"longer before", "after"} {
		require.NoError(t, Replace(path, []byte(text)))
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, text, string(got))
	}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1)
	if info, err := os.Stat(path); runtime.GOOS != "windows" && (err != nil || info.Mode().Perm() != 0o600) {
		t.Errorf("%v, %v: want it for the person alone", info.Mode(), err)
	}
}
