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
