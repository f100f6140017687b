package cavity

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"
)

// curve is a way in space through points, straight between them, and straight
// on beyond its ends. It has at least two points, no two in one place, and at
// each the direction in which the air runs there, of any length, zero where
// that is the way's own.
type curve struct {
	points []r3.Vec
	runs   []r3.Vec  // parallel to points
	along  []float64 // parallel to points, mm from the first
	reach  float64   // mm, the length over which a direction is taken
}

func newCurve(points, runs []r3.Vec, reach float64) curve {
	c := curve{reach: reach}
	for i, p := range points {
		far := 0.0
		if n := len(c.points); n > 0 {
			d := r3.Norm(r3.Sub(p, c.points[n-1]))
			if d == 0 {
				continue
			}
			far = c.along[n-1] + d
		}
		c.points, c.runs, c.along = append(c.points, p), append(c.runs, runs[i]), append(c.along, far)
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
		return r3.Add(c.points[0], r3.Scale(s, c.toward(0)))
	}
	if over := s - c.length(); over > 0 {
		return r3.Add(c.points[len(c.points)-1], r3.Scale(over, c.toward(s)))
	}
	i, t := c.span(s)
	return r3.Add(c.points[i-1], r3.Scale(t, r3.Sub(c.points[i], c.points[i-1])))
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
	i, t := c.span(min(max(s, 0), c.length()))
	run := unit(r3.Add(r3.Scale(1-t, unit(c.runs[i-1])), r3.Scale(t, unit(c.runs[i]))))
	if run == (r3.Vec{}) {
		return c.toward(s)
	}
	return run
}

// smoothed returns the curve with every place and run replaced by the mean of
// those round it, weighted by the bell curve with the deviation sigma in mm.
// Beyond an end the curve is taken to go on as its own image turned about the
// end, so that the ends stay and straight ways stay straight.
func (c *curve) smoothed(sigma float64) curve {
	const fine, wide = 4, 3 // points to a sigma, sigmas to either side
	n := max(int(math.Round(c.length()/sigma*fine)), 4)
	points, runs := make([]r3.Vec, n+1), make([]r3.Vec, n+1)
	for i := range points {
		s := c.length() * float64(i) / float64(n)
		at, t := c.span(s)
		points[i] = c.at(s)
		runs[i] = r3.Add(r3.Scale(1-t, unit(c.runs[at-1])), r3.Scale(t, unit(c.runs[at])))
	}
	image := func(i int) (r3.Vec, r3.Vec) {
		switch {
		case i < 0:
			k := min(-i, n)
			return r3.Sub(r3.Scale(2, points[0]), points[k]), runs[k]
		case i > n:
			k := max(2*n-i, 0)
			return r3.Sub(r3.Scale(2, points[n]), points[k]), runs[k]
		}
		return points[i], runs[i]
	}
	newPoints, newRuns := make([]r3.Vec, n+1), make([]r3.Vec, n+1)
	for i := range points {
		var all float64
		for k := -wide * fine; k <= wide*fine; k++ {
			w := math.Exp(-float64(k*k) / (2 * fine * fine))
			p, r := image(i + k)
			newPoints[i] = r3.Add(newPoints[i], r3.Scale(w, p))
			newRuns[i] = r3.Add(newRuns[i], r3.Scale(w, r))
			all += w
		}
		newPoints[i] = r3.Scale(1/all, newPoints[i])
	}
	return newCurve(newPoints, newRuns, c.reach)
}

// part returns the curve from one place on it to another, which may lie beyond
// its ends.
func (c *curve) part(from, to float64) curve {
	last := len(c.points) - 1
	points, runs := []r3.Vec{c.at(from)}, []r3.Vec{c.runs[0]}
	for i, s := range c.along {
		if s > from && s < to {
			points, runs = append(points, c.points[i]), append(runs, c.runs[i])
		}
	}
	return newCurve(append(points, c.at(to)), append(runs, c.runs[last]), c.reach)
}

// back returns the curve walked the other way.
func (c *curve) back() curve {
	last := len(c.points) - 1
	points, runs := make([]r3.Vec, last+1), make([]r3.Vec, last+1)
	for i := range points {
		points[i], runs[i] = c.points[last-i], r3.Scale(-1, c.runs[last-i])
	}
	return newCurve(points, runs, c.reach)
}

// unit returns v at length 1, or zero where it has none.
func unit(v r3.Vec) r3.Vec {
	if n := r3.Norm(v); n > 0 {
		return r3.Scale(1/n, v)
	}
	return r3.Vec{}
}
