package mesh

import (
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Two facets that share a vertex are one body, and one apart is another, in
// whatever order they come.
func TestBodiesHangByVertices(t *testing.T) {
	m := &Mesh{}
	for x := range 9 {
		m.AddVertex(r3.Vec{X: float64(x), Y: float64(x * x)})
	}
	m.AddTriangle(6, 7, 8)
	m.AddTriangle(0, 1, 2)
	m.AddTriangle(3, 4, 2)
	m.AddTriangle(5, 7, 6)
	of, n := m.Bodies()
	if want := []int{0, 1, 1, 0}; n != 2 || !slices.Equal(of, want) {
		t.Fatalf("%d bodies, %v; want 2, %v", n, of, want)
	}
	for body, want := range []int{4, 5} { // vertices
		one := m.Only(func(t int) bool { return of[t] == body })
		if _, left := one.Bodies(); left != 1 || one.Vertices() != want || one.Triangles() != 2 {
			t.Errorf("body %d: %d bodies, %d vertices, %d facets", body, left, one.Vertices(), one.Triangles())
		}
	}
	if got := m.Only(func(int) bool { return true }); got.Area() != m.Area() || got.Triangles() != 4 {
		t.Errorf("all of it has %g mm², want %g", got.Area(), m.Area())
	}
	if of, n := (&Mesh{}).Bodies(); len(of) != 0 || n != 0 {
		t.Errorf("nothing has %d bodies", n)
	}
}
