package picture

import (
	"math"
	"testing"
)

func TestTicksAreRound(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		most      int
		step      float64
	}{{0, 100, 10, 10}, {0, 100, 9, 20}, {290, 310, 7, 5}, {0, 0.7, 7, 0.1}, {0, 12345, 9, 2000}} {
		a := Axis{c.low, c.high, 0, 1}
		if got := a.Step(c.most); math.Abs(got-c.step) > 1e-12 {
			t.Errorf("%v to %v in %d: step %v, want %v", c.low, c.high, c.most, got, c.step)
		}
		for _, v := range a.Ticks(c.step) {
			if v < c.low-1e-9 || v > c.high+1e-9 {
				t.Errorf("tick %v outside %v to %v", v, c.low, c.high)
			}
		}
	}
	for _, c := range []struct {
		v, step float64
		text    string
	}{{math.Copysign(0, -1), 10, "0"}, {0.3, 0.1, "0.3"}, {1e6, 1e5, "1000000"}, {-10, 5, "-10"}} {
		if got := TickText(c.v, c.step); got != c.text {
			t.Errorf("%v by %v: %q, want %q", c.v, c.step, got, c.text)
		}
	}
}
