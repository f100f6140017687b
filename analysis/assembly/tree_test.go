package assembly

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// rising orders numbers as they are ordered.
func TestRisingOrders(t *testing.T) {
	some := []float32{0, 1, -1, math.MaxFloat32, -math.MaxFloat32, math.SmallestNonzeroFloat32, -math.SmallestNonzeroFloat32, 0.1, -0.1, 3e8, -3e8}
	for _, a := range some {
		for _, b := range some {
			if got, want := cmp.Compare(rising(a), rising(b)), cmp.Compare(a, b); got != want {
				t.Errorf("%v and %v: %d, want %d", a, b, got, want)
			}
		}
	}
}

// The tree finds a facet as near as the nearest of all that keep to the side.
func TestTreeFindsTheNearest(t *testing.T) {
	const reach = 2.0
	rng := rand.New(rand.NewPCG(5, 20261129))
	m := taper()
	all := newTree(m)
	found := 0
	for i := range 400 {
		at := rng.IntN(m.Triangles())
		side := []float64{against, along}[i%2]
		stray := func() r3.Vec { return r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()} }
		a, _, _ := m.Corners(at)
		p := r3.Add(a, stray())
		n := r3.Unit(r3.Add(r3.Scale(side, all.normals[at]), r3.Scale(0.3, stray())))
		least := math.Inf(1)
		for f := range m.Triangles() {
			if side*r3.Dot(all.normals[f], n) >= facing {
				least = min(least, r3.Norm(r3.Sub(p, nearestOn(m, f, p))))
			}
		}
		_, foot, ok := all.near(p, n, side, reach)
		if ok != (least <= reach) || ok && r3.Norm(r3.Sub(p, foot)) != least {
			t.Errorf("%v: found %v at %v, the nearest is %v mm away", p, ok, foot, least)
		}
		if ok {
			found++
		}
	}
	if found < 100 || found == 400 {
		t.Errorf("%d of 400 were found", found)
	}
}

// The n smallest are in front, whatever the order before.
func TestHalve(t *testing.T) {
	random := rand.New(rand.NewPCG(20261129, 2))
	for round := range 3000 {
		s := make([]uint64, random.IntN(300))
		for i := range s {
			s[i] = uint64(random.IntN(1<<20))<<16 | uint64(i)
		}
		switch round % 4 {
		case 0:
			slices.Sort(s)
		case 1:
			slices.SortFunc(s, func(a, b uint64) int { return cmp.Compare(b, a) })
		case 2: // up and down again
			for i := range s {
				s[i] = uint64(min(i, len(s)-i))<<16 | uint64(i)
			}
		}
		want := slices.Sorted(slices.Values(s))
		n := random.IntN(len(s) + 1)
		halve(s, n)
		slices.Sort(s[:n])
		slices.Sort(s[n:])
		if !slices.Equal(s, want) {
			t.Fatalf("round %d: %d of %d", round, n, len(s))
		}
	}
}
