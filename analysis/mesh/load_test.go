package mesh

import (
	"bytes"
	"io"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// allocated returns how many bytes and how often f allocates.
func allocated(f func()) (size, times uint64) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc, after.Mallocs - before.Mallocs
}

// Nothing is allocated for each triangle: forty times as many cost the same
// number of allocations but for the few by which arrays grow.
func TestAllocationsDoNotCountTriangles(t *testing.T) {
	small, large := limb(10, 20), limb(60, 133)
	for name, write := range map[string]func(m *Mesh) []byte{
		"binary": func(m *Mesh) []byte { return binarySTL(m, "") },
		"ascii":  func(m *Mesh) []byte { return []byte(asciiSTL(m, "")) },
	} {
		var times [2]uint64
		for i, m := range []*Mesh{small, large} {
			data := write(m)
			_, times[i] = allocated(func() {
				l, err := loadSource(t.Context(), sourceOf("a.stl", data), Limits{Workers: 1}.orDefault())
				require.NoError(t, err)
				l.Condition()
			})
		}
		if times[1] > times[0]+100 {
			t.Errorf("%s: %d allocations for %d triangles, %d for %d", name, times[0], small.Triangles(), times[1], large.Triangles())
		}
	}
}

// What a header or an archive claims is not made room for before it is there.
func TestMemoryFollowsTheBytes(t *testing.T) {
	const claim = 49_000_000 // triangles, just below the limit
	claims := func(size int64, data []byte) *source {
		return &source{name: "a.stl", size: size, front: func() (io.ReadCloser, error) {
			return io.NopCloser(bytes.NewReader(data)), nil
		}}
	}
	m := limb(10, 60) // enough for the first looks at it
	data := withCount(binarySTL(m, ""), claim)
	text := []byte(asciiSTL(m, ""))
	for name, s := range map[string]*source{
		"header":        sourceOf("a.stl", data),
		"archive":       claims(stlHeader+stlFacet*claim, data),
		"archive, text": claims(10<<30, text[:len(text)-100]),
	} {
		size, _ := allocated(func() {
			_, err := loadSource(t.Context(), s, Limits{}.orDefault())
			require.Error(t, err, name)
		})
		if size > 8<<20 {
			t.Errorf("%s: %d bytes allocated for a file of %d", name, size, len(data))
		}
	}
}
