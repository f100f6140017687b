// Package mesh reads, welds, checks and writes triangle meshes.
//
// Lengths are millimetres. Coordinates are kept as float32 columns, the
// resolution of binary STL; every computation is done in float64.
package mesh

import (
	"math"

	"gambeson/analysis/pages"

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
	var low, high [3]float64
	columns := [3][]float32{m.X, m.Y, m.Z}
	workers := 1
	if len(m.X) >= worthAWorker {
		workers = len(columns)
	}
	spread(len(columns), workers, func(from, to int) {
		for k := from; k < to; k++ {
			low[k], high[k] = extent(columns[k])
		}
	})
	return r3.Box{Min: r3.Vec{X: low[0], Y: low[1], Z: low[2]}, Max: r3.Vec{X: high[0], Y: high[1], Z: high[2]}}
}

func extent(column []float32) (low, high float64) {
	// Four at once: each least and most waits for the one before it, not for
	// memory.
	var lo, hi [4]float32
	for k := range lo {
		lo[k], hi[k] = column[0], column[0]
	}
	for ; len(column) >= 4; column = column[4:] {
		lo[0], hi[0] = min(lo[0], column[0]), max(hi[0], column[0])
		lo[1], hi[1] = min(lo[1], column[1]), max(hi[1], column[1])
		lo[2], hi[2] = min(lo[2], column[2]), max(hi[2], column[2])
		lo[3], hi[3] = min(lo[3], column[3]), max(hi[3], column[3])
	}
	for _, x := range column {
		lo[0], hi[0] = min(lo[0], x), max(hi[0], x)
	}
	return float64(min(lo[0], lo[1], lo[2], lo[3])), float64(max(hi[0], hi[1], hi[2], hi[3]))
}

// Area returns the surface area in mm², summed as ½·|cross| so that collinear
// slivers count 0 and never NaN.
func (m *Mesh) Area() float64 {
	area, _ := m.Measure()
	return area
}

// Volume returns the enclosed volume in mm³ by the divergence theorem:
// positive where the triangles face outward, meaningless where the mesh is
// open. The sum is taken about a corner of the mesh, so that a part lying far from
// the origin loses no digits.
func (m *Mesh) Volume() float64 {
	_, volume := m.Measure()
	return volume
}

// Measure returns Area and Volume for the price of one look at each triangle.
func (m *Mesh) Measure() (area, volume float64) {
	if len(m.T) == 0 {
		return 0, 0
	}
	about := m.At(m.T[0])
	twice, six := m.sum(func(corners []uint32) (twice, six float64) {
		// Of one length, so that a corner is looked for within it once, not thrice.
		xs, ys, zs := m.X, m.Y[:len(m.X)], m.Z[:len(m.X)]
		for ; len(corners) >= 3; corners = corners[3:] {
			// Number by number: as vectors the same takes more than twice as long.
			a, b, c := corners[0], corners[1], corners[2]
			x, y, z := float64(xs[a]), float64(ys[a]), float64(zs[a])
			bx, by, bz := float64(xs[b])-x, float64(ys[b])-y, float64(zs[b])-z
			cx, cy, cz := float64(xs[c])-x, float64(ys[c])-y, float64(zs[c])-z
			nx, ny, nz := by*cz-bz*cy, bz*cx-bx*cz, bx*cy-by*cx
			// The squares of what float32 holds do not leave float64.
			twice += math.Sqrt(nx*nx + ny*ny + nz*nz)
			six += (x-about.X)*nx + (y-about.Y)*ny + (z-about.Z)*nz
		}
		return twice, six
	})
	return twice / 2, six / 6
}

// Clone returns a copy that shares nothing with m.
func (m *Mesh) Clone() *Mesh {
	return &Mesh{X: cloned(m.X), Y: cloned(m.Y), Z: cloned(m.Z), T: cloned(m.T)}
}

func cloned[T any](s []T) []T { return append(pages.Room[T](len(s)), s...) }

// Map returns a copy of m with every vertex moved by f. Triangles keep their
// order of corners: a map that mirrors must be followed by Flip.
func (m *Mesh) Map(f func(r3.Vec) r3.Vec) *Mesh {
	n := m.Vertices()
	out := &Mesh{X: pages.Full[float32](n), Y: pages.Full[float32](n), Z: pages.Full[float32](n), T: cloned(m.T)}
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

// Turned returns m with some facets turned round; it shares all but the corners of
// facets with m, and is m where there are none.
func (m *Mesh) Turned(facets []uint32) *Mesh {
	if len(facets) == 0 {
		return m
	}
	out := *m
	out.T = cloned(m.T)
	for _, t := range facets {
		out.T[3*t+1], out.T[3*t+2] = out.T[3*t+2], out.T[3*t+1]
	}
	return &out
}

// Outward returns m with its facets turned round where it is inside out, all or nearly all
// of it, as mirroring in some programs leaves a mesh; else m. A volume below zero is asked
// first, as it costs one pass.
func (m *Mesh) Outward() *Mesh {
	if m.Volume() >= 0 {
		return m
	}
	if flipped := m.Condition().Flipped; 2*len(flipped) > m.Triangles() {
		return m.Turned(flipped)
	}
	return m
}

// Finite reports whether every coordinate is a finite number.
func (m *Mesh) Finite() bool {
	box := m.Bounds() // a least and a most that meet NaN are NaN
	sum := r3.Add(box.Min, box.Max)
	return sum.X-sum.X == 0 && sum.Y-sum.Y == 0 && sum.Z-sum.Z == 0
}
