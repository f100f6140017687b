package section

import (
	"slices"
	"testing"

	"gambeson/analysis/shape/pose"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// The section of a part is that of the part in any pose by the plane in the same
// pose: as many chains, as long, and round as much, with the hull as long too;
// by a plane alone, out of an index and in a sweep.
func TestSectionsFollowThePose(t *testing.T) {
	all := closedShapes()
	names := make([]string, 0, len(all))
	for name := range all {
		names = append(names, name)
	}
	slices.Sort(names)
	pose.Check(t, 60, func(t *rapid.T) {
		name := rapid.SampledFrom(names).Draw(t, "shape")
		m := all[name]
		size := m.Bounds().Size()
		share := rapid.Float64Range(-0.35, 0.35)
		lean := rapid.Float64Range(-1, 1)
		plane := Plane{
			Point:  r3.Add(m.Bounds().Center(), r3.Vec{X: size.X * share.Draw(t, "x"), Y: size.Y * share.Draw(t, "y"), Z: size.Z * share.Draw(t, "z")}),
			Normal: r3.Add(r3.Vec{X: 0.137, Y: 0.071, Z: 1.3}, r3.Vec{X: lean.Draw(t, "lean x"), Y: lean.Draw(t, "lean y")}),
		}
		p := pose.Draw(t, pose.Freedom{Turn: true, Scale: 4, Mirror: true, Move: 300})
		posed := p.Of(m)
		across := Plane{Point: p.At(plane.Point), Normal: p.Along(plane.Normal)}
		length, area, open := totals(Cut(m, plane))
		if open > 0 {
			t.Fatalf("%s: %d open chains", name, open)
		}
		index := NewIndex(posed)
		for way, s := range map[string]Section{
			"cut": Cut(posed, across), "index": index.Cut(across), "sweep": Sweep(posed, across.Normal, []r3.Vec{across.Point})[0],
		} {
			l, a, o := totals(s)
			// Corners are rounded to float32 at 300 mm, and triangles run along the plane.
			if o > 0 || !near(l, p.Scale*length, 1e-4) || !near(a, p.Scale*p.Scale*area, 1e-3) {
				t.Fatalf("%s by %s: length %g area %g in %d open chains, want %g %g", name, way, l, a, o, p.Scale*length, p.Scale*p.Scale*area)
			}
		}
	})
}
