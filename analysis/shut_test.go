package analysis

import (
	"testing"

	"gambeson/analysis/cavity"
	"gambeson/analysis/fit"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// A shell that was printed on a plate, or drawn with a base, lets nothing out at its far
// end, however well its girths fit. What covers the end of a limb, a cop for the knee and a
// narrow hole are no such thing.
func TestShutAtItsFarEnd(t *testing.T) {
	numbers(t)
	numbers(t)
	on := func(bottom, top, height, hole float64) *mesh.Mesh {
		shell := shape.Taper{Sides: 64, Rows: 8, Bottom: shape.Circle(bottom), Top: shape.Circle(top), Wall: 3, Height: height}.Mesh()
		plate := shape.Tube{Sides: 64, Radius: hole, Wall: bottom + 2 - hole, Height: 3}.Mesh()
		return shape.Join(shell, shape.Offset(plate, r3.Vec{Z: -2}))
	}
	says := func(m *mesh.Mesh, name string) (f Findings, shut bool) {
		f = examine(t, m, func(b *Brief) {
			leg(382)(b)
			b.Region = Region{Name: name, Source: "config"}
		}, nil).Findings
		return f, f.Shut()
	}
	for name, m := range map[string]*mesh.Mesh{
		"lower_leg": on(58, 68.5, 240, 1), "forearm": shape.Turn(on(43, 55, 200, 1), shape.Rotation(3)),
		"knee": on(68, 70, 200, 1), "elbow": on(52, 56, 160, 1),
		"upper_arm": on(57, 64, 180, 1), "thigh": on(75, 110, 200, 1), "torso": on(175, 190, 300, 1),
	} {
		f, shut := says(m, name)
		require.True(t, shut, "%s: %v", name, f.Warnings)
		require.Equal(t, "blocked", f.Fit.Verdict, name)
		require.False(t, f.OnlyCovers(), name)
		require.Contains(t, f.warning("stands-in-way"), "from opening A: no "+comesOut[name]+" comes out there")
	}
	greave := on(58, 68.5, 240, 1)
	dome := shape.Helm{
		Sides: 64, Neck: shape.Circle(60), Skull: shape.Circle(62), Wall: 3, NeckRise: 20, Widen: 20, Rise: 20, Dome: 50,
	}.Mesh()
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
	}{
		{"foot", greave}, {"head", greave}, {"shoulder", greave}, {"lower_leg", dome}, {"knee", dome}, {"elbow", dome}, {"forearm", dome}, {"head", dome},
		{"lower_leg", on(58, 68.5, 240, 22)},
		{"lower_leg", shape.Taper{Sides: 64, Rows: 8, Bottom: shape.Circle(58), Top: shape.Circle(68.5), Wall: 3, Height: 240}.Mesh()},
	} {
		f, shut := says(c.m, c.name)
		require.False(t, shut, "%s: %v", c.name, f.Warnings)
	}
}

// Where another way leads on from the opening, what ends at a wall is a pocket beside it;
// judged for another wearer, a shut shell stays shut.
func TestPocketIsNotShut(t *testing.T) {
	numbers(t)
	m := shape.Join(
		shape.Tube{Sides: 64, Radius: 60, Wall: 3, Height: 240}.Mesh(),
		shape.Offset(shape.Tube{Sides: 64, Radius: 1, Wall: 61, Height: 3}.Mesh(), r3.Vec{Z: -2}))
	cavities, err := cavity.Find(t.Context(), m, cavity.Options{Spacing: stationStep, Workers: 1})
	require.NoError(t, err)
	require.Len(t, cavities, 1)
	c := cavities[0]
	region, _ := fit.Of("lower_leg")
	require.Len(t, c.Lines, 1)
	require.True(t, walled(c, c.Lines[0].Inward(), m, region))
	c.Lines = append(c.Lines, cavity.Line{From: c.Lines[0].From, To: "B"})
	require.False(t, walled(c, c.Lines[0].Inward(), m, region))

	a := examine(t, m, leg(382), nil)
	brief := DefaultBrief()
	leg(300)(&brief)
	f, ok := a.Kept.Judge(&a.Findings, brief)
	require.True(t, ok)
	require.True(t, f.Shut())
	require.Equal(t, "blocked", f.Fit.Verdict)
	require.False(t, region.Lid(fit.Cup(c.Lines[0])))
}
