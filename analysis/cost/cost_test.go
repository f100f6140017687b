package cost

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

var upright = r3.Vec{Z: 1}

func near1(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: got %.6g, want %.6g within %g %%", what, got, want, 100*share)
	}
}

// A block of a × b × h: walls of the width r leave (a−2r)·(b−2r) inside, of
// which four layers below and four above are filled whole.
func TestBlockByHand(t *testing.T) {
	s := plain()
	c := Of(box(r3.Vec{X: 5, Y: -3, Z: 7}, r3.Vec{X: 45, Y: 27, Z: 27}), upright, s, 1)
	inside := (40 - 2.4) * (30 - 2.4)
	if c.Layers != 100 {
		t.Errorf("%d layers, want 100", c.Layers)
	}
	near1(t, "walls", c.Walls.Volume, (40*30-inside)*20, 1e-5)
	near1(t, "solid", c.Solid.Volume, inside*1.6, 1e-5)
	near1(t, "infill", c.Infill.Volume, inside*(20-1.6)*0.15, 1e-5)
	near1(t, "grams", c.Grams, c.Volume()*1.24/1000, 1e-12)
	// 1.75 mm filament of 1.24 g/cm³ weighs 2.9825 g a metre.
	near1(t, "metres", c.Metres, c.Grams/2.9825, 1e-4)
}

func TestTubeOfWallsAlone(t *testing.T) {
	s := plain()
	for _, wall := range []float64{0.8, 1.6, 2.4, 3} {
		m := tube(256, 60, 60-wall, 40)
		near1(t, "volume", Of(m, upright, s, 1).Volume(), m.Volume(), 2e-3)
	}
}
func TestSampling(t *testing.T) {
	for _, up := range []r3.Vec{{Z: 1}, {X: 1}, {X: 1, Y: 2, Z: 3}} {
		m := limb(96, 60)
		st, _ := stackOf(m, up, plain())
		all := make([]int, st.layers)
		for i := range all {
			all[i] = i
		}
		want, got := st.cost(all, 2), Of(m, up, plain(), 2)
		t.Logf("%+v\n%+v vol %g", want, got, m.Volume())
		near1(t, "hours", got.Hours, want.Hours, 0.01)
		near1(t, "grams", got.Grams, want.Grams, 0.01)
	}
}

func BenchmarkOf(b *testing.B) {
	for _, n := range []int{72, 230, 710} {
		m := limb(n, n*20000/72/72/4)
		b.Run("", func(b *testing.B) {
			b.ReportMetric(float64(m.Triangles()), "triangles")
			for b.Loop() {
				Of(m, r3.Vec{Z: 1}, plain(), 2)
			}
		})
	}
}
