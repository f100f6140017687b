package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// on asks for a region on a side, of a wearer whose knees and elbows are known.
func on(name, side string) func(*Brief) {
	return func(b *Brief) {
		b.Region = Region{Name: name, Side: side, Source: "config"}
		b.Printer.Height = 400
		b.Wearer.Measures = map[string]float64{
			"stature": 1690, "heel_girth": 327, "calf_girth": 370, "calf_height": 331, "knee_height": 468, "lower_thigh_girth": 380,
			"knee_girth.left": 391, "knee_girth.right": 405, "thigh_girth": 560, "crotch_height": 812,
			"elbow_girth.left": 265, "elbow_girth.right": 275, "forearm_girth": 270, "upper_arm_girth": 300,
			"upper_arm_length": 323, "lower_arm_length": 254, "hand_over_thumb_girth": 240,
		}
	}
}

// A closed shell round a knee or an elbow has to hold that joint's girth: with the padding
// all round, 2π·5 (Steiner), and the ease of the region, on the side that it is for.
func TestJointShellsHoldTheJoint(t *testing.T) {
	numbers(t)
	for _, c := range []struct {
		region, side string
		tube         shape.Tube
		girth, ease  float64
	}{
		{"knee", "left", shape.Tube{Sides: 128, Radius: 70, Wall: 3, Height: 150}, 391, 12},
		{"knee", "right", shape.Tube{Sides: 128, Radius: 70, Wall: 3, Height: 150}, 405, 12},
		{"elbow", "left", shape.Tube{Sides: 128, Radius: 52, Wall: 3, Height: 110}, 265, 40},
		{"elbow", "right", shape.Tube{Sides: 128, Radius: 52, Wall: 3, Height: 110}, 275, 40},
	} {
		f := examine(t, c.tube.Mesh(), on(c.region, c.side), nil).Findings
		lead, ok := f.Fit.LeadSit()
		require.True(t, ok, c.region)
		require.Equal(t, c.region+"_girth", lead.Measure)
		needed := c.girth + 2*math.Pi*5 + c.ease
		require.InDelta(t, needed, lead.Needed, 1e-6, "%s %s", c.side, c.region)
		require.InDelta(t, 100*needed/c.tube.Capacity(), f.Fit.Smallest, 0.5, "%s %s", c.side, c.region)
		require.Nil(t, f.Fit.Cap)
		require.Greater(t, f.Fit.Loosest, f.Fit.Smallest)
		asked := examine(t, c.tube.Mesh(), func(b *Brief) {
			on(c.region, c.side)(b)
			b.Shell.Padding, b.Shell.Liner, b.Shell.Ease, b.Shell.Asked.Padding, b.Shell.Asked.Ease = 8, 1, 20, true, true
		}, nil).Findings
		lead, _ = asked.Fit.LeadSit()
		require.InDelta(t, c.girth+2*math.Pi*9+20, lead.Needed, 1e-6)
	}
}

// A joint is rounder bent: 1.130 of an elbow, 1.016 of a knee (USAF 1967, 2420 men). What
// only ends there does not tell.
func TestJointsGrowAsTheyBend(t *testing.T) {
	numbers(t)
	says := func(region string, radius, high float64) string {
		return text(examine(t, shape.Tube{Sides: 128, Radius: radius, Wall: 3, Height: high}.Mesh(), on(region, "left"), nil).Findings, "pose")
	}
	elbow := says("elbow", 50, 110) // 314.0 mm of room, of which 296.4 are the arm's
	require.Contains(t, elbow, "the elbow is about 34.4 mm more round")
	require.Contains(t, elbow, "It has 17.6 mm of ease: it will press")
	require.NotContains(t, says("elbow", 60, 110), "press")
	require.Contains(t, says("knee", 72, 150), "the knee is about 6.3 mm more round")
	require.NotContains(t, says("lower_leg", 72, 300), "straight leg")
}

// A foot comes through a closed shell for the knee, a hand through one for the elbow.
func TestJointShellsLetTheLimbThrough(t *testing.T) {
	numbers(t)
	for region, c := range map[string]struct {
		least, wide float64
		must        string
	}{"knee": {50, 75, "heel_girth"}, "elbow": {38, 58, "hand_over_thumb_girth"}} {
		f := examine(t, shape.Taper{Sides: 128, Rows: 12, Bottom: shape.Circle(c.least), Top: shape.Circle(c.wide), Wall: 3, Height: 140}.Mesh(), on(region, "left"), nil).Findings
		require.Equal(t, "blocked", f.Fit.Verdict, region)
		failed := map[string]bool{}
		for _, e := range f.Fit.Entries {
			failed[e.Measure] = !e.Passes
		}
		// 2π·50 and 2π·38 are less than 327 and 240 with the padding pressed
		require.True(t, failed[c.must], "%s: %+v", region, f.Fit.Entries)
		require.Contains(t, f.warning("does-not-enter"), "does not get in")
	}
}

// ball is the upper half of an ellipsoid with half axes a, b and c, a shell of 3 mm.
func ball(a, b, c float64) *mesh.Mesh {
	const rows, cols = 24, 96
	m := &mesh.Mesh{}
	vertex := map[[3]int]uint32{}
	at := func(k, i, out int) uint32 {
		if i %= cols; k == rows {
			i = 0
		}
		key := [3]int{k, i, out}
		if _, has := vertex[key]; !has {
			up, turn, w := float64(k)/rows*math.Pi/2, float64(i)/cols*2*math.Pi, 3*float64(out)
			vertex[key] = m.AddVertex(r3.Vec{X: (a + w) * math.Cos(up) * math.Cos(turn), Y: (b + w) * math.Cos(up) * math.Sin(turn), Z: (c + w) * math.Sin(up)})
		}
		return vertex[key]
	}
	tri := func(p, q, r uint32) {
		if p != q && q != r && r != p {
			m.AddTriangle(p, q, r)
		}
	}
	quad := func(p, q, r, s uint32) { tri(p, q, r); tri(p, r, s) }
	for i := range cols {
		for k := range rows {
			quad(at(k, i, 1), at(k, i+1, 1), at(k+1, i+1, 1), at(k+1, i, 1))
			quad(at(k, i, 0), at(k+1, i, 0), at(k+1, i+1, 0), at(k, i+1, 0))
		}
		quad(at(0, i, 1), at(0, i, 0), at(0, i+1, 0), at(0, i+1, 1))
	}
	return m
}

// A cap holds nothing, and nothing has to pass. Its rim is compared with the width of the
// joint as a circle of its girth has it, d = girth/π, and the padding on both sides; the
// rim is as wide as the ellipsoid's lesser axis.
func TestCapsOfJointsSpanThem(t *testing.T) {
	numbers(t)
	for _, c := range []struct {
		region       string
		a, b, deep   float64
		girth, share float64
		spans        bool
	}{
		{"knee", 75, 85, 60, 391, 1, true}, {"knee", 88, 60, 50, 391, 1, false}, {"elbow", 55, 60, 45, 265, 1, true}, {"knee", 75, 85, 60, 391, 0.8, false},
	} {
		f := examine(t, ball(c.a, c.b, c.deep), func(b *Brief) { on(c.region, "left")(b); b.Percent = 100 * c.share }, nil).Findings
		require.True(t, f.OnlyCovers(), c)
		require.False(t, f.Shut(), c)
		require.Equal(t, "unknown", f.Fit.Verdict, c)
		require.Empty(t, f.Fit.Entries, c)
		require.Empty(t, f.Fit.Sits, c)
		got := f.Fit.Cap
		require.NotNil(t, got, c)
		rim := 2 * min(c.a, c.b)
		require.InDelta(t, (c.girth+2*math.Pi*5)/math.Pi, got.Needed, 1e-6, c)
		require.InEpsilon(t, c.share*rim, got.Rim, 0.01, c)
		require.InEpsilon(t, 100*got.Needed/rim, got.Least, 0.01, c)
		require.Equal(t, c.spans, got.Spans(), c)
	}
	// A cap for the shoulder has no joint's width to be compared with.
	f := examine(t, ball(75, 85, 60), on("shoulder", "left"), nil).Findings
	require.True(t, f.OnlyCovers())
	require.Nil(t, f.Fit.Cap)
}

// A file that names a greave and the knee is a greave, judged by the calf; one that names the
// knee alone is judged by that.
func TestJoinedShellsStayGreaves(t *testing.T) {
	numbers(t)
	limb := shape.Taper{Sides: 96, Rows: 8, Bottom: shape.Circle(58), Top: shape.Circle(72), Wall: 3, Height: 300}.Mesh()
	for name, lead := range map[string]string{
		"greave_knee_left.stl": "calf_girth", "greave_left.stl": "calf_girth", "knee_left.stl": "knee_girth",
	} {
		brief := DefaultBrief()
		on("", "")(&brief)
		brief.Part, brief.Region = name, Region{}
		f := examine(t, limb, func(b *Brief) { *b = brief }, nil).Findings
		require.Equal(t, lead, f.Fit.Lead, name)
		require.Equal(t, "left", f.Region.Side, name)
	}
}
