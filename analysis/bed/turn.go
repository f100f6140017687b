package bed

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/spatial/r2"
)

// turned finds the turn at which a convex polygon fits a width × depth
// rectangle at the largest scale, and the polygon's extent there.
//
// Turned by θ, the polygon's extent along x is the projection of one fixed
// diagonal while θ stays between two angles at which an edge stands along an
// axis; so both extents are r·cos(θ−φ) there, concave. The largest of
// min(width/w(θ), depth/d(θ)) is therefore at such an angle or where
// depth·w(θ) = width·d(θ), which is one arc tangent. This is the theorem
// that a smallest rectangle has a side flush with the hull (Freeman & Shapira
// 1975), widened to a rectangle of given sides; for a rectangle it agrees with
// Carver 1957 and Wetzel 2000.
func turned(corners []r2.Vec, width, depth float64) (scale, turn, wide, deep float64) {
	hull := newOutline(corners)
	stops := flush(corners)
	try := func(at float64) {
		w, d := extents(hull, at)
		if s := min(ratio(width, w), ratio(depth, d)); s > scale*(1+1e-12) || wide == 0 && deep == 0 {
			scale, turn, wide, deep = s, at, w, d
		}
	}
	for i, from := range stops {
		to := math.Pi
		if i+1 < len(stops) {
			to = stops[i+1]
		}
		try(from)
		if cross, ok := level(hull, (from+to)/2, width, depth); ok && cross > from && cross < to {
			try(cross)
		}
	}
	return scale, turn, wide, deep
}

// flush lists, ascending from 0, the turns in [0, π) at which an edge of the
// hull stands along an axis.
func flush(hull []r2.Vec) []float64 {
	stops := []float64{0}
	for i, p := range hull {
		edge := r2.Sub(hull[(i+1)%len(hull)], p)
		if edge == (r2.Vec{}) {
			continue
		}
		first := positive(-math.Atan2(edge.Y, edge.X), math.Pi/2)
		stops = append(stops, first, first+math.Pi/2)
	}
	slices.Sort(stops)
	return slices.Compact(stops)
}

// extents returns the size of the hull turned by at, along x and y.
func extents(hull outline, at float64) (wide, deep float64) {
	sin, cos := math.Sincos(at)
	x, y := r2.Vec{X: cos, Y: -sin}, r2.Vec{X: sin, Y: cos}
	return r2.Dot(hull.spanned(x), x), r2.Dot(hull.spanned(y), y)
}

// outline is a convex polygon, counter-clockwise, with the heading of each
// edge measured from the first one, ascending in [0, 2π).
type outline struct {
	corners  []r2.Vec
	first    float64
	headings []float64
}

func newOutline(hull []r2.Vec) outline {
	o := outline{corners: hull, headings: make([]float64, len(hull))}
	for i := range hull {
		edge := r2.Sub(hull[(i+1)%len(hull)], hull[i])
		heading := math.Atan2(edge.Y, edge.X)
		if i == 0 {
			o.first = heading
		}
		o.headings[i] = positive(heading-o.first, 2*math.Pi)
	}
	return o
}

// farthest returns the corner farthest along dir: edges that head less than a
// quarter turn before dir's left still climb. Rounding may miss by one corner,
// so its neighbours are looked at too.
func (o outline) farthest(dir r2.Vec) r2.Vec {
	n := len(o.corners)
	left := positive(math.Atan2(dir.Y, dir.X)+math.Pi/2-o.first, 2*math.Pi)
	at := sort.SearchFloat64s(o.headings, left)
	best := o.corners[at%n]
	for _, i := range []int{at + n - 1, at + 1} {
		if p := o.corners[i%n]; r2.Dot(p, dir) > r2.Dot(best, dir) {
			best = p
		}
	}
	return best
}

// spanned returns the vector from the first to the last corner along dir.
func (o outline) spanned(dir r2.Vec) r2.Vec {
	if len(o.corners) == 0 {
		return r2.Vec{}
	}
	return r2.Sub(o.farthest(dir), o.farthest(r2.Scale(-1, dir)))
}

// positive returns x modulo m in [0, m).
func positive(x, m float64) float64 {
	if x = math.Mod(x, m); x < 0 {
		x += m
	}
	return x
}

// level returns the turn at which depth·w = width·d for the diagonals that
// span the hull at turn at: with x and y those diagonals,
// depth·(x.X cos − x.Y sin) = width·(y.X sin + y.Y cos).
func level(hull outline, at, width, depth float64) (turn float64, ok bool) {
	sin, cos := math.Sincos(at)
	x, y := hull.spanned(r2.Vec{X: cos, Y: -sin}), hull.spanned(r2.Vec{X: sin, Y: cos})
	a, b := depth*x.X-width*y.Y, depth*x.Y+width*y.X // a·cos = b·sin
	if a == 0 && b == 0 {
		return 0, false
	}
	turn = math.Atan2(a, b)
	if turn < 0 {
		turn += math.Pi
	}
	return turn, true
}

// circle returns the radius of the smallest circle round the points.
func circle(points []r2.Vec) float64 {
	_, radius := enclosing(points)
	return radius
}

// centreOf returns the middle of that circle.
func centreOf(points []r2.Vec) r2.Vec {
	centre, _ := enclosing(points)
	return centre
}

// enclosing returns the smallest circle round the points, found by Welzl's
// rule in its loop form: whenever a point lies outside, it must be on the rim.
// Hulls are small, so their order is kept as it is.
func enclosing(points []r2.Vec) (centre r2.Vec, radius float64) {
	radius = -1
	outside := func(p r2.Vec) bool { return r2.Norm(r2.Sub(p, centre)) > radius*(1+1e-12)+1e-12 }
	for i, p := range points {
		if !outside(p) {
			continue
		}
		centre, radius = p, 0
		for j, q := range points[:i] {
			if !outside(q) {
				continue
			}
			centre, radius = between(p, q)
			for _, s := range points[:j] {
				if outside(s) {
					centre, radius = through(p, q, s)
				}
			}
		}
	}
	return centre, max(0, radius)
}

func between(p, q r2.Vec) (centre r2.Vec, radius float64) {
	return r2.Scale(0.5, r2.Add(p, q)), r2.Norm(r2.Sub(p, q)) / 2
}

// through returns the circle through three points. Three points in a line
// have none; the circle over the two furthest apart serves for them.
func through(p, q, s r2.Vec) (centre r2.Vec, radius float64) {
	a, b := r2.Sub(q, p), r2.Sub(s, p)
	d := 2 * r2.Cross(a, b)
	if d == 0 {
		centre, radius = between(p, q)
		for _, pair := range [][2]r2.Vec{{p, s}, {q, s}} {
			if c, r := between(pair[0], pair[1]); r > radius {
				centre, radius = c, r
			}
		}
		return centre, radius
	}
	c := r2.Vec{
		X: (b.Y*r2.Norm2(a) - a.Y*r2.Norm2(b)) / d,
		Y: (a.X*r2.Norm2(b) - b.X*r2.Norm2(a)) / d,
	}
	return r2.Add(p, c), r2.Norm(c)
}
