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
	// only the widest has.
	mostEntries = 4
	// bridged is the gap between loose ends that counts as wall, in pitches: a
	// missing facet of two pitches, cut at a slant.
	bridged = 2.5
)

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
	var out []Cavity
	for _, p := range air.Pockets(o.Ball) {
		c, err := k.cavity(ctx, &p)
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
	for i := range c.Openings {
		if !c.Openings[i].Entry {
			k.vent(&c.Openings[i])
		}
	}
	order := named(c.Openings, &k.air.Frame, k.air.Pitch)
	for _, l := range lines {
		line, err := k.measured(ctx, l.directed(order), c.Openings)
		if err != nil {
			return c, err
		}
		c.Lines = append(c.Lines, line)
	}
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
// each entry to each other, or to the deep end where there is only one.
func (k *seek) lines(ctx context.Context, p *grid.Pocket, openings []Opening) ([]line, error) {
	var entries []int
	for i, o := range openings {
		if o.Entry {
			entries = append(entries, i)
		}
	}
	starts := len(entries)
	if starts > mostEntries {
		starts = 1
	}
	var out []line
	for _, way := range k.air.Ways(p, entries, starts, k.options.Workers) {
		l := line{from: way.From, to: way.To}
		c := newCurve(pointsOf(way), way.Reach)
		if len(c.points) < 2 {
			continue
		}
		var err error
		if l.curve, err = k.centred(ctx, c); err != nil {
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
