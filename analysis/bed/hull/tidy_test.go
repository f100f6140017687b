package hull

import (
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// Points within the faces and edges of a box that are corners of the polyhedron
// for having come first are none in the end; those that are needed stay.
func TestNoCornerWithinAFace(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 31))
	needless, kept := 0, 0
	for range 300 {
		m := &mesh.Mesh{}
		side := func() float64 { return float64(64 * random.IntN(2)) }
		for range 1 + random.IntN(60) {
			p := [3]float64{float64(random.IntN(65)), float64(random.IntN(65)), float64(random.IntN(65))}
			p[random.IntN(3)] = side()
			if random.IntN(2) == 0 {
				p[random.IntN(3)] = side()
			}
			m.AddVertex(r3.Vec{X: p[0], Y: p[1], Z: p[2]})
		}
		for corner := range 8 { // last, so that others come first
			m.AddVertex(r3.Vec{X: float64(corner & 1 * 64), Y: float64(corner >> 1 & 1 * 64), Z: float64(corner >> 2 * 64)})
		}
		// Begun with what may be any four of them, and grown point by point.
		l := newLattice(m.Bounds())
		q := newQuick(l, m.Vertices())
		simplex, rank := spread(m, l, []uint32{0, uint32(random.IntN(m.Vertices())), uint32(m.Vertices() - 1)})
		if rank < 3 {
			continue
		}
		q.begin(m, simplex)
		for v := range m.Vertices() {
			q.enclose(m, []uint32{uint32(v)})
		}
		q.sweep()
		for v, is := range q.needless() {
			if is {
				needless++
				p := q.spots[v].at
				if at := [3]bool{p[0] == reach || p[0] == -reach, p[1] == reach || p[1] == -reach, p[2] == reach || p[2] == -reach}; at == [3]bool{true, true, true} {
					t.Fatalf("corner %v of the box is taken for needless", p)
				}
			}
		}
		q.tidy()
		h := q.hull(m)
		h.Flats = q.flats(h)
		if len(h.Points) != 8 || len(h.Faces) != 12 || len(h.Flats) != 6 {
			t.Fatalf("a box with %d corners, %d faces, %d flats", len(h.Points), len(h.Faces), len(h.Flats))
		}
		check(t, "box", h, m)
		for f := range q.faces {
			for k, g := range q.faces[f].across {
				a, b := q.faces[f].v[k], q.faces[f].v[(k+1)%3]
				meets := false
				for j, back := range q.faces[g].across {
					meets = meets || back == int32(f) && q.faces[g].v[j] == b && q.faces[g].v[(j+1)%3] == a
				}
				if !meets {
					t.Fatalf("face %d does not lie across the edge that names it", g)
				}
			}
		}
		kept++
	}
	if needless < 200 || kept < 250 {
		t.Errorf("%d needless points in %d boxes test little", needless, kept)
	}
}

// Of real outlines no corner has its faces in fewer than three planes, and what
// is taken out changes no volume.
func TestNoNeedlessCornersOfParts(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{
		"relief": shape.Relief{Triangles: 20_000}.Mesh(),
		"tube":   shape.Tube{Sides: 96, Radius: 50, Wall: 3, Height: 80}.Mesh(),
	} {
		q := enclosed(m)
		before := q.hull(m)
		q.tidy()
		after := q.hull(m)
		if left := q.needless(); left != nil {
			t.Errorf("%s: needless corners are left", name)
		}
		check(t, name, Of(m), m)
		if a, b := after.Volume(), before.Volume(); a < b*(1-1e-12) || a > b*(1+1e-12) {
			t.Errorf("%s: volume %v, before %v", name, a, b)
		}
	}
}

// enclosed returns the polyhedron of m, not tidied.
func enclosed(m *mesh.Mesh) *quick {
	l := newLattice(m.Bounds())
	some := extremes(m)
	simplex, _ := spread(m, l, some)
	q := newQuick(l, m.Vertices())
	q.begin(m, simplex)
	q.enclose(m, some)
	q.encloseAll(m)
	q.sweep()
	return q
}
