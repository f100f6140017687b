package pin

import (
	"testing"

	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// A facet is of the skin where any of its corners lies near the face: of a bar all
// eight at its sides, whichever corner they begin with, and neither end.
func TestSkinReachesDown(t *testing.T) {
	m := shape.Bar{X: 8, Y: 6, Z: 10}.Mesh()
	top := section.Plane{Point: r3.Vec{Z: m.Bounds().Max.Z}, Normal: r3.Vec{Z: 1}}
	for range 3 {
		f := FaceOf(m, top)
		require.InDelta(t, 48, f.Area(), 1e-9)
		skin := skinOf(f, top, 1)
		require.Len(t, skin.triangles, 8)
		for i := 0; i < len(m.T); i += 3 {
			m.T[i], m.T[i+1], m.T[i+2] = m.T[i+1], m.T[i+2], m.T[i]
		}
	}
}
