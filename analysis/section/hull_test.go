package section

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// sortedHull is Hull by sorting alone.
func sortedHull(points []r2.Vec) []r2.Vec {
	points = slices.Compact(sorted(points))
	out := halfHull(nil, points)
	slices.Reverse(points)
	return halfHull(out, points)
}

// Loops round their middle, stars with spikes and near-circles, have the hull
// that sorting gives, whichever way round they go and wherever they begin.
func TestHullOfLoopsRoundTheirMiddle(t *testing.T) {
	random := rand.New(rand.NewPCG(20261129, 1))
	scanned := 0
	for round := range 500 {
		n := 3 + random.IntN(400)
		depth := []float64{0, 1e-9, 0.01, 0.5, 0.95}[round%5]
		middle := r2.Vec{X: 1000 * random.Float64(), Y: -50}
		points := make([]r2.Vec, n)
		for i := range points {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.3*random.Float64()) / float64(n))
			r := 60 * (1 - depth*random.Float64())
			points[i] = r2.Add(middle, r2.Vec{X: r * cos, Y: 0.7 * r * sin})
		}
		if round%2 == 1 {
			slices.Reverse(points)
		}
		k := random.IntN(n)
		points = append(points[k:len(points):len(points)], points[:k]...)
		before := slices.Clone(points)
		got, want := Hull(points), sortedHull(points)
		if !slices.Equal(points, before) {
			t.Fatal("the points were moved")
		}
		if !slices.Equal(got, want) {
			t.Fatalf("round %d: %d corners, want %d: %v, %v", round, len(got), len(want), got, want)
		}
		if turn := aroundMiddle(points); turn != 0 {
			scanned++
			if (turn < 0) != (round%2 == 1) {
				t.Fatalf("round %d goes the other way", round)
			}
		}
	}
	if scanned < 400 {
		t.Errorf("%d of 500 are loops round their middle, which tests little", scanned)
	}
}

// Loops that step back, go round twice or not at all, or touch their middle are
// none, and their hulls come by sorting.
func TestNotRoundTheirMiddle(t *testing.T) {
	circle := func(n, turns int, hook float64) []r2.Vec {
		points := make([]r2.Vec, n)
		for i := range points {
			angle := 2 * math.Pi * float64(i*turns) / float64(n)
			if i == n/2 {
				angle += hook
			}
			sin, cos := math.Sincos(angle)
			points[i] = r2.Vec{X: 10 * cos, Y: 10 * sin}
		}
		return points
	}
	for name, c := range map[string]struct {
		points []r2.Vec
		want   int
	}{
		"once":         {circle(40, 1, 0), 1},
		"twice":        {circle(41, 2, 0), 0},
		"hook":         {circle(40, 1, 0.3), 0},
		"nothing":      {nil, 0},
		"two":          {[]r2.Vec{{}, {X: 1}}, 0},
		"line":         {[]r2.Vec{{}, {X: 1}, {X: 2}, {X: 1}}, 0},
		"its middle":   {append(circle(40, 1, 0), r2.Vec{}), 0},
		"repeated":     {append(circle(40, 1, 0), r2.Vec{X: 10}), 0},
		"not a number": {append(circle(40, 1, 0), r2.Vec{X: math.NaN()}), 0},
		"aside":        {[]r2.Vec{{X: 100}, {X: 101}, {X: 101, Y: 1}, {X: 100, Y: 1}}, 1},
		"a bow":        {[]r2.Vec{{X: 0}, {X: 9}, {X: 9, Y: 9}, {X: 8, Y: 1}, {X: 1, Y: 1}, {Y: 9}}, 0},
	} {
		if got := aroundMiddle(c.points); got != c.want {
			t.Errorf("%s: %d, want %d", name, got, c.want)
		}
	}
}
