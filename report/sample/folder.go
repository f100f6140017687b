package sample

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Folder is a fresh suit folder in which every part's own folder is there.
func Folder(t *testing.T) string {
	t.Helper()
	root := t.TempDir()
	for _, dir := range []string{"legs", "torso"} {
		require.NoError(t, os.Mkdir(filepath.Join(root, dir), 0o755))
	}
	return root
}

// ReadFile returns what a file in the folder holds.
func ReadFile(t *testing.T, root, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)))
	require.NoError(t, err)
	return string(data)
}

// WriteFile makes a file in the folder hold a text.
func WriteFile(t *testing.T, root, name, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(filepath.Join(root, filepath.FromSlash(name)), []byte(text), 0o644))
}

// Files lists every file below root with its content; folders end in "/".
func Files(t *testing.T, root string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(root, func(name string, e fs.DirEntry, err error) error {
		if err != nil || name == root {
			return err
		}
		rel, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		if !e.Type().IsRegular() {
			out[rel+"/"] = ""
			return nil
		}
		data, err := os.ReadFile(name)
		out[rel] = string(data)
		return err
	}))
	return out
}
