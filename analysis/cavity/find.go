package cavity

import (
	"cmp"
	"context"
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
	order := k.named(c.Openings)
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
	return c, nil
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
		if l.curve, l.cover, err = k.centred(ctx, l.curve); err != nil {
			return nil, err
		}
		if l, ok := k.ended(l); ok {
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
			k.rim(&l.curve, l.cover, &openings[end])
		}
		l.curve = l.curve.back()
	}
}

// rim measures an opening from the start of a curve. Where the rim lies square
// to the way, sections know it better than voxels do; else its own plane, by
// the voxels, is moved in until it is closed.
func (k *seek) rim(c *curve, cover float64, o *Opening) {
	p := k.probes[0]
	out := r3.Scale(-1, c.toward(0))
	if off := r3.Dot(out, o.Facing); off < math.Cos(aslant) && off > math.Cos(mostAslant) {
		for s := -k.s.Pitch; s < slantedDepth*k.s.Pitch; s += k.s.Pitch / 8 {
			plane := section.Plane{Point: r3.Sub(o.Center, r3.Scale(s, o.Facing)), Normal: o.Facing}
			if l := k.look(p, plane); l.ok && l.look.Cover >= sound*cover {
				o.offer(l.void.Girth, plane.Lift(l.look.Center), o.Facing)
				return
			}
		}
	}
	for s := inset * k.s.Pitch; s < c.length()/2; s += k.s.Pitch / 4 {
		plane := section.Plane{Point: c.at(s), Normal: c.run(s)}
		if l := k.look(p, plane); !l.ok || l.look.Cover < sound*cover {
			continue
		}
		if _, v, ok := p.square(plane.Point, plane.Normal, cover); ok {
			center, facing := o.Center, o.Facing
			if r3.Dot(out, o.Facing) >= math.Cos(aslant) {
				center, facing = c.at(0), out
			}
			o.offer(v.Girth, center, facing)
			return
		}
	}
}

// offer sets the rim of an opening unless a lesser one is known: ways from
// elsewhere may meet it at a slant.
func (o *Opening) offer(girth float64, center, facing r3.Vec) {
	if o.Girth == 0 || girth < o.Girth {
		o.Girth, o.Center, o.Facing = girth, center, facing
	}
}

const (
	// aslant is the angle between a way and its opening above which the rim is
	// not square to the way: voxels know the facing of a rim to about a degree.
	aslant = 3 * math.Pi / 180
	// mostAslant is the angle above which a rim does not lie across the way at
	// all: that of a gutter, open along its side.
	mostAslant = 60 * math.Pi / 180
	// slantedDepth is how far in the plane of a slanted rim may be closed first,
	// in pitches.
	slantedDepth = 3
)

// inset is how far the first station lies within a rim, in pitches: never in
// the plane of the rim's own facets.
const inset = 1. / 8

// named gives the openings their names and returns for each its number in the
// order of the names.
func (k *seek) named(openings []Opening) []int {
	order := make([]int, len(openings))
	for i := range order {
		order[i] = i
	}
	size := func(o Opening) float64 {
		if o.Girth > 0 {
			return o.Girth
		}
		return math.Pi * o.Width
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := openings[i], openings[j]
		if a.Entry != b.Entry {
			if a.Entry {
				return -1
			}
			return 1
		}
		return cmp.Compare(size(b), size(a))
	})
	number := make([]int, len(openings))
	for n, i := range order {
		number[i] = n
		openings[i].Name = name(n)
	}
	return number
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
	for _, s := range stations {
		if s.InnerGirth > 0 {
			out.Stations = append(out.Stations, s)
		}
	}
	return out, err
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
		plane := section.Plane{Point: l.curve.at(s), Normal: l.curve.run(s)}
		if look := k.look(k.probes[0], plane); look.ok && look.look.Cover >= sound*l.cover {
			return s
		}
	}
	return from
}

// station measures the section at a place; it has no girth where nothing
// stands round the place.
func (k *seek) station(p *probe, l *line, along float64, o Options) Station {
	plane, v, ok := p.square(l.curve.at(along), l.curve.run(along), l.cover)
	if !ok {
		return Station{}
	}
	p.cut(plane)
	s := Station{
		Along: along, Center: plane.Point, Normal: plane.Normal,
		InnerGirth: v.Girth, Gap: v.Gap, Cover: v.Cover(r2.Vec{}),
		Section: p.last, Void: v.Outline, sealed: v.Sealed, bridged: v.Bridged,
	}
	if r, ok := p.room(&v, o.Aspects); ok {
		s.Capacity = r.Girth
		s.Ellipse = &Ellipse{Center: r.Centre, Major: r.Major, Minor: r.Minor, Turn: r.Turn}
		s.Cover = v.Cover(r.Centre)
	}
	return s
}
