package cavity

import (
	"math"
	"slices"
	"sort"

	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// curve is a way in space through points, straight between them, and straight
// on beyond its ends. It has at least two points, no two in one place.
type curve struct {
	points []point
	along  []float64 // parallel to points, mm from the first
	reach  float64   // mm, the length over which a direction is taken
}

// point is a place on a curve.
type point struct {
	at    r3.Vec
	run   r3.Vec  // the direction in which the air runs, of any length; zero for the way's own
	cover float64 // degrees of the way round that wall is seen thereabouts
}

func newCurve(points []point, reach float64) curve {
	c := curve{reach: reach}
	for _, p := range points {
		far := 0.0
		if n := len(c.points); n > 0 {
			d := r3.Norm(r3.Sub(p.at, c.points[n-1].at))
			if d == 0 {
				continue
			}
			far = c.along[n-1] + d
		}
		c.points, c.along = append(c.points, p), append(c.along, far)
	}
	return c
}

// length returns the length of the curve in mm.
func (c *curve) length() float64 { return c.along[len(c.along)-1] }

// span returns the number of the point behind the place s and its share of the
// way from the point before.
func (c *curve) span(s float64) (int, float64) {
	i := min(max(sort.SearchFloat64s(c.along, s), 1), len(c.points)-1)
	return i, (s - c.along[i-1]) / (c.along[i] - c.along[i-1])
}

// at returns the place s mm along the curve; before its start where s < 0.
func (c *curve) at(s float64) r3.Vec {
	if s < 0 {
		return r3.Add(c.points[0].at, r3.Scale(s, c.toward(0)))
	}
	if over := s - c.length(); over > 0 {
		return r3.Add(c.points[len(c.points)-1].at, r3.Scale(over, c.toward(s)))
	}
	return c.point(s).at
}

// point returns the point s mm along the curve, between its ends.
func (c *curve) point(s float64) point {
	i, t := c.span(min(max(s, 0), c.length()))
	p, q := c.points[i-1], c.points[i]
	return point{
		at:    r3.Add(p.at, r3.Scale(t, r3.Sub(q.at, p.at))),
		run:   r3.Add(r3.Scale(1-t, unit(p.run)), r3.Scale(t, unit(q.run))),
		cover: (1-t)*p.cover + t*q.cover,
	}
}

// toward returns the unit direction of the curve s mm along it: that of the
// chord over reach mm round the place, or less near the ends.
func (c *curve) toward(s float64) r3.Vec {
	s = min(max(s, 0), c.length())
	from, to := max(s-c.reach/2, 0), min(s+c.reach/2, c.length())
	return unit(r3.Sub(c.at(to), c.at(from)))
}

// run returns the unit direction in which the air runs s mm along the curve:
// the normal of the section there.
func (c *curve) run(s float64) r3.Vec {
	if run := unit(c.point(s).run); run != (r3.Vec{}) {
		return run
	}
	return c.toward(s)
}

// plane returns the plane of the section s mm along the curve.
func (c *curve) plane(s float64) section.Plane {
	return section.Plane{Point: c.at(s), Normal: c.run(s)}
}

// whole returns the cover in degrees above which a section s mm along the
// curve is whole.
func (c *curve) whole(s float64) float64 { return sound * c.point(s).cover }

// smoothed returns the curve with every place and run replaced by the mean of
// those round it, weighted by the bell curve with the deviation sigma in mm.
// Beyond an end the curve is taken to go on as its own image turned about the
// end, so that the ends stay and straight ways stay straight.
func (c *curve) smoothed(sigma float64) curve {
	const fine, wide = 4, 3 // points to a sigma, sigmas to either side
	n := max(int(math.Round(c.length()/sigma*fine)), 4)
	points := make([]point, n+1)
	for i := range points {
		points[i] = c.point(c.length() * float64(i) / float64(n))
	}
	image := func(i int) point {
		switch {
		case i < 0:
			p := points[min(-i, n)]
			p.at = r3.Sub(r3.Scale(2, points[0].at), p.at)
			return p
		case i > n:
			p := points[max(2*n-i, 0)]
			p.at = r3.Sub(r3.Scale(2, points[n].at), p.at)
			return p
		}
		return points[i]
	}
	out := make([]point, n+1)
	for i := range out {
		out[i].cover = points[i].cover
		var all float64
		for k := -wide * fine; k <= wide*fine; k++ {
			w := math.Exp(-float64(k*k) / (2 * fine * fine))
			p := image(i + k)
			out[i].at = r3.Add(out[i].at, r3.Scale(w, p.at))
			out[i].run = r3.Add(out[i].run, r3.Scale(w, p.run))
			all += w
		}
		out[i].at = r3.Scale(1/all, out[i].at)
	}
	return newCurve(out, c.reach)
}

// part returns the curve from one place on it to another, which may lie beyond
// its ends.
func (c *curve) part(from, to float64) curve {
	first, last := c.point(from), c.point(to)
	first.at, last.at = c.at(from), c.at(to)
	points := []point{first}
	for i, s := range c.along {
		if s > from && s < to {
			points = append(points, c.points[i])
		}
	}
	return newCurve(append(points, last), c.reach)
}

// straight returns the curve with all before the place s replaced by a straight
// stretch to at, far enough out for its direction to be its own.
func (c *curve) straight(s float64, at, direction r3.Vec) curve {
	rest := c.part(s, c.length()).points
	first := point{at: at, run: direction, cover: rest[0].cover}
	out := first
	out.at = r3.Sub(at, r3.Scale(s+c.reach, direction))
	return newCurve(append([]point{out, first}, rest[1:]...), c.reach)
}

// back returns the curve walked the other way.
func (c *curve) back() curve {
	points := slices.Clone(c.points)
	slices.Reverse(points)
	for i := range points {
		points[i].run = r3.Scale(-1, points[i].run)
	}
	return newCurve(points, c.reach)
}

// unit returns v at length 1, or zero where it has none.
func unit(v r3.Vec) r3.Vec {
	if n := r3.Norm(v); n > 0 {
		return r3.Scale(1/n, v)
	}
	return r3.Vec{}
}
