package mesh

import (
	"io"
	"testing"

	"github.com/stretchr/testify/require"
)

// limbs of 200 000 and 2 000 000 triangles: a part, and about the largest that
// people print.
func smallLimb() *Mesh { return limb(100, 495) }
func largeLimb() *Mesh { return limb(500, 998) }

func benchmarkLoad(b *testing.B, data []byte) {
	s := sourceOf("limb.stl", data)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		_, err := loadSource(b.Context(), s, Limits{}.orDefault())
		require.NoError(b, err)
	}
}

// BenchmarkLoadSoup2M is the worst that a file can be: no two triangles share
// a corner, and they come in no order.
func BenchmarkLoadSoup2M(b *testing.B) {
	m := shaken(soup(largeLimb()), 1)
	for t := range m.Triangles() {
		o := int(draw(uint32(t)) % uint32(m.Triangles()))
		for k := range 3 {
			m.T[3*t+k], m.T[3*o+k] = m.T[3*o+k], m.T[3*t+k]
		}
	}
	benchmarkLoad(b, binarySTL(m, ""))
}

func BenchmarkWrite200k(b *testing.B) {
	m := smallLimb()
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, WriteSTL(io.Discard, m, "limb"))
	}
}
