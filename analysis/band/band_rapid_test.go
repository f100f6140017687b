package band

import (
	"math"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/pose"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// However a part lies in its file, and in however many triangles, a band cut out of it at
// the same place is the same: as high, of as much material, and as far round inside and
// out; all as many times larger as the part and the height asked for are.
func TestBandsFollowThePose(t *testing.T) {
	kinds := []*mesh.Mesh{
		shape.Tube{Sides: 48, Radius: 50, Wall: 3, Height: 90}.Mesh(),
		shape.Taper{Sides: 64, Bottom: shape.Ellipse{A: 60, B: 48}, Top: shape.Ellipse{A: 50, B: 41}, Wall: 3, Height: 120}.Mesh(),
		shape.Gutter{Sides: 32, Arc: 250, Bottom: 45, Top: 55, Wall: 4, Height: 80}.Mesh(),
	}
	up := r3.Vec{Z: 1}
	pose.Check(t, 60, func(t *rapid.T) {
		m := kinds[rapid.IntRange(0, len(kinds)-1).Draw(t, "part")]
		at := r3.Vec{Z: rapid.Float64Range(0, 80).Draw(t, "station")}
		spin := rapid.Bool().Draw(t, "about z alone")
		p := pose.Draw(t, pose.Freedom{Spin: spin, Turn: !spin, Scale: 1.5, Mirror: true, Move: 200})
		want, err := Ring(m, at, up, Height)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Ring(p.Of(m), p.At(at), p.Along(up), Height*p.Scale)
		if err != nil {
			t.Fatal(err)
		}
		near := func(what string, got, want, within float64) {
			if !(math.Abs(got-want) <= within*math.Abs(want)) {
				t.Fatalf("%s %.6g, want %.6g", what, got, want)
			}
		}
		near("height", got.Height, want.Height*p.Scale, 1e-5)
		near("volume", got.Mesh.Volume(), want.Mesh.Volume()*p.Scale*p.Scale*p.Scale, 1e-4)
		if got.Flaws.Any() != want.Flaws.Any() || got.Arcs != want.Arcs || (got.Apart > 0) != (want.Apart > 0) {
			t.Fatalf("%+v, want %+v", got, want)
		}
		for _, share := range []float64{0.2, 0.5, 0.8} {
			around := func(b Band) (out []float64) {
				for _, c := range section.Cut(b.Mesh, section.Plane{Point: r3.Vec{Z: share * b.Height}, Normal: up}).Chains {
					out = append(out, c.Length())
				}
				slices.Sort(out)
				return out
			}
			before, after := around(want), around(got)
			if len(before) != len(after) {
				t.Fatalf("%d lines round at %g of the height, want %d", len(after), share, len(before))
			}
			for i := range before {
				near("girth", after[i], before[i]*p.Scale, 1e-5)
			}
		}
	})
}
