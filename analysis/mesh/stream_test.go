package mesh

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A facet is finite where each of its nine numbers is, whatever stands in its
// normal and its attributes.
func TestFacetIsFinite(t *testing.T) {
	odd := []float32{float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1))}
	sound := []float32{0, float32(math.Copysign(0, -1)), 1.5, -math.MaxFloat32, math.MaxFloat32, math.SmallestNonzeroFloat32}
	var f Facet
	put := func(at int, x float32) { binary.LittleEndian.PutUint32(f[at:], math.Float32bits(x)) }
	for k := range 3 {
		put(4*k, odd[k])
	}
	f[48], f[49] = 0xff, 0xff
	for k := range 9 {
		for _, x := range sound {
			put(12+4*k, x)
			require.True(t, f.finite(), "%v as number %d", x, k)
			require.Equal(t, x, f.At(k/3, k%3))
			require.False(t, math.Signbit(float64(f.At(k/3, k%3))) && x == 0)
		}
		for _, x := range odd {
			put(12+4*k, x)
			require.False(t, f.finite(), "%v as number %d", x, k)
		}
		put(12+4*k, float32(k))
	}
}
