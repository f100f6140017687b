package band

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// surface takes a place on a wall laid flat, x along it and y up, and the
// distance d outward of it, to where that is in space. x, y and d are
// right-handed there too.
type surface func(x, y, d float64) r3.Vec

// bendStep is the longest piece of a stroke that is laid straight, mm: round a
// finger ring of 9 mm radius it leaves the wall by 0.014 mm.
const bendStep = 1.0

// raise adds a stroke to m as a closed prism from `in` mm below the surface to
// `proud` above. Strokes that meet overlap each other and the wall: 3MF and the
// programs that slice meshes take overlapping shells that face outward for one
// body (3MF Core Specification, fill by the positive winding rule).
func raise(m *mesh.Mesh, s stroke, wide, in, proud float64, on surface) {
	along := unit(r2.Sub(s.to, s.from))
	if along == (r2.Vec{}) {
		along = r2.Vec{X: 1}
	}
	from := r2.Sub(s.from, r2.Scale(wide*s.start, along))
	long := r2.Norm(r2.Sub(s.to, s.from)) + wide*(s.start+s.after)
	left := r2.Vec{X: -along.Y * wide / 2, Y: along.X * wide / 2}
	n := max(1, int(math.Ceil(long/bendStep)))
	var ring, start [4]uint32
	for k := range n + 1 {
		p := r2.Add(from, r2.Scale(long*float64(k)/float64(n), along))
		l, r := r2.Add(p, left), r2.Sub(p, left)
		next := [4]uint32{
			m.AddVertex(on(r.X, r.Y, -in)), m.AddVertex(on(l.X, l.Y, -in)),
			m.AddVertex(on(l.X, l.Y, proud)), m.AddVertex(on(r.X, r.Y, proud)),
		}
		if k == 0 {
			start = next
		} else {
			tube(m, ring, next)
		}
		ring = next
	}
	quad(m, start[3], start[2], start[1], start[0])
	quad(m, ring[0], ring[1], ring[2], ring[3])
}

// apart makes the strokes of a text a hair narrower one than the other: corners
// that fell together would be welded by whoever reads the file, and shells that
// share an edge are no manifold. No glyph has as many strokes as there are
// widths.
func apart(wide float64, i int) float64 { return wide - 0.008*float64(i%11) }

// tube joins two rings of corners, anticlockwise as seen from the second.
func tube(m *mesh.Mesh, a, b [4]uint32) {
	for k := range a {
		next := (k + 1) % len(a)
		quad(m, a[k], a[next], b[next], b[k])
	}
}

func quad(m *mesh.Mesh, a, b, c, d uint32) {
	m.AddTriangle(a, b, c)
	m.AddTriangle(a, c, d)
}
