package hull

import (
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/speed"

	"gonum.org/v1/gonum/spatial/r3"
)

const seed = 20261125

// check says what is wrong with h as the hull of m: it must be a closed convex
// polyhedron (Euler: F = 2V − 4 where all faces are triangles) with its corners
// among the vertices and no vertex outside.
func check(t *testing.T, name string, h *Hull, m *mesh.Mesh) {
	t.Helper()
	if f, v := len(h.Faces), len(h.Points); f != 2*v-4 {
		t.Errorf("%s: %d faces on %d corners, want %d (Euler)", name, f, v, 2*v-4)
	}
	edges := map[[2]int32]int{}
	for _, f := range h.Faces {
		for k := range f {
			edges[[2]int32{f[k], f[(k+1)%3]}]++
		}
	}
	for e, n := range edges {
		if n != 1 || edges[[2]int32{e[1], e[0]}] != 1 {
			t.Fatalf("%s: edge %v runs %d times there and %d back", name, e, n, edges[[2]int32{e[1], e[0]}])
		}
	}
	outside(t, name, h, m, slack(m))
	var sum float64
	for _, f := range h.Flats {
		sum += f.Area
	}
	if math.Abs(sum/h.Area()-1) > 1e-7 {
		t.Errorf("%s: the flats have %g mm² of %g", name, sum, h.Area())
	}
}

// slack returns the grain of m's lattice in mm.
func slack(m *mesh.Mesh) float64 {
	l := newLattice(m.Bounds())
	return l.grain / l.scale
}

// outside looks for vertices outside by more than slack, the slow way: over
// every face, where the rounding of its corners turns it about its least
// height, and in many directions.
func outside(t *testing.T, name string, h *Hull, m *mesh.Mesh, slack float64) {
	t.Helper()
	box := m.Bounds()
	size := r3.Norm(box.Size())
	for _, f := range h.Faces {
		a, b, c := h.corners(f)
		n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
		longest := max(r3.Norm(r3.Sub(b, a)), r3.Norm(r3.Sub(c, b)), r3.Norm(r3.Sub(a, c)))
		height := r3.Norm(n) / longest
		n = r3.Unit(n)
		for v := range m.Vertices() {
			if over := r3.Dot(n, r3.Sub(m.At(uint32(v)), a)); over > slack*(1+size/height) {
				t.Fatalf("%s: vertex %d lies %g mm outside", name, v, over)
			}
		}
	}
	random := rand.New(rand.NewPCG(seed, 7))
	for range 200 {
		n := r3.Unit(r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()})
		_, high := h.Along(n)
		for v := range m.Vertices() {
			if over := r3.Dot(n, m.At(uint32(v))) - high; over > slack {
				t.Fatalf("%s: vertex %d lies %g mm outside in direction %v", name, v, over, n)
			}
		}
	}
}

func TestKnownHulls(t *testing.T) {
	for _, c := range []struct {
		name         string
		m            *mesh.Mesh
		corners      int
		flats        int
		volume, area float64
	}{
		{"box", shape.Bar{X: 30, Y: 20, Z: 10}.Mesh(), 8, 6, 6000, 2200},
		{"grid of points in a box", lattices(9), 8, 6, 512, 384},
		{"24-sided tube", shape.Tube{Sides: 24, Radius: 50, Wall: 3, Height: 80}.Mesh(), 48, 26,
			80 * shape.Circle(53).PolygonArea(24), 2*shape.Circle(53).PolygonArea(24) + 80*shape.Circle(53).PolygonGirth(24)},
	} {
		for _, turned := range []bool{false, true} {
			m := c.m
			if turned {
				m = shape.Offset(shape.Turn(m, shape.Rotation(seed)), r3.Vec{X: 30, Y: -40, Z: 7})
			}
			h := Of(m)
			check(t, c.name, h, m)
			if !turned && len(h.Points) != c.corners {
				t.Errorf("%s: %d corners, want %d", c.name, len(h.Points), c.corners)
			}
			if len(h.Flats) != c.flats {
				t.Errorf("%s (turned %v): %d flats, want %d", c.name, turned, len(h.Flats), c.flats)
			}
			if math.Abs(h.Volume()/c.volume-1) > 1e-6 || math.Abs(h.Area()/c.area-1) > 1e-6 {
				t.Errorf("%s: volume %.6f area %.6f, want %.6f and %.6f", c.name, h.Volume(), h.Area(), c.volume, c.area)
			}
		}
	}
}

// lattices returns n³ points on whole numbers, each of them twice.
func lattices(n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 2 * n * n * n {
		m.AddVertex(r3.Vec{X: float64(i % n), Y: float64(i / n % n), Z: float64(i / (n * n) % n)})
	}
	return m
}

func TestHullHoldsAllPoints(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 1))
	for i := range 200 {
		m := &mesh.Mesh{}
		flat := math.Pow(10, -6*random.Float64())
		for range 4 + random.IntN(300) {
			p := r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()}
			switch i % 4 {
			case 0:
				p = r3.Unit(p) // all on a ball
			case 1:
				p = r3.Vec{X: math.Round(2 * p.X), Y: math.Round(2 * p.Y), Z: math.Round(2 * p.Z)} // many in planes, on lines, doubled
			case 2:
				p.Z *= flat
			}
			m.AddVertex(r3.Add(r3.Scale(100, p), r3.Vec{X: 1000 * float64(i%3)}))
		}
		if i%8 > 3 {
			m = shape.Turn(m, shape.Rotation(uint64(i)))
		}
		h := Of(m)
		if len(h.Faces) == 0 && i%4 != 1 {
			t.Errorf("cloud %d: no faces", i)
			continue
		}
		if len(h.Flats) == 2 { // flatter than the grain
			outside(t, "flat cloud", h, m, 3*slack(m))
			continue
		}
		check(t, "cloud", h, m)
	}
}

func TestHullOfParts(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{
		"relief": shape.Relief{Triangles: 20_000}.Mesh(),
		"boot":   shape.Boot{Rim: shape.Ellipse{A: 50, B: 60}, Ankle: shape.Circle(45), Instep: shape.Circle(44), Ball: shape.Ellipse{A: 30, B: 45}, Wall: 3, Shaft: 150, Bend: 60, Foot: 150, Toe: 30}.Mesh(),
	} {
		check(t, name, Of(m), m)
		turned := shape.Turn(m, shape.Rotation(seed))
		h, g := Of(m), Of(turned)
		check(t, name, g, turned)
		if math.Abs(h.Volume()/g.Volume()-1) > 1e-6 {
			t.Errorf("%s: volume %.4f, turned %.4f", name, h.Volume(), g.Volume())
		}
	}
}

func TestHullWithoutVolume(t *testing.T) {
	flat := &mesh.Mesh{}
	for i := range 100 {
		flat.AddVertex(r3.Vec{X: float64(i % 10), Y: float64(i / 10)})
	}
	h := Of(flat)
	if len(h.Points) != 4 || len(h.Flats) != 2 || math.Abs(h.Area()-2*81) > 1e-9 || h.Flats[0].Area != 81 {
		t.Errorf("a flat square: %d corners, flats %v, area %g", len(h.Points), h.Flats, h.Area())
	}
	line := &mesh.Mesh{}
	for i := range 10 {
		line.AddVertex(r3.Vec{X: float64(i), Y: 2 * float64(i)})
	}
	if h := Of(line); len(h.Points) != 2 || len(h.Faces) != 0 || h.Volume() != 0 {
		t.Errorf("a line: %+v", h)
	}
	one := &mesh.Mesh{X: []float32{3, 3}, Y: []float32{4, 4}, Z: []float32{5, 5}}
	if h := Of(one); len(h.Points) != 1 {
		t.Errorf("a point: %+v", h)
	}
	if h := Of(&mesh.Mesh{}); len(h.Points) != 0 {
		t.Errorf("nothing: %+v", h)
	}
	nan := shape.Bar{X: 1, Y: 1, Z: 1}.Mesh()
	nan.AddVertex(r3.Vec{X: math.NaN()})
	nan.AddVertex(r3.Vec{Y: math.Inf(1)})
	if h := Of(nan); len(h.Points) != 8 || math.Abs(h.Volume()-1) > 1e-9 {
		t.Errorf("a box and no numbers: %+v", h)
	}
}

func BenchmarkHull(b *testing.B) {
	speed.Each(b, func(b *testing.B, m *mesh.Mesh) { speed.Run(b, func() { Of(m) }) })
}

// BenchmarkHullOfBall has points of which none is near another, in no order.
func BenchmarkHullOfBall(b *testing.B) {
	random := rand.New(rand.NewPCG(seed, 9))
	m := &mesh.Mesh{}
	for range 2_000_000 {
		p := r3.Unit(r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()})
		m.AddVertex(r3.Scale(100*math.Cbrt(random.Float64()), p))
	}
	speed.Run(b, func() { Of(m) })
}
