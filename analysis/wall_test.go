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

// cup is half of a ball's shell, round the axis z and open towards y, from which a
// cap is missing above and below: its inside has radius 75, and its wall is wall(s) thick
// square to it, s mm from the rim above or below. level cuts both rims level,
// where the wall is the same all over; else they are square to it.
func cup(level bool, wall func(s float64) float64) *mesh.Mesh {
	const radius, high, rows, columns = 75, 65, 80, 96
	rim := math.Asin(high / float64(radius))
	m := &mesh.Mesh{}
	at := func(row, column int, outside bool) r3.Vec {
		up := rim * (2*float64(row)/rows - 1)
		if r := radius + wall(0); level && outside {
			up = math.Asin(high / r * (2*float64(row)/rows - 1))
		}
		r := float64(radius)
		if outside {
			r += wall(radius * (rim - math.Abs(up)))
		}
		sin, cos := math.Sincos(-math.Pi * float64(column) / columns)
		return r3.Vec{X: r * math.Cos(up) * cos, Y: r * math.Cos(up) * sin, Z: r * math.Sin(up)}
	}
	in, out := [rows + 1][columns + 1]uint32{}, [rows + 1][columns + 1]uint32{}
	for r := range rows + 1 {
		for c := range columns + 1 {
			in[r][c], out[r][c] = m.AddVertex(at(r, c, false)), m.AddVertex(at(r, c, true))
		}
	}
	quad := func(a, b, c, d uint32) {
		m.AddTriangle(a, b, c)
		m.AddTriangle(a, c, d)
	}
	for c := range columns {
		for r := range rows {
			quad(in[r][c], in[r][c+1], in[r+1][c+1], in[r+1][c])
			quad(out[r][c], out[r+1][c], out[r+1][c+1], out[r][c+1])
		}
		quad(in[0][c], out[0][c], out[0][c+1], in[0][c+1])
		quad(in[rows][c], in[rows][c+1], out[rows][c+1], out[rows][c])
	}
	for r := range rows {
		quad(in[r][0], in[r+1][0], out[r+1][0], out[r][0])
		quad(in[r][columns], out[r][columns], out[r+1][columns], in[r+1][columns])
	}
	return m
}

// The rim of a cup runs along the way through it. Where it is cut level its wall is
// nowhere thinner than it was drawn, though the cut leaves less at its edge; a wall that
// is thin beside the rim is found, and so is an edge that is drawn out thin over more
// than pastRim, as thick as it is there.
func TestThinWallBesideARim(t *testing.T) {
	even := func(mm float64) func(float64) float64 { return func(float64) float64 { return mm } }
	feather := func(wide float64) func(float64) float64 {
		return func(s float64) float64 { return 3 * min(1, max(s, 0.1)/wide) }
	}
	for _, c := range []struct {
		name     string
		level    bool
		wall     func(float64) float64
		from, to float64
		thin     bool
	}{
		{"even", true, even(3), 2.98, 3.3, false},
		{"even, square", false, even(3), 2.98, 3.3, false},
		{"thin all over", true, even(1), 0.98, 1.1, true},
		{"thin within 25 mm of the rim", false, func(s float64) float64 {
			if s < 25 {
				return 1
			}
			return 3
		}, 0.98, 1.1, true},
		{"drawn out over 30 mm", false, feather(30), 0.95, 1.25, true},
		{"drawn out over 8 mm", false, feather(8), 2.9, 3.3, false},
	} {
		a := examine(t, cup(c.level, c.wall), nil, nil)
		require.True(t, a.Findings.Mesh.Closed, c.name)
		w := a.Findings.Wall
		require.NotNil(t, w, c.name)
		if !(w.Thinnest >= c.from && w.Thinnest <= c.to) {
			t.Errorf("%s: %.3f mm at %.1f, want %g to %g", c.name, w.Thinnest, w.Center, c.from, c.to)
		}
		require.Equal(t, c.thin, a.Findings.has("thin-wall"), c.name)
	}
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
