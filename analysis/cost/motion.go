package cost

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// moveTime returns the seconds that a straight move of d mm takes that begins
// at the speed from and ends at to (mm/s), reaches v at most and speeds up and
// slows down by a (mm/s²): v(t) = v0 + a·t, v² = v0² + 2·a·d, with no even
// stretch where d is too short for it. Ends that a cannot join over d are taken
// at their mean speed.
func moveTime(d, v, a, from, to float64) float64 {
	if d <= 0 {
		return 0
	}
	from, to = min(from, v), min(to, v)
	peak := math.Sqrt((2*a*d + from*from + to*to) / 2)
	switch {
	case peak < max(from, to):
		return 2 * d / (from + to)
	case peak <= v:
		return (2*peak - from - to) / a
	}
	ramps := (2*v*v - from*from - to*to) / (2 * a)
	return (2*v-from-to)/a + (d-ramps)/v
}

// junctionSpeed returns how fast a printer goes from a move along the unit
// vector u, of length d, to one along w of length e. It takes the corner as an
// arc that leaves it by no more than a corner of 90° at cornerSpeed does, and
// not faster than an arc that ends within half of either move:
//
//	s = sin(θ/2), θ the angle between the moves, 180° where it goes straight on
//	v² = min(a·J·s/(1−s), ½·d·tan(θ/2)·a, ½·e·tan(θ/2)·a), J = cornerSpeed²·(√2−1)/a
//
// It is the corner rule of open printer firmware, as read in its public source.
func junctionSpeed(u, w r2.Vec, d, e, a float64) float64 {
	cos := -r2.Dot(u, w)
	s := math.Sqrt(max(0, 0.5*(1-cos)))
	half := math.Sqrt(max(0, 0.5*(1+cos)))
	if half < 1e-6 {
		return math.Inf(1) // straight on
	}
	centripetal := 0.5 * min(d, e) * s / half * a
	leaves := cornerSpeed * cornerSpeed * (math.Sqrt2 - 1)
	// 1−s as half²/(1+s), which keeps its digits near the straight.
	return math.Sqrt(min(leaves*s*(1+s)/(half*half), centripetal))
}

// runTime returns the seconds that a run along points takes, from rest to rest,
// at v mm/s at most; a closed one goes back to its first point. speeds is used
// as memory and returned.
func runTime(points []r2.Vec, closed bool, v, a float64, speeds []float64) (float64, []float64) {
	n := len(points)
	moves := n - 1
	if closed {
		moves = n
	}
	if moves < 1 {
		return 0, speeds
	}
	move := func(i int) (u r2.Vec, d float64) {
		to := i + 1
		if to == n {
			to = 0
		}
		u = r2.Sub(points[to], points[i])
		return u, math.Sqrt(u.X*u.X + u.Y*u.Y)
	}
	step := func(i int) (u r2.Vec, d float64) {
		if u, d = move(i); d > 0 {
			u = r2.Scale(1/d, u)
		}
		return u, d
	}
	// Forward: as fast as the corner allows and as can be reached from before.
	speeds = append(speeds[:0], 0)
	u, d := step(0)
	for i := 1; i < moves; i++ {
		w, e := step(i)
		last := speeds[i-1]
		speeds = append(speeds, min(v, junctionSpeed(u, w, d, e, a), math.Sqrt(last*last+2*a*d)))
		u, d = w, e
	}
	// Backward: as slow as it must be to come to rest in time.
	var sum, next float64
	for i := moves - 1; i >= 0; i-- {
		_, d := move(i)
		at := min(speeds[i], math.Sqrt(next*next+2*a*d))
		sum += moveTime(d, v, a, at, next)
		next = at
	}
	return sum, speeds
}
