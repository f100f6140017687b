package analysis

import (
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Two arms in one file are told apart, at any scale and however they are turned, and
// each by itself is what it would be in a file of its own.
func TestTwoArmsInOneFile(t *testing.T) {
	numbers(t)
	arm := shape.Tube{Sides: 48, Radius: 45, Wall: 3, Height: 150}.Mesh()
	buckle := shape.Offset(shape.Bar{X: 6, Y: 6, Z: 6}.Mesh(), r3.Vec{X: 50, Z: 70})
	left := shape.Join(arm, buckle)
	both := shape.Join(left, shape.Offset(left, r3.Vec{X: 140}))
	for _, percent := range []float64{100, 130} {
		for name, m := range map[string]*mesh.Mesh{"upright": both, "turned": shape.Turn(both, shape.Rotation(7))} {
			a := examine(t, m, func(b *Brief) { b.Percent = percent }, nil)
			f := a.Findings
			require.True(t, f.has("parts-several"), "%s at %g %%: %v", name, percent, f.Warnings)
			require.Len(t, f.Singles, 2)
			require.Len(t, a.Singles, 2)
			require.Empty(t, f.Bed.Pieces)
			sum := 0.0
			for i, s := range a.Singles {
				sum += s.Volume()
				require.Equal(t, 1, f.Singles[i].Ways)
				require.Equal(t, left.Triangles(), s.Triangles())
				alone := examine(t, s, nil, nil).Findings
				require.Empty(t, alone.Singles)
				require.False(t, alone.has("parts-several"))
				require.Len(t, alone.Cavities, 1)
			}
			require.InEpsilon(t, m.Volume(), sum, 1e-6)
		}
	}
	cuff := shape.Tube{Sides: 48, Radius: 45, Wall: 3, Height: 60}.Mesh()
	rings := examine(t, shape.Join(cuff, shape.Offset(cuff, r3.Vec{Z: 63})), nil, nil).Findings
	require.Empty(t, rings.Singles, "two rings that follow each other at 3 mm")
	require.False(t, rings.has("parts-several"))
	lames := examine(t, shape.Join(cuff, shape.Offset(cuff, r3.Vec{Z: 68})), nil, nil).Findings
	require.False(t, lames.has("pieces-clear"), "each of two rings closes by itself: %v", lames.Warnings)
	f := examine(t, both, func(b *Brief) { b.Assembly = "arms" }, nil).Findings
	require.Empty(t, f.Singles, "somebody says that it is a piece")
}

// Halves that their author laid apart are said to be, with the space between; such
// as meet, or are held together by a slit's width, are not.
func TestHalvesLaidApart(t *testing.T) {
	numbers(t)
	greave := shape.Tube{Sides: 64, Radius: 60, Wall: 3, Height: 200}.Mesh()
	above, below, flaws := section.Halves(greave, section.Plane{Normal: r3.Vec{Y: 1}})
	require.False(t, flaws.Any())
	for _, c := range []struct {
		gap  float64
		said bool
	}{{0, false}, {1, false}, {4, false}, {20, true}, {40, true}} {
		m := shape.Join(below, shape.Offset(above, r3.Vec{Y: c.gap}))
		f := examine(t, m, nil, nil).Findings
		require.Equal(t, c.said, f.has("pieces-clear"), "%g mm: %v", c.gap, f.Warnings)
		require.Empty(t, f.Singles)
	}
	apart := shape.Join(below, shape.Offset(above, r3.Vec{Y: 40}))
	require.False(t, examine(t, apart, func(b *Brief) { b.Strapped = true }, nil).Findings.has("pieces-clear"), "straps hold them so")
	f := examine(t, shape.Join(greave, shape.Offset(shape.Bar{X: 5, Y: 5, Z: 5}.Mesh(), r3.Vec{X: 90})), nil, nil).Findings
	require.False(t, f.has("pieces-clear"), "a buckle beside it: %v", f.Warnings)
}
