package cavity

import (
	"context"
	"math"
	"slices"

	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// What stands in the way between two stations, a lip, a strut or the point of a screw, is
// met by neither. It is looked for among the facets that reach into the space that the
// ellipses of both leave free, and where there is one the room is measured there too.

const (
	// reachesIn is how far, as a share of the half axes, a facet must reach into the
	// ellipses of both stations beside it to be looked at (a guess: less is no matter,
	// and between stations round a bend the wall itself comes in by some of it).
	reachesIn = 0.01
	// tighter is how much less room, as a share, there must be than at both stations
	// beside it for the place to be a station of its own (a guess).
	tighter = 0.01
	// layers is how many layers the space between two stations is looked at in.
	layers = 20
)

// withHidden returns the stations of a line with another between two of them where
// something that neither meets leaves less room.
func (k *seek) withHidden(ctx context.Context, stations []Station) ([]Station, error) {
	if len(stations) < 2 {
		return stations, nil
	}
	hidden := make([]Station, len(stations)-1)
	err := k.each(ctx, len(hidden), func(i int, p *probe) {
		hidden[i] = k.hidden(p, &stations[i], &stations[i+1])
	})
	hidden = slices.DeleteFunc(hidden, func(s Station) bool { return s.InnerGirth == 0 })
	if err != nil || len(hidden) == 0 {
		return stations, err
	}
	out := append(stations, hidden...)
	sortAlong(out)
	return out, nil
}

// hidden returns the station of least room between two, none where they see all that is
// of matter.
func (k *seek) hidden(p *probe, a, b *Station) (best Station) {
	g, ok := gapOf(a, b, k.options.Spacing)
	if !ok {
		return Station{}
	}
	p.index.Visit(g.meets, func(t int) { g.add(k.mesh.Corners(t)) })
	least := min(a.Capacity, b.Capacity) * (1 - tighter)
	for _, share := range g.places() {
		if s := k.between(p, a, b, share, least); s.InnerGirth > 0 {
			best, least = s, s.Capacity
		}
	}
	return best
}

// between measures the room a share of the way from one station to the next; none where
// that is least or more. Something may stand in the middle and part the section: the most
// room beside it counts.
func (k *seek) between(p *probe, a, b *Station, share, least float64) (best Station) {
	plane := section.Plane{
		Point:  r3.Add(r3.Scale(1-share, a.middle()), r3.Scale(share, b.middle())),
		Normal: unit(r3.Add(r3.Scale(1-share, a.Normal), r3.Scale(share, b.Normal))),
	}
	along := (1-share)*a.Along + share*b.Along
	for _, off := range a.around() {
		at := section.Plane{Point: r3.Add(plane.Point, off), Normal: plane.Normal}
		v, ok := p.void(at)
		if !ok {
			continue
		}
		if middle := v.From(r2.Vec{}).Center; v.Holds(middle) {
			at.Point = at.Lift(middle)
			if v, ok = p.void(at); !ok {
				continue
			}
		}
		s := k.sectioned(p, along, at, v)
		if s.Capacity >= least {
			return Station{}
		}
		if s.Capacity > best.Capacity && !(s.solid && !a.solid) {
			best = s
		}
	}
	return best
}

// middle is the middle of the ellipse in space.
func (s *Station) middle() r3.Vec { return s.Section.Plane.Lift(s.Ellipse.Center) }

// around leads from the middle of the ellipse to itself and to the four places half way to
// the ends of its axes.
func (s *Station) around() []r3.Vec {
	u, v := s.Section.Plane.Axes()
	sin, cos := math.Sincos(s.Ellipse.Turn)
	long := r3.Scale(s.Ellipse.Major/4, r3.Add(r3.Scale(cos, u), r3.Scale(sin, v)))
	short := r3.Scale(s.Ellipse.Minor/4, r3.Add(r3.Scale(-sin, u), r3.Scale(cos, v)))
	return []r3.Vec{{}, long, r3.Scale(-1, long), short, r3.Scale(-1, short)}
}

// form is a linear form with a constant: what it is at a place.
type form struct {
	n r3.Vec
	d float64
}

func (f *form) at(p r3.Vec) float64 { return f.n.X*p.X + f.n.Y*p.Y + f.n.Z*p.Z - f.d }

// disc is an ellipse extended along a direction: a place lies in it where the two forms
// are the coordinates of a point in the unit circle.
type disc [2]form

func discOf(s *Station, along r3.Vec) disc {
	u, v := s.Section.Plane.Axes()
	sin, cos := math.Sincos(s.Ellipse.Turn)
	middle := s.middle()
	// Along the direction a form does not change: what it changes by, the plane's own
	// distance takes back.
	flat := func(n r3.Vec, half float64) form {
		n = r3.Sub(n, r3.Scale(r3.Dot(n, along)/r3.Dot(s.Normal, along), s.Normal))
		n = r3.Scale(1/half, n)
		return form{n, r3.Dot(n, middle)}
	}
	return disc{
		flat(r3.Add(r3.Scale(cos, u), r3.Scale(sin, v)), s.Ellipse.Major/2),
		flat(r3.Add(r3.Scale(-sin, u), r3.Scale(cos, v)), s.Ellipse.Minor/2),
	}
}

func (d *disc) at(p r3.Vec) r2.Vec { return r2.Vec{X: d[0].at(p), Y: d[1].at(p)} }

// gap is the space between two stations, with what facets reach into it.
type gap struct {
	discs   [2]disc
	ends    [2]form         // mm from the planes of the stations, positive between them
	level   form            // share of the way from one to the other
	alike   float64         // how much less deep, in half axes, what is as deep as the deepest may be
	deepest [layers]float64 // half axes from the middle, by layer
	nearest [layers]float64 // share of the way at which that is
	room    [2][]r3.Vec     // of polygons on their way to be clipped
}

// gapOf returns the space between two stations; false where one has no ellipse or others
// are missing between them.
func gapOf(a, b *Station, spacing float64) (g gap, ok bool) {
	if a.Ellipse == nil || b.Ellipse == nil || b.Along-a.Along > 2*spacing {
		return g, false
	}
	along := r3.Sub(b.middle(), a.middle())
	normal := unit(r3.Add(a.Normal, b.Normal))
	long := r3.Dot(normal, along)
	// A bend so sharp that planes meet within the ellipse has no space between them.
	if !(long > 0) || r3.Dot(a.Normal, along) <= 0 || r3.Dot(b.Normal, along) <= 0 {
		return g, false
	}
	g.discs = [2]disc{discOf(a, along), discOf(b, along)}
	g.ends[0] = form{a.Normal, r3.Dot(a.Normal, a.middle())}
	g.ends[1] = form{r3.Scale(-1, b.Normal), -r3.Dot(b.Normal, b.middle())}
	g.level = form{r3.Scale(1/long, normal), r3.Dot(normal, a.middle()) / long}
	g.alike = spacing / min(a.Ellipse.Minor, b.Ellipse.Minor)
	for i := range g.deepest {
		g.deepest[i] = 1 - reachesIn
	}
	return g, true
}

// meets reports whether a box may meet the space.
func (g *gap) meets(box *r3.Box) bool {
	middle := r3.Scale(0.5, r3.Add(box.Min, box.Max))
	half := r3.Scale(0.5, r3.Sub(box.Max, box.Min))
	reach := func(f *form) float64 {
		return math.Abs(f.n.X)*half.X + math.Abs(f.n.Y)*half.Y + math.Abs(f.n.Z)*half.Z
	}
	for i := range g.ends {
		if g.ends[i].at(middle)+reach(&g.ends[i]) < 0 {
			return false
		}
	}
	for i := range g.discs {
		// A line square to the way out to its middle has the box beyond it.
		d := &g.discs[i]
		at := d.at(middle)
		out := r2.Norm(at)
		if out < 1-reachesIn {
			continue
		}
		across := form{n: r3.Scale(1/out, r3.Add(r3.Scale(at.X, d[0].n), r3.Scale(at.Y, d[1].n)))}
		if out-reach(&across) >= 1-reachesIn {
			return false
		}
	}
	return true
}

// beyond reports whether a facet surely lies outside an ellipse: beyond a line square to
// the way out to its middle, as nearly all of the wall does.
func (d *disc) beyond(a, b, c r3.Vec) bool {
	p, q, r := d.at(a), d.at(b), d.at(c)
	out := r2.Vec{X: p.X + q.X + r.X, Y: p.Y + q.Y + r.Y}
	least := (1 - reachesIn) * math.Sqrt(out.X*out.X+out.Y*out.Y)
	return out.X*p.X+out.Y*p.Y >= least && out.X*q.X+out.Y*q.Y >= least && out.X*r.X+out.Y*r.Y >= least && least > 0
}

// add takes in a facet.
func (g *gap) add(a, b, c r3.Vec) {
	for i := range g.ends {
		if end := &g.ends[i]; end.at(a) < 0 && end.at(b) < 0 && end.at(c) < 0 {
			return
		}
	}
	if g.discs[0].beyond(a, b, c) || g.discs[1].beyond(a, b, c) {
		return
	}
	facet := append(g.room[0][:0], a, b, c)
	g.room[0] = facet
	for i := range g.ends {
		facet = g.clipped(facet, &g.ends[i])
	}
	if _, depth := g.innermost(facet); depth >= 1-reachesIn {
		return
	}
	whole := slices.Clone(facet)
	for i := range layers {
		facet = g.clipped(whole, &form{r3.Scale(layers, g.level.n), layers*g.level.d + float64(i)})
		facet = g.clipped(facet, &form{r3.Scale(-layers, g.level.n), -layers*g.level.d - float64(i+1)})
		if at, depth := g.innermost(facet); depth < g.deepest[i] {
			g.deepest[i], g.nearest[i] = depth, g.level.at(at)
		}
	}
}

// clipped is what of a convex polygon lies where a form is not negative.
func (g *gap) clipped(of []r3.Vec, by *form) []r3.Vec {
	to := 1
	if len(of) > 0 && len(g.room[1]) > 0 && &of[0] == &g.room[1][0] {
		to = 0
	}
	out := g.room[to][:0]
	for i, p := range of {
		q := of[(i+1)%len(of)]
		x, y := by.at(p), by.at(q)
		if x >= 0 {
			out = append(out, p)
		}
		if (x >= 0) != (y >= 0) {
			out = append(out, r3.Add(p, r3.Scale(x/(x-y), r3.Sub(q, p))))
		}
	}
	g.room[to] = out
	return out
}

// innermost returns the place of a polygon that lies deepest in both ellipses, and how far
// out, in half axes, it lies there; infinite for none.
func (g *gap) innermost(of []r3.Vec) (at r3.Vec, depth float64) {
	depth = math.Inf(1)
	take := func(p r3.Vec) {
		if out := max(r2.Norm(g.discs[0].at(p)), r2.Norm(g.discs[1].at(p))); out < depth {
			at, depth = p, out
		}
	}
	for i := range g.discs {
		if p, ok := g.discs[i].nearest(of); ok {
			take(p)
		}
	}
	return at, depth
}

// nearest returns the place of a convex polygon that lies deepest in an ellipse.
func (d *disc) nearest(of []r3.Vec) (at r3.Vec, ok bool) {
	least := math.Inf(1)
	left, right := false, false
	for i, p := range of {
		q := of[(i+1)%len(of)]
		from, to := d.at(p), d.at(q)
		switch side := r2.Cross(from, to); {
		case side > 0:
			left = true
		case side < 0:
			right = true
		}
		t, along := 0.0, r2.Sub(to, from)
		if n := r2.Norm2(along); n > 0 {
			t = min(1, max(0, -r2.Dot(from, along)/n))
		}
		if far := r2.Norm(r2.Add(from, r2.Scale(t, along))); far < least {
			at, least = r3.Add(p, r3.Scale(t, r3.Sub(q, p))), far
		}
	}
	if left == right || len(of) < 3 {
		return at, len(of) > 0
	}
	return d.axis(of), true
}

// axis is where the axis of an ellipse goes through a polygon that it goes through.
func (d *disc) axis(of []r3.Vec) r3.Vec {
	// The fan of triangles from the first corner: one of them holds the axis.
	a := of[0]
	for i := 1; i+1 < len(of); i++ {
		b, c := of[i], of[i+1]
		pa, pb, pc := d.at(a), d.at(b), d.at(c)
		all := r2.Cross(r2.Sub(pb, pa), r2.Sub(pc, pa))
		if all == 0 {
			continue
		}
		wb, wc := r2.Cross(pc, pa)/all, r2.Cross(pa, pb)/all
		if wb >= -1e-9 && wc >= -1e-9 && wb+wc <= 1+1e-9 {
			return r3.Add(a, r3.Add(r3.Scale(wb, r3.Sub(b, a)), r3.Scale(wc, r3.Sub(c, a))))
		}
	}
	return a
}

// places are the shares of the way at which something reaches in: of each run of layers
// with something the middle of what is as deep as the deepest, and the deepest itself.
func (g *gap) places() (out []float64) {
	for i := 0; i < layers; i++ {
		if g.deepest[i] >= 1-reachesIn {
			continue
		}
		first, best := i, i
		for i+1 < layers && g.deepest[i+1] < 1-reachesIn {
			if i++; g.deepest[i] < g.deepest[best] {
				best = i
			}
		}
		low, high := g.nearest[best], g.nearest[best]
		for k := first; k <= i; k++ {
			if g.deepest[k] <= g.deepest[best]+g.alike {
				low, high = min(low, g.nearest[k]), max(high, g.nearest[k])
			}
		}
		out = append(out, (low+high)/2, g.nearest[best])
	}
	return out
}
