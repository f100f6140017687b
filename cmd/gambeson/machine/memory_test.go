package machine

import (
	"math"
	"runtime"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/require"
)

func memoryLimit() int64 { return debug.SetMemoryLimit(-1) }

// inUse is the size of the heap without garbage.
func inUse() int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

// ownRoom leaves the memory limit of the test's process as it was.
func ownRoom(t *testing.T) {
	before := memoryLimit()
	t.Cleanup(func() { debug.SetMemoryLimit(before) })
	t.Setenv("GOMEMLIMIT", "")
}

// A large part at work may take what its triangles allow it, at most three
// quarters of the machine's memory, and afterwards all is as before.
func TestRoom(t *testing.T) {
	const gb = 1_000_000_000
	ownRoom(t)
	r := NewRoom(24*gb, LargePart)
	require.EqualValues(t, 18*gb, memoryLimit())
	r.Take(200_000)
	require.EqualValues(t, 18*gb, memoryLimit(), "a small part is left alone")
	for _, triangles := range []int{500_000, 2_000_000, 5_000_000} {
		read := make([]byte, 18*triangles) // as a mesh with half as many corners
		before := inUse()
		r.Take(triangles)
		got, file := memoryLimit()-before, int64(50*triangles)
		require.Less(t, got+int64(len(read)), 4*file+200e6-60e6, "the program itself takes 40 MB, and the heap a little more than it may")
		require.Greater(t, got, 5*130*int64(triangles)/4, "a quarter above what is in use at the peak, so that the collector finds something")
		runtime.KeepAlive(read)
		r.GiveBack()
		require.EqualValues(t, 18*gb, memoryLimit())
	}
	r.Take(200_000_000)
	require.EqualValues(t, 18*gb, memoryLimit(), "never more than the machine allows")
	r.GiveBack()

	NewRoom(0, LargePart)
	require.EqualValues(t, math.MaxInt64, memoryLimit(), "nothing is known of the machine")

	debug.SetMemoryLimit(7 * gb)
	t.Setenv("GOMEMLIMIT", "7GB")
	r = NewRoom(24*gb, LargePart)
	r.Take(5_000_000)
	require.EqualValues(t, 7*gb, memoryLimit(), "the person's own limit stands")
	r.GiveBack()
	require.EqualValues(t, 7*gb, memoryLimit())
}
