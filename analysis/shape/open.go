package shape

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bar is a solid box with its corner at the origin. It has no cavity.
type Bar struct {
	X, Y, Z float64
}

// Mesh draws the bar with twelve triangles.
func (b Bar) Mesh() *mesh.Mesh {
	m := &mesh.Mesh{}
	for c := range 8 {
		m.AddVertex(r3.Vec{X: float64(c&1) * b.X, Y: float64(c>>1&1) * b.Y, Z: float64(c>>2) * b.Z})
	}
	for _, f := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		quad(m, f[0], f[1], f[2], f[3])
	}
	return m
}

// Openings returns none: there is no cavity.
func (b Bar) Openings() []Opening { return nil }

// Volume returns x·y·z.
func (b Bar) Volume() float64 { return b.X * b.Y * b.Z }

// Area returns 2·(xy + yz + zx).
func (b Bar) Area() float64 { return 2 * (b.X*b.Y + b.Y*b.Z + b.Z*b.X) }

// Plate is an armour plate: a sheet of even thickness, flat or gently bent
// round a vertical cylinder. It covers a part of the body from one side and
// has no cavity.
type Plate struct {
	Sides         int // columns of facets
	Width, Height float64
	Wall          float64
	Bend          float64 // radius of the inner skin; 0 is flat
}

// Mesh draws the plate: its width along x, or round the z axis with its middle
// at +x where it is bent; its height along z from 0.
func (p Plate) Mesh() *mesh.Mesh {
	n := count(p.Sides, 32)
	if p.Bend == 0 {
		n = 1
	}
	at := func(depth float64) func(i, j int) r3.Vec {
		return func(i, j int) r3.Vec {
			across := (float64(j)/float64(n) - 0.5) * p.Width
			z := float64(i) * p.Height
			if p.Bend == 0 {
				return r3.Vec{X: across, Y: -depth, Z: z}
			}
			sin, cos := math.Sincos(across / p.Bend)
			return r3.Vec{X: (p.Bend + depth) * cos, Y: (p.Bend + depth) * sin, Z: z}
		}
	}
	return wall{rows: 2, cols: n + 1, inner: at(0), outer: at(p.Wall)}.mesh()
}

// Openings returns none: there is no cavity.
func (p Plate) Openings() []Opening { return nil }

// Volume returns the polyhedron's own volume. Bent, a section is n trapezoids
// between the inner and the outer radius, each ½·sin δ·(R² − r²) in area, δ the
// angle of a column.
func (p Plate) Volume() float64 {
	if p.Bend == 0 {
		return p.Width * p.Height * p.Wall
	}
	n := float64(count(p.Sides, 32))
	outer := p.Bend + p.Wall
	return n / 2 * math.Sin(p.Width/p.Bend/n) * (outer*outer - p.Bend*p.Bend) * p.Height
}
