package section

import (
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape/speed"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// shell returns a bent two-walled tapered shell of about n triangles, 300 mm high.
func shell(n int) *mesh.Mesh {
	rows := 1
	for 4*rows*rows*3/2 < n {
		rows++
	}
	m := rings(rows*3/2, rows, 1, 0.95, 1)
	return m.Map(func(p r3.Vec) r3.Vec {
		s := 40 + 25*p.Z
		return r3.Vec{X: s*p.X + 30*p.Z*p.Z, Y: 0.8 * s * p.Y, Z: 300 * p.Z}
	})
}

var sizes = []struct {
	name string
	n    int
}{{"200k", 200_000}, {"2M", 2_000_000}}

func BenchmarkCut(b *testing.B) {
	for _, size := range sizes {
		m := shell(size.n)
		for name, normal := range map[string]r3.Vec{"upright": {Z: 1}, "tilted": {X: 0.2, Y: 0.1, Z: 1}} {
			b.Run(size.name+"/"+name, func(b *testing.B) {
				speed.Run(b, func() { Cut(m, Plane{Point: r3.Vec{Z: 120}, Normal: normal}) })
			})
		}
	}
}

func BenchmarkIndexCut(b *testing.B) {
	for _, size := range sizes {
		m := shell(size.n)
		scattered := shuffled(m, rand.New(rand.NewPCG(1, 0)))
		for _, c := range []struct {
			name string
			m    *mesh.Mesh
		}{{"in order", m}, {"shuffled", scattered}} {
			b.Run(size.name+"/make/"+c.name, func(b *testing.B) {
				speed.Run(b, func() { NewIndex(c.m) })
			})
			x := NewIndex(c.m)
			b.Run(size.name+"/cut/"+c.name, func(b *testing.B) {
				speed.Run(b, func() { x.Cut(Plane{Point: r3.Vec{Z: 120}, Normal: r3.Vec{X: 0.2, Y: 0.1, Z: 1}}) })
			})
		}
	}
}

// BenchmarkSections500 takes the level sections in the middle of 500 equal
// layers, and the length and the girth of each loop, on all processors, as those
// do who keep no section.
func BenchmarkSections500(b *testing.B) {
	speed.Each(b, func(b *testing.B, m *mesh.Mesh) {
		box := m.Bounds()
		through := layers(500)(box.Min.Z, box.Max.Z)
		speed.Run(b, func() { require.NoError(b, SweepEach(b.Context(), m, r3.Vec{Z: 1}, through, girths)) })
	})
}

func BenchmarkHalves(b *testing.B) {
	m := shell(200_000)
	speed.Run(b, func() { Halves(m, Plane{Point: r3.Vec{Z: 120}, Normal: r3.Vec{X: 0.2, Y: 0.1, Z: 1}}) })
}

// BenchmarkSlab takes a tenth of the height out of a part, and closes it.
func BenchmarkSlab(b *testing.B) {
	speed.Each(b, func(b *testing.B, m *mesh.Mesh) {
		box := m.Bounds()
		at := func(share float64) float64 { return box.Min.Z + share*(box.Max.Z-box.Min.Z) }
		speed.Run(b, func() { Slab(m, r3.Vec{Z: 1}, at(0.4), at(0.5)) })
	})
}
