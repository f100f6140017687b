package shape

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// A facet across three axes, at one distance, is an eighth of all that is seen
// from where they meet, and a sixth of a cube is one of its faces (by symmetry).
func TestWindingOfPiecesOfTheView(t *testing.T) {
	facet := &mesh.Mesh{}
	for _, p := range []r3.Vec{{X: 7}, {Y: 7}, {Z: 7}} {
		facet.AddVertex(p)
	}
	facet.AddTriangle(0, 1, 2)
	cube := Bar{X: 2, Y: 2, Z: 2}.Mesh()
	face := &mesh.Mesh{X: cube.X, Y: cube.Y, Z: cube.Z}
	for i := range cube.Triangles() {
		if a, b, c := cube.Corners(i); a.Z == cube.Bounds().Max.Z && b.Z == a.Z && c.Z == a.Z {
			face.AddTriangle(cube.T[3*i], cube.T[3*i+1], cube.T[3*i+2])
		}
	}
	backward := facet.Clone()
	backward.Flip()
	for name, c := range map[string]struct {
		m    *mesh.Mesh
		at   r3.Vec
		want float64
	}{
		"an eighth":               {facet, r3.Vec{}, 1.0 / 8},
		"the same from behind":    {backward, r3.Vec{}, -1.0 / 8},
		"a sixth":                 {face, cube.Bounds().Center(), 1.0 / 6},
		"in a cube":               {cube, cube.Bounds().Center(), 1},
		"near a corner within it": {cube, r3.Add(cube.Bounds().Min, r3.Vec{X: 1e-3, Y: 2e-3, Z: 3e-3}), 1},
		"beside it":               {cube, r3.Vec{X: 5, Y: 1, Z: 1}, 0},
		"in two":                  {Join(cube, cube), cube.Bounds().Center(), 2},
		"nothing":                 {&mesh.Mesh{}, r3.Vec{}, 0},
	} {
		if got := Winding(c.m, c.at); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %.15f, want %.15f", name, got, c.want)
		}
	}
}
