package hull

import (
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// What a compass takes to be inside is below every face, in flat and long
// polyhedra too; and of a round one it knows most.
func TestCompassKnowsTheInside(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 21))
	ball := func() r3.Vec {
		return r3.Unit(r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()})
	}
	for _, size := range []r3.Vec{{X: 1, Y: 1, Z: 1}, {X: 1, Y: 1, Z: 0.01}, {X: 0.02, Y: 1, Z: 0.02}, {X: 1, Y: 0.001, Z: 0.3}} {
		m := &mesh.Mesh{}
		for range 500 {
			p := ball()
			m.AddVertex(r3.Vec{X: 100 * size.X * p.X, Y: 100 * size.Y * p.Y, Z: 100 * size.Z * p.Z})
		}
		l := newLattice(m.Bounds())
		some := extremes(m)
		simplex, _ := spread(m, l, some)
		q := newQuick(l)
		q.begin(m, simplex)
		q.enclose(m, some)
		q.encloseAll(m)
		q.sweep()
		c := newCompass(q)
		if c == nil {
			t.Fatalf("%v: no compass", size)
		}
		inside, known := 0, 0
		for range 20_000 {
			p := r3.Scale(1.2*random.Float64(), ball())
			at := l.exact(r3.Vec{X: 100 * size.X * p.X, Y: 100 * size.Y * p.Y, Z: 100 * size.Z * p.Z})
			over := -reach * 8.0
			for f := range q.faces {
				over = max(over, q.faces[f].over(at))
			}
			if over < -1 {
				inside++
			}
			if c.inside(at) {
				known++
				if over > -surely {
					t.Fatalf("%v: %v is taken to be inside and lies %g over a face", size, p, over)
				}
			}
		}
		if known < inside*8/10 {
			t.Errorf("%v: %d of %d inside are known", size, known, inside)
		}
	}
}

// The squares tile the cube, and each direction falls into its own.
func TestSquares(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 22))
	for range 10_000 {
		side, i, j := random.IntN(6), random.IntN(squares), random.IntN(squares)
		at := func(k int) float64 { return (float64(k)+0.01+0.98*random.Float64())*2/squares - 1 }
		u := r3.Scale(1e-3+1e6*random.Float64(), direction(side, at(i), at(j)))
		if got, want := square(u), (side*squares+i)*squares+j; got != want {
			t.Fatalf("%v is in square %d, want %d", u, got, want)
		}
	}
}

// A large part has the same hull, and on any number of processors the same
// numbers in it, as by taking every vertex at once.
func TestLargePartsInSteps(t *testing.T) {
	m := &mesh.Mesh{}
	random := rand.New(rand.NewPCG(seed, 23))
	for range 3 * large / 2 {
		p := r3.Unit(r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()})
		m.AddVertex(r3.Scale(100-random.Float64(), p))
	}
	l := newLattice(m.Bounds())
	some := extremes(m)
	simplex, _ := spread(m, l, some)
	q := newQuick(l)
	q.begin(m, simplex)
	q.enclose(m, some)
	q.encloseEach(m, 1)
	want := map[r3.Vec]bool{}
	for _, p := range q.hull(m).Points {
		want[p] = true
	}
	got := Of(m)
	if len(got.Points) != len(want) {
		t.Errorf("%d corners in steps, %d at once", len(got.Points), len(want))
	}
	for _, p := range got.Points {
		if !want[p] {
			t.Errorf("%v is a corner in steps only", p)
		}
	}
}
