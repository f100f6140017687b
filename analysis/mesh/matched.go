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
	spread(ranges, ranges, func(i, _ int) {
		stars[i] = newStar(uint32(n*i/ranges), uint32(n*(i+1)/ranges))
		stars[i].put(m.T[3*(facets*i/ranges) : 3*(facets*(i+1)/ranges)])
	})
	var wrong atomic.Bool
	spread(ranges, ranges, func(i, _ int) {
		for k, other := range stars {
			if k != i {
				stars[i].take(other.others)
			}
		}
		if !stars[i].matched() {
			wrong.Store(true)
		}
	})
	return !wrong.Load()
}

// star has the sides of facets by their lower corner, a vertex of a range: each in
// the next place of the vertex's row, without a branch that nobody can guess, which is
// what takes the time in a table of edges. (A facet that has a corner twice has no
// edges, but leaves a way here that none goes back.)
type star struct {
	from   uint32 // the first vertex
	count  []uint32
	rows   []row  // of each vertex
	spare  []side // what rows have no room for: vertex less the first, and way
	others []side // those met that are of other ranges
}

// row has room for the ways of a vertex: six are usual, eight not rare.
type row [8]way

// way is the higher corner of a side × 2, + 1 where the side runs down from it.
type way uint32

// side is a side from its first corner to its second.
type side struct{ a, b uint32 }

// mostMatched is how many vertices leave room for two ways each, and for the
// difference of two to be seen by its highest bit.
const mostMatched = 1 << 30

func newStar(from, to uint32) *star {
	n := int(to - from)
	return &star{from: from, count: pages.Make[uint32](n), rows: pages.Full[row](n)}
}

// put puts the sides of facets into their rows, and sets aside what has no room there.
func (s *star) put(corners []uint32) {
	rows, count, from := s.rows, s.count, s.from
	for ; len(corners) >= 3; corners = corners[3:] {
		a, b, c := corners[0], corners[1], corners[2]
		if !placed(rows, count, a, b, from) {
			s.aside(side{a, b})
		}
		if !placed(rows, count, b, c, from) {
			s.aside(side{b, c})
		}
		if !placed(rows, count, c, a, from) {
			s.aside(side{c, a})
		}
	}
}

// take takes of the sides that others met those of its own range.
func (s *star) take(sides []side) {
	for _, d := range sides {
		if i := min(d.a, d.b) - s.from; uint(i) < uint(len(s.count)) && !placed(s.rows, s.count, d.a, d.b, s.from) {
			s.aside(d)
		}
	}
}

// placed puts the side from a to b into the row of its lower corner, and says so, unless
// that is full, or of another range than the one from the given vertex on.
func placed(rows []row, count []uint32, a, b, from uint32) bool {
	// Below the range the difference wraps round, and is large too.
	i := uint(min(a, b) - from)
	if i >= uint(len(count)) {
		return false
	}
	n := count[i]
	if n >= uint32(len(row{})) {
		return false
	}
	rows[i][n] = wayOf(a, b)
	count[i] = n + 1
	return true
}

// aside keeps a side for which there is no room in its row, or that is of another
// range.
func (s *star) aside(d side) {
	i := min(d.a, d.b) - s.from
	if uint(i) >= uint(len(s.count)) {
		s.others = append(s.others, d)
		return
	}
	s.count[i]++
	s.spare = append(s.spare, side{i, uint32(wayOf(d.a, d.b))})
}

// wayOf returns the way of the side from a to b.
func wayOf(a, b uint32) way { return way(max(a, b)<<1 | (b-a)>>31) }

// matched reports whether of each vertex every way is there once, and the one
// back too.
func (s *star) matched() bool {
	spare := s.byVertex()
	var all []way
	for v, n := range s.count {
		ways := s.rows[v][:min(n, uint32(len(row{})))]
		if more := int(n) - len(ways); more > 0 {
			all = append(append(all[:0], ways...), spare[:more]...)
			ways, spare = all, spare[more:]
		}
		if !paired(ways) {
			return false
		}
	}
	return true
}

// byVertex returns the spare ways in the order of their vertices, sorted by counting.
func (s *star) byVertex() []way {
	if len(s.spare) == 0 {
		return nil
	}
	next := pages.Full[uint32](len(s.count)) // of each vertex: where its next one goes
	sum := uint32(0)
	for v, n := range s.count {
		next[v] = sum
		sum += max(n, uint32(len(row{}))) - uint32(len(row{}))
	}
	out := pages.Full[way](len(s.spare))
	for _, side := range s.spare {
		out[next[side.a]] = way(side.b)
		next[side.a]++
	}
	return out
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
