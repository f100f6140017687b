package main

import (
	"cmp"
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

// A part that changes while it is looked into is looked into once more, also where
// nothing tells of the change; one that is asked for while the daemon stops is not.
func TestChangingPartIsTriedAgain(t *testing.T) {
	ownFolders(t)
	d := newDaemon(newConsole(&lines{}, &lines{}, "json", "info"), "check", nil)
	f := newFolder(t.TempDir(), 1, d.log)
	look := func(ctx context.Context, _ string) ([]outcome, error) {
		return nil, cmp.Or(ctx.Err(), error(mesh.ErrChanging))
	}
	require.Positive(t, d.lookInto(t.Context(), f, "a.stl", look))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	require.Zero(t, d.lookInto(ctx, f, "a.stl", look))
}

// Of a part that is saved while it is looked into nothing is told: what was read may
// be half of the old and half of the new. At rest it has its report.
func TestChangedWhileItIsLookedInto(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	barAt(t, filepath.Join(suit, "a.stl"), 60)
	f := newFolder(suit, 1, zerolog.Nop())
	require.NoError(t, f.survey(t.Context()))
	asked := make(chan struct{}, 1)
	asked <- struct{}{}
	saved := false
	f.meanwhile = meanwhile{asked: asked, do: func() { barAt(t, filepath.Join(suit, "a.stl"), 70); saved = true }}
	_, err := f.look(t.Context(), "a.stl")
	require.True(t, saved)
	require.ErrorIs(t, err, mesh.ErrChanging)
	require.NoFileExists(t, filepath.Join(suit, "a.stl.md"))
	require.Empty(t, f.rows)
	done, err := f.look(t.Context(), "a.stl")
	require.NoError(t, err)
	require.InDelta(t, 70, done[0].row.Findings.Mesh.Bounds[0], 0.01)
}
