package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// A tube's wall is what it was drawn with, at every scale; below three lines of
// the nozzle it is a warning with the scale at which it has them.
func TestThinWall(t *testing.T) {
	numbers(t)
	flat := math.Cos(math.Pi / 128) // of the polygon's sides
	for _, c := range []struct {
		wall, percent float64
		thin          bool
	}{{3, 100, false}, {1, 100, true}, {1, 121, false}, {1.25, 100, false}, {1.25, 90, true}} {
		a := examine(t, shape.Tube{Radius: 60, Wall: c.wall, Height: 120}.Mesh(), func(b *Brief) { b.Percent = c.percent }, nil)
		w := a.Findings.Wall
		require.NotNil(t, w)
		require.InDelta(t, c.wall*flat*c.percent/100, w.Thinnest, 2e-3)
		require.InDelta(t, w.Thinnest/0.4, w.Lines, 1e-9)
		require.Equal(t, c.thin, a.Findings.has("thin-wall"), "%+v", c)
		if c.thin {
			require.Contains(t, text(a.Findings, "thin-wall"), "thick enough from "+ceilTenths(100*3*0.4/(c.wall*flat)))
		}
	}
	open := examine(t, shape.Gutter{Bottom: 80, Top: 97, Wall: 4, Height: 230, Arc: 240, Round: true}.Mesh(), nil, nil)
	require.NotNil(t, open.Findings.Wall)
	require.InDelta(t, 4, open.Findings.Wall.Thinnest, 0.1, "square to the slope it is a little less than in the section")
}

// A surface that was never given a wall says so, and no band is cut of it; a shell with
// a hole in its surface is another matter.
func TestSurfaceWithoutAWall(t *testing.T) {
	sheet := &mesh.Mesh{}
	const sides = 64
	for i := range sides {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
		sheet.AddVertex(r3.Vec{X: 60 * cos, Y: 60 * sin})
		sheet.AddVertex(r3.Vec{X: 60 * cos, Y: 60 * sin, Z: 150})
	}
	for i := range uint32(sides) {
		a, b := 2*i, 2*((i+1)%sides)
		sheet.AddTriangle(a, b, a+1)
		sheet.AddTriangle(a+1, b, b+1)
	}
	a := examine(t, sheet, nil, nil)
	require.NotEmpty(t, a.Findings.Cavities)
	require.True(t, a.Findings.has("no-wall"), "%v", a.Findings.Warnings)
	require.Empty(t, a.Findings.Bands)
	require.InEpsilon(t, 2*math.Pi*60, a.Findings.Cavities[0].Centrelines[0].Stations[10].InnerGirth, 2e-3, "its room counts all the same")

	holed := shape.DropFacets(shape.Tube{Sides: 64, Radius: 60, Wall: 3, Height: 150}.Mesh(), 20, 1)
	f := examine(t, holed, nil, nil).Findings
	require.False(t, f.Mesh.Closed)
	require.False(t, f.has("no-wall"), "%v", f.Warnings)
}
