package mesh

import (
	"math/rand/v2"
	"runtime"
	"testing"
)

// counted is Edges by a map of all sides.
func counted(m *Mesh) Edges {
	facets := map[[2]uint32]int{}
	for t := range m.Triangles() {
		a, b, c := m.T[3*t], m.T[3*t+1], m.T[3*t+2]
		if _, twice := repeated(a, b, c); twice {
			continue
		}
		for _, side := range [][2]uint32{{a, b}, {b, c}, {c, a}} {
			facets[[2]uint32{min(side[0], side[1]), max(side[0], side[1])}]++
		}
	}
	var e Edges
	for _, n := range facets {
		switch {
		case n == 1:
			e.Open++
		case n > 2:
			e.Branching++
		}
	}
	return e
}

// Closed meshes, also with their triangles in any order, and what is wrong
// with them in one place and in many: nothing of it is overlooked, on however
// many processors.
func TestEdgesAgreeWithAMap(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	random := rand.New(rand.NewPCG(9, 20261128))
	closed := 0
	for round := range 60 {
		m := limb(20+random.IntN(3), 40)
		if round%20 == 0 {
			m = limb(100, 300) // enough for several processors
		}
		if round%2 == 1 {
			m = mixed(m, uint64(round))
		}
		at := func() int { return 3 * random.IntN(m.Triangles()) }
		for range random.IntN(3) * (1 + round%7) {
			switch i := at(); random.IntN(6) {
			case 0: // twice the same
				m.T = append(m.T, m.T[i:i+3]...)
			case 1: // and turned over
				m.T = append(m.T, m.T[i], m.T[i+2], m.T[i+1])
			case 2: // turned over
				m.T[i], m.T[i+1] = m.T[i+1], m.T[i]
			case 3: // missing
				m.T = append(m.T[:i], m.T[i+3:]...)
			case 4: // without area
				m.T[i+1] = m.T[i]
			case 5: // a fin
				m.T = append(m.T, m.T[i], m.T[i+1], uint32(random.IntN(m.Vertices())))
			}
		}
		want := counted(m)
		if want == (Edges{}) {
			closed++
		}
		for _, processors := range []int{1, 2, 5} {
			runtime.GOMAXPROCS(processors)
			if got := m.Edges(); got != want {
				t.Errorf("round %d on %d processors: %+v, want %+v", round, processors, got, want)
			}
			// What is taken for granted of a matched mesh is so.
			if m.matched() && want != (Edges{}) {
				t.Errorf("round %d on %d processors: matched, but %+v", round, processors, want)
			}
		}
	}
	if closed < 10 || closed > 50 {
		t.Errorf("%d of 60 meshes are closed, which tests one side only", closed)
	}
	if e := (&Mesh{}).Edges(); e != (Edges{}) {
		t.Errorf("nothing has edges: %+v", e)
	}
	if m := limb(100, 300); !m.matched() {
		t.Errorf("a sound limb is not matched")
	}
}

// Area and volume are the same to the bit however many processors take part,
// and those of a plain sum to rounding.
func TestSumsDoNotDependOnProcessors(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	m := limb(80, 300)
	var plain float64
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		n := [3]float64{
			(b.Y-a.Y)*(c.Z-a.Z) - (b.Z-a.Z)*(c.Y-a.Y),
			(b.Z-a.Z)*(c.X-a.X) - (b.X-a.X)*(c.Z-a.Z),
			(b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X),
		}
		plain += (a.X + b.X + c.X) * n[0] / 6 // ∫ x dy dz
	}
	runtime.GOMAXPROCS(1)
	area, volume := m.Area(), m.Volume()
	near(t, "volume by x alone", volume, plain, 1e-9)
	for _, processors := range []int{2, 3, 8} {
		runtime.GOMAXPROCS(processors)
		if a, v := m.Area(), m.Volume(); a != area || v != volume {
			t.Errorf("%d processors: area %v, volume %v; one: %v, %v", processors, a, v, area, volume)
		}
	}
}

// A way along an edge is taken once, also at a vertex with more edges than are
// kept side by side.
func TestWaysAreTakenOnce(t *testing.T) {
	s := newStar(0, 1)
	const edges = 3 * spokes
	for high := uint32(1); high <= edges; high++ {
		for _, c := range []struct {
			a, b  uint32
			first bool
		}{{0, high, true}, {0, high, false}, {high, 0, true}, {high, 0, false}} {
			if got := s.take(0, c.a, c.b); got != c.first {
				t.Errorf("from %d to %d: first %v, want %v", c.a, c.b, got, c.first)
			}
		}
	}
	if s.edges != edges || s.sides != 4*edges {
		t.Errorf("%d sides of %d edges, want %d of %d", s.sides, s.edges, 4*edges, edges)
	}
}
