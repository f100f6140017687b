package section

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Plane is an oriented plane in space: all x with Normal·(x − Point) = 0.
// What lies on the side the Normal shows to is above the plane. The Normal
// may have any finite length above 0; a plane whose Normal is zero or not
// finite, or whose Point is not finite, meets nothing.
type Plane struct {
	Point, Normal r3.Vec
}

// Axes returns the unit vectors u and v of the plane's own coordinates. They
// are right-handed with the Normal, u×v = n, and a fixed function of the
// direction of the Normal alone: u is the coordinate axis that the Normal
// leans to least (the first of equals), laid into the plane. So a horizontal
// plane with its Normal up has u = x and v = y. Where p is no plane, both
// are zero.
func (p Plane) Axes() (u, v r3.Vec) {
	f, _ := p.frame()
	return f.u, f.v
}

// Flat returns the foot of q on the plane in plane coordinates (mm), counted
// from Point along Axes.
func (p Plane) Flat(q r3.Vec) r2.Vec {
	f, _ := p.frame()
	return f.flat(q)
}

// Lift returns the place in space of the plane coordinates q.
func (p Plane) Lift(q r2.Vec) r3.Vec {
	f, _ := p.frame()
	return f.lift(q)
}

// grain is how far, as a share of a coordinate, rounding to float32 may move a
// point along it: half a unit in the last place.
const grain = 0x1p-24

// frame is a plane made ready for use: unit vectors, the plane's distance d
// from the origin of space along n, the bounds low and high of it within which
// float32 may have moved the Point, and the side that vertices on the plane
// count to.
//
// A vertex on the plane, or nearer to it than float32 could have moved both,
// is moved off it: up in a frame with over false, which gives the section just
// below the plane, down with over true, which gives the one just above.
type frame struct {
	at, n, u, v r3.Vec
	d           float64
	low, high   float64
	over        bool
}

// frame returns p made ready, and false where p is no plane.
func (p Plane) frame() (frame, bool) {
	n, ok := direction(p.Normal)
	if !ok || !finite(p.Point) {
		return frame{}, false
	}
	u, v := across(n)
	d, slack := height(n, p.Point)
	return frame{at: p.Point, n: n, u: u, v: v, d: d, low: d - slack, high: d + slack}, true
}

// height returns the distance of p along n from the origin of space (not from
// the plane), and how far float32 may have moved it.
func height(n, p r3.Vec) (h, slack float64) {
	// Rounded one by one, so that every caller gets the same bits on every CPU.
	a, b, c := float64(n.X*p.X), float64(n.Y*p.Y), float64(n.Z*p.Z)
	// By max and not math.Abs, which is too dear for the compiler to inline all this.
	return a + b + c, grain * (max(a, -a) + max(b, -b) + max(c, -c))
}

// above reports whether a vertex counts as above the plane. One that is not a
// number counts below.
func (f *frame) above(p r3.Vec) bool {
	h, slack := height(f.n, p)
	if f.over {
		return h-slack > f.high
	}
	return h+slack >= f.low
}

// cross returns the point where the plane meets the edge from a, below, to b,
// above. A vertex on the plane is that point to the bit; the same edge gives the
// same point whichever triangle asks. It is not a number where an end is not finite.
func (f *frame) cross(a, b r3.Vec) r3.Vec {
	// As height does it, but for the slack, which is only needed near the plane.
	low := float64(f.n.X*a.X) + float64(f.n.Y*a.Y) + float64(f.n.Z*a.Z)
	high := float64(f.n.X*b.X) + float64(f.n.Y*b.Y) + float64(f.n.Z*b.Z)
	if f.over {
		if !(f.low-low > loose(a)) {
			if _, slack := height(f.n, a); low+slack >= f.low && high-high == 0 {
				return a
			}
		}
	} else if !(high-f.high > loose(b)) {
		if _, slack := height(f.n, b); high-slack <= f.high && low-low == 0 {
			return b
		}
	}
	t := (f.d - low) / (high - low) // no number where low or high is none
	return r3.Vec{X: a.X + float64(t*(b.X-a.X)), Y: a.Y + float64(t*(b.Y-a.Y)), Z: a.Z + float64(t*(b.Z-a.Z))}
}

// loose is more than the slack of p, in whatever direction, and sooner found: of unit
// vectors n Σ|nᵢpᵢ| ≤ |p|, and 2·|p| ≤ 1 + p².
func loose(p r3.Vec) float64 { return grain * (2 + p.X*p.X + p.Y*p.Y + p.Z*p.Z) }

func (f *frame) flat(q r3.Vec) r2.Vec {
	q = r3.Sub(q, f.at)
	return r2.Vec{X: r3.Dot(f.u, q), Y: r3.Dot(f.v, q)}
}

func (f *frame) lift(q r2.Vec) r3.Vec {
	return r3.Add(f.at, r3.Add(r3.Scale(q.X, f.u), r3.Scale(q.Y, f.v)))
}

// direction returns n at unit length, whatever its length; false if n is
// zero or not finite. A vector along a coordinate axis comes back exact.
func direction(n r3.Vec) (r3.Vec, bool) {
	longest := max(math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z))
	if longest == 0 || !finite(n) {
		return r3.Vec{}, false
	}
	// Divided first, so that neither tiny nor huge vectors lose their squares.
	n = r3.Vec{X: n.X / longest, Y: n.Y / longest, Z: n.Z / longest}
	norm := r3.Norm(n)
	return r3.Vec{X: n.X / norm, Y: n.Y / norm, Z: n.Z / norm}, true
}

// across returns u and v of Axes for the unit vector n.
func across(n r3.Vec) (u, v r3.Vec) {
	x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	axis := r3.Vec{X: 1}
	if y < x && y <= z {
		axis = r3.Vec{Y: 1}
	} else if z < x && z < y {
		axis = r3.Vec{Z: 1}
	}
	u = r3.Unit(r3.Sub(axis, r3.Scale(r3.Dot(axis, n), n)))
	return u, r3.Cross(n, u)
}

// finite reports whether all of p are numbers and none is infinite.
func finite(p r3.Vec) bool {
	return p.X-p.X == 0 && p.Y-p.Y == 0 && p.Z-p.Z == 0
}
