package shape

import (
	"math"
	"slices"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// seed is the seed of every random choice in these tests.
const seed = 20240229

func sample() *mesh.Mesh {
	return Taper{Sides: 96, Rows: 16, Bottom: Ellipse{41, 52}, Top: Ellipse{66, 58}, Wall: 3, Height: 310}.Mesh()
}

func TestMovesKeepTheShape(t *testing.T) {
	m := sample()
	for name, moved := range map[string]*mesh.Mesh{
		"turned":     Turn(m, Rotation(seed)),
		"offset":     Offset(m, r3.Vec{X: 100, Y: -20, Z: 5}),
		"mirrored":   Mirror(m),
		"shuffled":   Shuffle(m, seed),
		"split":      SplitWalls(m),
		"slivers":    Slivers(m, 20, seed),
		"two copies": without(Join(m, m), append(make([]bool, m.Triangles()), marks(m.Triangles())...)),
	} {
		near(t, name+" volume", moved.Volume(), m.Volume(), rounding)
		near(t, name+" area", moved.Area(), m.Area(), rounding)
	}
	closed(t, Turn(m, Rotation(seed)))
	closed(t, Mirror(m))
	closed(t, Shuffle(m, seed))
	if got := Mirror(Mirror(m)); !slices.Equal(got.X, m.X) {
		t.Error("mirrored twice is not the same")
	}
}

func marks(n int) []bool {
	out := make([]bool, n)
	for k := range out {
		out[k] = true
	}
	return out
}

func TestRotationsAreSpreadEvenly(t *testing.T) {
	// The image of a fixed axis is even over the sphere: each square of a
	// coordinate has mean 1/3 and, over 2,000 draws, a deviation of 0.0067.
	var sum r3.Vec
	const n = 2000
	for k := range uint64(n) {
		p := Rotation(seed + k).Rotate(r3.Vec{Z: 1})
		sum = r3.Add(sum, r3.Vec{X: p.X * p.X, Y: p.Y * p.Y, Z: p.Z * p.Z})
	}
	for _, mean := range []float64{sum.X / n, sum.Y / n, sum.Z / n} {
		if math.Abs(mean-1.0/3) > 4*0.0067 {
			t.Errorf("mean square %g, want 1/3 (seed %d)", mean, seed)
		}
	}
}

func TestSpoiltMeshesAreSpoiltAsSaid(t *testing.T) {
	m := sample()
	if got, want := DropFacets(m, 50, seed).Triangles(), m.Triangles()-m.Triangles()/50; got != want {
		t.Errorf("%d triangles left, want %d", got, want)
	}
	if got := pieces(SplitWalls(m)); got != m.Triangles() {
		t.Errorf("%d pieces, want one for each of %d triangles", got, m.Triangles())
	}
	if got := FlipShells(m).Volume(); got >= 0 {
		t.Errorf("inside out the volume is %g, want less than 0", got)
	}
	if got := unpaired(FlipFacets(m, 50, seed)); got == 0 {
		t.Error("no edge is run twice the same way")
	}
	if got := unpaired(m); got != 0 {
		t.Errorf("%d edges of the sound mesh are run twice the same way", got)
	}
}

// unpaired counts the directed edges that occur more than once.
func unpaired(m *mesh.Mesh) int {
	seen, n := make(map[[2]uint32]bool), 0
	for k, a := range m.T {
		e := [2]uint32{a, m.T[k/3*3+(k+1)%3]}
		if seen[e] {
			n++
		}
		seen[e] = true
	}
	return n
}

func TestSecondSkinLiesBesideTheFirst(t *testing.T) {
	m := sample()
	both := SecondSkin(m, 0.01)
	n := m.Vertices()
	for v := range n {
		d := r3.Norm(r3.Sub(both.At(uint32(v)), both.At(uint32(n+v))))
		if math.Abs(d-0.01) > 1e-4 { // float32 at 300 mm keeps 2e-5
			t.Fatalf("vertex %d moved by %g, want 0.01", v, d)
		}
	}
	if got := pieces(both); got != 2 {
		t.Errorf("%d pieces, want 2", got)
	}
}

func TestAddedBlocksLieInTheWall(t *testing.T) {
	m := sample()
	n := m.Triangles() / 40
	// All corners lie inside the wall: between the skins' ellipses at their
	// height. A tetrahedron of edge a adds its a³/(6√2).
	over, junk := Overlap(m, 40, 1, seed), Junk(m, 40, 1.5, seed)
	if got, want := pieces(over), 1+n; got != want {
		t.Errorf("%d pieces, want %d", got, want)
	}
	if got := over.Volume(); got <= m.Volume() {
		t.Errorf("the blocks add %g to the volume, want more than 0", got-m.Volume())
	}
	edge := 1.5 / 4
	near(t, "junk", junk.Volume()-m.Volume(), float64(n)*edge*edge*edge/(6*math.Sqrt2), 0.05)
	for name, spoilt := range map[string]*mesh.Mesh{"overlap": over, "junk": junk} {
		for v := m.Vertices(); v < spoilt.Vertices(); v++ {
			p := spoilt.At(uint32(v))
			inner := Ellipse{41, 52}.Toward(Ellipse{66, 58}, p.Z/310)
			outer := inner.Grown(3)
			in, out := math.Hypot(p.X/inner.A, p.Y/inner.B), math.Hypot(p.X/outer.A, p.Y/outer.B)
			// Facets lie up to 0.03 mm inside the curves.
			if in < 0.999 || out > 1.001 || p.Z < -1e-3 || p.Z > 310.001 {
				t.Fatalf("%s: %v lies outside the wall", name, p)
			}
		}
	}
}

func TestReliefKeepsItsBudgetAndItsInside(t *testing.T) {
	for _, budget := range []int{8_000, 20_000} {
		m := Relief{Triangles: budget}.Mesh()
		if got := m.Triangles(); got > budget || float64(got) < float64(budget)-8*math.Sqrt(float64(budget)) {
			t.Errorf("%d triangles for a budget of %d", got, budget)
		}
		closed(t, m)
		ring := Relief{}.At(140.3)
		got, ok := girthAt(m, Station{Center: ring.Center, Normal: r3.Vec{Z: 1}})
		if !ok {
			t.Fatal("no loop")
		}
		near(t, "girth", got, ring.Inner.Girth(), 1e-3)
	}
}

func BenchmarkRelief2M(b *testing.B) {
	for b.Loop() {
		Relief{Triangles: 2_000_000}.Mesh()
	}
}
