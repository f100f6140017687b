// Package hull finds the convex hull of a mesh in space, and the flat faces on
// which the part can be laid. Lengths are mm.
package hull

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Hull is a convex polyhedron.
//
// Faces hold three indices into Points each, counter-clockwise when seen from
// outside. Points that lie in one plane have two faces on each triangle of
// their outline, one up and one down; points on a line have none and Points
// holds its two ends. The zero Hull is empty.
type Hull struct {
	Points []r3.Vec
	Faces  [][3]int32
	Flats  []Flat // the faces again, those in one plane taken together, the largest first
}

// Flat is a face of a hull with all that lies in its plane.
type Flat struct {
	Normal r3.Vec  // unit, outward
	Area   float64 // mm²
	Points []int32 // its corners among the Points of the hull, in ascending order
}

// Of returns the hull of all vertices of m, used or not, leaving out those that
// are no finite numbers. Points are vertices of m; no vertex lies farther
// outside than float32 tells apart at the size of the part.
func Of(m *mesh.Mesh) *Hull {
	m = sound(m)
	if m.Vertices() == 0 {
		return &Hull{}
	}
	l := newLattice(m.Bounds())
	some := extremes(m)
	simplex, rank := spread(m, l, some)
	if rank < 3 {
		return degenerate(m, l, simplex, rank)
	}
	q := newQuick(l, m.Vertices())
	q.begin(m, simplex)
	q.enclose(m, some)
	q.encloseAll(m)
	q.sweep()
	q.tidy()
	h := q.hull(m)
	h.Flats = q.flats(h)
	return h
}

// sound returns m, or its finite vertices where not all are.
func sound(m *mesh.Mesh) *mesh.Mesh {
	if m.Finite() {
		return m
	}
	out := &mesh.Mesh{}
	for v := range m.Vertices() {
		if p := m.At(uint32(v)); p.X-p.X == 0 && p.Y-p.Y == 0 && p.Z-p.Z == 0 {
			out.AddVertex(p)
		}
	}
	return out
}

// corners returns the corners of face f.
func (h *Hull) corners(f [3]int32) (a, b, c r3.Vec) {
	return h.Points[f[0]], h.Points[f[1]], h.Points[f[2]]
}

// Area returns the surface of the hull in mm²; both sides count where it is
// flat.
func (h *Hull) Area() float64 {
	var twice float64
	for _, f := range h.Faces {
		a, b, c := h.corners(f)
		twice += r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
	}
	return twice / 2
}

// Volume returns the volume of the hull in mm³.
func (h *Hull) Volume() float64 {
	var six float64
	for _, f := range h.Faces {
		a, b, c := h.corners(f)
		o := h.Points[0]
		six += r3.Dot(r3.Sub(a, o), r3.Cross(r3.Sub(b, o), r3.Sub(c, o)))
	}
	return six / 6
}

// Along returns the least and the greatest of n·p over the points p.
func (h *Hull) Along(n r3.Vec) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range h.Points {
		d := r3.Dot(n, p)
		low, high = min(low, d), max(high, d)
	}
	return low, high
}

// degenerate returns the hull of points that all lie in a plane (rank 2), on a
// line (1) or together (0), as the first rank+1 of simplex show.
func degenerate(m *mesh.Mesh, l lattice, simplex [4]uint32, rank int) *Hull {
	h := &Hull{}
	if rank < 2 {
		for _, v := range simplex[:rank+1] {
			h.Points = append(h.Points, m.At(v))
		}
		return h
	}
	a := m.At(simplex[0])
	n := r3.Unit(r3.Cross(r3.Sub(m.At(simplex[1]), a), r3.Sub(m.At(simplex[2]), a)))
	plane := section.Plane{Point: a, Normal: n}
	flat := make([]r2.Vec, m.Vertices())
	for v := range flat {
		flat[v] = plane.Flat(m.At(uint32(v)))
	}
	up, down := Flat{Normal: n}, Flat{Normal: r3.Scale(-1, n)}
	for i, p := range section.Hull(flat) {
		h.Points = append(h.Points, plane.Lift(p))
		up.Points = append(up.Points, int32(i))
	}
	for i := 2; i < len(h.Points); i++ {
		at := int32(i)
		h.Faces = append(h.Faces, [3]int32{0, at - 1, at}, [3]int32{0, at, at - 1})
	}
	up.Area = h.Area() / 2
	down.Points, down.Area = up.Points, up.Area
	h.Flats = []Flat{up, down}
	return h
}
