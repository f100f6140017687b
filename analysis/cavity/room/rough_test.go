package room

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// Straightened walls keep every end of a wall within the tolerance, begin and end
// chains where they did, and are few where walls hardly bend.
func TestStraightenedWallsStayWithinTheTolerance(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 5))
	for i := range 40 {
		walls := ring(star(random, 40+random.IntN(200)))
		if i%3 == 0 {
			walls = walls[5:] // open
		}
		walls = append(walls, Wall{{X: 3, Y: 4}, {X: 3, Y: 9}}) // one alone
		tolerance := []float64{0, 0.01, 0.5, 3}[i%4]
		got := straightened(walls, tolerance)
		if len(got) > len(walls) || got[len(got)-1] != walls[len(walls)-1] || got[0][0] != walls[0][0] || got[len(got)-2][1] != walls[len(walls)-2][1] {
			t.Errorf("%d: %d walls of %d, %v to %v", i, len(got), len(walls), got[0], got[len(got)-1])
		}
		for _, w := range walls {
			near := math.Inf(1)
			for _, g := range got {
				s := sideOf(g[0], g[1])
				near = min(near, r2.Norm(r2.Sub(w[0], s.nearest(w[0]))))
			}
			if near > tolerance+1e-9 {
				t.Fatalf("%d: a wall is %g mm off, allowed %g (seed %d)", i, near, tolerance, seed)
			}
		}
	}
	// A circle of radius r keeps chords of sagitta s or less: r(1 − cos(π/n)) ≤ s
	// for halves of a half, which are a power of two in number.
	if n := len(straightened(ring(ellipse(50, 50, 1024)), 0.1)); n != 64 {
		t.Errorf("a circle of 50 mm within 0.1 mm has %d walls, want 64", n)
	}
	if got := straightened(nil, 1); got != nil {
		t.Errorf("got %v of nothing", got)
	}
}

// A gutter of a little more than half a turn holds its own circle: its walls are
// not straightened, which would turn the last of them by some degrees.
func TestGuttersOfHardlyMoreThanHalfATurn(t *testing.T) {
	for _, degrees := range []float64{182, 183, 184} {
		got, ok := Largest(arc(degrees, 720), []r2.Vec{{X: 5, Y: -10}}, [2]float64{1, 1})
		if !ok || math.Abs(got.Girth/Girth(100, 100)-1) > 1e-3 {
			t.Errorf("%g°: circle of girth %.3f, want %.3f", degrees, got.Girth, Girth(100, 100))
		}
	}
}
