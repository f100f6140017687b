//go:build unix

package config

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// What lies where a text file should be is named, and never waited for.
func TestReadFile(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "folder.toml"), 0o755))
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "pipe.toml"), 0o644))
	require.NoError(t, os.Symlink("/dev/zero", filepath.Join(dir, "zero.toml")))
	require.NoError(t, os.Symlink("loop.toml", filepath.Join(dir, "loop.toml")))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "empty.toml"), nil, 0o644))
	for name, want := range map[string]string{
		"folder.toml": "folder.toml: is a folder; expected a text file",
		"pipe.toml":   "pipe.toml: is a pipe, socket or device; expected a text file",
		"zero.toml":   "zero.toml: is a pipe, socket or device; expected a text file",
		"loop.toml":   "loop.toml: cannot be opened: too many levels of symbolic links",
	} {
		if _, err := readFile(dir, name); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	text, err := readFile(dir, "empty.toml")
	if err != nil || text == nil || len(text) > 0 {
		t.Errorf("an empty file is read as %q, %v, want empty and not nil", text, err)
	}
	text, err = readFile(dir, "none.toml")
	if err != nil || text != nil {
		t.Errorf("no file is read as %q, %v, want nil", text, err)
	}
}
