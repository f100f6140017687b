package mesh

import (
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
)

// byMap is Edges by a map of all sides.
func byMap(m *Mesh) Edges {
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
			m = limb(150, 300) // enough for several processors, and for corners far apart in number
		}
		if round%40 == 0 {
			m = renumbered(m, uint64(round)) // most of them are
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
		want := byMap(m)
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
	for what, m := range map[string]*Mesh{"limb": limb(150, 300), "one of other numbers": renumbered(limb(150, 300), 1)} {
		if !m.matched() {
			t.Errorf("a sound %s is not matched", what)
		}
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

// Ways are paired where each is there once, with the one back: however many they
// are, and in whatever order they stand.
func TestPaired(t *testing.T) {
	random := rand.New(rand.NewPCG(10, 20261129))
	shuffled := func(ways ...way) []way {
		random.Shuffle(len(ways), func(i, j int) { ways[i], ways[j] = ways[j], ways[i] })
		return ways
	}
	for edges := range 2 * few {
		var sound []way
		for high := range uint32(edges) {
			sound = append(sound, wayOf(0, high+1), wayOf(high+1, 0))
		}
		if !paired(shuffled(slices.Clone(sound)...)) {
			t.Errorf("%d edges: not paired", edges)
		}
		if edges == 0 {
			continue
		}
		some := sound[random.IntN(len(sound))]
		for what, ways := range map[string][]way{
			"one more of a way": append(slices.Clone(sound), some),
			"one way missing":   slices.DeleteFunc(slices.Clone(sound), func(w way) bool { return w == some }),
			"both ways twice":   append(slices.Clone(sound), some, some^1),
			"one way thrice":    append(slices.Clone(sound), some, some),
			"two ways apart":    append(slices.Clone(sound), wayOf(0, 1000), wayOf(2000, 0)),
			"one way for its counterpart": append(slices.DeleteFunc(slices.Clone(sound),
				func(w way) bool { return w == some }), some^1),
		} {
			if paired(shuffled(ways...)) {
				t.Errorf("%d edges, %s: paired", edges, what)
			}
		}
	}
}

// Six ways are told by a network for sorting; that it sorts six of anything is
// shown by all that there are of eight kinds.
func TestPairedSix(t *testing.T) {
	for n := range 1 << 18 {
		var ways row
		times := map[uint16]int{}
		for i := range 6 {
			ways[i] = uint16(n >> (3 * i) & 7)
			times[ways[i]]++
		}
		want := true
		for w, n := range times {
			want = want && n == 1 && times[w^1] == 1
		}
		if got := pairedSix(&ways); got != want {
			t.Fatalf("%v: paired %v, want %v", ways[:6], got, want)
		}
	}
}
