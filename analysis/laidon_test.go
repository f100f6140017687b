package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// bulge is a two-walled part of a barrel about the z axis with half axes a and b at its
// middle, height high, that goes span degrees of the way round, its middle towards −y. Its
// vertices are those of the formula.
func bulge(a, b, height, span float64) *mesh.Mesh {
	const rows, cols, wall = 30, 90, 4.0
	at := func(k, c, out int) r3.Vec {
		z := height * float64(k) / rows
		t := (z - height/2) / (0.6 * height)
		s := math.Sqrt(1 - t*t)
		th := (270 + span*(float64(c)/cols-0.5)) * math.Pi / 180
		w := wall * float64(out)
		return r3.Vec{X: (a*s + w) * math.Cos(th), Y: (b*s + w) * math.Sin(th), Z: z}
	}
	m := &mesh.Mesh{}
	vertex := map[[3]int]uint32{}
	corner := func(k, c, out int) uint32 {
		key := [3]int{k, c, out}
		if _, has := vertex[key]; !has {
			vertex[key] = m.AddVertex(at(k, c, out))
		}
		return vertex[key]
	}
	quad := func(p, q, r, s uint32) { m.AddTriangle(p, q, r); m.AddTriangle(p, r, s) }
	for k := range rows {
		for c := range cols {
			quad(corner(k, c, 1), corner(k, c+1, 1), corner(k+1, c+1, 1), corner(k+1, c, 1))
			quad(corner(k, c, 0), corner(k+1, c, 0), corner(k+1, c+1, 0), corner(k, c+1, 0))
		}
		quad(corner(k, 0, 1), corner(k+1, 0, 1), corner(k+1, 0, 0), corner(k, 0, 0))
		quad(corner(k, cols, 1), corner(k, cols, 0), corner(k+1, cols, 0), corner(k+1, cols, 1))
	}
	for c := range cols {
		quad(corner(0, c, 1), corner(0, c, 0), corner(0, c+1, 0), corner(0, c+1, 1))
		quad(corner(rows, c, 1), corner(rows, c+1, 1), corner(rows, c+1, 0), corner(rows, c, 0))
	}
	return m
}

// What bulges and is open at the side is laid on: nothing has to pass, and what closes it in
// front is no far end. The girths of its sections are not those round the body, so it is asked
// for the width. What closes all round, or is slit to its very end, has to be entered.
func TestLaidOnBySide(t *testing.T) {
	numbers(t)
	says := func(m *mesh.Mesh, name string) Findings {
		return examine(t, m, func(b *Brief) {
			leg(382)(b)
			b.Wearer.Measures["chest_girth"] = 960
			b.Region = Region{Name: name, Source: "config"}
		}, nil).Findings
	}
	for _, c := range []struct {
		name            string
		a, b, high, arc float64
	}{
		{"lower_leg", 75, 80, 150, 160}, {"lower_leg", 75, 80, 150, 187}, {"lower_leg", 75, 80, 150, 215},
		{"knee", 75, 80, 150, 160}, {"knee", 75, 80, 150, 200}, {"elbow", 55, 60, 110, 190},
		{"forearm", 55, 60, 110, 190}, {"upper_arm", 55, 60, 110, 190}, {"torso", 190, 145, 400, 195}, {"hips", 220, 180, 240, 190},
	} {
		f := says(bulge(c.a, c.b, c.high, c.arc), c.name)
		require.False(t, f.Shut(), "%v: %v", c, f.Warnings)
		require.Empty(t, f.Fit.Entries, "%v", c)
		require.Empty(t, f.Fit.Sits, "%v", c)
		require.Equal(t, "unknown", f.Fit.Verdict, "%v", c)
		require.True(t, f.LaidOn(), "%v", c)
		require.Empty(t, f.warning("too-tight"), "%v", c)
	}
	for _, arc := range []float64{330, 345} { // a ring with a slit
		f := says(bulge(75, 80, 150, arc), "lower_leg")
		require.False(t, f.LaidOn(), "%v", arc)
		require.NotEmpty(t, f.Fit.Sits, "%v", arc)
	}
	can := shape.Helm{
		Sides: 64, Neck: shape.Circle(60), Skull: shape.Circle(62), Wall: 3, NeckRise: 160, Widen: 20, Rise: 20, Dome: 50,
	}.Mesh()
	for _, name := range []string{"lower_leg", "hand", "torso", "head", "foot"} {
		f := says(can, name)
		require.False(t, f.LaidOn(), name)
	}
	f := says(can, "lower_leg")
	require.True(t, f.Shut())
}
