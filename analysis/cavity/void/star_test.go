package void

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// roughLoop is a closed loop round a middle whose corners lie between two
// radii, either way round, from any corner on; every now and then a corner lies
// on the one before, or steps back, and some go round twice.
func roughLoop(random *rand.Rand, middle r2.Vec, least, most float64) []Wall {
	n := 3 + random.IntN(60)
	var corners []r2.Vec
	at, round := 2*math.Pi*random.Float64(), 2*math.Pi
	if random.IntN(50) == 0 {
		round *= 2
	}
	for range n {
		sin, cos := math.Sincos(at)
		radius := least + (most-least)*random.Float64()
		p := r2.Add(middle, r2.Vec{X: radius * cos, Y: radius * sin})
		switch random.IntN(200) {
		case 0: // twice the same
			corners = append(corners, p)
		case 1: // nearly the same
			corners = append(corners, r2.Add(p, r2.Vec{X: unit * random.NormFloat64(), Y: unit * random.NormFloat64()}))
		case 2: // back again
			if len(corners) > 1 {
				p = corners[len(corners)-2]
			}
		case 3: // on the ray of the last
			if len(corners) > 0 {
				p = r2.Scale(0.5+random.Float64(), corners[len(corners)-1])
			}
		}
		corners = append(corners, p)
		at += round / float64(n)
	}
	if random.IntN(2) == 0 {
		for i, j := 0, len(corners)-1; i < j; i, j = i+1, j-1 {
			corners[i], corners[j] = corners[j], corners[i]
		}
	}
	return loop(corners...)
}

// tightLoops are two loops round the origin of few spots, the outer one a unit
// or so off: nearly every one has something that touches.
func tightLoops(random *rand.Rand, most int) []Wall {
	round := func(spots []r2.Vec) []Wall {
		slices.SortStableFunc(spots, func(a, b r2.Vec) int {
			return cmp.Compare(math.Atan2(a.Y, a.X), math.Atan2(b.Y, b.X))
		})
		return loop(spots...)
	}
	var inner, outer []r2.Vec
	for range 4 + random.IntN(1+3*most/2) {
		p := r2.Vec{X: float64(random.IntN(2*most+1) - most), Y: float64(random.IntN(2*most+1) - most)}
		inner = append(inner, p)
		for range random.IntN(3) {
			q := r2.Add(p, r2.Scale(float64(random.IntN(4)), r2.Vec{X: float64(cmp.Compare(p.X, 0)), Y: float64(cmp.Compare(p.Y, 0))}))
			outer = append(outer, r2.Add(q, r2.Vec{X: float64(random.IntN(3) - 1), Y: float64(random.IntN(3) - 1)}))
		}
	}
	walls := round(inner)
	if len(outer) > 2 {
		walls = append(walls, round(outer)...)
	}
	for i := range walls {
		walls[i] = Wall{r2.Scale(unit, walls[i][0]), r2.Scale(unit, walls[i][1])}
	}
	return walls
}

// sameFace fails unless the quick way finds nothing, or what the arrangement
// finds, to the bit. It reports whether it found anything.
func sameFace(t *testing.T, quick, plain *Finder, walls []Wall, at r2.Vec) bool {
	t.Helper()
	got, ok := quick.stars.face(walls, at)
	if !ok {
		return false
	}
	want, stands := plain.arranged(walls, at, 0) // nothing is loose but loops as thin as a unit
	require.True(t, stands, "%v from %v", walls, at)
	require.Equal(t, want, voidOf(got, at, false), "%v from %v", walls, at)
	return true
}

// The quick way finds what the arrangement finds, in walls of two skins, with
// other loops beside, inside and across, doubled and folded ones: as large as
// parts are, and so small that much lies within a unit.
func TestSeenAllIsArranged(t *testing.T) {
	const all = 20000
	var quick, plain Finder
	for _, units := range []float64{40 / unit, 400, 20} {
		random := rand.New(rand.NewPCG(20261129, 1))
		size := units * unit / 40
		found := 0
		for range all {
			outer := 1 + 0.6*random.Float64()
			walls := roughLoop(random, r2.Vec{}, 40-20*random.Float64(), 40)
			walls = append(walls, roughLoop(random, r2.Vec{X: random.NormFloat64()}, 40*outer, 42*outer)...)
			for range random.IntN(4) {
				beside := r2.Vec{X: 40 * random.NormFloat64(), Y: 40 * random.NormFloat64()}
				walls = append(walls, roughLoop(random, beside, 1, 2+20*random.Float64())...)
			}
			if random.IntN(8) == 0 {
				walls = append(walls, walls[:len(walls)/2]...)
			}
			for i := range walls {
				walls[i] = Wall{r2.Scale(size, walls[i][0]), r2.Scale(size, walls[i][1])}
			}
			at := r2.Vec{X: 5 * size * random.NormFloat64(), Y: 5 * size * random.NormFloat64()}
			if sameFace(t, &quick, &plain, walls, at) {
				found++
			}
		}
		if found < all/50 || found > all*7/8 {
			t.Errorf("%d of %d were seen whole: the test shows little", found, all)
		}
	}
	for _, most := range []int{4, 8, 30} {
		random := rand.New(rand.NewPCG(20261129, 2))
		found := 0
		for range 2 * all {
			if sameFace(t, &quick, &plain, tightLoops(random, most), r2.Vec{}) {
				found++
			}
		}
		if found < all/200 {
			t.Errorf("%d of tight loops were seen whole: the test shows little", found)
		}
	}
}

// What lies within two units of a loop is left to the arrangement: a corner
// beside a spike, on either side, and a loop that crosses itself there.
func TestNearLoopsAreArranged(t *testing.T) {
	mirrored := func(spots []spot) (out []spot) {
		for _, s := range spots {
			out = append(out, spot{s.x, -s.y})
		}
		return out
	}
	spike := []spot{{100, 0}, {40, 1}, {0, 40}, {-40, 0}, {0, -40}}
	corner := []spot{{70, 2}, {200, 5}, {200, 50}}
	crossing := []spot{{10, -6}, {8, -4}, {1, 8}, {0, 8}}
	five := []spot{{-5, -7}, {5, -8}, {7, -3}, {0, 5}, {-5, 8}}
	far := []spot{{70, 12}, {200, 15}, {200, 50}}
	for name, c := range map[string]struct {
		own, other []spot
		found      bool
	}{
		"beside a spike":       {own: spike, other: corner},
		"beside its other":     {own: mirrored(spike), other: mirrored(corner)},
		"crossing itself":      {own: five, other: crossing},
		"further from a spike": {own: spike, other: far, found: true},
	} {
		t.Run(name, func(t *testing.T) {
			var walls []Wall
			for _, spots := range [][]spot{c.own, c.other} {
				var corners []r2.Vec
				for _, s := range spots {
					corners = append(corners, s.at())
				}
				walls = append(walls, loop(corners...)...)
			}
			var quick, plain Finder
			require.Equal(t, c.found, sameFace(t, &quick, &plain, walls, r2.Vec{}))
		})
	}
}
