// Package section cuts meshes by planes: sections as chains of straight
// pieces, capped halves, capped slabs. Meshes may be of any quality. Lengths
// are millimetres; all is computed in float64, and the same edge of a mesh
// gives the same point to the bit whoever asks.
package section

import (
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
)

// Section is where a plane meets a mesh. The order of the chains, and where a
// closed one begins, follow the order of the triangles in the mesh.
type Section struct {
	Plane  Plane
	Chains []Chain
}

// Cut returns the section of m by p.
//
// A vertex on the plane, or so near that float32 could not have told, counts
// as above it. Every triangle is therefore cut clean through or not at all,
// and a closed mesh gives closed chains only, whatever it has on the plane. A
// section in the plane of facets is the limit from below, from the side that
// the Normal does not show to: the top of a box gives its outline, the bottom
// nothing.
//
// Chains follow the edges of the mesh by number. Where more than two facets
// meet in an edge, the loop of each solid there closes on itself and a fin
// becomes a chain of its own; duplicate facets count once. An open mesh gives
// open chains. Points that fall together are one, and a closed chain that
// shrinks to a point or a line is none.
func Cut(m *mesh.Mesh, p Plane) Section {
	s := Section{Plane: p}
	if f, ok := p.frame(); ok {
		tr := tracer{m: m}
		s.Chains = tr.cut(f, crossing(m, f))
	}
	return s
}

// cut returns the chains in which f meets the triangles hits.
func (tr *tracer) cut(f frame, hits []uint32) []Chain {
	tr.collect(f, hits)
	tr.trace()
	return tr.chains()
}

// crossing returns the triangles of m with corners on both sides of f, in order.
func crossing(m *mesh.Mesh, f frame) []uint32 {
	up := sides(m, f)
	var hits []uint32
	for i := 0; i+2 < len(m.T); i += 3 {
		if count := up.count(m.T[i], m.T[i+1], m.T[i+2]); count == 1 || count == 2 {
			hits = append(hits, uint32(i/3))
		}
	}
	return hits
}

// bits is a set of vertices, one bit each: an eighth of the memory of the
// smallest column, so that it stays in the cache while triangles stream by.
type bits []uint64

func (b bits) has(v uint32) uint64 { return b[v>>6] >> (v & 63) & 1 }

// count returns how many of three vertices are in the set.
func (b bits) count(u, v, w uint32) uint64 { return b.has(u) + b.has(v) + b.has(w) }

// sides returns the set of the vertices of m above f.
func sides(m *mesh.Mesh, f frame) bits {
	up := make(bits, (m.Vertices()+63)/64)
	for v := range m.Vertices() {
		if f.above(m, uint32(v)) {
			up[v>>6] |= 1 << (v & 63)
		}
	}
	return up
}

// Around returns the index of the innermost closed chain round p (in plane
// coordinates), the one of least area, and false where there is none.
func (s Section) Around(p r2.Vec) (int, bool) {
	best, least := -1, 0.0
	for i, c := range s.Chains {
		if !c.Contains(p) {
			continue
		}
		if area := abs(c.Area()); best < 0 || area < least {
			best, least = i, area
		}
	}
	return best, best >= 0
}

// Nesting returns for each chain the index of the closed chain directly round
// it, -1 where there is none. Chains that cross each other are judged by the
// first point of the smaller.
func (s Section) Nesting() []int {
	round, _ := nest(s.Chains)
	return round
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
