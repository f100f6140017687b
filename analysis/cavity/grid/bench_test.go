package grid

import (
	"context"
	"testing"

	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

// The grid at its largest, of ten million voxels, on two processors: drawn and
// flooded, its distances to the wall, and the sweeps in 98 directions that tell
// inside from outside.
//
//	go test ./analysis/cavity/grid -run '^$' -bench Grid -count 5
func BenchmarkGrid(b *testing.B) {
	const workers = 2
	m := shape.Relief{Triangles: 2_000_000}.Mesh()
	ctx := context.Background()
	var arena Arena
	drawn := func() *grid {
		g, err := newGrid(ctx, m, 0.01, 2, &arena) // raised to the least that memory allows
		require.NoError(b, err)
		return g
	}
	b.Run("drawn", func(b *testing.B) {
		for b.Loop() {
			g := drawn()
			b.ReportMetric(float64(g.nx*g.ny*g.nz)/1e6, "Mvoxels")
			arena.giveBack(g.wall, g.air)
		}
	})
	g := drawn()
	b.Run("distances", func(b *testing.B) {
		for b.Loop() {
			_, err := g.measure(ctx, workers, &arena)
			require.NoError(b, err)
		}
	})
	b.Run("sweeps", func(b *testing.B) {
		for b.Loop() {
			inside, rings, err := g.enclosed(ctx, workers, &arena)
			require.NoError(b, err)
			arena.giveBack(inside, rings)
		}
	})
}
