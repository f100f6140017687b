//go:build unix

package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A daemon that starts while suit.toml is broken goes by what it last said, and so
// does the one after it; what is kept for that is for the account's eyes only.
func TestLastGoodValuesOutliveTheDaemon(t *testing.T) {
	root := suitOfBars(t)
	path, err := goodPath(root)
	require.NoError(t, err)
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	report := filepath.Join(root, "a.stl.md")
	before := textOf(t, report)
	toml := filepath.Join(root, "suit.toml")
	for _, broken := range []string{"[printer]\nbedd = [200, 200]\n", "[printer", ""} {
		require.NoError(t, os.WriteFile(toml, []byte(broken), 0o644))
		for range 2 {
			require.Empty(t, life(t, root), "%q", broken)
			require.Contains(t, textOf(t, filepath.Join(root, "SUIT.md")), "the values read at ")
			require.Equal(t, before, textOf(t, report))
		}
	}
	require.NoError(t, os.WriteFile(path, []byte("torn"), 0o600))
	require.NoError(t, os.WriteFile(toml, []byte("[printer"), 0o644))
	life(t, root)
	require.Contains(t, textOf(t, filepath.Join(root, "SUIT.md")), "the defaults hold")

	require.NoError(t, os.WriteFile(toml, []byte("[printer]\nbed = [300, 300]\n"), 0o644))
	life(t, root)
	require.NotContains(t, textOf(t, filepath.Join(root, "SUIT.md")), "cannot be used")
	require.Equal(t, before, textOf(t, report))
}
