package section

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// A regular n-gon of radius r has the perimeter 2·n·r·sin(π/n).
func TestTubeGirth(t *testing.T) {
	m := tube(24, 50, 40, 30)
	s := Cut(m, Plane{Point: r3.Vec{Z: 11}, Normal: r3.Vec{Z: 2}})
	if len(s.Chains) != 2 {
		t.Fatalf("%d chains, want 2", len(s.Chains))
	}
	for _, c := range s.Chains {
		r, sign := 50.0, 1.0
		if c.Area() < 0 {
			r, sign = 40, -1
		}
		got, want := c.Length(), 2*24*r*math.Sin(math.Pi/24)
		if !c.Closed || math.Abs(got-want) > 1e-4 {
			t.Errorf("radius %g: girth %.6f, want %.6f", r, got, want)
		}
		area := sign * 24 * r * r * math.Sin(2*math.Pi/24) / 2
		if got := c.Area(); math.Abs(got-area) > 1e-3 {
			t.Errorf("radius %g: area %.6f, want %.6f", r, got, area)
		}
	}
}
