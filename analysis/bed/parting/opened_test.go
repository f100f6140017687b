package parting

import (
	"math"
	"testing"

	"gambeson/analysis/bed/pin"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// A part that fits the bed is parted along the limb where that is wanted anyhow, and
// left whole where it is only wished, or no way goes along it.
func TestWhatFitsIsHalvedWhereThatIsWanted(t *testing.T) {
	cuff := shape.Taper{Sides: 96, Rows: 1, Bottom: shape.Ellipse{A: 28, B: 26}, Top: shape.Ellipse{A: 45, B: 42}, Wall: 3, Height: 120}.Mesh()
	var way []section.Plane
	for z := 0.0; z <= 120; z += 10 {
		way = append(way, section.Plane{Point: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}})
	}
	want := Wish{Ways: [][]section.Plane{way}, Halves: true, Anyhow: true, Pins: pin.Common()}
	p := part(t, cuff, upright(200, 200, 200), want)
	require.True(t, p.Halved)
	require.Len(t, p.Pieces, 2)
	require.Len(t, p.Seams, 1)
	require.Less(t, math.Abs(p.Seams[0].Plane.Normal.Z), 0.2)
	require.InEpsilon(t, cuff.Volume(), p.Pieces[0].Mesh.Volume()+p.Pieces[0].Holes+p.Pieces[1].Mesh.Volume()+p.Pieces[1].Holes, 1e-5)
	require.InEpsilon(t, p.Pieces[0].Mesh.Volume(), p.Pieces[1].Mesh.Volume(), 0.02, "in halves")

	for name, w := range map[string]Wish{
		"only wished": {Ways: want.Ways, Halves: true, Pins: want.Pins},
		"no way":      {Halves: true, Anyhow: true, Pins: want.Pins},
		"not wished":  {Ways: want.Ways, Pins: want.Pins},
	} {
		p := part(t, cuff, upright(200, 200, 200), w)
		require.Len(t, p.Pieces, 1, name)
	}
}
