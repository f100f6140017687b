package cavity

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/cavity/grid"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// aslant is the angle between a way and its opening above which the rim is
	// not square to the way: voxels know the facing of a rim to about a degree.
	aslant = 3 * math.Pi / 180
	// mostAslant is the angle above which a rim does not lie across the way at
	// all: that of a gutter, open along its side.
	mostAslant = 60 * math.Pi / 180
	// mostLimit is how much the girth may be taken to change from the first whole
	// section to the rim, as it changed over as far again.
	mostLimit = 0.01
	// slantedDepth is how far in the plane of a slanted rim may be closed first,
	// in pitches.
	slantedDepth = 3
)

// openings returns the openings of a pocket as voxels tell them.
func (k *seek) openings(p *grid.Pocket) []Opening {
	widest := 0.0
	for _, patch := range p.Patches {
		widest = max(widest, patch.Width)
	}
	var out []Opening
	for _, patch := range p.Patches {
		out = append(out, Opening{
			Center: patch.Center, Facing: patch.Facing, Width: patch.Width,
			Entry: patch.Width >= max(narrow*widest, k.options.Ball-2*k.air.Pitch),
		})
	}
	return out
}

// rims measures the openings at the ends of a line, each at the sound station
// nearest to its rim.
func (k *seek) rims(l *line, openings []Opening) {
	for i, end := range [2]int{l.from, l.to} {
		if end >= 0 {
			k.rim(&l.curve, &openings[end], l.side[i])
		}
		l.curve = l.curve.back()
	}
}

// rim measures an opening from the start of a curve. Where the rim lies square
// to the way, sections know it better than voxels do; else its own plane, by
// the voxels, is moved in until it is closed; but one that reaches along the side of
// the way has none.
func (k *seek) rim(c *curve, opening *Opening, side bool) {
	p := k.probes[0]
	out := r3.Scale(-1, c.run(0))
	off := r3.Dot(out, opening.Facing)
	if !side && off < math.Cos(aslant) && off > math.Cos(mostAslant) {
		best := k.closedFirst(-k.air.Pitch, slantedDepth*k.air.Pitch, k.air.Pitch/8, 0, func(s float64) (look, bool) {
			plane := section.Plane{Point: r3.Sub(opening.Center, r3.Scale(s, opening.Facing)), Normal: opening.Facing}
			l := k.look(p, plane)
			return l, l.ok && l.look.Cover >= c.whole(0)
		})
		if best.ok {
			p.cut(best.plane)
			k.offer(p, opening, best.look, best.plane.Lift(best.look.look.Center), opening.Facing, 1)
			opening.within = false
			return
		}
	}
	best := k.closedFirst(inset*k.air.Pitch, c.length()/2, k.air.Pitch/4, slantedDepth*k.air.Pitch, func(s float64) (look, bool) {
		l := k.look(p, c.plane(s))
		return l, l.ok && l.look.Cover >= c.whole(s)
	})
	if !best.ok {
		return
	}
	l, s := best.look, best.at
	l.plane, l.void, l.ok = p.square(l.plane.Point, l.plane.Normal, c.whole(s))
	center, facing, limit := opening.Center, opening.Facing, 1.0
	if off >= math.Cos(aslant) {
		center, facing = c.at(0), out
		if _, next, ok := p.square(c.at(2*s), c.run(2*s), c.whole(2*s)); ok {
			limit = max(1-mostLimit, min(1+mostLimit, l.void.Girth/next.Girth))
		}
	}
	p.cut(l.plane)
	k.offer(p, opening, l, center, facing, limit)
	opening.within = opening.Gap == 0
}

// openRims gives an opening whose girth is that of the first ring within a rim that is open
// for a little the girth at the rim itself, once closed, where the wall tells that.
func openRims(openings []Opening, lines []Line) {
	for _, l := range lines {
		for _, way := range [2]Line{l, l.Back()} {
			n := slices.IndexFunc(openings, func(o Opening) bool { return o.Name == way.From })
			ring := slices.IndexFunc(way.Stations, func(s Station) bool { return s.Gap == 0 })
			if n < 0 || ring <= 0 || !openings[n].within {
				continue
			}
			// The first may half leave by the rim, where that is askew.
			s, whole := &way.Stations[0], &way.Stations[ring]
			if s.closed > 0 && s.doubt < surely*s.closed && math.Abs(r3.Dot(s.Normal, whole.Normal)) > math.Cos(aslant) {
				openings[n].Girth = max(openings[n].Girth, s.closed)
			}
		}
	}
}

// surely is the doubt, as a share of a girth once closed, below which that is as good as
// measured (a guess: what a tape is read to).
const surely = 0.01

// found is a look and where it was found.
type found struct {
	look
	at float64
}

// closedFirst returns the first place, in steps from one to another, at which what is
// seen will do; where that is open, and no more than depth further on there is one that
// is closed, that one: at its ends a shell with a long window closes all round, and a
// plane that half leaves by the rim shows as much wall as is usual along the window. A
// depth of 0 is all.
func (k *seek) closedFirst(from, to, step, depth float64, see func(s float64) (look, bool)) (best found) {
	for s := from; s < to; s += step {
		l, will := see(s)
		if !will || best.ok && l.void.Gap > 0 {
			continue
		}
		best = found{l, s}
		if l.void.Gap == 0 || l.look.Cover >= sound*360 {
			break
		}
		if depth > 0 {
			to = min(to, s+depth)
		}
	}
	return best
}

// offer sets the rim of an opening from the last cut unless a lesser one is
// known, or one with less of a gap: ways from elsewhere may meet it at a slant, and
// run out by a window. Girth and capacity at the rim itself are limit times those of
// the cut.
func (k *seek) offer(p *probe, opening *Opening, l look, center, facing r3.Vec, limit float64) {
	if !l.ok {
		return
	}
	if opening.Girth > 0 {
		open, was := l.void.Gap > 0, opening.Gap > 0
		if open && !was || open == was && limit*l.void.Girth >= opening.Girth {
			return
		}
	}
	opening.Gap = limit * l.void.Gap
	opening.Girth, opening.Center, opening.Facing = limit*l.void.Girth, center, facing
	opening.Capacity = 0
	if r, _, ok := p.room(&l.void, k.options.Aspects); ok {
		opening.Capacity = limit * r.Girth
	}
}

// vents measures the widest of the openings that are no entries.
func (k *seek) vents(openings []Opening) {
	var vents []int
	for i := range openings {
		if !openings[i].Entry {
			vents = append(vents, i)
		}
	}
	slices.SortStableFunc(vents, func(i, j int) int { return cmp.Compare(openings[j].Width, openings[i].Width) })
	for _, i := range vents[:min(len(vents), mostVents)] {
		k.vent(&openings[i])
	}
}

// vent measures an opening that is no entry in its own plane by the voxels, if
// that or one close to it holds its rim: the least loop that is about as wide.
// A slot in a round wall has no such plane and stays unmeasured.
func (k *seek) vent(opening *Opening) {
	p := k.probes[0]
	for s := -slantedDepth * k.air.Pitch; s <= slantedDepth*k.air.Pitch; s += k.air.Pitch / 4 {
		plane := section.Plane{Point: r3.Add(opening.Center, r3.Scale(s, opening.Facing)), Normal: opening.Facing}
		l := k.look(p, plane)
		if !l.ok || l.void.Gap > 0 || l.look.Clear > opening.Width/2+2*k.air.Pitch {
			continue
		}
		k.offer(p, opening, l, opening.Center, opening.Facing, 1)
	}
}

// named gives the openings their names and returns for each its number in the
// order of the names: entries first, then by girth. Where two girths are as
// good as equal the place along the axes of the part decides, so that the order
// does not depend on how the part lies in its file.
func named(openings []Opening, f *grid.Frame, pitch float64) []int {
	order := make([]int, len(openings))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := &openings[i], &openings[j]
		if a.Entry != b.Entry {
			if a.Entry {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.size(), a.size())
	})
	for from := 0; from < len(order); {
		to := from + 1
		for first := &openings[order[from]]; to < len(order); to++ {
			next := &openings[order[to]]
			if next.Entry != first.Entry || next.size() < equally*first.size() {
				break
			}
		}
		slices.SortStableFunc(order[from:to], func(i, j int) int {
			p, q := f.To(openings[i].Center), f.To(openings[j].Center)
			for _, d := range [3]float64{p.X - q.X, p.Y - q.Y, p.Z - q.Z} {
				if math.Abs(d) > 2*pitch {
					return cmp.Compare(0, d)
				}
			}
			return 0
		})
		from = to
	}
	number := make([]int, len(openings))
	for n, i := range order {
		number[i] = n
		openings[i].Name = name(n)
	}
	return number
}

// equally is the share of a girth above which another is as good as equal.
const equally = 0.99

// size returns the girth of an opening, from wall to wall where it is open, or that of its
// width where it has none.
func (o *Opening) size() float64 {
	if o.Girth > 0 {
		return o.Girth + o.Gap
	}
	return math.Pi * o.Width
}

// name returns A … Z, AA, AB, …
func name(n int) string {
	letter := string(rune('A' + n%26))
	if n < 26 {
		return letter
	}
	return name(n/26-1) + letter
}
