// Package shape builds parametric shells whose answers are known in closed
// form: tubes, boots, hip rings, helms, gutters and plates. The demo suit is
// made of them and the tests of every other package measure them.
//
// A shape is a small struct of parameters in millimetres. Mesh draws it as a
// closed, manifold surface with outward facets and, except where the comment
// says otherwise, two walls: an inner skin round the air and an outer one.
// Where Sides is 0 it is 128, so that the smooth formulas hold within 0.01 %.
// The other methods give the answers; their formulas stand in their comments
// and never come from the mesh.
package shape

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/spatial/r3"
)

// DefaultSides is the number of sides of a section where none is given. An
// inscribed polygon of 128 sides is 0.010 % short in girth.
const DefaultSides = 128

// leastAspect is the slimmest ellipse that counts as a capacity (the project's
// own rule: a body section is never slimmer than 1:2).
const leastAspect = 0.5

// Ellipse is the closed curve (A·cos t, B·sin t). Neither half-axis need be
// the longer one. The zero Ellipse is a point.
type Ellipse struct {
	A, B float64 // half-axes in mm
}

// Circle returns the ellipse with both half-axes r.
func Circle(r float64) Ellipse { return Ellipse{A: r, B: r} }

// EllipseOfGirth returns the ellipse of the given girth whose half-axis B is
// aspect times A.
func EllipseOfGirth(girth, aspect float64) Ellipse {
	unit := Ellipse{A: 1, B: aspect}
	return unit.Times(girth / unit.Girth())
}

// Girth returns the perimeter 4·a·E(1 − b²/a²), a the longer half-axis and E
// the complete elliptic integral of the second kind of the parameter m = k²
// (DLMF 19.30.5).
func (e Ellipse) Girth() float64 {
	long, short := max(e.A, e.B), min(e.A, e.B)
	if long == 0 {
		return 0
	}
	return 4 * long * mathext.CompleteE(1-(short/long)*(short/long))
}

// Area returns π·a·b.
func (e Ellipse) Area() float64 { return math.Pi * e.A * e.B }

// Capacity returns the greatest girth of an ellipse inside e that is not
// slimmer than 1:2. It is e's own girth unless e is slimmer: whatever lies
// inside is at most 2·min(a, b) wide across, so the ellipse with that width
// and twice that length is then the greatest.
func (e Ellipse) Capacity() float64 {
	long, short := max(e.A, e.B), min(e.A, e.B)
	return Ellipse{A: min(long, short/leastAspect), B: short}.Girth()
}

// Grown returns e with both half-axes longer by d.
func (e Ellipse) Grown(d float64) Ellipse { return Ellipse{A: e.A + d, B: e.B + d} }

// Times returns e scaled by factor.
func (e Ellipse) Times(factor float64) Ellipse { return Ellipse{A: factor * e.A, B: factor * e.B} }

// Toward returns the ellipse whose half-axes lie the share t of the way from
// e's to f's.
func (e Ellipse) Toward(f Ellipse, t float64) Ellipse {
	return Ellipse{A: e.A + t*(f.A-e.A), B: e.B + t*(f.B-e.B)}
}

// At returns the point of e at the parameter t in radians.
func (e Ellipse) At(t float64) (x, y float64) { return e.A * math.Cos(t), e.B * math.Sin(t) }

// PolygonArea returns the area of the inscribed polygon with corners at n
// equal steps of the parameter: ½·n·a·b·sin(2π/n).
func (e Ellipse) PolygonArea(n int) float64 {
	return e.A * e.B * float64(n) / 2 * math.Sin(2*math.Pi/float64(n))
}

// PolygonGirth returns the girth of that polygon, as the sum of its sides.
func (e Ellipse) PolygonGirth(n int) float64 {
	var sum float64
	x0, y0 := e.At(0)
	for j := 1; j <= n; j++ {
		x, y := e.At(2 * math.Pi * float64(j) / float64(n))
		sum += math.Hypot(x-x0, y-y0)
		x0, y0 = x, y
	}
	return sum
}

// Opening is a place where the cavity of a shape meets the open air.
type Opening struct {
	Center r3.Vec // middle of the rim
	Facing r3.Vec // unit vector out of the cavity
	// Rim is the inner rim: A along the first axis of its section, B along the
	// second. It is zero where the rim is no ellipse.
	Rim Ellipse
	// Small marks a hole that no body part enters by: a slot for the eyes.
	Small bool
}

// Station is a place on a centreline. Loop is the section of the inner skin
// square to Normal; its girth and capacity are those of the smooth shape.
type Station struct {
	Along  float64 // mm from the opening the way starts at
	Center r3.Vec
	Normal r3.Vec // unit vector along the way, away from the start
	Loop   Ellipse
}

// Way is a centreline from an opening through the cavity, as the stations at
// which the section is known exactly. They need not reach its ends.
type Way struct {
	From, To int // index into Openings; To is -1 at the deep end
	Stations []Station
}

// sides returns n, or the default where n is 0.
func sides(n int) int {
	if n == 0 {
		return DefaultSides
	}
	return n
}

// count returns n, or usual where n is 0.
func count(n, usual int) int {
	if n == 0 {
		return usual
	}
	return n
}
