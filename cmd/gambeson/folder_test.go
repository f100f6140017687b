package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
)

// A folder that is moved in the moment when it is to be listed is no folder that
// cannot be looked into.
func TestPartsWhileFoldersMove(t *testing.T) {
	root := t.TempDir()
	for n := range 20 {
		require.NoError(t, os.Mkdir(filepath.Join(root, fmt.Sprintf("%02d-a", n)), 0o755))
	}
	var said bytes.Buffer
	f := newFolder(root, 1, zerolog.New(&said))
	var mover sync.WaitGroup
	stop := make(chan struct{})
	mover.Go(func() {
		for {
			for _, to := range []string{"b", "a"} {
				for n := range 20 {
					from := map[string]string{"a": "b", "b": "a"}[to]
					if err := os.Rename(filepath.Join(root, fmt.Sprintf("%02d-%s", n, from)), filepath.Join(root, fmt.Sprintf("%02d-%s", n, to))); err != nil {
						t.Error(err)
					}
				}
			}
			select {
			case <-stop:
				return
			default:
			}
		}
	})
	for range 500 {
		_, err := f.parts(root)
		require.NoError(t, err)
	}
	close(stop)
	mover.Wait()
	require.Empty(t, said.String())
}

// What a daemon looks into: the person's meshes and TOML files, and neither what
// is hidden nor what it wrote itself, although some of that are meshes.
func TestWhatIsLookedInto(t *testing.T) {
	for name, want := range map[string]bool{
		"a.stl": true, "A.STL": true, "legs/a.3mf": true, "a.obj": true, "kit.zip": true,
		"suit.toml": true, "wearer.toml": true, "logbook.toml": true,
		"wearer.toml.txt": true, "Suit.toml": true, "legs/a.ply": true, "kit.tar.gz": true, // to be spoken of
		".a.stl": false, "._a.stl": false, ".suit.toml": false, "other.toml": false, "a.txt": false, "a.stl.part": false,
		"a.stl.md": false, "a.stl.html": false, "SUIT.md": false, "SUIT.html": false,
		"a.stl.fit/bands/calf_girth-100.stl": false, "a.stl.fit/pieces/1.stl": false, "a.stl.fit/panel/panel.stl": false, "SUIT.fit/loads/1.stl": false,
	} {
		if got := accept(filepath.Join("/suit", filepath.FromSlash(name))); got != want {
			t.Errorf("%s: looked into is %v, want %v", name, got, want)
		}
	}
	for name, want := range map[string]bool{"legs": true, ".git": false, "a.stl.fit": false, "SUIT.fit": false} {
		if got := descend(filepath.Join("/suit", name)); got != want {
			t.Errorf("%s: entered is %v, want %v", name, got, want)
		}
	}
}
