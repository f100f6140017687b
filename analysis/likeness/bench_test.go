package likeness

import (
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

func BenchmarkOf(b *testing.B) {
	m := shape.Relief{Triangles: 200_000}.Mesh()
	b.ReportAllocs()
	for b.Loop() {
		Of(m, 1)
	}
}

// What is done with a part of 200,000 facets, from the cheapest answer to the
// dearest.
func BenchmarkBecame(b *testing.B) {
	m := shape.Relief{Triangles: 200_000}.Mesh()
	old := Of(m, 1)
	_, cut, _ := section.Halves(m, section.Plane{Point: r3.Vec{Z: 100}, Normal: r3.Vec{X: 0.2, Z: 1}})
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
	}{
		{"rescaled", m.Scaled(1.07)},
		{"turned in another order", shape.Turn(shape.Shuffle(m, 2), shape.Rotation(4))},
		{"cut", cut},
		{"a third gone", shape.DropFacets(m, 3, 3)},
	} {
		b.Run(c.name, func(b *testing.B) {
			s := Of(c.m, 1)
			for b.Loop() {
				Became(old, s, c.m)
			}
		})
	}
}
