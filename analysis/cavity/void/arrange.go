package void

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// unit is the step of the whole-numbered plane in mm: an eighth of a
// micrometre, finer than float32 keeps a part of 1 m, and coarse enough that
// cross products of a section of 100 m fit an int64 exactly.
const unit = 1.0 / 8192

// spot is a point of the whole-numbered plane.
type spot struct{ x, y int32 }

func spotOf(p r2.Vec) spot {
	return spot{int32(math.Round(p.X / unit)), int32(math.Round(p.Y / unit))}
}

func (s spot) at() r2.Vec { return r2.Vec{X: float64(s.x) * unit, Y: float64(s.y) * unit} }

// key orders spots by x, then by y, as plain numbers: sorting those is what an
// arrangement spends its time on.
func (s spot) key() uint64 {
	const sign = 1 << 31
	return uint64(uint32(s.x)^sign)<<32 | uint64(uint32(s.y)^sign)
}

func spotOfKey(k uint64) spot {
	const sign = 1 << 31
	return spot{int32(uint32(k>>32) ^ sign), int32(uint32(k) ^ sign)}
}

// cross returns the cross product of b − a and c − a.
func cross(a, b, c spot) int64 {
	return int64(b.x-a.x)*int64(c.y-a.y) - int64(b.y-a.y)*int64(c.x-a.x)
}

func distance(a, b spot) float64 {
	x, y := float64(b.x-a.x), float64(b.y-a.y)
	return math.Sqrt(x*x+y*y) * unit // whole numbers, far from over- and underflow
}

// kind says what a piece is. Where pieces fall together the lesser counts.
type kind uint8

const (
	wall   kind = iota
	bridge      // over a small gap between loose ends: counts as wall
	gap         // over a gap of the part
)

// line is a straight piece before it is arranged, a before b by their keys.
type line struct {
	a, b spot
	kind kind
}

func lineOf(a, b spot, k kind) line {
	if b.key() < a.key() {
		a, b = b, a
	}
	return line{a, b, k}
}

func (l line) lowY() int32  { return min(l.a.y, l.b.y) }
func (l line) highY() int32 { return max(l.a.y, l.b.y) }

// edge is a piece between two spots by their numbers, u < v, packed so that
// plain order is by u, v and kind. A section has far fewer than 2³⁰ spots.
type edge uint64

func edgeOf(u, v int32, k kind) edge {
	return edge(min(u, v))<<32 | edge(max(u, v))<<2 | edge(k)
}

func (e edge) u() int32   { return int32(e >> 32) }
func (e edge) v() int32   { return int32(e>>2) & (1<<30 - 1) }
func (e edge) kind() kind { return kind(e & 3) }

// plan is an arrangement: pieces that meet in their ends only. It keeps its
// buffers.
type plan struct {
	spots []spot // sorted
	edges []edge // sorted, each once

	odd         []bool // of each spot: an odd number of lines end there
	order, keys []uint64
	spare       []uint64 // for sorting them
	open, on    []int32
	degree      []int32
	last        []int32
	walks       walks
}

// arrange replaces lines by pieces that meet in their ends only: snap rounding
// (Hobby, Computational Geometry 13, 1999, 199–214). Every end and every
// crossing, rounded, becomes a spot, and a line is bent through every spot
// whose unit square it touches. Lines move by less than a unit and keep their
// order; what lies closer together than that becomes one.
func (p *plan) arrange(lines []line) {
	p.order, p.keys = p.order[:0], p.keys[:0]
	for i, l := range lines {
		p.order = append(p.order, l.a.key()&^(1<<32-1)|uint64(i)) // by the x of their left ends
		for _, s := range [2]spot{l.a, l.b} {
			if i == 0 || s != lines[i-1].a && s != lines[i-1].b { // mostly lines follow each other
				p.keys = append(p.keys, s.key())
			}
		}
	}
	p.order, p.spare = byDigits(p.order, p.spare, 32)
	p.crossings(lines)
	p.keys, p.spare = byDigits(p.keys, p.spare, 0)
	p.keys = slices.Compact(p.keys)
	p.spots = p.spots[:0]
	for _, k := range p.keys {
		p.spots = append(p.spots, spotOfKey(k))
	}
	p.odd = append(p.odd[:0], make([]bool, len(p.spots))...)
	p.edges = p.edges[:0]
	first := 0
	for _, o := range p.order {
		l := lines[uint32(o)]
		for p.spots[first].x < l.a.x {
			first++
		}
		p.bend(l, first)
	}
	slices.Sort(p.edges)
	p.edges = slices.CompactFunc(p.edges, func(e, f edge) bool { return e>>2 == f>>2 })
}

// crossings adds the rounded places where two lines cross between their ends.
// It takes the lines by their left ends; open holds those that reach the next.
func (p *plan) crossings(lines []line) {
	p.open = p.open[:0]
	for _, o := range p.order {
		l := lines[uint32(o)]
		low, high := l.lowY(), l.highY()
		kept := p.open[:0]
		for _, j := range p.open {
			m := &lines[j]
			if m.b.x < l.a.x {
				continue
			}
			kept = append(kept, j)
			if m.highY() < low || m.lowY() > high {
				continue
			}
			if s, ok := crossing(l, *m); ok {
				p.keys = append(p.keys, s.key())
			}
		}
		p.open = append(kept, int32(uint32(o)))
	}
}

func crossing(l, m line) (spot, bool) {
	c, d := cross(l.a, l.b, m.a), cross(l.a, l.b, m.b)
	if c == 0 || d == 0 || (c > 0) == (d > 0) {
		return spot{}, false
	}
	e, f := cross(m.a, m.b, l.a), cross(m.a, m.b, l.b)
	if e == 0 || f == 0 || (e > 0) == (f > 0) {
		return spot{}, false
	}
	t := float64(c) / (float64(c) - float64(d))
	return spot{
		m.a.x + int32(math.Round(t*float64(m.b.x-m.a.x))),
		m.a.y + int32(math.Round(t*float64(m.b.y-m.a.y))),
	}, true
}

// bend adds the pieces of a line through the spots it touches. first is the
// number of the first spot with the x of its left end.
func (p *plan) bend(l line, first int) {
	low, high := l.lowY(), l.highY()
	dx, dy := int64(l.b.x-l.a.x), int64(l.b.y-l.a.y)
	reach := dx + max(dy, -dy)
	p.on = p.on[:0]
	for i := first; i < len(p.spots) && p.spots[i].x <= l.b.x; i++ {
		s := p.spots[i]
		if s.y < low || s.y > high {
			continue
		}
		if c := 2 * cross(l.a, l.b, s); c <= reach && -c <= reach {
			p.on = append(p.on, int32(i))
		}
	}
	if len(p.on) > 2 {
		along := func(i int32) int64 { return dx*int64(p.spots[i].x) + dy*int64(p.spots[i].y) }
		slices.SortStableFunc(p.on, func(i, j int32) int { return cmp.Compare(along(i), along(j)) })
	}
	if n := len(p.on); n > 1 {
		p.odd[p.on[0]] = !p.odd[p.on[0]]
		p.odd[p.on[n-1]] = !p.odd[p.on[n-1]]
	}
	for k := 1; k < len(p.on); k++ {
		p.edges = append(p.edges, edgeOf(p.on[k-1], p.on[k], l.kind))
	}
}

// degrees counts the pieces at every spot, and xors their numbers into last.
func (p *plan) degrees() {
	p.degree = append(p.degree[:0], make([]int32, len(p.spots))...)
	p.last = append(p.last[:0], make([]int32, len(p.spots))...)
	for i, e := range p.edges {
		for _, s := range [2]int32{e.u(), e.v()} {
			p.degree[s]++
			p.last[s] ^= int32(i)
		}
	}
}

// loose returns the spots at which a wall ends: only one piece ends there, or
// an odd number of lines does, one of them beside a wall that goes on.
func (p *plan) loose() []int32 {
	p.degrees()
	var out []int32
	for i, d := range p.degree {
		if d == 1 || p.odd[i] {
			out = append(out, int32(i))
		}
	}
	return out
}

// prune drops pieces with a loose end until there is none: what is left
// bounds areas on both sides.
func (p *plan) prune() {
	const gone = ^edge(0)
	p.degrees()
	dropped := false
	for s := range p.degree {
		for at := int32(s); p.degree[at] == 1; {
			i := p.last[at]
			e := p.edges[i]
			p.edges[i], dropped = gone, true
			for _, end := range [2]int32{e.u(), e.v()} {
				p.degree[end]--
				p.last[end] ^= i
			}
			at = e.u() + e.v() - at
		}
	}
	if dropped {
		p.edges = slices.DeleteFunc(p.edges, func(e edge) bool { return e == gone })
	}
}
