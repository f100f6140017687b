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

// A cut along the limb has to leave a mouth to both sides of every ring: for a round tube
// how wide that is follows from how far the plane lies off the axis. One that is bent
// out of every plane is not opened by any.
func TestOnlyACutThroughEveryRingOpens(t *testing.T) {
	const radius = 40.0
	var way []section.Plane
	for z := 5.0; z < 200; z += 10 {
		way = append(way, section.Plane{Point: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}})
	}
	tube := shape.Tube{Sides: 96, Radius: radius, Wall: 3, Height: 200}.Mesh()
	want := Wish{Ways: [][]section.Plane{way}, Halves: true, Anyhow: true}
	s := newSearch(tube, anySpace, want)
	for _, share := range []float64{0.05, 0.2, 0.3, 0.5, 0.7, 0.8, 0.95} {
		p := section.Plane{Point: r3.Vec{X: radius * (2*share - 1)}, Normal: r3.Vec{X: 1}}
		// The ring's chord in the plane is 2·√(r² − d²) wide.
		wide := 2 * math.Sqrt(radius*radius-p.Point.X*p.Point.X)
		if got := s.opens(0, p); got != (wide > 0.87*2*radius) {
			t.Errorf("a mouth %.1f mm wide counts as open: %t", wide, got)
		}
	}
	if p := (section.Plane{Point: r3.Vec{X: radius + 1}, Normal: r3.Vec{X: 1}}); s.opens(0, p) {
		t.Error("a plane through the wall alone opens nothing")
	}
	require.True(t, Opens(tube, want))
	require.False(t, Opens(tube, Wish{}), "no way")

	var rings []shape.Ring
	var wound []section.Plane
	for i := range 65 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 64)
		c := r3.Vec{X: 70 * cos, Y: 70 * sin, Z: 600 * float64(i) / 64}
		rings = append(rings, shape.Ring{Center: c, Inner: shape.Circle(48)})
		wound = append(wound, section.Plane{Point: c, Normal: r3.Vec{Z: 1}})
	}
	screw := shape.Limb{Sides: 64, Rings: rings, Wall: 3}.Mesh()
	require.False(t, Opens(screw, Wish{Ways: [][]section.Plane{wound[1:64]}}))
}
