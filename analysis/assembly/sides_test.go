package assembly

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Parts that touch other than as rivals may meet by their sides, in any unit,
// turned and moved a little; most that do not are sorted out.
func TestSidesMissNoPieces(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 28))
	var all []*mesh.Mesh
	for _, s := range shells() {
		all = append(all, s.pieces...)
	}
	for range 20 {
		all = append(all, shape.Bar{X: 40 + 100*rng.Float64(), Y: 10 + 30*rng.Float64(), Z: 5 + 5*rng.Float64()}.Mesh())
	}
	all = append(all, &mesh.Mesh{})
	met, may, pairs := 0, 0, 0
	for _, scale := range []float64{1, 25.4} {
		var rims []*Rims
		var sides []Sides
		for _, m := range all {
			m = shape.Turn(m, shape.Rotation(11))
			m = shape.Offset(m, r3.Vec{X: 0.05 * rng.Float64()})
			r := rimsOf(m)
			sides = append(sides, r.Sides(scale))
			require.True(t, slices.IsSortedFunc(sides[len(sides)-1].faces, func(a, b lying) int { return cmp.Compare(a.box.low[2], b.box.low[2]) }))
			rims = append(rims, r.Scaled(scale))
		}
		for i := range rims {
			for j := range rims {
				pairs++
				mayMeet := MayMeet(&sides[i], &sides[j])
				if mayMeet {
					may++
				}
				if c, ok := Touch(rims[i], rims[j]); ok && !c.Rivals {
					met++
					if !mayMeet {
						t.Errorf("%d and %d touch at scale %v: %+v", i, j, scale, c)
					}
				}
			}
		}
	}
	t.Logf("%d pairs, %d may meet, %d do", pairs, may, met)
	if met < 40 || may > pairs/2 {
		t.Errorf("of %d pairs %d may meet, %d do", pairs, may, met)
	}
}

// Going up both parts at once finds what holding every face against every other does.
func TestFacesAreMetInOneWalk(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 30))
	some := func(n int) (all []lying) {
		for range n {
			var f lying
			for k := range 3 {
				f.box.low[k] = float32(25 * rng.Float64())
				f.box.high[k] = f.box.low[k] + float32(12*rng.Float64())
				f.mean[k] = float32(rng.NormFloat64())
			}
			long := float32(r3.Norm(r3.Vec{X: float64(f.mean[0]), Y: float64(f.mean[1]), Z: float64(f.mean[2])}))
			for k := range f.mean {
				f.mean[k] /= long
			}
			f.lean = float32(0.3 * rng.Float64())
			all = append(all, f)
		}
		slices.SortFunc(all, func(a, b lying) int { return cmp.Compare(a.box.low[2], b.box.low[2]) })
		return all
	}
	found := 0
	const rounds = 3000
	for range rounds {
		a, b := some(rng.IntN(12)), some(rng.IntN(12))
		want := slices.ContainsFunc(a, func(f lying) bool {
			return slices.ContainsFunc(b, func(o lying) bool { return f.box.near(&o.box) && f.faces(&o) })
		})
		require.Equal(t, want, mayFace(a, b), "%v %v", a, b)
		require.Equal(t, want, mayFace(b, a), "%v %v", b, a)
		if want {
			found++
		}
	}
	if found < rounds/10 || found > rounds*9/10 {
		t.Errorf("%d of %d meet: the test shows little", found, rounds)
	}
}

func BenchmarkMayMeet(b *testing.B) {
	one, other := rimsOf(shape.Bar{X: 60, Y: 20, Z: 10}.Mesh()).Sides(1), rimsOf(shape.Bar{X: 80, Y: 30, Z: 9}.Mesh()).Sides(1)
	for b.Loop() {
		MayMeet(&one, &other)
	}
}

// Any number of workers finds the same faces, open edges and odd ones.
func TestSurfaceByAnyWorkers(t *testing.T) {
	m := shape.Shuffle(shape.Relief{Triangles: 4000}.Mesh(), 3)
	m.T = append(m.T[300:], m.T[600], m.T[601], m.T[600]) // holes, and a facet with a corner twice
	want := newSurface(m, 1)
	require.NotEmpty(t, want.open)
	require.NotZero(t, want.odd)
	for _, workers := range []int{0, 2, 3, 7} {
		got := newSurface(m, workers)
		require.Equal(t, want.open, got.open)
		require.Equal(t, want.odd, got.odd)
		require.Equal(t, want.normals, got.normals)
		for f := range want.root {
			require.Equal(t, want.find(uint32(f)), got.find(uint32(f)))
		}
	}
}
