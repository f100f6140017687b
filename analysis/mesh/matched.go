package mesh

import (
	"runtime"
	"slices"
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
	corners := func(i int) []uint32 { return m.T[3*(facets*i/ranges) : 3*(facets*(i+1)/ranges)] }
	spread(ranges, ranges, func(i, _ int) {
		stars[i] = newStar(uint32(n*i/ranges), uint32(n*(i+1)/ranges))
		stars[i].count(corners(i))
	})
	var wrong atomic.Bool
	spread(ranges, ranges, func(i, _ int) {
		s := stars[i]
		for _, other := range stars {
			for _, side := range other.others {
				counted(s.next, side.a, side.b, s.from)
			}
		}
		s.room()
		s.put(corners(i))
		for _, other := range stars {
			for _, side := range other.others {
				placed(s.ways, s.next, side.a, side.b, s.from)
			}
		}
		if !s.matched() {
			wrong.Store(true)
		}
	})
	return !wrong.Load()
}

// star has the sides of facets by their lower corner, a vertex of a range. They
// are counted first, then put in their places: both without a branch that nobody
// can guess, which is what takes the time in a table of edges. (A facet that has a
// corner twice has no edges, but leaves a way here that none goes back.)
type star struct {
	from   uint32   // the first vertex
	next   []uint32 // of each vertex: how many sides it has, then where its next one goes, then where they end
	ways   []way
	others []side // those met that are of other ranges
}

// way is the higher corner of a side × 2, + 1 where the side runs down from it.
type way uint32

// side is a side from its first corner to its second.
type side struct{ a, b uint32 }

// mostMatched is how many vertices leave room for two ways each, and for the
// difference of two to be seen by its highest bit.
const mostMatched = 1 << 30

func newStar(from, to uint32) *star {
	return &star{from: from, next: pages.Make[uint32](int(to - from))}
}

// count counts the sides of facets, and sets those aside that are of another range.
func (s *star) count(corners []uint32) {
	next, from := s.next, s.from
	for ; len(corners) >= 3; corners = corners[3:] {
		a, b, c := corners[0], corners[1], corners[2]
		if !counted(next, a, b, from) {
			s.others = append(s.others, side{a, b})
		}
		if !counted(next, b, c, from) {
			s.others = append(s.others, side{b, c})
		}
		if !counted(next, c, a, from) {
			s.others = append(s.others, side{c, a})
		}
	}
}

// counted counts the side from a to b at its lower corner, and says so, unless that
// is of another range than the one from the given vertex on.
func counted(next []uint32, a, b, from uint32) bool {
	// Below the range the difference wraps round, and is large too.
	i := uint(min(a, b) - from)
	if i >= uint(len(next)) {
		return false
	}
	next[i]++
	return true
}

// room makes room for all sides that were counted.
func (s *star) room() {
	sum := uint32(0)
	for v, n := range s.next {
		s.next[v], sum = sum, sum+n
	}
	s.ways = pages.Make[way](int(sum))
}

// put puts the sides of facets in their places, but for those of another range.
func (s *star) put(corners []uint32) {
	ways, next, from := s.ways, s.next, s.from
	for ; len(corners) >= 3; corners = corners[3:] {
		a, b, c := corners[0], corners[1], corners[2]
		placed(ways, next, a, b, from)
		placed(ways, next, b, c, from)
		placed(ways, next, c, a, from)
	}
}

// placed puts the side from a to b in its place, unless it is of another range than the
// one from the given vertex on.
func placed(ways []way, next []uint32, a, b, from uint32) {
	if i := uint(min(a, b) - from); i < uint(len(next)) {
		ways[next[i]] = wayOf(a, b)
		next[i]++
	}
}

// wayOf returns the way of the side from a to b.
func wayOf(a, b uint32) way { return way(max(a, b)<<1 | (b-a)>>31) }

// matched reports whether of each vertex every way is there once, and the one
// back too.
func (s *star) matched() bool {
	from := uint32(0)
	for _, to := range s.next {
		if !paired(s.ways[from:to]) {
			return false
		}
		from = to
	}
	return true
}

// few is how many ways are compared each with each: six are usual.
const few = 16

// paired reports whether some ways are each there once, with the one back.
// It may put them in another order.
func paired(ways []way) bool {
	if len(ways)%2 != 0 {
		return false
	}
	if len(ways) == 6 {
		return pairedSix((*[6]way)(ways))
	}
	if len(ways) > few {
		slices.Sort(ways)
		for i := 0; i < len(ways); i += 2 {
			if ways[i]&1 != 0 || ways[i+1] != ways[i]|1 {
				return false
			}
		}
		return true
	}
	// Where none is there twice, each has one partner at most.
	var twice, pairs way
	for i, w := range ways {
		for _, v := range ways[:i] {
			apart := v ^ w
			twice += (apart - 1) >> 31 // 1 where they are the same
			pairs += (apart - 2) >> 31 // 1 where they are the same, or back and forth
		}
	}
	return twice == 0 && int(pairs) == len(ways)/2
}

// pairedSix is paired for as many as a vertex most often has.
func pairedSix(w *[6]way) bool {
	// Sorted by a network of twelve comparisons (Knuth, The Art of Computer
	// Programming 3, 5.3.4), which needs no branch.
	a, b, c, d, e, f := w[0], w[1], w[2], w[3], w[4], w[5]
	a, f = min(a, f), max(a, f)
	b, d = min(b, d), max(b, d)
	c, e = min(c, e), max(c, e)
	b, c = min(b, c), max(b, c)
	d, e = min(d, e), max(d, e)
	a, d = min(a, d), max(a, d)
	c, f = min(c, f), max(c, f)
	a, b = min(a, b), max(a, b)
	c, d = min(c, d), max(c, d)
	e, f = min(e, f), max(e, f)
	b, c = min(b, c), max(b, c)
	d, e = min(d, e), max(d, e)
	return (a^b^1)|(c^d^1)|(e^f^1)|(a|c|e)&1 == 0
}
