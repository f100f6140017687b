package likeness

import (
	"bytes"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// saved returns m after a round trip through a binary STL file.
func saved(t testing.TB, m *mesh.Mesh) *mesh.Mesh {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, mesh.WriteSTL(&b, m, ""))
	path := filepath.Join(t.TempDir(), "part.stl")
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	f, err := mesh.Open(path)
	require.NoError(t, err)
	defer f.Close()
	l, err := f.Load(t.Context(), mesh.DefaultLimits())
	require.NoError(t, err)
	return l.Mesh
}

// lump returns an asymmetric closed part: a limb with random rings, bent, and
// with bumps on it.
func lump(rng *rand.Rand) *mesh.Mesh {
	rings := 3 + rng.IntN(5)
	l := shape.Limb{Sides: 12 + rng.IntN(40), Wall: 2 + 3*rng.Float64()}
	for i := range rings {
		l.Rings = append(l.Rings, shape.Ring{
			Center: r3.Vec{X: 8 * rng.NormFloat64(), Y: 8 * rng.NormFloat64(), Z: 40 * float64(i)},
			Inner:  shape.Ellipse{A: 30 + 30*rng.Float64(), B: 30 + 30*rng.Float64()},
		})
	}
	m := l.Mesh()
	at := vecOf(rng, 60)
	return m.Map(func(p r3.Vec) r3.Vec {
		d := r3.Sub(p, at)
		return r3.Add(p, r3.Scale(8*math.Exp(-r3.Norm2(d)/800), r3.Unit(d)))
	})
}

func vecOf(rng *rand.Rand, size float64) r3.Vec {
	return r3.Scale(size, r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()})
}

func became(old, new *mesh.Mesh) Relation { return Became(Of(old), Of(new), new) }

// parts returns some of every kind of part.
func part(rng *rand.Rand, n int) *mesh.Mesh {
	switch n % 5 {
	case 0:
		return shape.Relief{Triangles: 1500 + rng.IntN(3000)}.Mesh()
	case 1:
		return shape.Turn(lump(rng), shape.Rotation(rng.Uint64()))
	}
	return lump(rng)
}

func TestHundredPartsRescaledTurnedMovedMirroredCut(t *testing.T) {
	const seed = 20
	rng := rand.New(rand.NewPCG(seed, 1))
	for n := range 100 {
		old := saved(t, part(rng, n))
		signature := Of(old)
		turn := shape.Rotation(rng.Uint64())
		move := vecOf(rng, 50)
		factor := 0.5 + 1.5*rng.Float64()
		axes := [3]float64{0.6 + rng.Float64(), 0.6 + rng.Float64(), 0.6 + rng.Float64()}
		byAxes := func(p r3.Vec) r3.Vec { return r3.Vec{X: axes[0] * p.X, Y: axes[1] * p.Y, Z: axes[2] * p.Z} }
		plane := section.Plane{Point: r3.Add(old.Bounds().Center(), vecOf(rng, 10)), Normal: vecOf(rng, 1)}
		_, below, _ := section.Halves(old, plane)
		for _, k := range []struct {
			name string
			m    *mesh.Mesh
			kind Kind
		}{
			{"same", old, Same},
			{"moved", shape.Offset(old, move), Moved},
			{"turned", shape.Turn(old, turn), Turned},
			{"rescaled", old.Scaled(factor), Rescaled},
			{"mirrored", shape.Mirror(old), Mirrored},
			{"per axis", old.Map(byAxes), Rescaled},
			{"all", shape.Offset(shape.Turn(shape.Mirror(old.Scaled(factor)), turn), move), Rescaled},
			{"per axis, all", shape.Offset(shape.Turn(shape.Mirror(old.Map(byAxes)), turn), move), Rescaled},
			{"cut", below, Cut},
		} {
			new := saved(t, k.m)
			got := Became(signature, Of(new), new)
			if got.Kind != k.kind {
				t.Errorf("seed %d part %d %s: %+v", seed, n, k.name, got)
			}
			shuffled := shape.Shuffle(new, 3)
			if got := Became(signature, Of(shuffled), shuffled); got.Kind != k.kind {
				t.Errorf("seed %d part %d %s shuffled: %+v", seed, n, k.name, got)
			}
		}
	}
}

func BenchmarkOf(b *testing.B) {
	m := shape.Relief{Triangles: 200_000}.Mesh()
	for b.Loop() {
		Of(m)
	}
}
