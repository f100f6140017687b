package grid

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

// byScipy labels the air of a box of voxels, and measures how far each voxel of
// it is from the nearest one that is wall, by scipy.ndimage: label joins voxels
// that share a face, distance_transform_edt is exact.
const byScipy = `
import json, sys, time
import numpy as np
from scipy import ndimage
box = json.loads(sys.argv[1])
drawn = np.fromfile(sys.argv[2], dtype=np.uint8).reshape(box)
began = time.perf_counter()
parts, _ = ndimage.label(drawn == 0)
air = parts == parts[0, 0, 0]
label = time.perf_counter() - began
began = time.perf_counter()
far = ndimage.distance_transform_edt(air)
measure = time.perf_counter() - began
np.rint(far * far).astype(np.int32).tofile(sys.argv[3])
print(json.dumps([label, measure]))
`

// The flood and the distances of a grid of ten million voxels are those of SciPy,
// voxel by voxel; both say how long they take. It is for .ci/peers: skipped unless
// GAMBESON_SCIPY names a Python that has scipy.ndimage.
func TestGridBySciPy(t *testing.T) {
	python := os.Getenv("GAMBESON_SCIPY")
	if python == "" {
		t.Skip("GAMBESON_SCIPY names no Python")
	}
	const workers = 2
	m := shape.Relief{Triangles: 200_000}.Mesh()
	ctx := context.Background()
	var arena Arena
	var g *grid
	var drawn []byte // 1 where the wall is before the flood, x fastest
	var d distances
	var flood, measure time.Duration
	for range 3 { // the last is what a daemon takes
		var err error
		g, err = newGrid(ctx, m, 0.01, workers, &arena)
		require.NoError(t, err)
		clear(g.wall)
		clear(g.air)
		require.NoError(t, g.draw(ctx, m, workers, &arena))
		g.closeGaps(&arena)
		drawn = make([]byte, g.nx*g.ny*g.nz)
		g.each(g.wall, func(x, y, z int) { drawn[(z*g.ny+y)*g.nx+x] = 1 })
		began := time.Now()
		g.flood()
		flood = time.Since(began)
		began = time.Now()
		d, err = g.measure(ctx, workers, &arena)
		require.NoError(t, err)
		measure = time.Since(began)
	}

	dir := t.TempDir()
	in, out := filepath.Join(dir, "in"), filepath.Join(dir, "out")
	require.NoError(t, os.WriteFile(in, drawn, 0o600))
	box, err := json.Marshal([]int{g.nz, g.ny, g.nx})
	require.NoError(t, err)
	command := exec.CommandContext(t.Context(), python, "-c", byScipy, string(box), in, out)
	command.Stderr = os.Stderr
	said, err := command.Output()
	require.NoError(t, err)
	var took [2]float64
	require.NoError(t, json.Unmarshal(said, &took))
	bytes, err := os.ReadFile(out)
	require.NoError(t, err)
	require.Len(t, bytes, 4*len(drawn))
	differ, walls, most := 0, 0, int32(0)
	for i := range drawn {
		want := int32(binary.NativeEndian.Uint32(bytes[4*i:]))
		if int32(d[i]) != min(want, farthest) {
			differ++
		}
		if want == 0 {
			walls++
		}
		most = max(most, want)
	}
	require.Zero(t, differ, "of %d voxels", len(drawn))
	require.Greater(t, walls, 1000)
	require.Greater(t, most, int32(1000))
	ours := flood.Seconds() + measure.Seconds()
	t.Logf("%.1f M voxels: flood %.3f s, distances %.3f s; scipy %.3f and %.3f s, all %.1f x ours; no voxel differs",
		float64(len(drawn))/1e6, flood.Seconds(), measure.Seconds(), took[0], took[1], (took[0]+took[1])/ours)
}
