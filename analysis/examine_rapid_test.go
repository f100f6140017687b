package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/pose"

	"pgregory.net/rapid"
)

// However a shell lies in its file, turned about its own axis and moved, it fits the same
// wearer at the same scales; and where its file is drawn so many times larger, at as many
// times smaller ones: what is printed is the same then. All within 0.5 %, which is what the
// room at a station is known to.
func TestVerdictsFollowThePose(t *testing.T) {
	numbers(t)
	worn := func(region string, measures map[string]float64) Brief {
		b := DefaultBrief()
		b.Region, b.Wearer.Measures = Region{Name: region, Source: "config"}, measures
		b.Printer.Bed, b.Printer.Height = [2]float64{600, 600}, 800
		return b
	}
	shells := []struct {
		name  string
		m     *mesh.Mesh
		brief Brief
	}{
		{"greave", shape.Taper{Sides: 32, Rows: 6, Bottom: shape.Ellipse{A: 58, B: 54}, Top: shape.Ellipse{A: 70, B: 66}, Wall: 3, Height: 220}.Mesh(),
			worn("lower_leg", map[string]float64{"stature": 1710, "calf_girth": 360, "heel_girth": 320, "ankle_girth": 222})},
		{"forearm", shape.Taper{Sides: 32, Rows: 6, Bottom: shape.Ellipse{A: 38, B: 34}, Top: shape.Ellipse{A: 50, B: 47}, Wall: 3, Height: 180}.Mesh(),
			worn("forearm", map[string]float64{"stature": 1710, "forearm_girth": 255, "wrist_girth": 160, "hand_girth": 190})},
	}
	ctx := t.Context()
	look := func(t rapid.TB, m *mesh.Mesh, b Brief) *Findings {
		a, err := Examine(ctx, loaded(m), b, nil, 2)
		if err != nil || a.Findings.Fit == nil {
			t.Fatalf("no fit: %v", err)
		}
		return &a.Findings
	}
	var before [2]*Findings
	for i, s := range shells {
		before[i] = look(t, s.m, s.brief)
		if f := before[i].Fit; !(f.Smallest > 0 && f.Rests > 0 && f.Loosest > 0 && f.Recommended > 0) {
			t.Fatalf("%s: %+v", s.name, f)
		}
	}
	pose.Check(t, 5, func(t *rapid.T) {
		i := rapid.IntRange(0, len(shells)-1).Draw(t, "shell")
		s := shells[i]
		p := pose.Draw(t, pose.Freedom{Spin: true, Move: 200, Scale: 1.25})
		if rapid.Bool().Draw(t, "as large") {
			p.Scale = 1
		}
		want, got := before[i].Fit, look(t, p.Of(s.m), s.brief).Fit
		for what, c := range map[string][2]float64{
			"smallest": {got.Smallest, want.Smallest}, "rests from": {got.Rests, want.Rests},
			"loosest": {got.Loosest, want.Loosest}, "recommended": {got.Recommended, want.Recommended},
		} {
			if want := c[1] / p.Scale; !(math.Abs(c[0]-want) <= 0.005*want) {
				t.Fatalf("%s: %s %.3f %%, want %.3f %%", s.name, what, c[0], want)
			}
		}
		if p.Scale == 1 && got.Verdict != want.Verdict {
			t.Fatalf("%s: %s, want %s", s.name, got.Verdict, want.Verdict)
		}
	})
}
