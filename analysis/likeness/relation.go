package likeness

import (
	"math"

	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// Kind says in one word what a newer shape is of an older one: the first of
// Rescaled, Mirrored, Turned and Moved that happened to it.
type Kind string

// The kinds of relation.
const (
	Same     Kind = "same"
	Moved    Kind = "moved"
	Turned   Kind = "turned"
	Mirrored Kind = "mirrored"
	Rescaled Kind = "rescaled"
	Cut      Kind = "cut"    // some of it is gone, the rest is as it was
	Edited   Kind = "edited" // anything else
)

// Relation says what a newer shape is of an older one, in the order in which
// it may have been done: rescaled, mirrored, turned, moved. What can be told in
// several ways is told in the simplest: a tube is not turned about its own
// axis, nor a symmetric part mirrored.
type Relation struct {
	Kind Kind

	// Percent of the old size; 100 where it is unchanged, 0 where it differs by
	// direction or is not known.
	Percent float64
	// Axes are the percents along x, y and z, or along the directions of Along
	// where that is set; zero where Percent says it all. They hold before the
	// part was turned, or, where TurnedFirst, after it.
	Axes        [3]float64
	Along       *[3]r3.Vec
	TurnedFirst bool

	Mirror   string  // the axis x, y or z that was turned round, "" where none was
	Turn     float64 // degrees about TurnAxis by the right hand, −180 to 180
	TurnAxis r3.Vec  // unit vector, zero where Turn is
	Shift    r3.Vec  // mm that the middle of the box moved by itself, zero where it did not

	// Planes are where a part was cut, in the newer file. Normals are unit
	// vectors that show to what is gone.
	Planes []section.Plane

	// Map takes the old shape to the new one; zero where it was edited.
	Map Map
}

// relation puts a map in words. The map was proved before.
func (c *comparison) relation(by candidate) Relation {
	r := Relation{Map: by.Map, Percent: 100}
	turn := c.stretch(&r, by)
	if determinant(turn) < 0 {
		r.Mirror, turn = mirrored(turn, c.blur())
	}
	axis, angle := turnOf(turn)
	if angle > c.blur() {
		r.Turn, r.TurnAxis = upward(angle*180/math.Pi, axis)
	}
	if !c.stays(by.Map) {
		r.Shift = r3.Sub(c.new.middle(), c.old.middle())
	}
	switch {
	case r.Percent != 100:
		r.Kind = Rescaled
	case r.Mirror != "":
		r.Kind = Mirrored
	case r.Turn != 0:
		r.Kind = Turned
	case r.Shift != r3.Vec{}:
		r.Kind = Moved
	default:
		r.Kind = Same
	}
	return r
}

// blur is the angle, or the share of a size, that rounding hides.
func (c *comparison) blur() float64 {
	return 2 * (c.new.Grain/c.new.radius() + c.old.Grain/c.old.radius())
}

// stretch tells how the map rescales, and returns what of it does not.
func (c *comparison) stretch(r *Relation, by candidate) matrix {
	a := by.Linear
	if by.alike {
		s := math.Cbrt(math.Abs(determinant(a)))
		if r.Percent = 100 * s; math.Abs(s-1) <= c.blur() {
			r.Percent = 100
		}
		return scaled(1/s, a)
	}
	r.Percent = 0
	before, after := product(transposed(a), a), product(a, transposed(a))
	switch {
	case c.straight(before):
		size := roots(before)
		r.Axes = c.percents(size)
		return product(a, inverse(size))
	case c.straight(after):
		size := roots(after)
		r.Axes, r.TurnedFirst = c.percents(size), true
		return product(inverse(size), a)
	}
	values, v, _ := eigen(before)
	size := roots(diagonal(values))
	r.Axes = c.percents(size)
	r.Along = &[3]r3.Vec{}
	for k := range 3 {
		_, r.Along[k] = upward(1, r3.Vec{X: v[0][k], Y: v[1][k], Z: v[2][k]})
	}
	return product(product(a, product(v, inverse(size))), transposed(v))
}

// straight reports whether a symmetric matrix is diagonal to rounding.
func (c *comparison) straight(a matrix) bool {
	off := math.Max(math.Abs(a[0][1]), math.Max(math.Abs(a[0][2]), math.Abs(a[1][2])))
	return off <= 4*c.blur()*math.Max(a[0][0], math.Max(a[1][1], a[2][2]))
}

func roots(a matrix) (d [3]float64) {
	for k := range d {
		d[k] = math.Sqrt(math.Max(a[k][k], 0))
	}
	return d
}

func inverse(d [3]float64) matrix { return diagonal([3]float64{1 / d[0], 1 / d[1], 1 / d[2]}) }

// percents writes factors in percent, 100 where rounding hides the difference.
func (c *comparison) percents(size [3]float64) (p [3]float64) {
	for k := range p {
		if p[k] = 100 * size[k]; math.Abs(size[k]-1) <= 2*c.blur() {
			p[k] = 100
		}
	}
	return p
}

// mirrored parts an improper turn into one axis turned round and the smallest
// turn that is left.
func mirrored(q matrix, blur float64) (axis string, turn matrix) {
	least := math.Inf(1)
	for k, name := range []string{"x", "y", "z"} {
		d := [3]float64{1, 1, 1}
		d[k] = -1
		rest := product(q, diagonal(d))
		if _, angle := turnOf(rest); angle < least-blur-1e-9 {
			least, axis, turn = angle, name, rest
		}
	}
	return axis, turn
}

// upward returns the same turn about the axis whose longest component is
// positive.
func upward(angle float64, axis r3.Vec) (float64, r3.Vec) {
	longest := axis.X
	for _, x := range []float64{axis.Y, axis.Z} {
		if math.Abs(x) > math.Abs(longest)+1e-6 {
			longest = x
		}
	}
	if longest < 0 {
		axis = r3.Sub(r3.Vec{}, axis)
		if angle < 180-1e-6 {
			angle = -angle
		}
	}
	return angle, axis
}

// stays reports whether the map leaves a place where it was about which a part
// is rescaled and turned: the origin, the middle or the foot of its box, a
// corner of it, its centre of gravity.
func (c *comparison) stays(by Map) bool {
	low, high := vector(c.old.Low), vector(c.old.High)
	middle := c.old.middle()
	for _, p := range []r3.Vec{
		{}, middle, {X: middle.X, Y: middle.Y, Z: low.Z}, {X: middle.X, Y: middle.Y}, low, high,
		{X: low.X, Y: low.Y}, {X: low.X, Y: low.Y, Z: high.Z},
		vector(c.old.Surface.About), vector(c.old.Solid.About), vector(c.old.Corners.About),
	} {
		if r3.Norm(r3.Sub(by.At(p), p)) <= 3*c.grain(by) {
			return true
		}
	}
	return false
}

func (s *Signature) middle() r3.Vec { return r3.Scale(0.5, r3.Add(vector(s.Low), vector(s.High))) }
