package cavity

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gambeson/analysis/cavity/room"
	"gambeson/analysis/cavity/void"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// probe measures sections of one part. It serves one goroutine.
type probe struct {
	index  *section.Index
	bridge float64 // mm of gap between loose ends that counts as wall
	finder void.Finder
	walls  []void.Wall
	plane  section.Plane   // of the last cut
	last   section.Section // of the last cut
}

// cut returns the walls that a plane meets, in plane coordinates. They hold
// until the next cut.
func (p *probe) cut(plane section.Plane) []void.Wall {
	if plane == p.plane { // often what was tried last is what is measured
		return p.walls
	}
	p.plane, p.last, p.walls = plane, p.index.Cut(plane), p.walls[:0]
	for _, c := range p.last.Chains {
		for i := 1; i < len(c.Points); i++ {
			p.walls = append(p.walls, void.Wall{c.Points[i-1], c.Points[i]})
		}
		if n := len(c.Points); c.Closed && n > 2 {
			p.walls = append(p.walls, void.Wall{c.Points[n-1], c.Points[0]})
		}
	}
	return p.walls
}

// void returns the void round the point of a plane.
func (p *probe) void(plane section.Plane) (void.Void, bool) {
	return p.finder.Around(p.cut(plane), r2.Vec{}, p.bridge)
}

// plain is how far the outline may be simplified for the ellipse, as a share of
// its mean radius: a fiftieth of a percent of the capacity.
const plain = 2e-4

// bounds returns the walls that bound an ellipse in a void; those of the last
// cut must be those of its plane. In a closed void they are the outline and what
// floats in it; an open one may be left through the gap, as far as that is wide.
func (p *probe) bounds(v *void.Void) (walls []room.Wall, others []void.Wall) {
	others = v.Others(p.walls)
	return asRoom(append(v.Sides(plain*v.Girth/(2*math.Pi)), others...)), others
}

// room returns the greatest ellipse in a void and the walls that bound it there.
func (p *probe) room(v *void.Void, aspects [2]float64) (r room.Room, walls []room.Wall, ok bool) {
	start := []r2.Vec{v.From(r2.Vec{}).Center}
	if v.Gap > 0 { // near a gap the climb may lead out; from deep between the walls it does not
		start = append(start, r2.Vec{}, v.Middle())
	}
	walls, others := p.bounds(v)
	if wound(others, start[0]) != 0 {
		start = append(outOf(others, v, start[0]), start[1:]...)
	}
	r, ok = room.Largest(walls, start, aspects)
	if ok && v.Cover(r.Centre) < leastHeld {
		// It got out, past walls that stand too far off to be thought of.
		walls = asRoom(p.walls)
		r, ok = room.Largest(walls, start, aspects)
	}
	return r, walls, ok && v.Cover(r.Centre) >= leastHeld
}

// leastHeld is the cover in degrees seen from the middle of an ellipse that the
// walls hold: a half-turn, less what directions are apart.
const leastHeld = 178

func asRoom(walls []void.Wall) []room.Wall {
	out := make([]room.Wall, len(walls))
	for i, w := range walls {
		out[i] = room.Wall(w)
	}
	return out
}

// mostTilt is how far a section may be tilted against its centreline: a
// section tilted by θ reads about θ²/4 too long, and a centreline on voxels is
// seldom further off.
const mostTilt = 10 * math.Pi / 180

// square returns the void round the middle of what is seen from center in the plane nearest to normal that has
// the least girth, as a tape finds it, and that plane. It steps out in the four
// directions and goes to the bottom of the parabolas through the values, once
// more with shorter steps where that is far off. Where the girth has no bottom but a saddle (a widening
// that ends: the tape would slide off) the normal stays, and so it does where
// less than whole degrees of wall are seen: across a rim or a window.
func (p *probe) square(center, normal r3.Vec, whole float64) (section.Plane, void.Void, bool) {
	start := section.Plane{Point: center, Normal: r3.Unit(normal)}
	u, v := start.Axes()
	type tilt struct {
		at    r2.Vec // tangents of the tilts along u and v
		plane section.Plane
		void  void.Void
		girth float64
	}
	widest := math.Inf(1)
	try := func(at r2.Vec) tilt {
		t := tilt{at: at, plane: start, girth: math.Inf(1)}
		t.plane.Normal = r3.Unit(r3.Add(start.Normal, r3.Add(r3.Scale(at.X, u), r3.Scale(at.Y, v))))
		var ok bool
		if t.void, ok = p.void(t.plane); ok && t.void.Gap <= widest {
			t.girth = t.void.Girth + t.void.Gap
		}
		return t
	}
	best := try(r2.Vec{})
	// A tilt may not open what is closed: beyond a rim half a loop and its chord
	// are shorter than the loop.
	widest = 1.02 * best.void.Gap
	if math.IsInf(best.girth, 1) {
		return start, void.Void{}, false
	}
	look := best.void.From(r2.Vec{})
	if look.Cover < whole {
		return start, best.void, true
	}
	// Tilted about its own middle: about a point nearer to one side, the far
	// side alone would decide.
	if best.void.Holds(look.Center) {
		old := start.Point
		start.Point = start.Lift(look.Center)
		if t := try(r2.Vec{}); t.girth <= (1+1e-6)*best.girth {
			best = t
		} else {
			start.Point = old
		}
	}
	for _, step := range [2]float64{4, 2} {
		step = math.Tan(step * math.Pi / 180)
		mid := best
		var move r2.Vec
		for axis, d := range [2]r2.Vec{{X: step}, {Y: step}} {
			to := step * bottom(try(r2.Sub(mid.at, d)).girth, mid.girth, try(r2.Add(mid.at, d)).girth)
			if axis == 0 {
				move.X = to
			} else {
				move.Y = to
			}
		}
		goal := r2.Add(mid.at, move)
		if far := r2.Norm(goal) / math.Tan(mostTilt); far > 1 {
			goal = r2.Scale(1/far, goal)
		}
		if t := try(goal); t.girth < best.girth {
			best = t
		}
		if r2.Norm(move) < step/2 {
			break // as good as the parabolas can tell
		}
	}
	return best.plane, best.void, true
}

// bottom returns where the parabola through the values at −1, 0 and 1 has its
// bottom, no further than 1.5 off; 0 where it has none.
func bottom(less, mid, more float64) float64 {
	bend := less - 2*mid + more
	if !(bend > 0) || math.IsInf(bend, 1) {
		return 0
	}
	return min(max((less-more)/(2*bend), -1.5), 1.5)
}

// inset is how far the first station lies within a rim, in pitches: never in
// the plane of the rim's own facets.
const inset = 1. / 8

// measured returns the line with its stations.
func (k *seek) measured(ctx context.Context, l line, openings []Opening) (Line, error) {
	out := Line{From: openings[l.from].Name, To: End, Length: l.curve.length()}
	if l.to >= 0 {
		out.To = openings[l.to].Name
	}
	places, err := k.places(ctx, &l, k.options.Spacing)
	if err != nil {
		return out, err
	}
	stations := make([]Station, len(places))
	err = k.each(ctx, len(places), func(i int, p *probe) {
		stations[i] = k.station(p, &l, places[i])
	})
	if err != nil {
		return out, err
	}
	if err := k.besideBars(ctx, stations); err != nil {
		return out, err
	}
	extra := turning(stations)
	between := make([]Station, len(extra))
	err = k.each(ctx, len(extra), func(i int, p *probe) {
		n := extra[i]
		between[i] = k.turn(p, &l, stations[n-1:n+2])
	})
	for _, s := range append(stations, between...) {
		if s.InnerGirth > 0 {
			out.Stations = append(out.Stations, s)
		}
	}
	sortAlong(out.Stations)
	if err != nil {
		return out, err
	}
	out.Stations, err = k.withHidden(ctx, out.Stations)
	return out, err
}

func sortAlong(stations []Station) {
	slices.SortStableFunc(stations, func(a, b Station) int { return cmp.Compare(a.Along, b.Along) })
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
func (k *seek) turn(p *probe, l *line, three []Station) Station {
	sign := 1.0
	if three[1].InnerGirth < three[0].InnerGirth {
		sign = -1
	}
	girth := func(s float64) float64 {
		plane, v, ok := p.square(l.curve.at(s), l.curve.run(s), l.curve.whole(s))
		if !ok || v.Gap > 0 || !three[1].solid && p.inMaterial(plane) {
			return math.Inf(-1)
		}
		return sign * v.Girth
	}
	low, mid, high := three[0].Along, three[1].Along, three[2].Along
	best := sign * three[1].InnerGirth
	for high-low > k.options.Spacing/8 {
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
	return k.station(p, l, mid)
}

// places returns where stations are wanted along a line: at even steps from just
// inside the rim, and just inside the other rim. Where a rim lies slightly
// askew, its station is the first that is whole, if that is nearer than a step.
func (k *seek) places(ctx context.Context, l *line, step float64) ([]float64, error) {
	margin := inset * k.air.Pitch
	length := l.curve.length()
	var out []float64
	for s := margin; s <= length-margin; s += step {
		out = append(out, s)
	}
	if len(out) == 0 {
		return nil, nil
	}
	var err error
	if out[0], err = k.whole(ctx, l, margin, min(step, length/2)); err != nil {
		return nil, err
	}
	if l.to >= 0 {
		back := *l
		back.curve = l.curve.back()
		inside, err := k.whole(ctx, &back, margin, min(step, length/2))
		if err != nil {
			return nil, err
		}
		last := length - inside
		if n := len(out) - 1; n > 0 && last-out[n] < step/4 {
			out[n] = last
		} else {
			out = append(out, last)
		}
	}
	return out, nil
}

// strides is how many steps of a search are taken at once until one is too far.
const strides = 4

// whole returns the first place between from and to at which a section shows
// the cover usual on the line, from where there is none: in strides, and then step by
// step in the stride that led there. It tries as many places at once as there are
// workers, though the first may do.
func (k *seek) whole(ctx context.Context, l *line, from, to float64) (float64, error) {
	step := k.air.Pitch / 8
	first := func(from, to, step float64) (float64, bool, error) {
		shows := make([]bool, len(k.probes))
		for s := from; s < to; s += step * float64(len(shows)) {
			err := k.each(ctx, len(shows), func(i int, p *probe) {
				at := s + step*float64(i)
				look := k.look(p, l.curve.plane(at))
				shows[i] = look.ok && look.look.Cover >= l.curve.whole(at)
			})
			if err != nil {
				return 0, false, err
			}
			if i := slices.Index(shows, true); i >= 0 {
				at := s + step*float64(i)
				return at, at < to, nil
			}
		}
		return 0, false, nil
	}
	far, ok, err := first(from, to, strides*step)
	if err != nil || !ok || far == from {
		return from, err
	}
	near, ok, err := first(far-(strides-1)*step, far-step/2, step)
	if err != nil || ok {
		return near, err
	}
	return far, nil
}

// station measures the section at a place; it has no girth where nothing
// stands round the place.
func (k *seek) station(p *probe, l *line, along float64) Station {
	plane, v, ok := p.square(l.curve.at(along), l.curve.run(along), l.curve.whole(along))
	if !ok {
		return Station{}
	}
	return k.sectioned(p, along, plane, v)
}

// sectioned is the station in a plane whose void is known.
func (k *seek) sectioned(p *probe, along float64, plane section.Plane, v void.Void) Station {
	p.cut(plane)
	s := Station{
		Along: along, Center: plane.Point, Normal: plane.Normal,
		InnerGirth: v.Girth, Gap: v.Gap, Gaps: v.Widths(), Cover: v.Cover(r2.Vec{}),
		Section: p.last, Void: v.Outline, gaps: v.Gaps, sealed: v.Sealed, bridged: v.Bridged,
		solid: winds(p.last.Chains) != 0,
	}
	s.closed, s.doubt = s.closing()
	r, walls, ok := p.room(&v, k.options.Aspects)
	s.Walls = walls
	if ok {
		s.Capacity = r.Girth
		s.Ellipse = &Ellipse{Center: r.Centre, Major: r.Major, Minor: r.Minor, Turn: r.Turn}
		s.Cover = v.Cover(r.Centre)
	}
	return s
}
