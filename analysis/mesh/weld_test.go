package mesh

import (
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// soup returns m with corners of its own for every triangle.
func soup(m *Mesh) *Mesh {
	out := &Mesh{}
	for _, v := range m.T {
		out.T = append(out.T, out.AddVertex(m.At(v)))
	}
	return out
}

// shaken moves every vertex by up to a distance along each axis.
func shaken(m *Mesh, distance float64) *Mesh {
	random := rand.New(rand.NewPCG(11, 5))
	return m.Map(func(p r3.Vec) r3.Vec {
		move := r3.Vec{X: random.Float64() - 0.5, Y: random.Float64() - 0.5, Z: random.Float64() - 0.5}
		return r3.Add(p, r3.Scale(2*distance, move))
	})
}

func finished(t *testing.T, m *Mesh) *Loaded {
	t.Helper()
	l, err := finish(t.Context(), m.Clone(), FormatOBJ)
	require.NoError(t, err)
	return l
}

func TestExactWeld(t *testing.T) {
	want := limb(20, 40)
	l := finished(t, soup(want))
	require.Equal(t, want.Vertices(), l.Mesh.Vertices())
	sameFacets(t, want, l.Mesh)
	require.Equal(t, Condition{Closed: true, Components: 1}, l.Condition())
	require.Empty(t, l.Remarks)
}

func TestMinusZero(t *testing.T) {
	m := soup(cube(1, r3.Vec{}))
	for i := range m.X {
		if m.X[i] == 0 && i%2 == 0 {
			m.X[i] = float32(math.Copysign(0, -1))
		}
	}
	l := finished(t, m)
	require.Equal(t, 8, l.Mesh.Vertices())
	for _, x := range l.Mesh.X {
		require.False(t, math.Signbit(float64(x)))
	}
}

// Corners that were worked out twice come together again: the cracks close
// and the volume is that of the sound part to the size of the cracks.
func TestToleranceWeld(t *testing.T) {
	want := limb(20, 40)
	tolerance := want.tolerance()
	l := finished(t, shaken(soup(want), tolerance/4))
	require.Equal(t, Condition{Closed: true, Components: 1}, l.Condition())
	require.Equal(t, want.Vertices(), l.Mesh.Vertices())
	require.Len(t, l.Remarks, 1)
	require.Equal(t, "welded", l.Remarks[0].Code)
	near(t, "volume", l.Mesh.Volume(), want.Volume(), 1e-5)

	// Ten times the tolerance apart they stay what they are: cracks.
	l = finished(t, shaken(soup(want), 10*tolerance))
	require.False(t, l.Condition().Closed)
}

// What printing calls thin is far above the tolerance: a wall of 0.1 mm and a
// facet 0.05 mm high keep their corners, in cracked parts too.
func TestWeldKeepsThinThings(t *testing.T) {
	sheet := func(z float64, down bool) *Mesh { // 300 × 300 mm, with a rim
		m := &Mesh{}
		for _, p := range []r3.Vec{{Z: z}, {X: 300, Z: z}, {X: 300, Y: 300, Z: z}, {Y: 300, Z: z}, {X: 150, Y: 0.05, Z: z}} {
			m.AddVertex(p)
		}
		for _, t := range [][3]uint32{{0, 1, 4}, {1, 2, 4}, {2, 3, 4}, {3, 0, 4}} {
			m.AddTriangle(t[0], t[1], t[2])
		}
		if down {
			m.Flip()
		}
		return m
	}
	m := together(sheet(0, true), sheet(0.1, false))
	l := finished(t, m)
	sameFacets(t, m, l.Mesh)
	require.Empty(t, l.Remarks)
	for _, d := range l.Condition().Defects {
		require.Equal(t, DefectOpen, d.Kind)
	}
}

// A mesh without cracks keeps corners that lie closer than the tolerance.
func TestWeldLeavesSoundMeshesAlone(t *testing.T) {
	m := together(cube(300, r3.Vec{}), cube(0.001, r3.Vec{X: 400}))
	require.Less(t, 0.001, m.tolerance())
	l := finished(t, m)
	sameFacets(t, m, l.Mesh)
	require.Equal(t, 16, l.Mesh.Vertices())
	require.Empty(t, l.Remarks)
}

// A stray facet far away does not make everything else look close together:
// the rim of a shell of 0.5 mm keeps its corners.
func TestWeldDespiteStrayFacet(t *testing.T) {
	m := without(limb(20, 400), 0, 1, 2, 3)
	far := m.AddVertex(r3.Vec{X: 1e6})
	m.AddTriangle(far, m.AddVertex(r3.Vec{X: 1e6, Y: 5}), m.AddVertex(r3.Vec{X: 1e6, Y: 5, Z: 5}))
	l := finished(t, m)
	sameFacets(t, m, l.Mesh)
	require.Empty(t, l.Remarks)
	require.Less(t, m.tolerance(), 0.01)
}

// Nor does a large part with much fine detail lose the detail: 600 facets of
// 2 µm on a rim, where 300 mm alone would forgive 4 µm.
func TestWeldKeepsFineDetail(t *testing.T) {
	m := without(cube(300, r3.Vec{}), 0)
	for i := range 600 {
		x := float64(i) * 0.5
		a, b, c := m.AddVertex(r3.Vec{X: x, Z: -1}), m.AddVertex(r3.Vec{X: x + 0.002, Z: -1}), m.AddVertex(r3.Vec{X: x, Y: 0.002, Z: -1})
		m.AddTriangle(a, b, c)
	}
	l := finished(t, m)
	sameFacets(t, m, l.Mesh)
	require.Empty(t, l.Remarks)
}

// Ten metres from the origin float32 has steps of 0.001 mm: cracks of a step
// or two close there, though 20 mm alone would forgive 0.0003 mm.
func TestWeldFarFromTheOrigin(t *testing.T) {
	m := shaken(soup(cube(20, r3.Vec{X: 10_000, Y: 10_000, Z: 10_000})), 0.001)
	l := finished(t, m)
	require.Equal(t, Condition{Closed: true, Components: 1}, l.Condition())
	require.Equal(t, 8, l.Mesh.Vertices())
}

// Facets that lose their area in the weld are left out and counted, and so
// are their corners.
func TestWeldDropsWhatItFlattens(t *testing.T) {
	m := without(cube(300, r3.Vec{}), 0)
	n := m.AddVertex(r3.Vec{X: 300, Y: 300, Z: 0.001}) // of a needle on the rim
	m.AddVertex(r3.Vec{X: 1, Y: 1, Z: 1})              // nobody's
	m.AddTriangle(0, 3, n)
	l := finished(t, m)
	require.Equal(t, 11, l.Mesh.Triangles())
	require.Equal(t, 8, l.Mesh.Vertices())
	condition := l.Condition()
	require.Equal(t, []Defect{{Kind: DefectOpen, Count: 3, Where: condition.Defects[0].Where},
		{Kind: DefectSliver, Count: 1, Where: r3.Vec{X: 300, Y: 300}}}, condition.Defects)
}

func TestFinishRefuses(t *testing.T) {
	m := cube(1, r3.Vec{})
	m.Y[3] = float32(math.Inf(1))
	_, err := finish(t.Context(), m, FormatOBJ)
	var r *ReadError
	require.ErrorAs(t, err, &r)
	require.Equal(t, "triangle 1", r.Place)
	_, err = finish(t.Context(), &Mesh{}, FormatOBJ)
	require.ErrorAs(t, err, &r)
	require.Equal(t, "holds no triangles", r.Cause)
}

// Second route: the index numbers corners as a map does, in files made to be
// awkward too: all corners in one cube, or a million cubes apart, or a grid.
func TestIndexSecondRoute(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 4))
	for name, place := range map[string]func() float32{
		"one cube":  func() float32 { return random.Float32() * 1e-6 },
		"far apart": func() float32 { return (random.Float32() - 0.5) * 3e38 },
		"grid":      func() float32 { return float32(random.IntN(30)) },
		"tiny":      func() float32 { return math.Float32frombits(random.Uint32N(1 << 12)) },
	} {
		ix, numbers := newIndex(10, 1, 4), map[point]uint32{}
		for range 60_000 {
			p := point{place(), place(), place()}
			want, seen := numbers[p]
			if !seen {
				want = uint32(len(numbers))
				numbers[p] = want
			}
			if found, ok := ix.find(p); ok != seen || ok && found != want {
				t.Fatalf("%s: find %v: got %d %v, want %d %v", name, p, found, ok, want, seen)
			}
			if got := ix.corner(p); got != want {
				t.Fatalf("%s: corner %v: got %d, want %d", name, p, got, want)
			}
		}
	}
}

// Vertices move by no more than the tolerance, however many lie in a row
// closer than that.
func TestLeadersDoNotChain(t *testing.T) {
	m := &Mesh{}
	for i := range 1000 {
		m.AddVertex(r3.Vec{X: float64(i) * 0.3})
	}
	all := make([]uint32, 1000)
	for i := range all {
		all[i] = uint32(i)
	}
	to, joined, err := m.leaders(t.Context(), all, 1)
	require.NoError(t, err)
	require.Greater(t, joined, 500)
	for v, leader := range to {
		if d := r3.Norm(r3.Sub(m.At(uint32(v)), m.At(leader))); d > 1 {
			t.Errorf("vertex %d moves by %v", v, d)
		}
		if to[leader] != leader {
			t.Errorf("vertex %d joins %d, which joins %d", v, leader, to[leader])
		}
	}
}

// Second route: leaders found by looking at all pairs.
func TestLeadersSecondRoute(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 1))
	m := &Mesh{}
	var all []uint32
	for range 2000 {
		all = append(all, m.AddVertex(r3.Vec{X: random.NormFloat64() * 9, Y: random.NormFloat64() * 9, Z: random.NormFloat64()}))
	}
	got, _, err := m.leaders(t.Context(), all, 1)
	require.NoError(t, err)
	var leaders []uint32
	for _, v := range all {
		want := v
		for _, w := range leaders {
			if r3.Norm(r3.Sub(m.At(v), m.At(w))) <= 1 {
				want = w
				break
			}
		}
		if want == v {
			leaders = append(leaders, v)
		}
		require.Equal(t, want, got[v])
	}
}

func TestMeasures(t *testing.T) {
	for name, c := range map[string]struct {
		m            *Mesh
		volume, area float64
	}{
		"cube":        {cube(7, r3.Vec{X: 3}), 343, 294},
		"tetrahedron": {tetra(6), 36, 36 * (3 + math.Sqrt(3)) / 2},
		"256-gon prismatoid": func() struct {
			m            *Mesh
			volume, area float64
		} {
			// Frustum of a pyramid: h/3·(A₁ + A₂ + √(A₁A₂)), with the n-gon's
			// A = n/2·r²·sin(2π/n); sides are trapezia between edges of length
			// 2r·sin(π/n), apothems r·cos(π/n) (Bronstein, Handbook of
			// Mathematics, section 3.3; from memory).
			const n, r1, r2, h = 256, 40.0, 55.0, 120.0
			s, c := math.Sincos(math.Pi / n)
			a1, a2 := n*r1*r1*s*c, n*r2*r2*s*c
			slant := math.Hypot(h, (r2-r1)*c)
			return struct {
				m            *Mesh
				volume, area float64
			}{prismatoid(n, r1, r2, h), h / 3 * (a1 + a2 + math.Sqrt(a1*a2)), a1 + a2 + n*(r1+r2)*s*slant}
		}(),
	} {
		l, err := loadBytes(t, "a.stl", binarySTL(c.m, ""))
		require.NoError(t, err)
		near(t, name+": volume", l.Mesh.Volume(), c.volume, 1e-6)
		near(t, name+": area", l.Mesh.Area(), c.area, 1e-6)
		require.Equal(t, Condition{Closed: true, Components: 1}, l.Condition(), name)
	}
}

// The corners at a crack are the same on however many processors: none of a sound
// mesh, those of the rims of a torn one.
func TestLooseOnAllProcessors(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	sound := limb(100, 300)
	torn := sound.Clone()
	torn.T = torn.T[:len(torn.T)-3*50]
	runtime.GOMAXPROCS(1)
	want := torn.loose()
	require.NotEmpty(t, want)
	for _, processors := range []int{1, 2, 5} {
		runtime.GOMAXPROCS(processors)
		require.Empty(t, sound.loose(), processors)
		require.Equal(t, want, torn.loose(), processors)
	}
}

// Facets without area, and corners that only they have, change nothing of how cracks
// are joined.
func TestCracksBesideThinFacets(t *testing.T) {
	cracked := shaken(soup(limb(20, 30)), 1e-5)
	want, err := loadBytes(t, "a.stl", binarySTL(cracked, ""))
	require.NoError(t, err)
	require.True(t, want.Condition().Closed)
	thin := &Mesh{}
	a, b := thin.AddVertex(r3.Vec{X: 7, Y: 8, Z: 9}), thin.AddVertex(r3.Vec{X: 1, Y: 2, Z: 3})
	thin.AddTriangle(a, a, b)
	for _, v := range cracked.T {
		thin.T = append(thin.T, thin.AddVertex(cracked.At(v)))
	}
	got, err := loadBytes(t, "a.stl", binarySTL(thin, ""))
	require.NoError(t, err)
	require.Equal(t, want.Mesh, got.Mesh)
}
