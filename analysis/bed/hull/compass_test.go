package hull

import (
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

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
		q := enclosed(m)
		l, c := q.l, newCompass(q)
		if c == nil {
			t.Fatalf("%v: no compass", size)
		}
		inside, known, out := 0, 0, 0
		for range 20_000 {
			p := r3.Scale(1.2*random.Float64(), ball())
			place := r3.Vec{X: 100 * size.X * p.X, Y: 100 * size.Y * p.Y, Z: 100 * size.Z * p.Z}
			at := l.exact(place)
			over := -reach * 8.0
			for f := range q.faces {
				over = max(over, q.faces[f].over(at))
			}
			if over < -1 {
				inside++
			}
			switch inside, seen, _ := c.tell(at); {
			case inside:
				known++
				if over > -surely {
					t.Fatalf("%v: %v is taken to be inside and lies %g over a face", size, p, over)
				}
			case seen >= 0:
				out++
				if got := q.faces[seen].over(l.place(place).vec()); !(got > surely) {
					t.Fatalf("%v: %v is taken to see a face and lies %g over it", size, p, got)
				}
			}
		}
		if outside := 20_000 - inside; known < inside*8/10 || out < outside*8/10 {
			t.Errorf("%v: %d of %d inside are known, %d of %d outside", size, known, inside, out, outside)
		}
	}
}

// Of a point so near to the surface that a compass cannot tell, the faces that it
// names hold one that the point sees, if it sees any.
func TestCompassNamesWhatIsSeen(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 23))
	m := shape.Relief{Triangles: 60_000}.Mesh()
	q := enclosed(m)
	c := newCompass(q)
	if c == nil || !c.sharp {
		t.Fatal("no compass, or none that can tell near the surface")
	}
	all, near := q.numbers(), &mesh.Mesh{}
	seen, unseen := 0, 0
	var outside []uint32
	for range 3000 {
		f := &q.faces[random.IntN(len(q.faces))]
		a, b := random.Float64(), random.Float64()
		if a+b > 1 {
			a, b = 1-a, 1-b
		}
		p := r3.Scale(30*random.NormFloat64(), f.unit)
		for k, share := range [3]float64{a, b, 1 - a - b} {
			p = r3.Add(p, r3.Scale(share, q.spots[f.v[k]].at.vec()))
		}
		v := near.AddVertex(r3.Add(q.l.mid, r3.Scale(1/q.l.scale, p)))
		inside, sees, may := c.tell(q.l.exact(near.At(v)))
		_, want := q.sight(near, v, all)
		if want {
			outside = append(outside, v)
		}
		switch {
		case inside:
			if want {
				t.Fatalf("%v is taken to be inside and sees a face", p)
			}
		case sees < 0:
			if _, got := q.sight(near, v, may); got != want {
				t.Fatalf("%v sees a face: %v among those named, %v among all", p, got, want)
			}
			if want {
				seen++
			} else {
				unseen++
			}
		}
	}
	if seen < 10 || unseen < 100 {
		t.Errorf("%d points were seen and %d not", seen, unseen)
	}
	var got []uint32
	for _, run := range q.look(near, nil) {
		for _, s := range run {
			got = append(got, s.id)
		}
	}
	if !slices.Equal(got, outside) {
		t.Errorf("%d points are taken to be outside, %d are", len(got), len(outside))
	}
}

// The squares tile the cube, and each direction falls into its own.
func TestSquares(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 22))
	for range 10_000 {
		side, i, j := random.IntN(6), random.IntN(squares), random.IntN(squares)
		at := func(k int) float64 { return (float64(k)+0.01+0.98*random.Float64())*2/squares - 1 }
		u := r3.Scale(1e-3+1e6*random.Float64(), direction(side, at(i), at(j)))
		if got, _ := square(u); got != (side*squares+i)*squares+j {
			want := (side*squares+i)*squares + j
			t.Fatalf("%v is in square %d, want %d", u, got, want)
		}
	}
}

// A hull is the same, number by number, however many processors look for the
// points outside.
func TestHullDoesNotDependOnProcessors(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	m := shape.Relief{Triangles: 120_000}.Mesh()
	runtime.GOMAXPROCS(1)
	want := Of(m)
	for _, processors := range []int{2, 5} {
		runtime.GOMAXPROCS(processors)
		if got := Of(m); !reflect.DeepEqual(got, want) {
			t.Errorf("%d processors: another hull than one", processors)
		}
	}
}
