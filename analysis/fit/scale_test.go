package fit

import (
	"math"
	"testing"
)

// Where a margin turns does not depend on where the search sets out, not even from
// what is no scale.
func TestTurnFromAnywhere(t *testing.T) {
	for _, want := range []float64{0.31, 1, 2.5} {
		for _, start := range []float64{1, 0.2, 9, 0, -0.014, math.Inf(-1), math.Inf(1), math.NaN()} {
			if got := turn(start, 1e-6, func(f float64) float64 { return f - want }); math.Abs(got/want-1) > 2e-6 {
				t.Errorf("from %g: turns at %g, want %g", start, got, want)
			}
		}
		if got := turn(-1, 1e-6, func(float64) float64 { return -1 }); !math.IsInf(got, 1) {
			t.Errorf("what never turns does at %g", got)
		}
	}
}
