package assembly

import (
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

// A piece that is inside out meets others as it does turned round: a copy of a shell lies
// on it, not against it, and the other half of a box is welded to it.
func TestInsideOutPieces(t *testing.T) {
	inward := func(m *mesh.Mesh) *mesh.Mesh {
		out := m.Clone()
		out.Flip()
		return out
	}
	tube := shape.Tube{Sides: 48, Radius: 50, Wall: 3, Height: 60}.Mesh()
	turned, _ := Touch(rimsOf(tube), rimsOf(inward(tube)))
	copied, _ := Touch(rimsOf(tube), rimsOf(tube.Clone()))
	require.Equal(t, copied, turned)

	halves := cut2(0)
	whole := Join(halves...).Mesh
	joined := Join(halves[0], inward(halves[1])).Mesh
	require.InEpsilon(t, whole.Volume(), joined.Volume(), 1e-9)
	require.Equal(t, whole.Condition().Closed, joined.Condition().Closed)
	c, ok := Touch(rimsOf(halves[0]), rimsOf(inward(halves[1])))
	require.True(t, ok, "%+v", c)
	require.Same(t, tube, tube.Outward(), "nothing to turn")
}
