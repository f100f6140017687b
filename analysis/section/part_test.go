package section

import (
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// closedShapes are solids of many kinds, all closed.
func closedShapes() map[string]*mesh.Mesh {
	cube := boxMesh(r3.Vec{X: -30, Y: -30, Z: -30}, r3.Vec{X: 30, Y: 30, Z: 30})
	hole := flipped(boxMesh(r3.Vec{X: -10, Y: -10, Z: -10}, r3.Vec{X: 10, Y: 10, Z: 10}))
	thin := taper(200, 60, 45, 0.7, 0.4, 150)
	return map[string]*mesh.Mesh{
		"tube":                    tube(64, 50, 46, 120),
		"taper":                   taper(128, 60, 45, 0.7, 3, 150),
		"taper with 0.4 mm walls": thin,
		"torus":                   torus(96, 48, 50, 15),
		"torus knot":              knot(240, 12, 20, 6),
		"sphere":                  sphere(48, 40),
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
			for i := range 24 {
				m := rotated(m, randomRotation(rng))
				box := m.Bounds()
				size := r3.Norm(box.Size())
				p := Plane{
					Point:  r3.Add(box.Center(), r3.Scale(size*0.4*(rng.Float64()-0.5), randomDirection(rng))),
					Normal: randomDirection(rng),
				}
				checkHalves(t, m, p)
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
