package main

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime/debug"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/cmd/gambeson/machine"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
)

func memoryLimit() int64 { return debug.SetMemoryLimit(-1) }

// ownRoom leaves the memory limit of the test's process as it was.
func ownRoom(t *testing.T) {
	before := memoryLimit()
	t.Cleanup(func() { debug.SetMemoryLimit(before) })
	t.Setenv("GOMEMLIMIT", "")
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
	f.room = machine.NewRoom(24_000_000_000, bar.Triangles())
	_, err = f.look(context.Background(), "bar.stl")
	require.NoError(t, err)
	require.Less(t, during, int64(1_000_000_000))
	require.GreaterOrEqual(t, during, int64(100<<20+165*bar.Triangles()), "what machine allows at work")
	require.EqualValues(t, 18_000_000_000, memoryLimit())
}
