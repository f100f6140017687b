package mesh

import (
	"bytes"
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

func BenchmarkLoadBinary200k(b *testing.B) { benchmarkLoad(b, binarySTL(smallLimb(), "")) }
func BenchmarkLoadBinary2M(b *testing.B)   { benchmarkLoad(b, binarySTL(largeLimb(), "")) }
func BenchmarkLoadASCII200k(b *testing.B)  { benchmarkLoad(b, []byte(asciiSTL(smallLimb(), "limb"))) }

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

// BenchmarkReadBinary2M is what the bytes alone cost.
func BenchmarkReadBinary2M(b *testing.B) {
	data := binarySTL(largeLimb(), "")
	b.SetBytes(int64(len(data)))
	buf := make([]byte, 256<<10)
	for b.Loop() {
		_, err := io.CopyBuffer(struct{ io.Writer }{io.Discard}, struct{ io.Reader }{bytes.NewReader(data)}, buf)
		require.NoError(b, err)
	}
}

func benchmarkCondition(b *testing.B, m *Mesh) {
	b.ReportAllocs()
	for b.Loop() {
		m.Condition()
	}
}

func BenchmarkCondition200k(b *testing.B) { benchmarkCondition(b, smallLimb()) }
func BenchmarkCondition2M(b *testing.B)   { benchmarkCondition(b, largeLimb()) }

func BenchmarkWrite200k(b *testing.B) {
	m := smallLimb()
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, WriteSTL(io.Discard, m, "limb"))
	}
}
