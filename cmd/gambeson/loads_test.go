package main

import (
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// A part that is laid out whole is another print when its mesh, its scale or how it
// lies is another; what else is found of it does not matter.
func TestLaidWhole(t *testing.T) {
	part := func(change func(f *analysis.Findings)) string {
		f := &analysis.Findings{Percent: 100, Mesh: &analysis.Mesh{Triangles: 12}, Bed: &analysis.Bed{}}
		change(f)
		return laidWhole(f)
	}
	as := part(func(*analysis.Findings) {})
	require.NotEmpty(t, as)
	require.Equal(t, as, part(func(f *analysis.Findings) { f.Part = "another.stl" }))
	require.NotEqual(t, as, part(func(f *analysis.Findings) { f.Percent = 104 }))
	require.NotEqual(t, as, part(func(f *analysis.Findings) { f.Mesh.Triangles = 14 }))
	require.NotEqual(t, as, part(func(f *analysis.Findings) { f.Bed.Placement.Rotation[0][1] = 1 }))
}
