package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/speed"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// girthsOf returns the girths of a mesh as it comes from a file.
func girthsOf(t *testing.T, m *mesh.Mesh, brief Brief, every float64) *Girths {
	t.Helper()
	return girthsOfFile(t, speed.Opened(t, m), brief, every)
}

func girthsOfFile(t *testing.T, file *mesh.File, brief Brief, every float64) *Girths {
	t.Helper()
	g, err := GirthsOf(t.Context(), file, brief, every, mesh.Limits{})
	require.NoError(t, err)
	return g
}

// Of a prism shell the tape goes round the outer polygon, 2·n·r·sin(π/n), and
// inside it is the inner one; at another scale and in inches all follows.
func TestGirthsOfATube(t *testing.T) {
	tube := shape.Tube{Sides: 64, Radius: 50, Wall: 3, Height: 95}
	outer := tube
	outer.Radius += tube.Wall
	for unit, factor := range map[string]float64{"": 1, "inch": 25.4} {
		brief := DefaultBrief()
		brief.Unit, brief.Percent = unit, 107
		scale := 1.07 * factor
		g := girthsOf(t, tube.Mesh().Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: 9, Z: -30}) }), brief, 10*scale)
		require.Equal(t, factor, g.Unit.Factor)
		require.InDelta(t, 95*scale, g.Height, 1e-4*scale)
		require.Len(t, g.Levels, 9)
		for i, level := range g.Levels {
			require.InDelta(t, 10*scale*float64(i+1), level.Up, 1e-9)
			require.Len(t, level.Loops, 1)
			loop := level.Loops[0]
			require.InEpsilon(t, scale*outer.Girth(), loop.Girth, 1e-6)
			require.Len(t, loop.Inside, 1)
			require.InEpsilon(t, scale*tube.Girth(), loop.Inside[0], 1e-6)
			require.InEpsilon(t, scale*106, loop.Size[0], 1e-6)
			require.InEpsilon(t, scale*106, loop.Size[1], 1e-6)
			require.Zero(t, loop.Open)
		}
	}
}

// The legs of hips are two loops below the fork and one above it, with the
// girths of their ellipses, and what lies in a hole is a loop of its own.
func TestGirthsOfSeveralLoops(t *testing.T) {
	hips := shape.Hips{Sides: 128, Waist: shape.Ellipse{A: 170, B: 120}, Seat: shape.Ellipse{A: 190, B: 130},
		Leg: shape.Ellipse{A: 80, B: 85}, Wall: 3, Height: 300, Band: 30, SeatZ: 160, Drop: 40, Legs: 60, Apart: 95}
	m := hips.Mesh()
	g := girthsOf(t, m, DefaultBrief(), 30)
	low, high := g.Levels[0], g.Levels[len(g.Levels)-1]
	require.Len(t, low.Loops, 2)
	for _, loop := range low.Loops {
		require.Len(t, loop.Inside, 1)
		require.InEpsilon(t, hips.Leg.Girth(), loop.Inside[0], 2e-3)
		require.InEpsilon(t, hips.Leg.Grown(3).Girth(), loop.Girth, 2e-3)
	}
	require.Len(t, high.Loops, 1)
	require.Len(t, high.Loops[0].Inside, 1)
	require.InEpsilon(t, hips.Waist.Girth(), high.Loops[0].Inside[0], 1e-2)

	post := mesh.Join(m, shape.Bar{X: 20, Y: 10, Z: 330}.Mesh().Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{Z: 100}) }))
	g = girthsOf(t, post, DefaultBrief(), 250)
	require.Len(t, g.Levels[0].Loops, 2)
	require.Len(t, g.Levels[0].Loops[0].Inside, 1)
	require.InEpsilon(t, 60, g.Levels[0].Loops[1].Girth, 1e-6)
	require.Empty(t, g.Levels[0].Loops[1].Inside)
}

// A single sheet that is open is told by its tape and its gap: a plate of half a
// circle reaches once round the half and once across.
func TestGirthsOfASheet(t *testing.T) {
	sheet := &mesh.Mesh{}
	const n = 90
	for i := range n + 1 {
		sin, cos := math.Sincos(math.Pi * float64(i) / n)
		sheet.AddVertex(r3.Vec{X: 40 * cos, Y: 40 * sin})
		sheet.AddVertex(r3.Vec{X: 40 * cos, Y: 40 * sin, Z: 30})
	}
	for i := range uint32(n) {
		sheet.AddTriangle(2*i, 2*i+2, 2*i+1)
		sheet.AddTriangle(2*i+1, 2*i+2, 2*i+3)
	}
	g := girthsOf(t, sheet, DefaultBrief(), 50)
	require.Len(t, g.Levels, 1)
	require.Equal(t, 15.0, g.Levels[0].Up)
	require.Len(t, g.Levels[0].Loops, 1)
	loop := g.Levels[0].Loops[0]
	require.InEpsilon(t, 80+2*n*40*math.Sin(math.Pi/(2*n)), loop.Girth, 1e-6)
	require.InEpsilon(t, 80, loop.Open, 1e-6)
	require.InEpsilon(t, 80, loop.Size[0], 1e-6)
	require.InEpsilon(t, 40, loop.Size[1], 1e-6)
}

// A wall that is not welded along a crack narrower than what reading joins is read
// whole: its girths are those of the sound wall.
func TestGirthsAcrossACrack(t *testing.T) {
	whole := shape.Tube{Sides: 64, Radius: 50, Wall: 3, Height: 60}.Mesh()
	cracked := &mesh.Mesh{}
	for i := 0; i < len(whole.T); i += 3 {
		middle := r3.Vec{}
		for _, v := range whole.T[i : i+3] {
			middle = r3.Add(middle, whole.At(v))
		}
		for _, v := range whole.T[i : i+3] {
			p := whole.At(v)
			if middle.Y > 0 { // one half lies a hair aside
				p = r3.Add(p, r3.Vec{X: 1e-5, Y: 1e-5})
			}
			cracked.T = append(cracked.T, cracked.AddVertex(p))
		}
	}
	want, got := girthsOf(t, whole, DefaultBrief(), 7), girthsOf(t, cracked, DefaultBrief(), 7)
	require.Equal(t, len(want.Levels), len(got.Levels))
	for i, level := range got.Levels {
		require.Len(t, level.Loops, 1)
		require.InDelta(t, want.Levels[i].Loops[0].Girth, level.Loops[0].Girth, 1e-3)
		require.Len(t, level.Loops[0].Inside, 1)
		require.InDelta(t, want.Levels[i].Loops[0].Inside[0], level.Loops[0].Inside[0], 1e-3)
	}
}

// A file of facets without area is refused as Load does.
func TestGirthsOfNothing(t *testing.T) {
	m := &mesh.Mesh{}
	for i := range 5 {
		m.AddVertex(r3.Vec{Z: 10 * float64(i)})
	}
	m.T = []uint32{0, 1, 1, 2, 3, 3, 4, 0, 0}
	file := speed.Opened(t, m)
	_, want := file.Load(t.Context(), mesh.Limits{})
	require.Error(t, want)
	_, err := GirthsOf(t.Context(), file, DefaultBrief(), 10, mesh.Limits{})
	require.Equal(t, want, err)
}

// A facet without an area, as programs write them by mistake, makes a part no higher,
// whether the file is kept whole or not.
func TestGirthsOfASlip(t *testing.T) {
	m := shape.Tube{Sides: 64, Radius: 50, Wall: 3, Height: 95}.Mesh().Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{Z: 500}) })
	for range 3 {
		m.AddVertex(r3.Vec{})
	}
	n := uint32(m.Vertices())
	m.AddTriangle(n-3, n-2, n-1)
	file := speed.Opened(t, m)
	g := girthsOfFile(t, file, DefaultBrief(), 10)
	require.InDelta(t, 95, g.Height, 1e-4)
	require.Len(t, g.Levels, 9)
	loaded, err := file.Load(t.Context(), mesh.Limits{})
	require.NoError(t, err)
	whole, err := GirthsOfMesh(t.Context(), loaded, DefaultBrief(), 10)
	require.NoError(t, err)
	require.Equal(t, whole, g)
}

// The largest girth of a level comes first, and of the holes in it the longest; a
// level in the top face is none.
func TestGirthsInOrder(t *testing.T) {
	at := func(x float64, m *mesh.Mesh) *mesh.Mesh {
		return m.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: x}) })
	}
	block := shape.Bar{X: 60, Y: 20, Z: 40}.Mesh()
	for _, hole := range []struct{ x, side float64 }{{6, 4}, {20, 12}, {45, 7}} {
		h := at(hole.x, shape.Bar{X: hole.side, Y: hole.side, Z: 40}.Mesh()).Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{Y: 3}) })
		h.Flip()
		block = mesh.Join(block, h)
	}
	m := mesh.Join(at(100, shape.Bar{X: 10, Y: 10, Z: 40}.Mesh()), block, at(200, shape.Bar{X: 30, Y: 10, Z: 40}.Mesh()))
	g := girthsOf(t, m, DefaultBrief(), 20)
	require.Len(t, g.Levels, 1)
	var girths []float64
	for _, loop := range g.Levels[0].Loops {
		girths = append(girths, loop.Girth)
	}
	require.InDeltaSlice(t, []float64{160, 80, 40}, girths, 1e-6)
	require.InDeltaSlice(t, []float64{48, 28, 16}, g.Levels[0].Loops[0].Inside, 1e-6)
}

// However finely it is asked, there are only so many levels.
func TestGirthsAreBounded(t *testing.T) {
	g := girthsOf(t, shape.Bar{X: 2, Y: 2, Z: 100}.Mesh(), DefaultBrief(), 1e-6)
	require.InDelta(t, mostLevels, len(g.Levels), 1)
}
