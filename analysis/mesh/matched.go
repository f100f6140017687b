package mesh

import (
	"runtime"
	"sync/atomic"

	"gambeson/analysis/pages"
)

// Edges counts the edges that have not two facets. The zero Edges is that of
// a closed surface.
type Edges struct {
	Open      int // with one facet
	Branching int // with more than two
}

// Edges counts the edges of m that have not two facets, exactly. A facet that
// has a corner twice has no edges.
func (m *Mesh) Edges() Edges {
	if m.matched() {
		return Edges{}
	}
	var e Edges
	m.eachEdge(func(_, _ uint32, uses []use) {
		switch {
		case len(uses) == 1:
			e.Open++
		case len(uses) > 2:
			e.Branching++
		}
	})
	return e
}

// matched reports whether every edge of m has two facets, and these run along
// it in opposite ways. This is much sooner said than what else there may be, and
// nearly always so.
//
// Each processor takes a range of vertices and one of facets. A side of which the
// lower corner lies in another's range, which few do where facets stand by their
// vertices, is handed over when all have been looked at.
func (m *Mesh) matched() bool {
	n, facets := m.Vertices(), m.Triangles()
	if n > mostMatched {
		return false
	}
	stars := make([]*star, max(1, min(runtime.GOMAXPROCS(0), facets/worthAWorker)))
	ranges := len(stars)
	var wrong atomic.Bool
	spread(ranges, ranges, func(i, _ int) {
		stars[i] = newStar(uint32(n*i/ranges), uint32(n*(i+1)/ranges))
		if !stars[i].facets(m.T[3*(facets*i/ranges) : 3*(facets*(i+1)/ranges)]) {
			wrong.Store(true)
		}
	})
	if wrong.Load() {
		return false
	}
	spread(ranges, ranges, func(i, _ int) {
		s := stars[i]
		for _, other := range stars {
			if !s.handed(other.others) {
				wrong.Store(true)
				return
			}
		}
		if s.sides != 2*s.edges {
			wrong.Store(true)
		}
	})
	return !wrong.Load()
}

// star has the edges that go up from the vertices of a range to ones of higher
// number, and which ways facets run along each. Every way is taken by one facet
// at most: there are then twice as many sides as edges where each edge has both.
type star struct {
	from, to     uint32           // the vertices: from ≤ v < to
	edge         []uint32         // spokes for each vertex, 0 where free: higher corner << 2 | ways
	more         map[uint64]uint8 // ways by lower corner << 32 | higher, where a vertex has more
	sides, edges int
	others       []side // those met that are of other ranges
}

const (
	// spokes is how many edges of a vertex are kept side by side: in a closed
	// mesh six meet in a vertex on average, half of which go up (Euler).
	spokes = 6

	up, down = 1, 2 // ways along an edge

	// mostMatched is how many vertices leave room for the ways.
	mostMatched = 1 << 30
)

func newStar(from, to uint32) *star {
	return &star{from: from, to: to, edge: pages.Make[uint32](spokes * int(to-from))}
}

// facets takes the sides of facets, and sets those aside that are of another range.
// It reports whether all are the first to run along their edge in their way.
func (s *star) facets(corners []uint32) bool {
	size := s.to - s.from
	for t := 0; t+2 < len(corners); t += 3 {
		a, b, c := corners[t], corners[t+1], corners[t+2]
		if _, twice := repeated(a, b, c); twice {
			continue
		}
		// Below the range the difference wraps round, and is large too.
		if low := min(a, b); low-s.from >= size {
			s.setAside(a, b)
		} else if !s.take(low, a, b) {
			return false
		}
		if low := min(b, c); low-s.from >= size {
			s.setAside(b, c)
		} else if !s.take(low, b, c) {
			return false
		}
		if low := min(c, a); low-s.from >= size {
			s.setAside(c, a)
		} else if !s.take(low, c, a) {
			return false
		}
	}
	return true
}

// side is a side from its first corner to its second.
type side struct{ a, b uint32 }

// setAside keeps a side for another range.
func (s *star) setAside(a, b uint32) { s.others = append(s.others, side{a, b}) }

// handed takes those of the sides of other ranges that are of this one, as facets
// does.
func (s *star) handed(sides []side) bool {
	size := s.to - s.from
	for _, side := range sides {
		if low := min(side.a, side.b); low-s.from < size && !s.take(low, side.a, side.b) {
			return false
		}
	}
	return true
}

// take takes the side from a to b, of which low is the lower, and reports whether
// none ran that way before.
func (s *star) take(low, a, b uint32) bool {
	s.sides++
	// Without a branch: which it is nobody can guess.
	high, way := max(a, b), uint32(up)<<((b-a)>>31)
	edges := (*[spokes]uint32)(s.edge[spokes*(low-s.from):])
	for i, e := range edges {
		if e>>2 == high { // 0 is no higher corner
			edges[i] = e | way
			return e&way == 0
		}
		if e == 0 {
			edges[i] = high<<2 | way
			s.edges++
			return true
		}
	}
	return s.takeMore(uint64(low)<<32|uint64(high), uint8(way))
}

func (s *star) takeMore(key uint64, way uint8) bool {
	ways, known := s.more[key]
	if !known {
		s.edges++
		if s.more == nil {
			s.more = map[uint64]uint8{}
		}
	}
	s.more[key] = ways | way
	return ways&way == 0
}
