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
// it in opposite ways: whether every side that goes up, from a lower corner to
// a higher, has one that comes down and nothing else is there. This is much
// sooner said than what else there may be, and nearly always so.
//
// Each processor takes a range of vertices and the sides of which the lower
// corner lies there, and passes over blocks of facets that have none.
func (m *Mesh) matched() bool {
	if m.Vertices() > mostMatched {
		return false
	}
	reach := m.reaches()
	ranges := max(1, min(runtime.GOMAXPROCS(0), m.Triangles()/worthAWorker))
	var wrong atomic.Bool
	n := m.Vertices()
	spread(ranges, ranges, func(i, _ int) {
		u := ups{m: m, from: uint32(n * i / ranges), to: uint32(n * (i + 1) / ranges)}
		if !u.matched(reach) {
			wrong.Store(true)
		}
	})
	return !wrong.Load()
}

// reach is the lowest and the highest corner of a block of facets.
type reach struct{ low, high uint32 }

func (m *Mesh) reaches() []reach {
	out := make([]reach, m.blocks())
	each(len(out), func(i int) {
		r := reach{low: unknown}
		for _, v := range m.block(i) {
			r.low, r.high = min(r.low, v), max(r.high, v)
		}
		out[i] = r
	})
	return out
}

// ups are the sides of facets that go up from the vertices of a range.
type ups struct {
	m        *Mesh
	from, to uint32   // the vertices: from ≤ v < to
	end      []uint32 // of each vertex: where the sides that go up from it end in high
	high     []uint32 // of each such side: its higher corner, and taken where a match was found
}

// taken marks a side that has found its match.
const taken = 1 << 31

// mostMatched is how many vertices leave room for the mark.
const mostMatched = taken

func (u *ups) matched(reach []reach) bool {
	u.end = pages.Make[uint32](int(u.to - u.from))
	u.each(reach, u.count)
	sum := uint32(0)
	for v, n := range u.end {
		u.end[v] = sum // where they begin, until they are put there
		sum += n
	}
	u.high = pages.Make[uint32](int(sum))
	u.each(reach, u.put)
	// As many come down as go up, and each takes another.
	matches := uint32(0)
	if !u.each(reach, func(corners []uint32) bool {
		n, ok := u.match(corners)
		matches += n
		return ok
	}) {
		return false
	}
	return matches == sum
}

// each calls f with the corners of each block that may have a side with its
// lower corner in the range, until f returns false, and then returns false.
func (u *ups) each(reach []reach, f func(corners []uint32) bool) bool {
	for i, r := range reach {
		if r.low < u.to && r.high > u.from && !f(u.m.block(i)) {
			return false
		}
	}
	return true
}

func (u *ups) count(corners []uint32) bool {
	size := u.to - u.from
	for t := 0; t+2 < len(corners); t += 3 {
		a, b, c := corners[t], corners[t+1], corners[t+2]
		if _, twice := repeated(a, b, c); twice {
			continue
		}
		// Below the range the difference wraps round, and is large too.
		if a < b && a-u.from < size {
			u.end[a-u.from]++
		}
		if b < c && b-u.from < size {
			u.end[b-u.from]++
		}
		if c < a && c-u.from < size {
			u.end[c-u.from]++
		}
	}
	return true
}

func (u *ups) put(corners []uint32) bool {
	size := u.to - u.from
	for t := 0; t+2 < len(corners); t += 3 {
		a, b, c := corners[t], corners[t+1], corners[t+2]
		if _, twice := repeated(a, b, c); twice {
			continue
		}
		if a < b && a-u.from < size {
			u.add(a-u.from, b)
		}
		if b < c && b-u.from < size {
			u.add(b-u.from, c)
		}
		if c < a && c-u.from < size {
			u.add(c-u.from, a)
		}
	}
	return true
}

func (u *ups) add(low, high uint32) {
	u.high[u.end[low]] = high
	u.end[low]++
}

// match takes for each side of the facets that comes down the one that goes
// up, and returns how many there were, and whether all found one.
func (u *ups) match(corners []uint32) (n uint32, ok bool) {
	size := u.to - u.from
	for t := 0; t+2 < len(corners); t += 3 {
		a, b, c := corners[t], corners[t+1], corners[t+2]
		if _, twice := repeated(a, b, c); twice {
			continue
		}
		ok := true
		if b < a && b-u.from < size {
			ok = u.take(b-u.from, a)
			n++
		}
		if c < b && c-u.from < size {
			ok = u.take(c-u.from, b) && ok
			n++
		}
		if a < c && a-u.from < size {
			ok = u.take(a-u.from, c) && ok
			n++
		}
		if !ok {
			return n, false
		}
	}
	return n, true
}

// take marks the side from low up to high, if there is one that is not yet
// taken and no other like it.
func (u *ups) take(low, high uint32) bool {
	start := uint32(0)
	if low > 0 {
		start = u.end[low-1]
	}
	found := 0
	sides := u.high[start:u.end[low]]
	for i, h := range sides {
		if h&^taken == high {
			found++
			if h != high {
				return false
			}
			sides[i] |= taken
		}
	}
	return found == 1
}
