package cavity

import (
	"context"
	"math"
	"slices"

	"gambeson/analysis/cavity/grid"
	"gambeson/analysis/cavity/void"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// line is a centreline on its way to be measured.
type line struct {
	curve    curve
	from, to int     // openings; to is −1 at the deep end
	side     [2]bool // the opening there reaches along the side of the way
}

const (
	// rounds is how often a way is moved to the middle of its sections at most.
	rounds = 4
	// samples is the greatest number of sections that a way is centred by.
	samples = 48
	// leastCover is the part of the usual cover that the ends of a way keep: at
	// the middle of a slanted rim a section is half open.
	leastCover = 0.51
	// still is the move, in pitches, below which a way is centred.
	still = 0.05
	// alike is the angle below which two planes through a place are one until
	// the sections are measured.
	alike = 3 * math.Pi / 180
	// sound is the part of the usual cover above which a section is whole: the
	// others lie across a rim or a window.
	sound = 0.97
)

// seek finds the ways of places through a part: cutting on all workers.
type seek struct {
	air     *grid.Air
	mesh    *mesh.Mesh
	options Options
	probes  []*probe // one for each worker
}

// each calls work for the numbers 0 … n−1 on all workers and waits for them.
func (k *seek) each(ctx context.Context, n int, work func(i int, p *probe)) error {
	group, ctx := errgroup.WithContext(ctx)
	for first, p := range k.probes {
		group.Go(func() error {
			for i := first; i < n; i += len(k.probes) {
				if ctx.Err() != nil {
					return context.Cause(ctx)
				}
				work(i, p)
			}
			return nil
		})
	}
	return group.Wait()
}

// look is what is seen from a place on a way, in the plane square to it.
type look struct {
	plane section.Plane
	void  void.Void
	look  void.Look
	ok    bool
}

// look looks round from the point of a plane in that plane. It fails where the
// point lies in the wall or nothing stands round it.
func (k *seek) look(p *probe, plane section.Plane) look {
	l := look{plane: plane}
	if !k.air.Free(plane.Point) {
		return l
	}
	if l.void, l.ok = p.void(plane); l.ok {
		l.look = l.void.From(r2.Vec{})
	}
	return l
}

// better reports whether l closes round the place better than m: more is seen
// of it, or as much and it is shorter.
func (l look) better(m look) bool {
	if l.ok != m.ok || !l.ok {
		return l.ok
	}
	if a, b := l.look.Cover, m.look.Cover; min(a, b) < sound*max(a, b) {
		return a > b
	}
	return l.shorter(m)
}

func (l look) shorter(m look) bool { return l.void.Girth+l.void.Gap < m.void.Girth+m.void.Gap }

// squarer is better for a way along a shell that is open along its side. Of two planes across it
// the one that lies more aslant is drawn out towards the gap or away from it: it shows more wall,
// and from place to place the planes would lean ever further. Where they show as much but for
// that, the shorter is better.
func (l look) squarer(m look) bool {
	if l.ok && m.ok && (l.shows(&m) || m.shows(&l)) {
		return l.shorter(m)
	}
	return l.better(m)
}

// shows reports whether an open section shows as much as another through the same place that is
// laid square into its plane: as it does where the wall runs square to that.
func (l *look) shows(m *look) bool {
	if l.void.Gap == 0 || m.void.Gap == 0 || r3.Dot(l.plane.Normal, m.plane.Normal) < math.Cos(mostAslant) {
		return false
	}
	flat := void.Void{Gaps: m.void.Gaps}
	for _, p := range m.void.Outline {
		flat.Outline = append(flat.Outline, l.plane.Flat(m.plane.Lift(p)))
	}
	a, b := l.look.Cover, flat.From(r2.Vec{}).Cover
	return min(a, b) >= sound*max(a, b)
}

// centred returns the curve moved to the middle of its sections: each round
// looks from places along it, moves them to the middle of what is seen and
// smooths the way. An opening may reach along the side of the way.
func (k *seek) centred(ctx context.Context, c curve, side bool) (curve, error) {
	sigma := c.reach / 4
	c = k.smoothed(c, sigma)
	for range rounds {
		looks, err := k.looks(ctx, &c, side)
		if err != nil {
			return c, err
		}
		usual := usualCover(looks, c.reach/c.length())
		first, last := enclosed(looks, usual)
		if last-first < 2 {
			break
		}
		var points []point
		moved := 0.0
		for i := first; i <= last; i++ {
			l := &looks[i]
			if l.look.Cover >= sound*usual[i] {
				moved = max(moved, r2.Norm(l.look.Center))
				l.plane.Point = l.plane.Lift(l.look.Center)
			}
			points = append(points, point{at: l.plane.Point, run: l.plane.Normal, cover: usual[i]})
		}
		c = k.smoothed(newCurve(points, c.reach), sigma)
		if moved < still*k.air.Pitch {
			break
		}
	}
	return c, nil
}

// usualCover returns for each of the looks along a curve the middle one of the
// covers seen from about one reach to either side, which is the given share of
// the curve's length: what is seen where no rim and no window is crossed.
func usualCover(looks []look, share float64) []float64 {
	wide := max(int(math.Ceil(1.5*share*float64(len(looks)))), 3)
	out := make([]float64, len(looks))
	for i := range looks {
		var near []float64
		for _, l := range looks[max(i-wide, 0):min(i+wide+1, len(looks))] {
			near = append(near, l.look.Cover)
		}
		slices.Sort(near)
		out[i] = near[len(near)/2]
	}
	return out
}

// looks looks round at even places along a curve, in the plane square to the
// way or in that square to the run of the air, whichever is better: fronts that
// spread behind a bend lie aslant, and where the air branches it is the way
// that does. Then every place tries the planes of its neighbours, for round a
// sharp bend the planes must fan further than the way turns.
func (k *seek) looks(ctx context.Context, c *curve, side bool) ([]look, error) {
	better := look.better
	if side {
		better = look.squarer
	}
	n := int(math.Min(samples, math.Ceil(c.length()/(2*k.air.Pitch)))) + 1
	looks := make([]look, n+1)
	try := func(p *probe, i int, normal r3.Vec) {
		if r3.Dot(normal, looks[i].plane.Normal) > math.Cos(alike) {
			return
		}
		if l := k.look(p, section.Plane{Point: looks[i].plane.Point, Normal: normal}); better(l, looks[i]) {
			looks[i] = l
		}
	}
	err := k.each(ctx, n+1, func(i int, p *probe) {
		s := c.length() * float64(i) / float64(n)
		looks[i] = k.look(p, section.Plane{Point: c.at(s), Normal: c.toward(s)})
		try(p, i, c.run(s))
	})
	if err != nil {
		return nil, err
	}
	for i := 1; i <= n; i++ {
		try(k.probes[0], i, looks[i-1].plane.Normal)
	}
	for i := n - 1; i >= 0; i-- {
		try(k.probes[0], i, looks[i+1].plane.Normal)
	}
	return looks, nil
}

// enclosed returns the numbers of the first and the last look that is whole: the
// others at the ends lie outside the part or where it opens.
func enclosed(looks []look, usual []float64) (first, last int) {
	last = len(looks) - 1
	for first < last && looks[first].look.Cover < sound*usual[first] {
		first++
	}
	for last > first && looks[last].look.Cover < sound*usual[last] {
		last--
	}
	return first, last
}

// smoothed returns the curve smoothed, less where that leads into the wall.
func (k *seek) smoothed(c curve, sigma float64) curve {
	for range 4 {
		out := c.smoothed(sigma)
		clear := true
		for _, p := range out.points {
			clear = clear && k.air.Free(p.at)
		}
		if clear {
			return out
		}
		sigma /= 2
	}
	return c
}

// ended returns the line with its ends moved out or in to where the part
// begins to stand round it. The last stretch to a rim goes straight, square to
// a section near the rim that is whole.
func (k *seek) ended(l line, openings []Opening) (line, bool) {
	p := k.probes[0]
	good := func(c *curve, s float64) bool {
		look := k.look(p, c.plane(s))
		return look.ok && look.look.Cover >= leastCover*c.point(s).cover
	}
	for _, end := range [2]int{l.from, l.to} {
		inward := r3.Vec{}
		if end >= 0 {
			inward = r3.Scale(-1, openings[end].Facing)
		}
		l.curve = k.straightened(p, l.curve, inward)
		start, ok := k.end(&l.curve, good)
		if !ok {
			return l, false
		}
		l.curve = l.curve.part(start, l.curve.length())
		l.curve = l.curve.back()
	}
	return l, true
}

// straightened returns the curve with its start laid straight. The direction is
// that into the opening where the section square to it is whole no later than
// the one square to the run of the air, and no longer. Else it is that of the
// section a little further in, where it may be tilted without meeting the rim.
func (k *seek) straightened(p *probe, c curve, inward r3.Vec) curve {
	for s := 0.0; s < min(c.length()/2, 2*c.reach); s += k.air.Pitch / 2 {
		look, at := k.look(p, c.plane(s)), s
		if r3.Dot(inward, c.run(s)) > math.Cos(2*mostTilt) {
			other := k.look(p, section.Plane{Point: c.at(s), Normal: inward})
			if other.better(look) && other.look.Cover >= c.whole(s) {
				return c.straight(s, other.plane.Lift(other.look.Center), inward)
			}
		}
		if !look.ok || look.look.Cover < c.whole(s) {
			continue
		}
		if further := min(s+look.look.Clear/4, c.length()/2); further > s {
			if inner := k.look(p, c.plane(further)); inner.ok && inner.look.Cover >= c.whole(further) {
				look, at = inner, further
			}
		}
		plane, _, ok := p.square(look.plane.Point, look.plane.Normal, c.whole(at))
		if !ok || r3.Dot(plane.Normal, c.toward(at)) < math.Cos(2*mostTilt) {
			break
		}
		return c.straight(at, plane.Point, plane.Normal)
	}
	return c
}

// end returns the place at which a curve begins to be good, near its start.
func (k *seek) end(c *curve, good func(c *curve, s float64) bool) (float64, bool) {
	step := k.air.Pitch
	out, in := 0.0, 0.0
	if good(c, 0) {
		for limit := -max(c.length()/2, c.reach); ; in = out {
			if out -= step; out < limit {
				return in, true
			}
			if !good(c, out) {
				break
			}
		}
	} else {
		for ; ; out = in {
			if in += step; in > c.length()-step {
				return 0, false
			}
			if good(c, in) {
				break
			}
		}
	}
	for range 8 {
		if mid := (out + in) / 2; good(c, mid) {
			in = mid
		} else {
			out = mid
		}
	}
	return in, true
}
