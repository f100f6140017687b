package assembly

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Rims as they are made are sound, and any that lack what they point at are not.
func TestSound(t *testing.T) {
	tube := shape.Tube{Sides: 24, Radius: 50, Wall: 4, Height: 60}.Mesh()
	sheet := &mesh.Mesh{X: tube.X, Y: tube.Y, Z: tube.Z, T: tube.T[:3*24]}
	half, _, _ := section.Halves(tube, section.Plane{Point: r3.Vec{Z: 30}, Normal: r3.Vec{Z: 1}})
	for name, m := range map[string]*mesh.Mesh{"tube": tube, "sheet": sheet, "half": half, "nothing": {}} {
		require.True(t, RimsOf(m, 1).Sound(), name)
	}
	require.True(t, new(Rims).Sound())
	require.NotEmpty(t, RimsOf(sheet, 1).Borders)
	require.NotEmpty(t, RimsOf(tube, 1).Starts)
	for i, spoil := range []func(r *Rims){
		func(r *Rims) { r.Facets.X = r.Facets.X[1:] },
		func(r *Rims) { r.Facets.Y[0] = float32(math.NaN()) },
		func(r *Rims) { r.Facets.T[0] = 1 << 31 },
		func(r *Rims) { r.Facets.T = r.Facets.T[1:] },
		func(r *Rims) { r.Facets.T = r.Facets.T[3:] },
		func(r *Rims) { r.Starts = nil },
		func(r *Rims) { r.Starts = []int{0, 1 << 40, r.Facets.Triangles()} },
		func(r *Rims) { r.Starts[0] = -1 },
		func(r *Rims) { r.Area = math.Inf(1) },
		func(r *Rims) { r.Box.Max.Z = math.NaN() },
		func(r *Rims) { r.Borders = []Border{{}} },
		func(r *Rims) { r.Borders = []Border{{Line: make([]r3.Vec, 2), Out: make([]r3.Vec, 2)}} },
		func(r *Rims) { r.Borders = []Border{{Line: make([]r3.Vec, 2), Out: []r3.Vec{{X: math.NaN()}}}} },
	} {
		r := RimsOf(tube, 1)
		spoil(r)
		require.False(t, r.Sound(), "%d", i)
	}
}
