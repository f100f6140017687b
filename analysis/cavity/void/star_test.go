package void

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// roughLoop is a closed loop round a middle whose corners lie between two
// radii, either way round, from any corner on; every now and then a corner lies
// on the one before, or steps back.
func roughLoop(random *rand.Rand, middle r2.Vec, least, most float64) []Wall {
	n := 3 + random.IntN(60)
	var corners []r2.Vec
	at := 2 * math.Pi * random.Float64()
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
		at += 2 * math.Pi / float64(n)
	}
	if random.IntN(2) == 0 {
		for i, j := 0, len(corners)-1; i < j; i, j = i+1, j-1 {
			corners[i], corners[j] = corners[j], corners[i]
		}
	}
	return loop(corners...)
}

// The quick way finds what the arrangement finds, to the bit, in walls of two
// skins, with other loops beside, inside and across, doubled and folded ones.
func TestSeenAllIsArranged(t *testing.T) {
	random := rand.New(rand.NewPCG(20261129, 1))
	var quick, plain Finder
	found, all := 0, 4000
	for n := range all {
		var walls []Wall
		outer := 1 + 0.6*random.Float64()
		walls = append(walls, roughLoop(random, r2.Vec{}, 40-20*random.Float64(), 40)...)
		walls = append(walls, roughLoop(random, r2.Vec{X: random.NormFloat64()}, 40*outer, 42*outer)...)
		for range random.IntN(4) {
			far := r2.Vec{X: 40 * random.NormFloat64(), Y: 40 * random.NormFloat64()}
			walls = append(walls, roughLoop(random, far, 1, 2+20*random.Float64())...)
		}
		if random.IntN(8) == 0 {
			walls = append(walls, walls[:len(walls)/2]...)
		}
		at := r2.Vec{X: 5 * random.NormFloat64(), Y: 5 * random.NormFloat64()}
		got, ok := quick.stars.face(walls, at)
		if !ok {
			continue
		}
		found++
		want, stands := plain.arranged(walls, at, 3)
		require.True(t, stands, "case %d", n)
		require.Equal(t, want, voidOf(got, at, false), "case %d", n)
	}
	if found < all/8 || found > all*7/8 {
		t.Errorf("%d of %d were seen whole: the test shows little", found, all)
	}
}
