package mesh

import (
	"math"
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
// what takes the time in a table of edges, and in as little memory as may be, which
// takes the rest. (A facet that has a corner twice has no edges, but leaves a way here
// that none goes back.)
type star struct {
	from   uint32  // the first vertex
	count  []uint8 // of each vertex: ways in its row
	rows   []row   // of each vertex
	spare  []side  // what rows have no room for: vertex less the first, and way
	others []side  // those met that are of other ranges
}

// row has room for the ways of a vertex: six are usual, eight not rare.
type row [8]uint16

// way is by how much the higher corner of a side is above the lower one × 2, + 1 where
// the side runs down from it. A row has room for those below 2 to the 16.
type way uint32

// side is a side from its first corner to its second.
type side struct{ a, b uint32 }

// mostMatched is how many vertices leave room for two ways each, and for the
// difference of two to be seen by its highest bit.
const mostMatched = 1 << 30

func newStar(from, to uint32) *star {
	n := int(to - from)
	return &star{from: from, count: pages.Make[uint8](n), rows: pages.Full[row](n)}
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
func placed(rows []row, count []uint8, a, b, from uint32) bool {
	// Below the range the difference wraps round, and is large too.
	i := uint(min(a, b) - from)
	if i >= uint(len(count)) {
		return false
	}
	n, w := count[i], wayOf(a, b)
	if n >= uint8(len(row{})) || w > math.MaxUint16 {
		return false
	}
	rows[i][n] = uint16(w)
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
	s.spare = append(s.spare, side{i, uint32(wayOf(d.a, d.b))})
}

// wayOf returns the way of the side from a to b.
func wayOf(a, b uint32) way { return way((max(a, b)-min(a, b))<<1 | (b-a)>>31) }

// matched reports whether of each vertex every way is there once, and the one
// back too.
func (s *star) matched() bool {
	spare, ends := s.byVertex()
	var all []way
	from := uint32(0)
	for v, n := range s.count {
		to := from
		if ends != nil {
			to = ends[v]
		}
		if n == 6 && to == from {
			if !pairedSix(&s.rows[v]) {
				return false
			}
			continue
		}
		all = append(all[:0], spare[from:to]...)
		from = to
		for _, w := range s.rows[v][:n] {
			all = append(all, way(w))
		}
		if !paired(all) {
			return false
		}
	}
	return true
}

// byVertex returns the spare ways in the order of their vertices, sorted by counting,
// and where those of each vertex end; nil where there are none.
func (s *star) byVertex() (ways []way, ends []uint32) {
	if len(s.spare) == 0 {
		return nil, nil
	}
	ends = pages.Make[uint32](len(s.count)) // where the next one of each goes, while they are put
	for _, side := range s.spare {
		ends[side.a]++
	}
	sum := uint32(0)
	for v, n := range ends {
		ends[v] = sum
		sum += n
	}
	ways = pages.Full[way](len(s.spare))
	for _, side := range s.spare {
		ways[ends[side.a]] = way(side.b)
		ends[side.a]++
	}
	return ways, ends
}

// few is how many ways are compared each with each: six are usual.
const few = 16

// paired reports whether some ways are each there once, with the one back.
// It may put them in another order.
func paired(ways []way) bool {
	if len(ways)%2 != 0 {
		return false
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

// pairedSix is paired for the first six of a row: as many as a vertex most often has.
func pairedSix(w *row) bool {
	// Sorted by a network of twelve comparisons (Knuth, The Art of Computer
	// Programming 3, 5.3.4), which needs no branch.
	a, b, c, d, e, f := way(w[0]), way(w[1]), way(w[2]), way(w[3]), way(w[4]), way(w[5])
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
