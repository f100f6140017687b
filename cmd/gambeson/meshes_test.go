package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// stacked are so many rings that make one tube, each on the one before.
func stacked(n int) map[string]*mesh.Mesh {
	const high = 12.0
	rings := map[string]*mesh.Mesh{}
	rest := shape.Tube{Sides: 48, Radius: 25, Wall: 3, Height: high * float64(n)}.Mesh()
	for i := range n - 1 {
		var low *mesh.Mesh
		rest, low, _ = section.Halves(rest, section.Plane{Point: r3.Vec{Z: high * float64(i+1)}, Normal: r3.Vec{Z: 1}})
		rings[fmt.Sprintf("ring-%d.stl", i)] = low
	}
	rings[fmt.Sprintf("ring-%d.stl", n-1)] = rest
	return rings
}

// To find of a shell of many pieces whether any two of them cannot both be there,
// each is read once more, however many others it touches; one that has just been
// read is not.
func TestPiecesAreReadOnceToBeCompared(t *testing.T) {
	const n = 7
	rings := stacked(n)
	last := fmt.Sprintf("ring-%d.stl", n-1)
	var late bytes.Buffer
	require.NoError(t, mesh.WriteSTL(&late, rings[last], "drawn"))
	delete(rings, last)
	root := kit(t, "", rings).root

	log := &lines{}
	f := newFolder(root, 1, newConsole(log, log, "json", "debug").log)
	again := func(part string) int { return log.count(`"event":"read_again","file":"` + part + `"`) }
	require.NoError(t, f.survey(t.Context()))
	shell := f.shells()["ring-0.stl"]
	require.NotNil(t, shell)
	require.Len(t, shell.members, n-1)
	for name := range rings {
		require.Equal(t, 1, again(name), name)
	}
	require.NoError(t, os.WriteFile(filepath.Join(root, last), late.Bytes(), 0o666))
	_, err := f.look(t.Context(), last)
	require.NoError(t, err)
	require.Len(t, f.shells()[last].members, n)
	require.Zero(t, again(last))
	require.Equal(t, 2, again(fmt.Sprintf("ring-%d.stl", n-2)), "which it touches")
	require.Equal(t, n, log.count(`"event":"read_again"`))
	require.Empty(t, f.pieces.contacts.meshes, "they are let go of")
}

// Of the meshes that are held, those go first that were not needed for longest;
// the last one stays however large it is.
func TestMeshesHeldAreFew(t *testing.T) {
	of := func(triangles int) *mesh.Mesh { return &mesh.Mesh{T: make([]uint32, 3*triangles)} }
	key := func(n byte) digestOf { return digestOf{n} }
	var m meshes
	for n := range byte(4) {
		m.add(key(n), of(mostMeshes/4))
	}
	require.NotNil(t, m.of(key(0))) // now the last that was needed
	m.add(key(4), of(mostMeshes/2))
	for n, held := range []bool{true, false, false, true, true} {
		require.Equal(t, held, m.of(key(byte(n))) != nil, "number %d", n)
	}
	require.Equal(t, mostMeshes, m.size)
	m.add(key(5), of(2*mostMeshes))
	require.Len(t, m.last, 1)
	require.NotNil(t, m.of(key(5)))
	require.Equal(t, 2*mostMeshes, m.size)
}
