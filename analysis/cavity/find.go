package cavity

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"gambeson/analysis/cavity/grid"
	"gambeson/analysis/cavity/room"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Options say how to look. The zero Options are sound.
type Options struct {
	Spacing float64     // mm from station to station; 5 where 0
	Pitch   float64     // mm, of the grid; by the size of the part where 0
	Ball    float64     // mm, diameter of the ball that a cavity holds; 15 where 0, hand and finger parts want 8
	Aspects [2]float64  // range of minor/major of the capacity's ellipse; room.Any where 0
	Workers int         // goroutines; 1 where 0
	Arena   *grid.Arena // kept buffers, nil for none; one search at a time
}

const (
	usualSpacing, usualBall = 5.0, 15.0
	// narrow is the width, against the widest of the cavity, below which an
	// opening is no entry: an eye slot is a tenth of the neck, a finger's hole a
	// fifth of the wrist, a torso's neck a half of the waist.
	narrow = 0.35
	// bridged is the gap between loose ends that counts as wall, in pitches: a
	// missing facet of two pitches, cut at a slant.
	bridged = 2.5
)

// Find returns the cavities of m, largest first; none for a plate or a block.
// The only errors are those of ctx.
func Find(ctx context.Context, m *mesh.Mesh, o Options) ([]Cavity, error) {
	o = o.filled()
	s, err := newSurvey(ctx, m, o)
	if err != nil || s == nil {
		return nil, err
	}
	defer s.release(o.Arena)
	k := &seek{s: s}
	index := section.NewIndex(m)
	for range o.Workers {
		k.probes = append(k.probes, &probe{index: index, bridge: bridged * s.Pitch})
	}
	var out []Cavity
	// A voxel of wall may hold its surface at either side.
	for _, h := range s.hollows(o.Ball/2/s.Pitch-1, o.Arena) {
		c, err := k.cavity(ctx, &h, o)
		o.Arena.GiveBack(h.voxels)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

func (o Options) filled() Options {
	o.Spacing = cmp.Or(o.Spacing, usualSpacing)
	o.Ball = cmp.Or(o.Ball, usualBall)
	o.Workers = max(o.Workers, 1)
	o.Aspects = cmp.Or(o.Aspects, room.Any)
	if o.Arena == nil {
		o.Arena = &grid.Arena{}
	}
	return o
}

// newSurvey draws m and looks for its inside; nil where m has no surface.
func newSurvey(ctx context.Context, m *mesh.Mesh, o Options) (*survey, error) {
	g, err := grid.New(ctx, m, o.Pitch, o.Arena)
	if err != nil || g == nil {
		return nil, err
	}
	s := &survey{Grid: g}
	if s.inside, s.rings, err = g.Inside(ctx, o.Workers, o.Arena); err != nil {
		return nil, err
	}
	s.far, err = g.Distances(ctx, o.Workers, o.Arena)
	return s, err
}

// release gives the buffers of s back.
func (s *survey) release(arena *grid.Arena) {
	arena.GiveBack(s.Wall, s.Air, s.inside, s.rings)
}

// cavity measures a hollow.
func (k *seek) cavity(ctx context.Context, h *hollow, o Options) (Cavity, error) {
	pitch := k.s.Pitch
	c := Cavity{Volume: float64(h.volume) * pitch * pitch * pitch}
	widest := 0.0
	for _, p := range h.patches {
		widest = max(widest, p.radius)
	}
	for _, p := range h.patches {
		c.Openings = append(c.Openings, Opening{
			Center: k.s.Center(p.center.X, p.center.Y, p.center.Z),
			Facing: unit(k.s.Frame.Turn(p.facing)),
			Width:  2 * p.radius * pitch,
			Entry:  p.radius >= max(narrow*widest, o.Ball/2/pitch-1),
		})
	}
	lines, err := k.lines(ctx, h, c.Openings)
	if err != nil {
		return c, err
	}
	for i := range lines {
		k.rims(&lines[i], c.Openings, o)
	}
	for i := range c.Openings {
		if !c.Openings[i].Entry {
			k.vent(&c.Openings[i], o)
		}
	}
	order := named(c.Openings, &k.s.Frame, pitch)
	for _, l := range lines {
		line, err := k.measured(ctx, l.directed(order), c.Openings, o)
		if err != nil {
			return c, err
		}
		c.Lines = append(c.Lines, line)
	}
	sorted := make([]Opening, len(order))
	for i, at := range order {
		sorted[at] = c.Openings[i]
	}
	c.Openings = sorted
	slices.SortStableFunc(c.Lines, func(a, b Line) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
	})
	c.Warnings = doubts(c)
	return c, nil
}

// doubts says what a reader must know to trust the numbers of c.
func doubts(c Cavity) []string {
	var out []string
	bridged, sealed := 0.0, 0
	for _, l := range c.Lines {
		for _, s := range l.Stations {
			bridged = max(bridged, s.bridged)
			if s.sealed {
				sealed++
			}
		}
	}
	if bridged > 0 {
		out = append(out, fmt.Sprintf("the surface has small holes; up to %.1f mm in all of a section were taken as closed", bridged))
	}
	if sealed > 0 {
		out = append(out, fmt.Sprintf("at %d stations the wall laps over itself without closing; it was closed across the lap", sealed))
	}
	if len(c.Lines) == 0 {
		out = append(out, "no way through this cavity could be measured")
	}
	return out
}

// lines returns the ways through a hollow, centred and ended at its rims: from
// each entry to each other, or to the deep end where there is only one.
func (k *seek) lines(ctx context.Context, h *hollow, openings []Opening) ([]line, error) {
	var raw []line
	c := k.s.newCells(h)
	var entries []int
	for i, o := range openings {
		if o.Entry {
			entries = append(entries, i)
		}
	}
	doors := make([]door, len(entries))
	for n, i := range entries {
		doors[n] = c.door(&h.patches[i])
	}
	if len(entries) == 1 {
		way, open := c.gutter(h)
		if !open {
			way = c.deep(doors[0])
		}
		raw = append(raw, line{curve: way, from: entries[0], to: -1})
	}
	for n := range max(len(entries)-1, 0) {
		for j, way := range c.ways(doors[n], doors[n+1:]) {
			raw = append(raw, line{curve: way, from: entries[n], to: entries[n+1+j]})
		}
	}
	var out []line
	for _, l := range raw {
		if len(l.curve.points) < 2 {
			continue
		}
		var err error
		if l.curve, err = k.centred(ctx, l.curve); err != nil {
			return nil, err
		}
		if l, ok := k.ended(l, openings); ok {
			out = append(out, l)
		}
	}
	return out, nil
}

// rims measures the openings at the ends of a line, each at the sound station
// nearest to its rim.
func (k *seek) rims(l *line, openings []Opening, o Options) {
	for _, end := range [2]int{l.from, l.to} {
		if end >= 0 {
			k.rim(&l.curve, &openings[end], o)
		}
		l.curve = l.curve.back()
	}
}

// rim measures an opening from the start of a curve. Where the rim lies square
// to the way, sections know it better than voxels do; else its own plane, by
// the voxels, is moved in until it is closed.
func (k *seek) rim(c *curve, opening *Opening, o Options) {
	p := k.probes[0]
	out := r3.Scale(-1, c.run(0))
	off := r3.Dot(out, opening.Facing)
	if off < math.Cos(aslant) && off > math.Cos(mostAslant) {
		for s := -k.s.Pitch; s < slantedDepth*k.s.Pitch; s += k.s.Pitch / 8 {
			plane := section.Plane{Point: r3.Sub(opening.Center, r3.Scale(s, opening.Facing)), Normal: opening.Facing}
			if l := k.look(p, plane); l.ok && l.look.Cover >= c.whole(0) {
				k.offer(p, opening, l, plane.Lift(l.look.Center), opening.Facing, o, 1)
				return
			}
		}
	}
	for s := inset * k.s.Pitch; s < c.length()/2; s += k.s.Pitch / 4 {
		l := k.look(p, c.plane(s))
		if !l.ok || l.look.Cover < c.whole(s) {
			continue
		}
		l.plane, l.void, l.ok = p.square(l.plane.Point, l.plane.Normal, c.whole(s))
		center, facing, limit := opening.Center, opening.Facing, 1.0
		if off >= math.Cos(aslant) {
			center, facing = c.at(0), out
			if _, next, ok := p.square(c.at(2*s), c.run(2*s), c.whole(2*s)); ok {
				limit = max(1-mostLimit, min(1+mostLimit, l.void.Girth/next.Girth))
			}
		}
		p.cut(l.plane)
		k.offer(p, opening, l, center, facing, o, limit)
		return
	}
}

// offer sets the rim of an opening from the last cut unless a lesser one is
// known: ways from elsewhere may meet it at a slant. Girth and capacity at the
// rim itself are limit times those of the cut.
func (k *seek) offer(p *probe, opening *Opening, l look, center, facing r3.Vec, o Options, limit float64) {
	if !l.ok || opening.Girth > 0 && limit*l.void.Girth >= opening.Girth {
		return
	}
	opening.Girth, opening.Center, opening.Facing = limit*l.void.Girth, center, facing
	opening.Capacity = 0
	if r, _, ok := p.room(&l.void, o.Aspects); ok {
		opening.Capacity = limit * r.Girth
	}
}

// vent measures an opening that is no entry in its own plane by the voxels, if
// that or one close to it holds its rim: the least loop that is about as wide.
// A slot in a round wall has no such plane and stays unmeasured.
func (k *seek) vent(opening *Opening, o Options) {
	p := k.probes[0]
	for s := -slantedDepth * k.s.Pitch; s <= slantedDepth*k.s.Pitch; s += k.s.Pitch / 4 {
		plane := section.Plane{Point: r3.Add(opening.Center, r3.Scale(s, opening.Facing)), Normal: opening.Facing}
		l := k.look(p, plane)
		if !l.ok || l.void.Gap > 0 || l.look.Clear > opening.Width/2+2*k.s.Pitch {
			continue
		}
		k.offer(p, opening, l, opening.Center, opening.Facing, o, 1)
	}
}

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

// inset is how far the first station lies within a rim, in pitches: never in
// the plane of the rim's own facets.
const inset = 1. / 8

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

// size returns the girth of an opening, or that of its width where it has none.
func (o *Opening) size() float64 {
	if o.Girth > 0 {
		return o.Girth
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

// directed returns the line walked from the opening that comes first.
func (l line) directed(order []int) line {
	if l.to >= 0 && order[l.to] < order[l.from] {
		l.from, l.to = l.to, l.from
		l.curve = l.curve.back()
	}
	return l
}

// measured returns the line with its stations.
func (k *seek) measured(ctx context.Context, l line, openings []Opening, o Options) (Line, error) {
	out := Line{From: openings[l.from].Name, To: End, Length: l.curve.length()}
	if l.to >= 0 {
		out.To = openings[l.to].Name
	}
	places := k.places(&l, o.Spacing)
	stations := make([]Station, len(places))
	err := k.each(ctx, len(places), func(i int, p *probe) {
		stations[i] = k.station(p, &l, places[i], o)
	})
	if err != nil {
		return out, err
	}
	extra := turning(stations)
	between := make([]Station, len(extra))
	err = k.each(ctx, len(extra), func(i int, p *probe) {
		n := extra[i]
		between[i] = k.turn(p, &l, stations[n-1:n+2], o)
	})
	for _, s := range append(stations, between...) {
		if s.InnerGirth > 0 {
			out.Stations = append(out.Stations, s)
		}
	}
	slices.SortStableFunc(out.Stations, func(a, b Station) int { return cmp.Compare(a.Along, b.Along) })
	return out, err
}

// turning returns the numbers of the stations whose girth stands out from both
// neighbours the same way: between them lies the tightest or widest place of a
// bend or a bead, which even steps miss.
func turning(stations []Station) []int {
	const out = 0.002 // of the girth: less is no matter
	var found []int
	for i := 1; i+1 < len(stations); i++ {
		a, b, c := stations[i-1], stations[i], stations[i+1]
		if a.InnerGirth == 0 || c.InnerGirth == 0 || max(a.Gap, b.Gap, c.Gap) > 0 {
			continue
		}
		if rise, fall := b.InnerGirth/a.InnerGirth-1, c.InnerGirth/b.InnerGirth-1; rise*fall < 0 && max(math.Abs(rise), math.Abs(fall)) > out {
			found = append(found, i)
		}
	}
	return found
}

// turn returns the station of the greatest or least girth round the middle one
// of three, by halving the stretch that holds it; none where the middle one is
// as good.
func (k *seek) turn(p *probe, l *line, three []Station, o Options) Station {
	sign := 1.0
	if three[1].InnerGirth < three[0].InnerGirth {
		sign = -1
	}
	girth := func(s float64) float64 {
		if _, v, ok := p.square(l.curve.at(s), l.curve.run(s), l.curve.whole(s)); ok && v.Gap == 0 {
			return sign * v.Girth
		}
		return math.Inf(-1)
	}
	low, mid, high := three[0].Along, three[1].Along, three[2].Along
	best := sign * three[1].InnerGirth
	for high-low > o.Spacing/8 {
		left, right := (low+mid)/2, (mid+high)/2
		if g := girth(left); g > best {
			best, mid, high = g, left, mid
		} else if g := girth(right); g > best {
			best, low, mid = g, mid, right
		} else {
			low, high = left, right
		}
	}
	if mid == three[1].Along {
		return Station{}
	}
	return k.station(p, l, mid, o)
}

// places returns where stations are wanted along a line: at even steps from just
// inside the rim, and just inside the other rim. Where a rim lies slightly
// askew, its station is the first that is whole, if that is nearer than a step.
func (k *seek) places(l *line, step float64) []float64 {
	margin := inset * k.s.Pitch
	length := l.curve.length()
	var out []float64
	for s := margin; s <= length-margin; s += step {
		out = append(out, s)
	}
	if len(out) == 0 {
		return nil
	}
	out[0] = k.whole(l, margin, min(step, length/2))
	if l.to >= 0 {
		back := *l
		back.curve = l.curve.back()
		last := length - k.whole(&back, margin, min(step, length/2))
		if n := len(out) - 1; n > 0 && last-out[n] < step/4 {
			out[n] = last
		} else {
			out = append(out, last)
		}
	}
	return out
}

// whole returns the first place between from and to at which a section shows
// the cover usual on the line, from where there is none.
func (k *seek) whole(l *line, from, to float64) float64 {
	for s := from; s < to; s += k.s.Pitch / 8 {
		if look := k.look(k.probes[0], l.curve.plane(s)); look.ok && look.look.Cover >= l.curve.whole(s) {
			return s
		}
	}
	return from
}

// station measures the section at a place; it has no girth where nothing
// stands round the place.
func (k *seek) station(p *probe, l *line, along float64, o Options) Station {
	plane, v, ok := p.square(l.curve.at(along), l.curve.run(along), l.curve.whole(along))
	if !ok {
		return Station{}
	}
	p.cut(plane)
	s := Station{
		Along: along, Center: plane.Point, Normal: plane.Normal,
		InnerGirth: v.Girth, Gap: v.Gap, Cover: v.Cover(r2.Vec{}),
		Section: p.last, Void: v.Outline, sealed: v.Sealed, bridged: v.Bridged,
	}
	r, walls, ok := p.room(&v, o.Aspects)
	s.Walls = walls
	if ok {
		s.Capacity = r.Girth
		s.Ellipse = &Ellipse{Center: r.Centre, Major: r.Major, Minor: r.Minor, Turn: r.Turn}
		s.Cover = v.Cover(r.Centre)
	}
	return s
}
