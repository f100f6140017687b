package section

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// tube returns a closed two-walled tube of n sides about z, from z 0 to
// height, with outer and inner radius.
func tube(n int, outer, inner, height float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		for _, at := range [4][2]float64{{outer, 0}, {outer, height}, {inner, height}, {inner, 0}} {
			m.AddVertex(r3.Vec{X: at[0] * cos, Y: at[0] * sin, Z: at[1]})
		}
	}
	for i := range n {
		j := (i + 1) % n
		for k := range 4 {
			a, b := uint32(4*i+k), uint32(4*j+k)
			c, d := uint32(4*j+(k+1)%4), uint32(4*i+(k+1)%4)
			m.AddTriangle(a, b, c)
			m.AddTriangle(a, c, d)
		}
	}
	return m
}

// A regular n-gon of radius r has the perimeter 2·n·r·sin(π/n).
func TestTubeGirth(t *testing.T) {
	m := tube(24, 50, 40, 30)
	s := Cut(m, Plane{Point: r3.Vec{Z: 11}, Normal: r3.Vec{Z: 2}})
	if len(s.Chains) != 2 {
		t.Fatalf("%d chains, want 2", len(s.Chains))
	}
	for i, r := range []float64{50, 40} {
		got, want := s.Chains[i].Length(), 2*24*r*math.Sin(math.Pi/24)
		if !s.Chains[i].Closed || math.Abs(got-want) > 1e-4 {
			t.Errorf("radius %g: girth %.6f, want %.6f", r, got, want)
		}
	}
	if s.Chains[0].Area() < 0 || s.Chains[1].Area() > 0 {
		t.Errorf("areas %g, %g: want outer positive, inner negative", s.Chains[0].Area(), s.Chains[1].Area())
	}
}
