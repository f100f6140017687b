package void

import (
	"cmp"
	"slices"
)

// face is one side of a plan's pieces, walked with the face on the left: the
// corners it comes by and the kind of the piece from each to the next.
type face struct {
	corners []spot
	kinds   []kind
}

// around returns the outer boundary of the face that holds the origin, walked
// anticlockwise, and false where that face has no end.
//
// Every piece is walked twice, once each way; at a spot the walk goes on with
// the next piece clockwise from where it came. A walk that turns
// anticlockwise round the origin bounds a face from outside; the one with the
// least area bounds the face of the origin.
func (p *plan) around() (face, bool) {
	w := p.walk()
	best, least := int32(-1), 0.0
	seen := w.seen
	for h := range w.head {
		if seen[h] {
			continue
		}
		area, winding := 0.0, 0
		for at := int32(h); !seen[at]; at = w.next[at] {
			seen[at] = true
			a, b := p.spots[w.head[at^1]], p.spots[w.head[at]]
			area += float64(a.x)*float64(b.y) - float64(a.y)*float64(b.x)
			winding += turns(a, b)
		}
		if winding > 0 && area > 0 && (best < 0 || area < least) {
			best, least = int32(h), area
		}
	}
	if best < 0 {
		return face{}, false
	}
	var f face
	for at := best; ; {
		f.corners = append(f.corners, p.spots[w.head[at^1]])
		f.kinds = append(f.kinds, p.edges[at/2].kind())
		if at = w.next[at]; at == best {
			return f, true
		}
	}
}

// turns returns 1 where the piece from a to b passes the ray from the origin
// along x anticlockwise, −1 clockwise, else 0. The ray lies half a unit above
// the axis, so that it meets no spot.
func turns(a, b spot) int {
	if (a.y > 0) == (b.y > 0) {
		return 0
	}
	// The side of the origin: (b − a) × (o − a) with o = (0, ½).
	side := float64(b.x-a.x)*(0.5-float64(a.y)) + float64(b.y-a.y)*float64(a.x)
	switch {
	case b.y > a.y && side > 0:
		return 1
	case b.y < a.y && side < 0:
		return -1
	}
	return 0
}

// walks holds the directed pieces: number 2·e runs from u to v of edge e, and
// 2·e + 1 back.
type walks struct {
	head, next []int32 // where each leads, and the one that goes on from there
	from, fill []int32 // of each spot, the first outgoing piece in out
	out        []int32
	seen       []bool
}

// walk fills the walks of the plan.
func (p *plan) walk() *walks {
	n := 2 * len(p.edges)
	w := &p.walks
	w.head, w.next, w.out = resized(w.head, n), resized(w.next, n), resized(w.out, n)
	w.seen = append(w.seen[:0], make([]bool, n)...)
	w.from = append(w.from[:0], make([]int32, len(p.spots)+1)...)
	for i, e := range p.edges {
		w.head[2*i], w.head[2*i+1] = e.v(), e.u()
		w.from[e.u()+1]++
		w.from[e.v()+1]++
	}
	for s := range p.spots {
		w.from[s+1] += w.from[s]
	}
	w.fill = append(w.fill[:0], w.from...)
	for h := range int32(n) {
		tail := w.head[h^1]
		w.out[w.fill[tail]] = h
		w.fill[tail]++
	}
	for s := range p.spots {
		here := w.out[w.from[s]:w.from[s+1]]
		if len(here) > 2 {
			p.sortRound(p.spots[s], here, w.head)
		}
		for i, h := range here {
			// Whoever arrives by the twin of h goes on clockwise from h.
			w.next[h^1] = here[(i+len(here)-1)%len(here)]
		}
	}
	return w
}

// resized returns s with n numbers of any value.
func resized(s []int32, n int) []int32 {
	return slices.Grow(s[:0], n)[:n]
}

// sortRound sorts the outgoing pieces of a spot anticlockwise.
func (p *plan) sortRound(at spot, out []int32, head []int32) {
	upper := func(q spot) bool { return q.y > at.y || q.y == at.y && q.x > at.x }
	slices.SortFunc(out, func(g, h int32) int {
		a, b := p.spots[head[g]], p.spots[head[h]]
		if upper(a) != upper(b) {
			if upper(a) {
				return -1
			}
			return 1
		}
		return cmp.Compare(0, cross(at, a, b))
	})
}
