package main

import (
	"context"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
)

// A system that has no more open files to give is no fault of the part: it gets
// no refusal, and its report once there are some.
func TestShortOfOpenFiles(t *testing.T) {
	root := t.TempDir()
	out, err := os.Create(filepath.Join(root, "bar.stl"))
	require.NoError(t, err)
	require.NoError(t, mesh.WriteSTL(out, shape.Bar{X: 60, Y: 15, Z: 10}.Mesh(), "bar"))
	require.NoError(t, out.Close())
	f := newFolder(root, 1, zerolog.Nop())
	f.pieces.surveyed = true
	var before syscall.Rlimit
	require.NoError(t, syscall.Getrlimit(syscall.RLIMIT_NOFILE, &before))
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_NOFILE, &syscall.Rlimit{Cur: 0, Max: before.Max}))
	_, err = f.look(context.Background(), "bar.stl")
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_NOFILE, &before))
	require.ErrorIs(t, err, syscall.EMFILE)
	require.NoFileExists(t, filepath.Join(root, "bar.stl.md"))
	done, err := f.look(context.Background(), "bar.stl")
	require.NoError(t, err)
	require.Nil(t, done[0].row.Refusal)
	require.FileExists(t, filepath.Join(root, "bar.stl.md"))
}

// A part that goes in the moment when it is to be looked into leaves no report
// that it cannot be read.
func TestPartThatIsGoneAlready(t *testing.T) {
	f := newFolder(t.TempDir(), 1, zerolog.Nop())
	_, err := f.look(context.Background(), "bar.stl")
	require.ErrorIs(t, err, mesh.ErrChanging)
	require.NoFileExists(t, filepath.Join(f.root, "bar.stl.md"))
}
