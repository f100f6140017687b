package cost

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/pose"

	"pgregory.net/rapid"
)

// However a part lies in its file, and in however many triangles, printing it
// with the same side up takes the same hours and grams: hours within the layer
// that comes or goes where its height is a whole number of them, of 250.
func TestCostFollowsThePose(t *testing.T) {
	kinds := []*mesh.Mesh{
		stairs(3),
		shape.Taper{Sides: 24, Bottom: shape.Ellipse{A: 30, B: 22}, Top: shape.Ellipse{A: 36, B: 30}, Wall: 3, Height: 60}.Mesh(),
		shape.Gutter{Sides: 16, Arc: 240, Bottom: 25, Top: 35, Wall: 4, Height: 50}.Mesh(),
		shape.Plate{Sides: 12, Width: 60, Height: 40, Wall: 4, Bend: 50}.Mesh(),
	}
	pose.Check(t, 12, func(t *rapid.T) {
		m := kinds[rapid.IntRange(0, len(kinds)-1).Draw(t, "part")]
		p := pose.Draw(t, pose.Freedom{Turn: true, Mirror: true, Move: 100})
		want := Of(m, upright, plain(), 1)
		got := Of(p.Of(m), p.Along(upright), plain(), 2)
		for what, c := range map[string]struct{ got, want, within float64 }{
			"hours":  {got.Hours, want.Hours, 5e-3},
			"grams":  {got.Grams, want.Grams, 2e-3},
			"metres": {got.Metres, want.Metres, 2e-3},
			"walls":  {got.Walls.Volume, want.Walls.Volume, 2e-3},
		} {
			if !(math.Abs(c.got/c.want-1) <= c.within) {
				t.Fatalf("%s: %.6g, want %.6g", what, c.got, c.want)
			}
		}
		if d := got.Layers - want.Layers; d < -1 || d > 1 {
			t.Fatalf("%d layers, want %d", got.Layers, want.Layers)
		}
	})
}
