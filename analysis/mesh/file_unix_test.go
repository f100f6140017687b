//go:build unix

package mesh

import (
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A named pipe with no writer must not hold anybody up.
func TestOpenRefusesPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe.stl")
	require.NoError(t, syscall.Mkfifo(path, 0o644))
	_, err := Open(path)
	var r *ReadError
	require.ErrorAs(t, err, &r)
	require.Equal(t, "is not a file but a named pipe", r.Cause)
	_, unfinished := Unfinished(path)
	require.False(t, unfinished)
}

// A file of a hundred gigabytes that lie nowhere on the disk.
func TestSparseFile(t *testing.T) {
	whole := binarySTL(tetra(1), "")
	for _, c := range []struct {
		count uint32
		says  string
	}{
		{4_294_967_295, "4 294 967 295 triangles, more than"},
		{30_000_000, "ends in zeros"},
	} {
		path := put(t, "sparse.stl", withCount(whole, c.count))
		require.NoError(t, syscall.Truncate(path, stlHeader+stlFacet*int64(c.count)))
		_, err := opened(t, path).Load(t.Context(), Limits{})
		require.ErrorContains(t, err, c.says)
	}
}
