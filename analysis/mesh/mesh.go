// Package mesh reads, welds, checks and writes triangle meshes.
//
// Lengths are millimetres. Coordinates are kept as float32 columns, the
// resolution of binary STL; every computation is done in float64.
package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mesh is an indexed triangle mesh.
//
// Vertex v lies at (X[v], Y[v], Z[v]); the three columns have equal length.
// Triangle t has the corners T[3t], T[3t+1], T[3t+2], counter-clockwise when
// seen from outside. Nothing else is promised: a mesh may be open,
// non-manifold, turned inside out or full of slivers. The zero Mesh is empty,
// has area and volume 0 and an empty box.
type Mesh struct {
	X, Y, Z []float32
	T       []uint32
}

// Triangles returns the number of triangles.
func (m *Mesh) Triangles() int { return len(m.T) / 3 }

// Vertices returns the number of vertices.
func (m *Mesh) Vertices() int { return len(m.X) }

// At returns the place of vertex v in millimetres.
func (m *Mesh) At(v uint32) r3.Vec {
	return r3.Vec{X: float64(m.X[v]), Y: float64(m.Y[v]), Z: float64(m.Z[v])}
}

// Corners returns the three corners of triangle t.
func (m *Mesh) Corners(t int) (a, b, c r3.Vec) {
	return m.At(m.T[3*t]), m.At(m.T[3*t+1]), m.At(m.T[3*t+2])
}

// AddVertex appends a vertex, rounded to float32, and returns its index.
func (m *Mesh) AddVertex(p r3.Vec) uint32 {
	m.X = append(m.X, float32(p.X))
	m.Y = append(m.Y, float32(p.Y))
	m.Z = append(m.Z, float32(p.Z))
	return uint32(len(m.X) - 1)
}

// AddTriangle appends a triangle of existing vertices.
func (m *Mesh) AddTriangle(a, b, c uint32) { m.T = append(m.T, a, b, c) }

// Join returns all meshes as one, their vertices and triangles in order.
func Join(all ...*Mesh) *Mesh {
	out := &Mesh{}
	for _, m := range all {
		base := uint32(out.Vertices())
		out.X, out.Y, out.Z = append(out.X, m.X...), append(out.Y, m.Y...), append(out.Z, m.Z...)
		for _, v := range m.T {
			out.T = append(out.T, base+v)
		}
	}
	return out
}

// Bounds returns the smallest box along the axes that holds every vertex
// used or not. An empty mesh has the zero box.
func (m *Mesh) Bounds() r3.Box {
	if len(m.X) == 0 {
		return r3.Box{}
	}
	lowX, highX := extent(m.X)
	lowY, highY := extent(m.Y)
	lowZ, highZ := extent(m.Z)
	return r3.Box{Min: r3.Vec{X: lowX, Y: lowY, Z: lowZ}, Max: r3.Vec{X: highX, Y: highY, Z: highZ}}
}

func extent(column []float32) (low, high float64) {
	lo, hi := column[0], column[0]
	for _, x := range column {
		lo, hi = min(lo, x), max(hi, x)
	}
	return float64(lo), float64(hi)
}

// Area returns the surface area in mm², summed as ½·|cross| so that collinear
// slivers count 0 and never NaN.
func (m *Mesh) Area() float64 {
	return m.sum(func(corners []uint32) float64 {
		var twice float64
		for t := 0; t+2 < len(corners); t += 3 {
			a, b, c := m.At(corners[t]), m.At(corners[t+1]), m.At(corners[t+2])
			// The squares of what float32 holds do not leave float64.
			twice += math.Sqrt(r3.Norm2(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))))
		}
		return twice
	}) / 2
}

// Volume returns the enclosed volume in mm³ by the divergence theorem:
// positive where the triangles face outward, meaningless where the mesh is
// open. The sum is taken about the middle of the box, so that a part lying
// far from the origin loses no digits.
func (m *Mesh) Volume() float64 {
	mid := m.Bounds().Center()
	return m.sum(func(corners []uint32) float64 {
		var six float64
		for t := 0; t+2 < len(corners); t += 3 {
			a, b, c := r3.Sub(m.At(corners[t]), mid), r3.Sub(m.At(corners[t+1]), mid), r3.Sub(m.At(corners[t+2]), mid)
			six += r3.Dot(a, r3.Cross(b, c))
		}
		return six
	}) / 6
}

// Clone returns a copy that shares nothing with m.
func (m *Mesh) Clone() *Mesh {
	return &Mesh{
		X: append([]float32(nil), m.X...),
		Y: append([]float32(nil), m.Y...),
		Z: append([]float32(nil), m.Z...),
		T: append([]uint32(nil), m.T...),
	}
}

// Map returns a copy of m with every vertex moved by f. Triangles keep their
// order of corners: a map that mirrors must be followed by Flip.
func (m *Mesh) Map(f func(r3.Vec) r3.Vec) *Mesh {
	out := m.Clone()
	for v := range out.X {
		p := f(m.At(uint32(v)))
		out.X[v], out.Y[v], out.Z[v] = float32(p.X), float32(p.Y), float32(p.Z)
	}
	return out
}

// Scaled returns a copy of m scaled by factor about the origin.
// A factor of exactly 1 changes no bit.
func (m *Mesh) Scaled(factor float64) *Mesh {
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Scale(factor, p) })
}

// Flip turns every triangle of m round.
func (m *Mesh) Flip() {
	for t := range m.Triangles() {
		m.T[3*t+1], m.T[3*t+2] = m.T[3*t+2], m.T[3*t+1]
	}
}

// Finite reports whether every coordinate is a finite number.
func (m *Mesh) Finite() bool {
	for _, column := range [][]float32{m.X, m.Y, m.Z} {
		for _, x := range column {
			if x64 := float64(x); math.IsNaN(x64) || math.IsInf(x64, 0) {
				return false
			}
		}
	}
	return true
}
