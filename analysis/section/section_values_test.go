package section

import (
	"math"
	"testing"

	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Barbier's theorem (1860): every curve of the constant width w is π·w long,
// round or not; a Reuleaux triangle has the area (π − √3)/2·w². Cut out of a
// prism and out of its hull.
func TestBarbier(t *testing.T) {
	const width, steps = 100.0, 300
	var outline []r2.Vec
	corner := func(k int) r2.Vec {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 3)
		return r2.Scale(width/math.Sqrt(3), r2.Vec{X: cos, Y: sin})
	}
	for k := range 3 { // an arc about each corner, from the next to the one after
		from := math.Atan2(corner(k+1).Y-corner(k).Y, corner(k+1).X-corner(k).X)
		for i := range steps {
			sin, cos := math.Sincos(from + math.Pi/3*float64(i)/steps)
			outline = append(outline, r2.Add(corner(k), r2.Scale(width, r2.Vec{X: cos, Y: sin})))
		}
	}
	c := Chain{Points: outline, Closed: true}
	for name, got := range map[string]float64{"girth": c.Length(), "hull girth": c.HullGirth()} {
		if !near(got, math.Pi*width, 1e-6) {
			t.Errorf("%s %.6f, want %.6f", name, got, math.Pi*width)
		}
	}
	if want := (math.Pi - math.Sqrt(3)) / 2 * width * width; !near(c.Area(), want, 1e-5) {
		t.Errorf("area %.4f, want %.4f", c.Area(), want)
	}
}

// Cauchy (1841): the mean shadow of a convex body is a quarter of its surface.
// 6/4 for the unit cube, 13 for a box of 2 × 3 × 4, over directions that a
// spiral spreads evenly.
func TestMeanShadow(t *testing.T) {
	for _, box := range []shape.Bar{{X: 1, Y: 1, Z: 1}, {X: 2, Y: 3, Z: 4}} {
		m := box.Mesh()
		const directions = 20000
		var sum float64
		for k := range directions {
			z := 1 - 2*(float64(k)+0.5)/directions
			sin, cos := math.Sincos(math.Pi * (1 + math.Sqrt(5)) * float64(k))
			flat := Plane{Normal: r3.Vec{X: math.Sqrt(1-z*z) * cos, Y: math.Sqrt(1-z*z) * sin, Z: z}}
			u, v := flat.Axes()
			var shadow []r2.Vec
			for i := range m.Vertices() {
				p := m.At(uint32(i))
				shadow = append(shadow, r2.Vec{X: r3.Dot(u, p), Y: r3.Dot(v, p)})
			}
			sum += math.Abs(Chain{Points: Hull(shadow), Closed: true}.Area())
		}
		if got, want := sum/directions, m.Area()/4; !near(got, want, 1e-4) {
			t.Errorf("%v: mean shadow %.5f, want %.5f", box, got, want)
		}
	}
}

// The girth and area of a regular polygon in a circle, n·sin(π/n)/π and
// n·sin(2π/n)/2π of the circle's, to ten digits; and the parallel curve of an
// ellipse of half-axes 60 and 40 at 5 mm (Steiner 1840): P + 2πt and
// A + P·t + πt².
func TestPolygonsAndSteiner(t *testing.T) {
	for n, want := range map[int][2]float64{
		6: {0.9549296586, 0.8269933431}, 12: {0.9886159295, 0.9549296586}, 24: {0.9971466573, 0.9886159295},
		32: {0.9983943930, 0.9935868511}, 64: {0.9995984531, 0.9983943930}, 128: {0.9998996042, 0.9995984531},
	} {
		girth, area, _ := totals(Cut(shape.Tube{Sides: n, Radius: 50, Wall: 3, Height: 40}.Mesh(), Plane{Point: r3.Vec{Z: 17}, Normal: up}))
		if got := girth / (2 * math.Pi * (50 + 53)); !near(got, want[0], 1e-7) {
			t.Errorf("%d sides: %.10f of the girth, want %.10f", n, got, want[0])
		}
		if got := math.Abs(area) / (math.Pi * (53*53 - 50*50)); !near(got, want[1], 2e-6) {
			t.Errorf("%d sides: %.10f of the area, want %.10f", n, got, want[1])
		}
	}
	var offset Chain
	offset.Closed = true
	for k := range 4000 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 4000)
		out := r2.Unit(r2.Vec{X: 40 * cos, Y: 60 * sin})
		offset.Points = append(offset.Points, r2.Add(r2.Vec{X: 60 * cos, Y: 40 * sin}, r2.Scale(5, out)))
	}
	if got := offset.Length(); !near(got, 348.724718322, 1e-6) {
		t.Errorf("parallel curve of %.6f mm, want 348.724718", got)
	}
	if got := offset.Area(); !near(got, 9204.90614388, 2e-6) {
		t.Errorf("parallel curve round %.4f mm², want 9204.9061", got)
	}
}
