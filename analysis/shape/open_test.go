package shape

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

func TestGutterSection(t *testing.T) {
	for _, g := range []Gutter{
		{Bottom: 70, Top: 85, Wall: 3, Height: 200, Arc: 240},
		{Bottom: 70, Top: 70, Wall: 3, Height: 200, Arc: 180},
		{Bottom: 70, Top: 70, Wall: 6, Height: 90, Arc: 300},
	} {
		m := g.Mesh()
		z := 0.37 * g.Height
		cut := rings(m, r3.Vec{Z: z}, r3.Vec{Z: 1})
		if len(cut) != 1 {
			t.Fatalf("%v: %d loops, want 1: the wall is one piece", g, len(cut))
		}
		// Once round the wall: inside, outside and two flat rims.
		outer := (g.Radius(z) + g.Wall) * g.Arc * math.Pi / 180
		near(t, "round the wall", cut[0].length(), g.Girth(z)+outer+2*g.Wall, 1e-3)
		// The edges of the rims: the two inner points nearest the gap.
		near(t, "gap", gap(cut[0]), g.Gap(z), 1e-3)
	}
	round := Gutter{Bottom: 70, Top: 70, Wall: 8, Height: 90, Arc: 240, Round: true}
	near(t, "round gap", gap(rings(round.Mesh(), r3.Vec{Z: 40}, r3.Vec{Z: 1})[0]), round.Gap(40), 1e-3)
}

// gap returns the least distance across the plane x = 0 on the side −y.
func gap(r ring) float64 {
	best := math.Inf(1)
	for _, p := range r {
		for _, q := range r {
			if p.X < -1 && q.X > 1 && p.Y < 1e-3 && q.Y < 1e-3 {
				best = min(best, math.Hypot(p.X-q.X, p.Y-q.Y))
			}
		}
	}
	return best
}

// TestGutterEllipseIsTheGreatestHeld holds the formula against a search. Stretched so that an
// ellipse of some aspect and tilt becomes a circle, the wall becomes another
// curve; circles that are held on all sides are the critical points of the
// distance to it: its peaks inside, and the middle between the edges where
// these are the nearest wall. The greatest of them over all aspects and tilts
// must be the formula's.
func TestGutterEllipseIsTheGreatestHeld(t *testing.T) {
	for _, arc := range []float64{180, 200, 240, 270} {
		g := Gutter{Bottom: 1, Top: 1, Height: 1, Arc: arc}
		want, shift := g.Ellipse(0)
		best := 0.0
		for aspect := 1.0; aspect >= 0.4999; aspect -= 0.025 {
			for tilt := 0.0; tilt < 179; tilt += 15 {
				best = max(best, heldGirth(arc, aspect, tilt*math.Pi/180))
			}
		}
		near(t, fmt.Sprintf("greatest girth in %g°", arc), best, want.Girth(), 0.012)
		// It touches the back, and the edges lie on it.
		near(t, "back", want.A-shift, 1, 1e-9)
		sin, cos := math.Sincos(math.Pi - arc/2*math.Pi/180)
		near(t, "edge on the ellipse", math.Pow((cos-shift)/want.A, 2)+math.Pow(sin/want.B, 2), 1, 1e-9)
	}
	if e, _ := (Gutter{Bottom: 50, Top: 50, Height: 1, Arc: 180}).Ellipse(0); math.Abs(e.A-50) > 1e-9 || math.Abs(e.B-50) > 1e-9 {
		t.Errorf("a half shell holds %v, want its own circle", e)
	}
}

// heldGirth returns the greatest girth of an ellipse of this aspect and tilt
// that the unit gutter, open toward +x, holds on all sides.
func heldGirth(arc, aspect, tilt float64) float64 {
	sin, cos := math.Sincos(tilt)
	stretch := func(p r2.Vec) r2.Vec { // the long axis counts 1, the short one 1/aspect
		return r2.Vec{X: cos*p.X + sin*p.Y, Y: (cos*p.Y - sin*p.X) / aspect}
	}
	const n = 240
	half := arc / 2 * math.Pi / 180
	wall := make([]r2.Vec, n+1)
	for k := range wall {
		s, c := math.Sincos(math.Pi - half + 2*half*float64(k)/n)
		wall[k] = stretch(r2.Vec{X: c, Y: s})
	}
	distance := func(p r2.Vec) float64 {
		d := math.Inf(1)
		for _, q := range wall {
			d = min(d, r2.Norm2(r2.Sub(p, q)))
		}
		return math.Sqrt(d)
	}
	// Climb to the peak from inside, with ever smaller steps.
	p := stretch(r2.Vec{X: -0.2})
	best := distance(p)
	for step := 0.2; step > 1e-3; {
		moved := false
		for k := range 12 {
			s, c := math.Sincos(float64(k) * math.Pi / 6)
			q := r2.Add(p, r2.Vec{X: step * c, Y: step * s})
			// Outside the gate the wall no longer holds it.
			if d := distance(q); d > best && held(q, wall) {
				p, best, moved = q, d, true
			}
		}
		if !moved {
			step /= 2
		}
	}
	if !held(p, wall) {
		best = 0
	}
	gate := r2.Scale(0.5, r2.Add(wall[0], wall[n]))
	if d := distance(gate); d > r2.Norm(r2.Sub(gate, wall[0]))-1e-9 {
		best = max(best, d)
	}
	return Ellipse{A: best, B: best * aspect}.Girth()
}

// held reports whether p lies on the wall's side of the gate between its ends.
func held(p r2.Vec, wall []r2.Vec) bool {
	first, last := wall[0], wall[len(wall)-1]
	side := func(q r2.Vec) float64 { return r2.Cross(r2.Sub(last, first), r2.Sub(q, first)) }
	return side(p)*side(wall[len(wall)/2]) >= 0
}
