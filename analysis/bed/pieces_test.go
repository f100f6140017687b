package bed

import (
	"context"
	"math"
	"testing"

	"gambeson/analysis/bed/parting"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

// desktop is a common printer's volume, 220 × 220 × 250 less a margin of 5.
var desktop = Volume{Width: 210, Depth: 210, Height: 250}

// checkPieces says what is wrong with the pieces of a closed part m.
func checkPieces(t *testing.T, name string, m *mesh.Mesh, v Volume, p parting.Pieces) {
	t.Helper()
	var sum float64
	for _, q := range p.Pieces {
		if c := q.Mesh.Condition(); !c.Closed {
			t.Errorf("%s: %s is open: %+v", name, q.Name, c.Defects)
		}
		if l := Search(q.Mesh, v); !l.Laid.Fits(1) {
			t.Errorf("%s: %s does not fit: %v at most %g", name, q.Name, l.Laid.Size, l.Laid.Scale)
		}
		sum += q.Mesh.Volume() + q.Holes
	}
	if whole := m.Volume(); math.Abs(sum/whole-1) > 1e-4 {
		t.Errorf("%s: the pieces have %g mm³ in sum, the part %g", name, sum, whole)
	}
	if p.Flaws.Any() {
		t.Errorf("%s: flaws %+v", name, p.Flaws)
	}
}

// A box that is as large as a number of beds falls into as many pieces, and
// needs them: by its volume.
func TestBoxOfBeds(t *testing.T) {
	for _, c := range []struct {
		x, y, z float64
		want    int
	}{{1, 1, 1, 1}, {3, 1, 1, 3}, {1, 2, 2, 4}, {2, 2, 2, 8}, {3, 3, 3, 27}} {
		m := shape.Bar{X: c.x * desktop.Width, Y: c.y * desktop.Depth, Z: c.z * desktop.Height}.Mesh()
		p, err := Part(context.Background(), m, desktop, parting.Wish{})
		require.NoError(t, err)
		checkPieces(t, "box", m, desktop, p)
		if got := len(p.Pieces); got != c.want {
			t.Errorf("box of %g × %g × %g beds: %d pieces, want %d", c.x, c.y, c.z, got, c.want)
		}
	}
}
