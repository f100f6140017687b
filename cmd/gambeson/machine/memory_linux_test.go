package machine

import (
	"testing"

	"gambeson/analysis/mesh"

	"github.com/stretchr/testify/require"
)

// Limits follow the memory of the machine: what would take more than half of it
// is refused by its claim, before anything is allocated.
func TestLimitsFollowTheMachine(t *testing.T) {
	require.Equal(t, mesh.DefaultLimits(), Limits(0))
	require.Equal(t, mesh.DefaultLimits(), Limits(1<<40))
	small := Limits(2 << 30)
	require.Less(t, int64(small.Triangles)*perTriangle, int64(1<<30))
	require.Greater(t, small.Triangles, 1_500_000)
	require.Equal(t, int64(256<<20), small.Unpacked)
	require.Equal(t, fewestTriangles, Limits(100<<20).Triangles)
	require.Positive(t, Memory())
}
