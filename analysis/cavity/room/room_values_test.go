package room

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// Largest circles and ellipses of figures whose answer is in closed form: the
// incircle of a triangle has the radius area / half the perimeter, that of an L
// touches its inner corner at 2 − √2, that of a half disc at half its radius.
// The Steiner inellipse of a triangle is the largest by area, π/(3√3) of it
// (Steiner 1826, in any textbook of triangle geometry), and touches its sides
// in their middles; the ellipse of greatest girth is at least as long.
func TestInscribedFigures(t *testing.T) {
	round := [2]float64{1, 1}
	halfDisc := []r2.Vec{}
	for k := range 721 {
		sin, cos := math.Sincos(math.Pi * float64(k) / 720)
		halfDisc = append(halfDisc, r2.Vec{X: 100 * cos, Y: 100 * sin})
	}
	for _, c := range []struct {
		name   string
		points []r2.Vec
		radius float64
		start  r2.Vec
	}{
		{"L of 2 × 2 less 1 × 1", []r2.Vec{{}, {X: 200}, {X: 200, Y: 100}, {X: 100, Y: 100}, {X: 100, Y: 200}, {Y: 200}}, 100 * (2 - math.Sqrt2), r2.Vec{X: 50, Y: 60}},
		{"triangle of 3, 4, 5", []r2.Vec{{}, {X: 400}, {Y: 300}}, 100, r2.Vec{X: 80, Y: 90}},
		{"half a disc", halfDisc, 50, r2.Vec{X: 10, Y: 40}},
		{"equilateral triangle", regular(3, 50), 50, r2.Vec{X: 5, Y: -3}},
	} {
		for _, turn := range []float64{0, 1.1, 4} {
			got, ok := Largest(ring(turned(c.points, turn, r2.Vec{X: 30, Y: 9})), []r2.Vec{r2.Add(r2.Rotate(c.start, turn, r2.Vec{}), r2.Vec{X: 30, Y: 9})}, round)
			if want := 2 * math.Pi * c.radius; !ok || math.Abs(got.Girth/want-1) > 1e-3 {
				t.Errorf("%s turned by %g: girth %.4f, want %.4f", c.name, turn, got.Girth, want)
			}
		}
	}
	// A base of 120 and a height of 90: the product of the half-axes of its
	// Steiner inellipse is area/(3√3).
	triangle := []r2.Vec{{}, {X: 120}, {X: 20, Y: 90}}
	area := 120.0 * 90 / 2
	got, ok := Largest(ring(triangle), []r2.Vec{{X: 140. / 3, Y: 30}}, Any)
	if !ok || got.Major*got.Minor/4 > area/(3*math.Sqrt(3))*(1+1e-6) {
		t.Errorf("an ellipse of %.2f × %.2f has more area than that of Steiner", got.Major, got.Minor)
	}
	if least := 2 * math.Pi * math.Sqrt(area/(3*math.Sqrt(3))); got.Girth < least*(1-1e-3) {
		t.Errorf("girth %.3f, less than of the circle with the area of Steiner's ellipse, %.3f", got.Girth, least)
	}
}

// The complete elliptic integral of the second kind as Abramowitz & Stegun
// table 17.1 has it by the parameter m = k², to twelve digits.
func TestGirthByTheTable(t *testing.T) {
	for i, e := range []float64{
		1.570796326794897, 1.530757636897763, 1.489035058095853, 1.445363064412665, 1.399392138897432, 1.350643881047676,
		1.298428035046913, 1.241670567945823, 1.178489924327839, 1.104774732704073, 1,
	} {
		minor := 2 * math.Sqrt(1-float64(i)/10)
		if got := Girth(2, minor); math.Abs(got-4*e) > 1e-12 {
			t.Errorf("m %g: %.15f, want %.15f", float64(i)/10, got, 4*e)
		}
	}
}

// And by its argument k, as the GNU Scientific Library has it in its tests of special
// functions (gsl_sf_ellint_Ecomp), to twenty digits: a table by k read as one by m is 8 %
// off at 0.5.
func TestGirthByTheArgument(t *testing.T) {
	for k, e := range map[float64]float64{
		0.01: 1.5707570561503852873, 0.5: 1.4674622093394271555, 0.99: 1.0284758090288040010,
	} {
		if got := Girth(2, 2*math.Sqrt((1-k)*(1+k))); math.Abs(got-4*e) > 1e-12 {
			t.Errorf("k %g: %.15f, want %.15f", k, got, 4*e)
		}
	}
}
