package main

import (
	"os"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/likeness"
	"gambeson/analysis/shape"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
)

// What was found of pairs of shapes outlives the daemon, and follows the shapes:
// a changed one and a part that comes or goes are seen.
func TestKinFollowsTheShapesAcrossRestarts(t *testing.T) {
	ownFolders(t)
	root := t.TempDir()
	shapeOf := func(factor float64) *likeness.Signature {
		s := likeness.Of(shape.Relief{Triangles: 2000}.Mesh().Scaled(factor), 1)
		return &s
	}
	found := []*analysis.Findings{{Part: "a.stl", Shape: shapeOf(1)}, nil, {Part: "b.stl", Shape: shapeOf(1)}}
	f := newFolder(root, 1, zerolog.Nop())
	require.Equal(t, "copy", f.kinAmong(found)[0].Kind)
	path, err := kinPath(root)
	require.NoError(t, err)
	kept, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), kept.Mode().Perm())

	f = newFolder(root, 1, zerolog.Nop())
	require.Equal(t, "copy", f.kinAmong(found)[0].Kind)
	again, err := os.Stat(path)
	require.NoError(t, err)
	require.True(t, os.SameFile(kept, again), "nothing new was found")

	found[2].Shape = shapeOf(1.1)
	require.Equal(t, "rescaled", f.kinAmong(found)[0].Kind)
	f = newFolder(root, 1, zerolog.Nop())
	require.Equal(t, "rescaled", f.kinAmong(found)[0].Kind)
	require.Empty(t, f.kinAmong(found[:1]))
	require.Empty(t, f.kinAmong(nil))

	require.NoError(t, os.WriteFile(path, []byte("torn"), 0o600))
	f = newFolder(root, 1, zerolog.Nop())
	require.Equal(t, "rescaled", f.kinAmong(found)[0].Kind)
}
