package config

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNamesNearlyOurs(t *testing.T) {
	for name, want := range map[string]string{
		"wearer.toml.txt": "wearer.toml", "Wearer.toml": "wearer.toml", "wearer (1).toml": "wearer.toml", "wearer.TOML": "wearer.toml",
		"wearer(2).toml": "wearer.toml", "wearer - copy.toml": "wearer.toml", "Copy of suit.toml": "suit.toml", "wearer.txt": "wearer.toml",
		"waerer.toml": "wearer.toml", "SUIT.TOML.TXT": "suit.toml", "log_book.toml": "logbook.toml", "suite.toml": "suit.toml",
		"wearer.toml": "", "suit.toml": "", "logbook.toml": "", ".wearer.toml": "", "wearer.md": "", "wearer": "", "notes.txt": "",
		"suits.txt": "", "other.toml": "", "wearer.toml~": "", "SUIT.md": "", "": "",
	} {
		if got := MeantAs(name); got != want {
			t.Errorf("%q is meant as %q, want %q", name, got, want)
		}
	}
}

// A file is not spoken of where that with the right name is there, nor a folder.
func TestMistaken(t *testing.T) {
	root := t.TempDir()
	for _, name := range []string{"wearer.toml.txt", "suit (1).toml", "suit.toml", "other.toml"} {
		require.NoError(t, os.WriteFile(filepath.Join(root, name), nil, 0o666))
	}
	require.NoError(t, os.Mkdir(filepath.Join(root, "logbook.toml.txt"), 0o777))
	require.Equal(t, []Misnamed{{"wearer.toml.txt", "wearer.toml"}}, Mistaken(root))
}
