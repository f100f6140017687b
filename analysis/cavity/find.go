package cavity

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"gambeson/analysis/cavity/grid"
	"gambeson/analysis/cavity/room"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

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
	// mostEntries is the number of entries up to which each has a way to each
	// other: a torso has four. In a cavity with more, a frame full of windows,
	// only the widest has, to mostGoals others.
	mostEntries, mostGoals = 4, 8
	// mostPatches is the number of openings above which the windows of a part are
	// closed to tell what is inside: a glove has six.
	mostPatches = 6
	// window is the width of a window at most, against both ends of the way that it lies
	// beside in a frame full of them (a guess).
	window = 0.75
	// mostVents is how many openings that are no entries are measured, the widest
	// first. A lattice has hundreds, and nobody compares them.
	mostVents = 24
	// bridged is the gap between loose ends that counts as wall, in pitches: a
	// missing facet of two pitches, cut at a slant.
	bridged = 2.5
)

// closings are the widths, against that of the greatest ball in the cavity, up to which
// windows are closed: the great ones of a wide stretch, and those of a narrow one, which
// does not hold a ball that large (guesses; an entry that is closed stays one).
var closings = [2]float64{0.75, 0.4}

// Find returns the cavities of m, largest first; none for a plate or a block.
// The only errors are those of ctx.
func Find(ctx context.Context, m *mesh.Mesh, o Options) ([]Cavity, error) {
	o = o.filled()
	air, err := grid.Survey(ctx, m, o.Pitch, o.Workers, o.Arena)
	if err != nil || air == nil {
		return nil, err
	}
	defer air.Release()
	k := &seek{air: air, mesh: m, options: o}
	index := section.NewIndex(m)
	for range o.Workers {
		k.probes = append(k.probes, &probe{index: index, bridge: bridged * air.Pitch})
	}
	pockets := air.Pockets(o.Ball)
	if width := crowded(pockets); width > 0 {
		for _, share := range closings {
			if err := air.CloseWindows(ctx, share*width/2, o.Workers); err != nil {
				return nil, err
			}
		}
		pockets = air.Pockets(o.Ball)
	}
	var out []Cavity
	for _, p := range pockets {
		c, err := k.cavity(ctx, &p)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

// crowded returns the width of the widest pocket with many openings, 0 where none has.
func crowded(pockets []grid.Pocket) (width float64) {
	for _, p := range pockets {
		if len(p.Patches) > mostPatches {
			width = max(width, p.Width)
		}
	}
	return width
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

// cavity measures a pocket: its ways, the openings at their ends, and the
// stations along them.
func (k *seek) cavity(ctx context.Context, p *grid.Pocket) (Cavity, error) {
	c := Cavity{Volume: p.Volume, Openings: k.openings(p)}
	lines, err := k.lines(ctx, p, c.Openings)
	if err != nil {
		return c, err
	}
	for i := range lines {
		k.rims(&lines[i], c.Openings)
	}
	k.vents(c.Openings)
	order := named(c.Openings, &k.air.Frame, k.air.Pitch)
	for _, l := range lines {
		line, err := k.measured(ctx, l.directed(order), c.Openings)
		if err != nil {
			return c, err
		}
		c.Lines = append(c.Lines, line)
	}
	openRims(c.Openings, c.Lines)
	slices.SortFunc(c.Openings, func(a, b Opening) int {
		return cmp.Or(cmp.Compare(len(a.Name), len(b.Name)), cmp.Compare(a.Name, b.Name))
	})
	slices.SortStableFunc(c.Lines, func(a, b Line) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
	})
	c.Warnings = doubts(c)
	return c, nil
}

// lines returns the ways through a pocket, centred and ended at its rims: from
// each entry to each other, or to the deep end where there is only one. In a frame
// full of windows the small ones beside the way from the widest opening to the other
// end are entries no more.
func (k *seek) lines(ctx context.Context, p *grid.Pocket, openings []Opening) ([]line, error) {
	var entries []int
	for i, o := range openings {
		if o.Entry {
			entries = append(entries, i)
		}
	}
	if len(entries) <= mostEntries {
		return k.joined(ctx, p, entries, len(entries), openings)
	}
	slices.SortStableFunc(entries, func(i, j int) int { return cmp.Compare(openings[j].Width, openings[i].Width) })
	// The other end is wide and faces the other way.
	widest := &openings[entries[0]]
	end := func(i int) float64 { return openings[i].Width * (1 - r3.Dot(openings[i].Facing, widest.Facing)) }
	slices.SortStableFunc(entries[1:], func(i, j int) int { return cmp.Compare(end(j), end(i)) })
	first, err := k.joined(ctx, p, entries[:2], 1, openings)
	if err != nil {
		return nil, err
	}
	for i := range first {
		for _, n := range entries[2:] {
			small := openings[n].Width < window*openings[entries[1]].Width
			openings[n].Entry = !small || !first[i].passes(&openings[n])
		}
	}
	entries = slices.DeleteFunc(entries, func(i int) bool { return !openings[i].Entry })
	switch n := len(entries); {
	case n == 2 && len(first) > 0:
		return first, nil
	case n <= mostEntries:
		return k.joined(ctx, p, entries, n, openings)
	case n > 1+mostGoals:
		for _, i := range entries[1+mostGoals:] {
			openings[i].Entry = false
		}
		entries = entries[:1+mostGoals]
	}
	return k.joined(ctx, p, entries, 1, openings)
}

// joined returns the ways from the first starts of some entries to those after them.
func (k *seek) joined(ctx context.Context, p *grid.Pocket, entries []int, starts int, openings []Opening) ([]line, error) {
	var out []line
	for _, way := range k.air.Ways(p, entries, starts, k.options.Workers) {
		l := line{from: way.From, to: way.To, side: way.Side}
		c := newCurve(pointsOf(way), way.Reach)
		if len(c.points) < 2 {
			continue
		}
		var err error
		if l.curve, err = k.centred(ctx, c, l.side[0] || l.side[1]); err != nil {
			return nil, err
		}
		if l, ok := k.ended(l, openings); ok {
			out = append(out, l)
		}
	}
	return out, nil
}

func pointsOf(way grid.Way) []point {
	out := make([]point, len(way.Steps))
	for i, s := range way.Steps {
		out[i] = point{at: s.At, run: s.Run}
	}
	return out
}

// directed returns the line walked from the opening that comes first.
func (l line) directed(order []int) line {
	if l.to >= 0 && order[l.to] < order[l.from] {
		l.from, l.to = l.to, l.from
		l.side[0], l.side[1] = l.side[1], l.side[0]
		l.curve = l.curve.back()
	}
	return l
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
	entries := 0
	for _, o := range c.Openings {
		if o.Entry {
			entries++
		}
	}
	if entries > mostEntries {
		out = append(out, fmt.Sprintf("of %d openings that are wide enough only the widest has its ways measured", entries))
	}
	if len(c.Lines) == 0 {
		out = append(out, "no way through this cavity could be measured")
	}
	return out
}
