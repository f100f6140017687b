package likeness

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// family returns shapes of a few makes, each turned, moved, mirrored, rescaled or
// stretched anyhow, in files of coarse and of fine places.
func family(t testing.TB, rng *rand.Rand, makes, each int) []Signature {
	t.Helper()
	var all []Signature
	for n := range makes {
		drawn := lump(rng)
		switch n % 4 {
		case 1:
			drawn = shape.Tube{Sides: 24 + 4*n, Radius: 20 + 5*rng.Float64(), Wall: 3, Height: 60}.Mesh()
		case 2:
			drawn = shape.Bar{X: 60 + 20*rng.Float64(), Y: 20, Z: 10}.Mesh()
		}
		for range each {
			m := drawn
			if rng.IntN(2) == 0 {
				m = m.Scaled(0.8 + 0.4*rng.Float64())
			}
			if rng.IntN(4) == 0 {
				x, z := 0.8+0.4*rng.Float64(), 0.8+0.4*rng.Float64()
				m = m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: x * p.X, Y: p.Y, Z: z * p.Z} })
			}
			if rng.IntN(3) == 0 {
				m = shape.Mirror(m)
			}
			if rng.IntN(2) == 0 {
				m = shape.Turn(m, shape.Rotation(rng.Uint64()))
			}
			if rng.IntN(2) == 0 {
				m = shape.Offset(m, vecOf(rng, 30))
			}
			if rng.IntN(2) == 0 {
				m = shape.Shuffle(m, rng.Uint64())
			}
			if rng.IntN(3) == 0 {
				m = coarse(m)
			}
			all = append(all, Of(saved(t, m), 1))
		}
	}
	all = append(all, Signature{}, Of(&mesh.Mesh{X: []float32{0, 1, 2}, Y: []float32{0, 0, 0}, Z: []float32{0, 0, 0}, T: []uint32{0, 1, 2}}, 1))
	rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	return all
}

// coarse returns m with its places to a hundredth of a mm, as text files have
// them.
func coarse(m *mesh.Mesh) *mesh.Mesh {
	round := func(x float64) float64 { return float64(int(100*x)) / 100 }
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: round(p.X), Y: round(p.Y), Z: round(p.Z)} })
}

// The index names every relative that comparing all with all finds, in a list
// that says no less of it than it is.
func TestIndexMissesNoRelative(t *testing.T) {
	const seed = 20
	all := family(t, rand.New(rand.NewPCG(seed, seed)), 12, 10)
	var x Index
	pairs, named := 0, 0
	for later := range all {
		near := x.Near(&all[later])
		x.Add(&all[later])
		named += len(near.Alike) + len(near.Rescaled) + len(near.Axes)
		for earlier := range later {
			r, ok := Related(&all[earlier], &all[later])
			if !ok {
				continue
			}
			pairs++
			said := fmt.Sprintf("%d of %d: %+v, in %+v", later, earlier, r, near)
			switch {
			case slices.Contains(near.Alike, earlier):
			case slices.Contains(near.Rescaled, earlier):
				require.Equal(t, Rescaled, r.Kind, said)
			case slices.Contains(near.Axes, earlier):
				require.NotZero(t, r.Axes, said)
			default:
				t.Error("missed: ", said)
			}
		}
	}
	t.Logf("%d relatives, %d pairs to look at, of %d", pairs, named, len(all)*(len(all)-1)/2)
	require.Greater(t, pairs, 300)
	require.Less(t, named, 3*pairs, "it sorts out most of the others")
}
