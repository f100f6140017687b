package mesh_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// What is summed up number by number is what vectors give, and the box is that
// of a plain loop, for random soups of any length, slivers and copies among them.
func TestSumsAreThePlainSums(t *testing.T) {
	random := rand.New(rand.NewPCG(20261128, 11))
	for range 200 {
		m := &mesh.Mesh{}
		low := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
		high := r3.Scale(-1, low)
		for range 1 + random.IntN(40) {
			v := m.AddVertex(r3.Vec{X: 100 * random.NormFloat64(), Y: random.NormFloat64() - 7, Z: 1e-3 * random.Float64()})
			p := m.At(v)
			low = r3.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y), Z: min(low.Z, p.Z)}
			high = r3.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y), Z: max(high.Z, p.Z)}
		}
		corner := func() uint32 { return random.Uint32N(uint32(m.Vertices())) }
		twice := 0.0
		for range random.IntN(300) { // within one block: blocks are summed apart
			m.AddTriangle(corner(), corner(), corner())
			a, b, c := m.Corners(m.Triangles() - 1)
			twice += math.Sqrt(r3.Norm2(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))))
		}
		if got := m.Bounds(); got.Min != low || got.Max != high {
			t.Fatalf("%d vertices: box %v, want %v to %v", m.Vertices(), got, low, high)
		}
		if got := m.Area(); got != twice/2 {
			t.Fatalf("%d facets: area %v, want %v", m.Triangles(), got, twice/2)
		}
		moved := m.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: 1}) })
		for v := range m.Vertices() {
			if got, want := moved.X[v], float32(float64(m.X[v])+1); got != want || moved.Y[v] != m.Y[v] {
				t.Fatalf("vertex %d moved to %v, want %v", v, got, want)
			}
		}
		if moved.Triangles() > 0 {
			before := m.T[0]
			if moved.T[0]++; m.T[0] != before {
				t.Fatal("a map shares triangles with its mesh")
			}
		}
	}
	odd := &mesh.Mesh{X: []float32{1, 2, 3, 4, 5, float32(math.NaN()), 7}, Y: make([]float32, 7), Z: make([]float32, 7)}
	if got := odd.Bounds(); got.Min.X == got.Min.X || got.Max.X == got.Max.X {
		t.Errorf("a vertex that is no number leaves the box %v", got)
	}
}
