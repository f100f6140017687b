package section

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// closedShapes are solids of many kinds, all closed.
func closedShapes() map[string]*mesh.Mesh {
	cube := boxMesh(r3.Vec{X: -30, Y: -30, Z: -30}, r3.Vec{X: 30, Y: 30, Z: 30})
	hole := flipped(boxMesh(r3.Vec{X: -10, Y: -10, Z: -10}, r3.Vec{X: 10, Y: 10, Z: 10}))
	thin := taper(120, 60, 45, 0.7, 0.4, 150)
	return map[string]*mesh.Mesh{
		"tube":                    tube(64, 50, 46, 120),
		"taper":                   taper(64, 60, 45, 0.7, 3, 150),
		"taper with 0.4 mm walls": thin,
		"torus":                   torus(48, 24, 50, 15),
		"torus knot":              knot(120, 10, 20, 6),
		"sphere":                  sphere(32, 40),
		"cube with cube hole":     join(cube, hole),
		"two overlapping boxes":   join(cube, moved(cube, r3.Vec{X: 25, Y: 20, Z: 10})),
		"three overlapping tubes": join(tube(40, 50, 46, 120), moved(tube(40, 50, 46, 120), r3.Vec{X: 30}), moved(tube(40, 60, 20, 90), r3.Vec{X: 10, Y: 10})),
		"nested tubes":            join(tube(60, 50, 48, 100), tube(60, 44, 42, 100), tube(60, 38, 36, 100), cone(60, 30, 10, 90)),
		"taper twice":             join(thin, thin),
		"sphere inside out":       flipped(sphere(32, 40)),
	}
}

// Whatever plane parts a closed mesh, both halves are closed edge by edge,
// also after welding, and their volumes sum to the whole.
func TestHalvesSum(t *testing.T) {
	const seed = 1
	for name, m := range closedShapes() {
		t.Run(name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 0))
			for i := range 8 {
				m := rotated(m, randomRotation(rng))
				box := m.Bounds()
				size := r3.Norm(box.Size())
				p := Plane{
					Point:  r3.Add(box.Center(), r3.Scale(size*0.4*(rng.Float64()-0.5), randomDirection(rng))),
					Normal: randomDirection(rng),
				}
				above, below := checkHalves(t, m, p)
				// Two skins on each other share the points of the cut.
				if n := crowdedEdges(above) + crowdedEdges(below); n > 0 && name != "taper twice" {
					t.Errorf("%d edges of more than two triangles", n)
				}
				if t.Failed() {
					t.Fatalf("plane %d of seed %d: %+v", i, seed, p)
				}
			}
		})
	}
}

// checkHalves parts a closed mesh and checks all that must hold.
func checkHalves(t *testing.T, m *mesh.Mesh, p Plane) (above, below *mesh.Mesh) {
	t.Helper()
	above, below, flaws := Halves(m, p)
	if flaws.Any() {
		t.Errorf("flaws of a closed mesh: %+v", flaws)
	}
	if n := openEdges(above) + openEdges(below); n > 0 {
		t.Errorf("%d open edges", n)
	}
	if n := openEdges(weld(above)) + openEdges(weld(below)); n > 0 {
		t.Errorf("%d open edges after welding", n)
	}
	// Of distinct vertices come distinct vertices.
	if n := m.Vertices(); weld(m).Vertices() == n {
		for _, half := range []*mesh.Mesh{above, below} {
			if got, want := half.Vertices(), weld(half).Vertices(); got != want {
				t.Errorf("%d vertices on %d places", got, want)
			}
		}
	}
	got, want := above.Volume()+below.Volume(), m.Volume()
	// Moving each vertex by a float32 grain can change the volume by the area times the grain.
	if tol := 1e-6*math.Abs(want) + m.Area()*grain*r3.Norm(m.Bounds().Size()); math.Abs(got-want) > tol {
		t.Errorf("volumes sum to %.9g, want %.9g", got, want)
	}
	f, _ := p.frame()
	for _, half := range []struct {
		m    *mesh.Mesh
		sign float64
	}{{above, 1}, {below, -1}} {
		for v := range half.m.Vertices() {
			if h := half.sign * (r3.Dot(f.n, half.m.At(uint32(v))) - f.d); h < -1e-4 {
				t.Fatalf("a vertex lies %g mm beyond the plane", -h)
			}
		}
	}
	return above, below
}

// The vertices of the cut are the same to the bit in both halves.
func TestHalvesShareTheirCut(t *testing.T) {
	const seed = 2
	rng := rand.New(rand.NewPCG(seed, 0))
	for name, m := range closedShapes() {
		m = rotated(m, randomRotation(rng))
		p := Plane{Point: m.Bounds().Center(), Normal: randomDirection(rng)}
		own := map[[3]float32]bool{}
		for v := range m.Vertices() {
			own[[3]float32{m.X[v], m.Y[v], m.Z[v]}] = true
		}
		above, below, _ := Halves(m, p)
		var cuts [2]map[[3]float32]bool
		for i, half := range []*mesh.Mesh{above, below} {
			cuts[i] = map[[3]float32]bool{}
			for v := range half.Vertices() {
				if key := [3]float32{half.X[v], half.Y[v], half.Z[v]}; !own[key] {
					cuts[i][key] = true
				}
			}
		}
		if len(cuts[0]) == 0 || !maps.Equal(cuts[0], cuts[1]) {
			t.Errorf("%s: %d and %d vertices on the cut, not the same (seed %d)", name, len(cuts[0]), len(cuts[1]), seed)
		}
	}
}

// Planes through vertices, along edges and in facets, or a hair off them, part
// as cleanly as others.
func TestHalvesThroughVertices(t *testing.T) {
	const seed = 3
	rng := rand.New(rand.NewPCG(seed, 0))
	for name, m := range closedShapes() {
		for i := range 16 {
			m := m
			if i%8 >= 4 {
				m = rotated(m, randomRotation(rng))
			}
			a, b, c := m.Corners(rng.IntN(m.Triangles()))
			n := [4]r3.Vec{
				up,
				randomDirection(rng),
				r3.Cross(r3.Sub(b, a), randomDirection(rng)),
				r3.Cross(r3.Sub(b, a), r3.Sub(c, a)),
			}[i%4]
			if r3.Norm(n) == 0 {
				continue
			}
			if i >= 8 {
				// A few grains off the vertices, where cuts round to them.
				a = r3.Add(a, r3.Scale(2e-5*(rng.Float64()-0.5), r3.Unit(n)))
			}
			above, below := checkHalves(t, m, Plane{Point: a, Normal: n})
			// Seen from the other side they change places.
			below2, above2, _ := Halves(m, Plane{Point: a, Normal: r3.Scale(-1, n)})
			if above2.Triangles() != above.Triangles() || below2.Triangles() != below.Triangles() {
				t.Errorf("%d and %d triangles, from the other side %d and %d", above.Triangles(), below.Triangles(), above2.Triangles(), below2.Triangles())
			}
			if t.Failed() {
				t.Fatalf("%s, case %d of seed %d", name, i, seed)
			}
		}
	}
}

// Facets in the plane: each half has its whole share, and nothing flat is left.
func TestHalvesInFacets(t *testing.T) {
	const seed = 4
	rng := rand.New(rand.NewPCG(seed, 0))
	// A stair of two steps: a block 20 high with one of 10 beside it, as one surface.
	stair := &mesh.Mesh{}
	profile := [][2]float64{{0, 0}, {20, 0}, {20, 10}, {10, 10}, {10, 20}, {0, 20}}
	for _, y := range []float64{0, 30} {
		for _, p := range profile {
			stair.AddVertex(r3.Vec{X: p[0], Y: y, Z: p[1]})
		}
	}
	for i := range uint32(6) {
		j := (i + 1) % 6
		stair.AddTriangle(i, j+6, j)
		stair.AddTriangle(i, i+6, j+6)
	}
	for _, q := range [][3]uint32{{0, 1, 2}, {0, 2, 3}, {0, 3, 4}, {0, 4, 5}} {
		stair.AddTriangle(q[0], q[1], q[2])
		stair.AddTriangle(q[0]+6, q[2]+6, q[1]+6)
	}
	if n, v := openEdges(stair), stair.Volume(); n > 0 || v != 9000 {
		t.Fatalf("stair has %d open edges, volume %g", n, v)
	}
	for _, c := range []struct{ height, above, below float64 }{
		{0, 9000, 0}, {10, 3000, 6000}, {20, 0, 9000}, {15, 1500, 7500}, {-5, 9000, 0}, {25, 0, 9000},
	} {
		for i := range 20 {
			r := r3.NewRotation(0, up)
			if i > 0 {
				r = randomRotation(rng)
			}
			m := rotated(stair, r)
			n := r.Rotate(up)
			// As a person would lay it: through a vertex where there is one.
			at := r.Rotate(r3.Vec{Z: c.height})
			for v := range m.Vertices() {
				if stair.At(uint32(v)).Z == c.height {
					at = m.At(uint32(v))
				}
			}
			above, below := checkHalves(t, m, Plane{Point: at, Normal: n})
			if got := above.Volume(); math.Abs(got-c.above) > 0.01 || c.above == 0 && above.Triangles() > 0 {
				t.Errorf("at %g, turn %d of seed %d: above %g in %d triangles, want %g", c.height, i, seed, got, above.Triangles(), c.above)
			}
			if got := below.Volume(); math.Abs(got-c.below) > 0.01 || c.below == 0 && below.Triangles() > 0 {
				t.Errorf("at %g, turn %d of seed %d: below %g in %d triangles, want %g", c.height, i, seed, got, below.Triangles(), c.below)
			}
		}
	}
}

// Halves of halves of halves stay closed and keep the volume: cuts cross the
// caps of cuts before.
func TestHalvesAgain(t *testing.T) {
	const seed = 5
	rng := rand.New(rand.NewPCG(seed, 0))
	for name, m := range closedShapes() {
		pieces := []*mesh.Mesh{rotated(m, randomRotation(rng))}
		want := m.Volume()
		for range 4 {
			p := Plane{Point: r3.Scale(10, randomDirection(rng)), Normal: randomDirection(rng)}
			p.Point = r3.Add(p.Point, pieces[0].Bounds().Center())
			var next []*mesh.Mesh
			for _, piece := range pieces {
				above, below := checkHalves(t, piece, p)
				for _, half := range []*mesh.Mesh{above, below} {
					if half.Triangles() > 0 {
						next = append(next, weld(half))
					}
				}
			}
			pieces = next
		}
		var got float64
		for _, piece := range pieces {
			got += piece.Volume()
		}
		if !near(got, want, 1e-6) {
			t.Errorf("%s: %d pieces of %.9g in all, want %.9g (seed %d)", name, len(pieces), got, want, seed)
		}
	}
}

// The caps face out of their halves and have the area of the section.
func TestCaps(t *testing.T) {
	const seed = 6
	rng := rand.New(rand.NewPCG(seed, 0))
	for name, m := range closedShapes() {
		p := Plane{Point: r3.Add(m.Bounds().Center(), r3.Vec{X: 4, Y: 3, Z: 2}), Normal: randomDirection(rng)}
		_, want, _ := totals(Cut(m, p))
		n, _ := direction(p.Normal)
		above, below, _ := Halves(m, p)
		for sign, half := range map[float64]*mesh.Mesh{-1: above, 1: below} {
			var got, wrong float64
			for i := range half.Triangles() {
				a, b, c := half.Corners(i)
				if !onPlane(p, a, b, c) {
					continue
				}
				area := sign * r3.Dot(n, r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
				got += area
				if area*want < 0 {
					wrong += math.Abs(area)
				}
			}
			if !near(got, want, 1e-4) || wrong > 1e-6*math.Abs(want) {
				t.Errorf("%s: cap of %.6g mm², of it %.2g the wrong way, want %.6g (seed %d)", name, got, wrong, want, seed)
			}
		}
	}
}

func onPlane(p Plane, points ...r3.Vec) bool {
	n, _ := direction(p.Normal)
	for _, q := range points {
		if math.Abs(r3.Dot(n, r3.Sub(q, p.Point))) > 1e-4 {
			return false
		}
	}
	return true
}

// An open sheet is cut, left without a cap, and said to be.
func TestHalvesOfSheet(t *testing.T) {
	// A wall with one corner, 30 + 40 mm wide and 100 high.
	m := &mesh.Mesh{}
	for _, p := range []r3.Vec{{X: 30}, {}, {Y: 40}, {X: 30, Z: 100}, {Z: 100}, {Y: 40, Z: 100}} {
		m.AddVertex(p)
	}
	for _, q := range [][3]uint32{{0, 1, 4}, {0, 4, 3}, {1, 2, 5}, {1, 5, 4}} {
		m.AddTriangle(q[0], q[1], q[2])
	}
	above, below, f := Halves(m, Plane{Point: r3.Vec{Z: 60}, Normal: up})
	if f.OpenChains != 1 || !near(f.OpenLength, 70, 1e-6) || f.Gaps != 0 || !f.Any() {
		t.Errorf("flaws %+v, want one open chain of 70 mm", f)
	}
	if f.Where.Z != 60 || f.Where.X+f.Where.Y < 29 {
		t.Errorf("flaw at %v, want an end of the cut", f.Where)
	}
	if a, b := above.Area(), below.Area(); !near(a, 40*70, 1e-6) || !near(b, 60*70, 1e-6) {
		t.Errorf("areas %g and %g, want 2800 and 4200", a, b)
	}
	// Standing on the plane it is not parted, but open there all the same.
	above, below, f = Halves(m, Plane{Normal: up})
	if f.OpenChains != 1 || !near(above.Area(), 7000, 1e-6) || below.Triangles() > 0 {
		t.Errorf("on the plane: flaws %+v, areas %g and %g, want one open chain, 7000, 0", f, above.Area(), below.Area())
	}
}

// Where a facet here and there is missing the cap is made all the same, and
// the gaps are said.
func TestHalvesWithMissingFacets(t *testing.T) {
	whole := rings(128, 40, 50, 46, 120)
	p := Plane{Point: r3.Vec{Z: 61}, Normal: up}
	_, area, _ := totals(Cut(whole, p))
	m := withoutEvery(whole, 50)
	above, below, f := Halves(m, p)
	if f.OpenChains != 0 || f.Gaps == 0 || f.GapLength > 2*2*math.Pi*50/50*2 {
		t.Errorf("flaws %+v, want short gaps only", f)
	}
	for _, half := range []*mesh.Mesh{above, below} {
		var got float64
		for i := range half.Triangles() {
			if a, b, c := half.Corners(i); onPlane(p, a, b, c) {
				got += r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
			}
		}
		if !near(got, area, 5e-3) {
			t.Errorf("cap of %g mm², want about %g", got, area)
		}
	}
}

// A fin and a duplicate facet are cut with the rest; the solid is still capped.
func TestHalvesWithFins(t *testing.T) {
	m := rings(40, 10, 50, 46, 100)
	p := Plane{Point: r3.Vec{Z: 33}, Normal: up}
	clean, _, _ := Halves(m, p)
	double := m.Clone()
	double.T = append(double.T, m.T[3*250:3*250+3]...)
	fin := m.Clone()
	far := fin.AddVertex(r3.Vec{X: 80, Z: 35})
	fin.AddTriangle(3*40, 4*40, far)
	for name, m := range map[string]*mesh.Mesh{"duplicate": double, "fin": fin} {
		above, _, f := Halves(m, p)
		if name == "fin" && (f.OpenChains != 1 || f.Gaps != 0) {
			t.Errorf("%s: flaws %+v, want one open chain", name, f)
		}
		if !near(above.Volume(), clean.Volume(), 1e-2) || above.Triangles() < clean.Triangles() {
			t.Errorf("%s: volume %g in %d triangles, want about %g", name, above.Volume(), above.Triangles(), clean.Volume())
		}
	}
	// All facets twice: both skins are capped.
	twice := m.Clone()
	twice.T = append(twice.T, m.T...)
	above, below, f := Halves(twice, p)
	if f.Any() || openEdges(above)+openEdges(below) > 0 || !near(above.Volume(), 2*clean.Volume(), 1e-6) {
		t.Errorf("all facets twice: flaws %+v, %d open edges, volume %g, want %g", f, openEdges(above), above.Volume(), 2*clean.Volume())
	}
}

// A slab is what Halves leaves of Halves, closed, with the volume of the
// prism or ring it is.
func TestSlab(t *testing.T) {
	const seed = 7
	rng := rand.New(rand.NewPCG(seed, 0))
	ring := tube(24, 50, 40, 100)
	slab, f := Slab(ring, r3.Vec{Z: 3}, 30, 42)
	want := 12 * 24 * (50*50 - 40*40) * math.Sin(2*math.Pi/24) / 2
	if f.Any() || openEdges(slab) > 0 || !near(slab.Volume(), want, 1e-6) {
		t.Errorf("slab of a tube: flaws %+v, %d open edges, volume %g, want %g", f, openEdges(slab), slab.Volume(), want)
	}
	if b := slab.Bounds(); b.Min.Z != 30 || b.Max.Z != 42 {
		t.Errorf("slab from %g to %g, want 30 to 42", b.Min.Z, b.Max.Z)
	}
	for name, m := range closedShapes() {
		for range 6 {
			m := rotated(m, randomRotation(rng))
			n := randomDirection(rng)
			hs := heights(m, n)
			low, high := hs[0], hs[len(hs)-1]
			from := low + (high-low)*(1.2*rng.Float64()-0.1)
			to := from + 30*rng.Float64()
			slab, f := Slab(m, r3.Scale(5, n), from, to)
			if f.Any() || openEdges(slab) > 0 || openEdges(weld(slab)) > 0 {
				t.Errorf("%s: flaws %+v, %d open edges (seed %d)", name, f, openEdges(slab), seed)
			}
			above, _, _ := Halves(m, Plane{Point: r3.Scale(from, n), Normal: n})
			_, want, _ := Halves(above, Plane{Point: r3.Scale(to, n), Normal: n})
			if !near(slab.Volume(), want.Volume(), 1e-6) && math.Abs(want.Volume()) > 1 {
				t.Errorf("%s: volume %.9g, by halves %.9g (seed %d)", name, slab.Volume(), want.Volume(), seed)
			}
		}
	}
	for _, c := range []struct {
		n        r3.Vec
		from, to float64
	}{{up, 5, 5}, {up, 6, 5}, {r3.Vec{}, 1, 2}, {up, math.NaN(), 2}, {up, 1, math.Inf(1)}, {up, 200, 300}} {
		if slab, f := Slab(ring, c.n, c.from, c.to); slab.Triangles() > 0 || f.Any() {
			t.Errorf("Slab(%v, %g, %g) has %d triangles, flaws %+v", c.n, c.from, c.to, slab.Triangles(), f)
		}
	}
	// All of it, cut in the planes of its ends.
	if slab, f := Slab(ring, up, 0, 100); f.Any() || !near(slab.Volume(), ring.Volume(), 1e-9) {
		t.Errorf("slab of the whole: flaws %+v, volume %g, want %g", f, slab.Volume(), ring.Volume())
	}
}

// What a slab's two planes have above them, taken for many vertices at once, is what
// each of them says of one: of vertices on a plane, a bit beside it, far away, and of
// what is no number.
func TestOverWhich(t *testing.T) {
	const seed = 8
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 200 {
		n := randomDirection(rng)
		if rng.IntN(2) == 0 {
			n = []r3.Vec{{X: 1}, {Y: -1}, {Z: 1}}[rng.IntN(3)]
		}
		size := math.Pow(10, 8*rng.Float64()-2)
		from := size * (rng.Float64() - 0.5)
		to := from + size*math.Pow(10, -9*rng.Float64()) // the thinnest lie within the slack
		low, _ := Plane{Point: r3.Scale(from, n), Normal: n}.frame()
		high, _ := Plane{Point: r3.Scale(to, n), Normal: n}.frame()
		low.over = true
		u, v := across(n)
		m := &mesh.Mesh{}
		for range 200 {
			h := []float64{from, to, from + (to-from)*rng.Float64(), size * (2*rng.Float64() - 1), 1e6 * size}[rng.IntN(5)]
			h *= 1 + float64(rng.IntN(5)-2)*grain
			m.AddVertex(r3.Add(r3.Scale(h, n), r3.Add(r3.Scale(size*rng.Float64(), u), r3.Scale(size*rng.Float64(), v))))
		}
		for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			m.AddVertex(r3.Vec{X: bad})
			m.AddVertex(r3.Vec{Y: from, Z: bad})
		}
		for i, got := range overWhich(m, low, high) {
			var want uint8
			if low.above(m.At(uint32(i))) {
				want = overLow
			}
			if high.above(m.At(uint32(i))) {
				want |= overHigh
			}
			if got != want {
				t.Fatalf("%v between %g and %g along %v: %b, want %b (seed %d)", m.At(uint32(i)), from, to, n, got, want, seed)
			}
		}
	}
}

// Triangles whose corners are not numbers are left out and counted.
func TestHalvesOfBadNumbers(t *testing.T) {
	m := tube(12, 50, 40, 100)
	m.X[3] = float32(math.NaN())
	above, below, f := Halves(m, Plane{Point: r3.Vec{Z: 50}, Normal: up})
	if f.Lost == 0 || !above.Finite() || !below.Finite() {
		t.Errorf("flaws %+v, finite %v %v", f, above.Finite(), below.Finite())
	}
	if slab, f := Slab(m, up, 40, 60); f.Lost == 0 || !slab.Finite() {
		t.Errorf("slab: flaws %+v, finite %v", f, slab.Finite())
	}
	if whole, _, f := Halves(m, Plane{}); f.Lost == 0 || !whole.Finite() {
		t.Errorf("no plane: flaws %+v, finite %v", f, whole.Finite())
	}
	whole, rest, f := Halves(tube(12, 50, 40, 100), Plane{})
	if whole.Triangles() != 96 || rest.Triangles() != 0 || f.Any() {
		t.Errorf("no plane leaves %d and %d triangles, flaws %+v", whole.Triangles(), rest.Triangles(), f)
	}
}

// Lines are joined where ends and starts are nearest to each other and only
// into whole loops of short gaps.
func TestBridgeGaps(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines [][]r2.Vec
		loops int
		want  Flaws
	}{
		{"one with a short gap", [][]r2.Vec{{{Y: 0.1}, {X: 5}, {X: 5, Y: 5}, {}}}, 1, Flaws{Gaps: 1, GapLength: 0.1}},
		{"one with a wide gap", [][]r2.Vec{{{Y: 5}, {X: 5, Y: 5}, {X: 5}, {}}}, 0, Flaws{OpenChains: 1, OpenLength: 15}},
		{"two halves of a ring", [][]r2.Vec{{{X: 5, Y: 0.1}, {X: 5, Y: 5}, {X: 0.1, Y: 5}}, {{Y: 5}, {}, {X: 5}}}, 1, Flaws{Gaps: 2, GapLength: 0.2}},
		{"a fin beside the gap", [][]r2.Vec{{{X: -9}, {X: -0.3}}, {{}, {X: 5}, {X: 5, Y: 5}, {Y: 0.1}}}, 1, Flaws{OpenChains: 1, OpenLength: 8.7, Gaps: 1, GapLength: 0.1}},
		{"two in a row", [][]r2.Vec{{{}, {X: 10}}, {{X: 10.2}, {X: 20}}}, 0, Flaws{OpenChains: 2, OpenLength: 19.8}},
		{"two in a row, the second first", [][]r2.Vec{{{X: 10.2}, {X: 20}}, {{}, {X: 10}}}, 0, Flaws{OpenChains: 2, OpenLength: 19.8}},
	} {
		var p plan
		for _, line := range c.lines {
			p.add(len(line), func(angle float64) r2.Vec {
				return line[int(math.Round(angle/(2*math.Pi)*float64(len(line))))]
			})
		}
		loops, got := bridgeGaps(p.points, p.loops)
		got.OpenLength, got.GapLength = math.Round(1e6*got.OpenLength)/1e6, math.Round(1e6*got.GapLength)/1e6
		if len(loops) != c.loops || got != c.want {
			t.Errorf("%s: %d loops, %+v; want %d, %+v", c.name, len(loops), got, c.loops, c.want)
		}
	}
}

// Points named twice and spikes go, wherever the loop begins.
func TestTidy(t *testing.T) {
	for _, c := range []struct{ loop, want []uint32 }{
		{[]uint32{1, 2, 3}, []uint32{1, 2, 3}},
		{[]uint32{1, 1, 2, 3, 3, 1}, []uint32{1, 2, 3}},
		{[]uint32{1, 2, 9, 2, 3}, []uint32{1, 2, 3}},
		{[]uint32{1, 2, 9, 8, 9, 2, 3}, []uint32{1, 2, 3}},
		{[]uint32{9, 2, 3, 1, 2}, []uint32{2, 3, 1}},
		{[]uint32{2, 3, 1, 2, 9}, []uint32{2, 3, 1}},
		{[]uint32{8, 9, 2, 3, 1, 2, 9}, []uint32{2, 3, 1}},
		{[]uint32{1, 2, 3, 2}, []uint32{1}},
		{[]uint32{1, 2}, []uint32{1}},
		{nil, nil},
	} {
		if got := tidy(slices.Clone(c.loop)); !slices.Equal(got, c.want) && !(len(got) < 3 && len(c.want) < 3) {
			t.Errorf("tidy(%v) = %v, want %v", c.loop, got, c.want)
		}
	}
}

// Two solids that share a facet which faces out of both, one on top of the
// other, are both cut whole.
func TestSharedFacet(t *testing.T) {
	const seed = 8
	rng := rand.New(rand.NewPCG(seed, 0))
	tetrahedron := func(apex r3.Vec) *mesh.Mesh {
		m := &mesh.Mesh{}
		for _, p := range []r3.Vec{{}, {X: 30}, {Y: 30}, apex} {
			m.AddVertex(p)
		}
		for _, q := range [][3]uint32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}} {
			m.AddTriangle(q[0], q[1], q[2])
		}
		return m
	}
	low, high := tetrahedron(r3.Vec{X: 5, Y: 5, Z: 10}), tetrahedron(r3.Vec{X: 6, Y: 6, Z: 40})
	both := weld(join(low, high))
	for range 40 {
		m := shuffled(both, rng)
		p := Plane{Point: r3.Vec{X: 7, Y: 7, Z: 3}, Normal: randomDirection(rng)}
		l1, a1, _ := totals(Cut(low, p))
		l2, a2, _ := totals(Cut(high, p))
		length, area, open := totals(Cut(m, p))
		if open > 0 || !near(length, l1+l2, 1e-9) || !near(area, a1+a2, 1e-9) {
			t.Errorf("across %v: %d open, length %g, area %g; want 0, %g, %g (seed %d)", p.Normal, open, length, area, l1+l2, a1+a2, seed)
		}
		checkHalves(t, m, p)
	}
}
