package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// SUIT.md speaks of files that are not read as they are called, or of the format that
// they have, as soon as one comes, and no longer when it is called otherwise.
func TestUnreadFilesAreSpokenOf(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	at := func(name string) string { return filepath.Join(suit, name) }
	says := func(text string) bool { return strings.Contains(string(contentOf(at("SUIT.md"))), text) }
	_, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "the empty folder", func() bool { return says("**No part yet") })
	require.NoError(t, os.WriteFile(at("wearer.toml.txt"), []byte("stature = 1710\n"), 0o666))
	until(t, "the name", func() bool {
		return says("- **`wearer.toml.txt` is not read.** If it is meant as `wearer.toml`, give it that name")
	})
	require.NoError(t, os.WriteFile(at("kit.rar"), []byte("Rar!"), 0o666))
	until(t, "the format", func() bool { return says("- `kit.rar`: unpack it; of archives only ZIP is read.") })
	require.NoError(t, os.Rename(at("wearer.toml.txt"), at("wearer.toml")))
	until(t, "the right name", func() bool { return !says("wearer.toml.txt") })
	require.NoError(t, os.Remove(at("kit.rar")))
	until(t, "nothing", func() bool { return !says("kit.rar") })
	stop()
}

// A check says it as well.
func TestCheckSaysUnreadFiles(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	tube(t, filepath.Join(suit, "a.stl"), 12)
	require.NoError(t, os.WriteFile(filepath.Join(suit, "Wearer.toml"), []byte("stature = 1710\n"), 0o666))
	var out, errs lines
	run(t.Context(), []string{"check", suit}, &out, &errs)
	require.Contains(t, errs.String(), "Wearer.toml is not read: if it is meant as wearer.toml, give it that name.")
	require.Contains(t, string(contentOf(filepath.Join(suit, "SUIT.md"))), "**`Wearer.toml` is not read.**")
}
