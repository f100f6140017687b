package cost

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// Closed form of v(t) = v0 + a·t and v² = v0² + 2·a·d (uniform acceleration, any
// textbook of mechanics), worked by hand.
func TestMoveTimes(t *testing.T) {
	for _, c := range []struct{ d, v, a, from, to, want float64 }{
		{100, 100, 1000, 0, 0, 1.1},
		{5, 100, 1000, 0, 0, 0.141421356},
		{10, 100, 1000, 0, 0, 0.2},
		{50, 100, 2000, 20, 30, 0.52825},
		{1, 60, 500, 0, 0, 0.089442719},
		{200, 150, 3000, 5, 5, 1.380055556},
		{2, 150, 3000, 5, 5, 0.048413916},
		{0, 150, 3000, 5, 5, 0},
		{4.5, 60, 100, 0, 30, 0.3},              // speeding up alone
		{4.5, 60, 1, 0, 30, 0.3},                // ends that do not join: at their mean
		{60, 60, 1500, 60, 60, 1},               // even
		{60, 30, 1500, 60, 60, 2},               // ends above what is allowed
		{2 * 1500 * 0.01, 60, 1500, 0, 0, .540}, // 30 mm: 0.46 s even, two ramps of 0.04 s
	} {
		if got := moveTime(c.d, c.v, c.a, c.from, c.to); !(math.Abs(got-c.want) <= 1e-8) {
			t.Errorf("%g mm at %g mm/s, %g mm/s², from %g to %g: %.9f s, want %.9f", c.d, c.v, c.a, c.from, c.to, got, c.want)
		}
	}
}

// Legs of a zigzag, 10 mm from rest to rest at 3000 mm/s²: they reach 173.2051 mm/s, and
// 122.4745 where the firmware lets them speed up by half of that only (accel-to-decel,
// half by its default; both from the peak √(a·d) of the rule above). We reckon with the
// whole, so that each leg of a fill as fast takes less here, by 1 − 1/√2 at most.
func TestZigzagLimit(t *testing.T) {
	const d, a = 10, 3000
	for by, want := range map[float64]float64{a: 173.2051, a / 2: 122.4745} {
		took := moveTime(d, 1e4, by, 0, 0)
		if peak := by * took / 2; math.Abs(peak-want) > 1e-4 {
			t.Errorf("%g mm/s²: %.4f mm/s, want %.4f", by, peak, want)
		}
		// What is asked up to that speed is reached, what is asked beyond is not.
		if slower := moveTime(d, want*0.99, by, 0, 0); !(slower > took) {
			t.Errorf("%g mm/s²: %.6f s below the limit, %.6f s at it", by, slower, took)
		}
		if faster := moveTime(d, want*1.01, by, 0, 0); math.Abs(faster-took) > 1e-12 {
			t.Errorf("%g mm/s²: %.6f s beyond the limit, %.6f s at it", by, faster, took)
		}
	}
}

// Worked from the formula of an open printer firmware, for a corner speed of
// 5 mm/s and 3000 mm/s², between moves that are long.
func TestJunctionSpeeds(t *testing.T) {
	for turn, want := range map[float64]float64{
		10: 52.066660, 20: 25.908775, 30: 17.133314, 45: 11.210865, 60: 8.181562,
		90: 5, 120: 3.217971, 135: 2.533658, 150: 1.901596,
	} {
		sin, cos := math.Sincos(turn * math.Pi / 180)
		for _, side := range []float64{1, -1} {
			got := junctionSpeed(r2.Vec{X: 1}, r2.Vec{X: cos, Y: side * sin}, 1e6, 1e6, 3000)
			if !(math.Abs(got-want) <= 1e-5) {
				t.Errorf("turn of %g°: %.6f mm/s, want %.6f", turn, got, want)
			}
		}
	}
	if v := junctionSpeed(r2.Vec{X: 1}, r2.Vec{X: 1}, 1, 1, 3000); !math.IsInf(v, 1) {
		t.Errorf("straight on at %g mm/s", v)
	}
	if v := junctionSpeed(r2.Vec{X: 1}, r2.Vec{X: -1}, 1, 1, 3000); v != 0 {
		t.Errorf("back again at %g mm/s", v)
	}
}

func ringPoints(n int, r float64) []r2.Vec {
	var out []r2.Vec
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out = append(out, r2.Vec{X: r * cos, Y: r * sin})
	}
	return out
}

// The same formula on polygons of radius 50: the corners of fine ones are held
// back by their short sides, those of very fine ones by a·r, as on a circle.
func TestJunctionSpeedsOfPolygons(t *testing.T) {
	for n, want := range map[int]float64{64: 92.663595, 128: 185.397019, 360: 387.290961} {
		p := ringPoints(n, 50)
		u, w := r2.Sub(p[1], p[0]), r2.Sub(p[2], p[1])
		d := r2.Norm(u)
		got := junctionSpeed(r2.Scale(1/d, u), r2.Scale(1/d, w), d, d, 3000)
		if !(math.Abs(got-want) <= 1e-4) {
			t.Errorf("%d sides: %.6f mm/s, want %.6f", n, got, want)
		}
	}
}

// A ring that no corner holds back takes its length at speed, and one ramp's
// worth more: v/2a at the start and the same at the end.
func TestRingTimeByHand(t *testing.T) {
	p := ringPoints(64, 50)
	length := 2 * 64 * 50 * math.Sin(math.Pi/64)
	got, _ := runTime(p, true, 60, 3000, nil)
	if want := length/60 + 60.0/3000; !(math.Abs(got-want) <= 1e-9) {
		t.Errorf("%.9f s, want %.9f", got, want)
	}
	// One side of a square after the other, each from 5 to 5 mm/s, the first from
	// rest and the last to rest.
	square := []r2.Vec{{}, {X: 100}, {X: 100, Y: 100}, {Y: 100}}
	got, _ = runTime(square, true, 60, 3000, nil)
	even := func(from, to float64) float64 {
		return (60-from)/3000 + (60-to)/3000 + (100-(60*60-from*from)/6000-(60*60-to*to)/6000)/60
	}
	if want := even(0, 5) + 2*even(5, 5) + even(5, 0); !(math.Abs(got-want) <= 1e-9) {
		t.Errorf("square: %.9f s, want %.9f", got, want)
	}
}

// Second route: at every place the speed is the least that any corner, ahead or
// behind, allows there: v² ≤ its v² + 2·a·distance. Summed over small steps.
func TestRunTimeAgainstEnvelope(t *testing.T) {
	const seed = 11
	rnd := rand.New(rand.NewPCG(seed, 0))
	for range runs {
		points := []r2.Vec{{}}
		for range 3 + rnd.IntN(20) {
			step := math.Exp(4*rnd.Float64() - 2)
			sin, cos := math.Sincos(rnd.Float64() * 2 * math.Pi)
			points = append(points, r2.Add(points[len(points)-1], r2.Vec{X: step * cos, Y: step * sin}))
		}
		v, a := 20+150*rnd.Float64(), 300+4000*rnd.Float64()
		got, _ := runTime(points, false, v, a, nil)
		want := envelopeTime(points, v, a)
		if !(math.Abs(got-want) <= 2e-3*want) {
			t.Fatalf("seed %d: %d points at %.1f mm/s, %.0f mm/s²: %.5f s, want %.5f", seed, len(points), v, a, got, want)
		}
	}
}

func envelopeTime(points []r2.Vec, v, a float64) float64 {
	places, limits := []float64{0}, []float64{0}
	var along float64
	for i := 1; i < len(points); i++ {
		u := r2.Sub(points[i], points[i-1])
		d := r2.Norm(u)
		along += d
		limit := 0.0
		if i+1 < len(points) {
			w := r2.Sub(points[i+1], points[i])
			limit = min(v, junctionSpeed(r2.Unit(u), r2.Unit(w), d, r2.Norm(w), a))
		}
		places, limits = append(places, along), append(limits, limit)
	}
	var sum float64
	for k := range steps {
		x := along * (float64(k) + 0.5) / steps
		fast := v * v
		for i, p := range places {
			fast = min(fast, limits[i]*limits[i]+2*a*math.Abs(x-p))
		}
		sum += along / steps / math.Sqrt(fast)
	}
	return sum
}
