package bed

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/pose"

	"pgregory.net/rapid"
)

// However a part lies in its file, and in however many triangles, the bed takes
// it at the same scale: turned about the vertical or mirrored as it lies and
// turned, turned anyhow where it may be laid and tilted. A part of another size
// fits at as many times its own.
func TestBedFollowsThePose(t *testing.T) {
	kinds := []*mesh.Mesh{
		shape.Taper{Sides: 24, Bottom: shape.Ellipse{A: 60, B: 40}, Top: shape.Ellipse{A: 75, B: 60}, Wall: 3, Height: 280}.Mesh(),
		shape.Gutter{Sides: 16, Arc: 240, Bottom: 40, Top: 55, Wall: 4, Height: 330}.Mesh(),
		shape.Plate{Sides: 12, Width: 240, Height: 160, Wall: 4, Bend: 150}.Mesh(),
		shape.Bar{X: 310, Y: 40, Z: 25}.Mesh(),
	}
	beds := []Volume{{Width: 220, Depth: 220, Height: 250}, {Width: 250, Depth: 180, Height: 200}, {Diameter: 200, Height: 300}}
	pose.Check(t, 10, func(t *rapid.T) {
		m := kinds[rapid.IntRange(0, len(kinds)-1).Draw(t, "part")]
		v := beds[rapid.IntRange(0, len(beds)-1).Draw(t, "bed")]
		same := func(what string, got, want, within float64) {
			if !(math.Abs(got/want-1) <= within) {
				t.Fatalf("%s: scale %.7f, want %.7f", what, got, want)
			}
		}
		want := Search(m, v)
		upright := pose.Draw(t, pose.Freedom{Spin: true, Scale: 3, Mirror: true, Move: 400})
		got := Search(upright.Of(m), v)
		same("turned about z", got.Turned.Scale*upright.Scale, want.Turned.Scale, 1e-5)
		anyhow := pose.Draw(t, pose.Freedom{Turn: true, Scale: 3, Mirror: true, Move: 400})
		got = Search(anyhow.Of(m), v)
		same("laid, turned anyhow", got.Rests[0].Scale*anyhow.Scale, want.Rests[0].Scale, 1e-4)
		same("tilted, turned anyhow", got.Tilted.Scale*anyhow.Scale, want.Tilted.Scale, 2e-3)
		still := pose.Draw(t, pose.Freedom{Scale: 3, Mirror: true, Move: 400})
		same("as it lies", Search(still.Of(m), v).AsIs.Scale*still.Scale, want.AsIs.Scale, 1e-5)
	})
}
