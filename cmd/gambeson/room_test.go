package main

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/rs/zerolog"
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
	r := newRoom(24 * gb)
	require.EqualValues(t, 18*gb, memoryLimit())
	r.take(200_000)
	require.EqualValues(t, 18*gb, memoryLimit(), "a small part is left alone")
	for _, triangles := range []int{500_000, 2_000_000, 5_000_000} {
		read := make([]byte, 18*triangles) // as a mesh with half as many corners
		before := inUse()
		r.take(triangles)
		got, file := memoryLimit()-before, int64(50*triangles)
		require.Less(t, got+int64(len(read)), 4*file+200e6-60e6, "the program itself takes 40 MB, and the heap a little more than it may")
		require.Greater(t, got, 5*130*int64(triangles)/4, "a quarter above what is in use at the peak, so that the collector finds something")
		runtime.KeepAlive(read)
		r.giveBack()
		require.EqualValues(t, 18*gb, memoryLimit())
	}
	r.take(200_000_000)
	require.EqualValues(t, 18*gb, memoryLimit(), "never more than the machine allows")
	r.giveBack()

	newRoom(0)
	require.EqualValues(t, math.MaxInt64, memoryLimit(), "nothing is known of the machine")

	debug.SetMemoryLimit(7 * gb)
	t.Setenv("GOMEMLIMIT", "7GB")
	r = newRoom(24 * gb)
	r.take(5_000_000)
	require.EqualValues(t, 7*gb, memoryLimit(), "the person's own limit stands")
	r.giveBack()
	require.EqualValues(t, 7*gb, memoryLimit())
}

// atTimed tells the memory limit while the report of a part was just written.
type atTimed func(limit int64)

func (f atTimed) Write(line []byte) (int, error) {
	var e struct{ Event string }
	if err := json.Unmarshal(line, &e); err != nil {
		return 0, err
	}
	if e.Event == "timed" {
		f(memoryLimit())
	}
	return len(line), nil
}

// The daemon bounds the memory until the report of a part is written, and for
// what the whole shell takes where it is a piece of one.
func TestRoomForPartAtWork(t *testing.T) {
	ownRoom(t)
	root := t.TempDir()
	bar := shape.Bar{X: 60, Y: 15, Z: 10}.Mesh()
	out, err := os.Create(filepath.Join(root, "bar.stl"))
	require.NoError(t, err)
	require.NoError(t, mesh.WriteSTL(out, bar, "bar"))
	require.NoError(t, out.Close())
	var during int64
	f := newFolder(root, 1, zerolog.New(atTimed(func(limit int64) { during = limit })))
	f.pieces.surveyed = true
	f.room = newRoom(24_000_000_000)
	f.room.large = bar.Triangles()
	_, err = f.look(context.Background(), "bar.stl")
	require.NoError(t, err)
	require.Less(t, during, int64(1_000_000_000))
	require.GreaterOrEqual(t, during, int64(atWorkBase+atWorkEach*bar.Triangles()))
	require.EqualValues(t, 18_000_000_000, memoryLimit())
}
