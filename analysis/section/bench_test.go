package section

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// timed runs f b.N times and reports the processor time of each besides the
// wall time: on a shared machine the former is the steadier.
func timed(b *testing.B, f func()) {
	b.ReportAllocs()
	before, runs := processorTime(), 0
	for b.Loop() {
		f()
		runs++
	}
	b.ReportMetric(float64((processorTime()-before).Microseconds())/1000/float64(runs), "cpu-ms/op")
}

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
				timed(b, func() { Cut(m, Plane{Point: r3.Vec{Z: 120}, Normal: normal}) })
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
				timed(b, func() { NewIndex(c.m) })
			})
			x := NewIndex(c.m)
			b.Run(size.name+"/cut/"+c.name, func(b *testing.B) {
				timed(b, func() { x.Cut(Plane{Point: r3.Vec{Z: 120}, Normal: r3.Vec{X: 0.2, Y: 0.1, Z: 1}}) })
			})
		}
	}
}

func BenchmarkSweep(b *testing.B) {
	for _, size := range sizes {
		m := shell(size.n)
		for _, count := range []int{100, 500} {
			var through []r3.Vec
			for i := range count {
				through = append(through, r3.Vec{Z: 300 * (float64(i) + 0.5) / float64(count)})
			}
			b.Run(fmt.Sprintf("%s/%d", size.name, count), func(b *testing.B) {
				timed(b, func() { Sweep(m, r3.Vec{Z: 1}, through) })
			})
		}
	}
}

func BenchmarkHalves(b *testing.B) {
	m := shell(200_000)
	timed(b, func() { Halves(m, Plane{Point: r3.Vec{Z: 120}, Normal: r3.Vec{X: 0.2, Y: 0.1, Z: 1}}) })
}

func BenchmarkSlab(b *testing.B) {
	for _, size := range sizes {
		m := shell(size.n)
		b.Run(size.name, func(b *testing.B) {
			timed(b, func() { Slab(m, r3.Vec{Z: 1}, 120, 132) })
		})
	}
}
