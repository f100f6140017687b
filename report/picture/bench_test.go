package picture_test

import (
	"image"
	"math"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/report/picture"
	"gambeson/report/picture/chart"
	"gambeson/report/picture/outline"
	"gambeson/report/picture/proof"
	"gambeson/report/picture/solid"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// BenchmarkWhole draws all pictures of one part of 100,000 triangles, as a report
// has them: it has three sections.
func BenchmarkWhole(b *testing.B) {
	part := shape.Relief{Triangles: 100_000}.Mesh()
	low := part.Bounds().Min
	shell := solid.Shell{
		Title: "The part at 107 %", Part: part, Ways: [][]r3.Vec{{{Z: 320}, {X: 2, Z: 160}, {}}},
		Panel:    shape.Offset(shape.Bar{X: 60, Y: 6, Z: 300}.Mesh(), r3.Vec{X: -30, Y: -58}),
		Openings: []solid.Opening{{Name: "A", At: r3.Vec{Z: 320}, Facing: r3.Vec{Z: 1}}, {Name: "B", Facing: r3.Vec{Z: -1}}},
		Tightest: &r3.Vec{Z: 40}, TightestText: "tightest, inner girth 326.0 mm",
		Rings: []solid.Ring{{Loop: circle(40, 52), Text: "band at 280 mm"}, {Loop: circle(240, 56), Text: "band at 80 mm"}},
	}
	bed := solid.Bed{Title: "On the bed at 107 %, as it lies", Part: []*mesh.Mesh{shape.Offset(part, r3.Sub(r3.Vec{X: 100, Y: 100}, low))}, Width: 300, Depth: 300, Height: 400, Margin: 5}
	curve := chart.Curve{Title: "Girth along the part at 107 %", From: "opening A", Tightest: 8, Widest: 28}
	curve.Needs = []chart.Need{{Label: "calf", Text: "needs 414.2 mm, has 409.1 mm: 5.1 mm too tight", Along: 260, Body: 377, Girth: 414.2}}
	for i := range 81 {
		g := 330 + 90*math.Sin(float64(i-24)/20)
		curve.Stations = append(curve.Stations, chart.Station{Along: 5 * float64(i), Inner: g, Capacity: 0.97 * g})
	}
	belief := chart.Belief{
		Title: "The scale that fits", Smallest: 104, SD: 2.4, Print: 109, Least: 104, Most: 113, Bed: 112,
		Curve: [][2]float64{{98, 0.01}, {102, 0.2}, {104, 0.5}, {109, 0.98}, {113, 0.5}},
		Rungs: []chart.Rung{{Percent: 106, Text: "print next"}}, Tried: []chart.Trial{{Percent: 101, Verdict: "tight"}},
	}
	cut := analysis.Outline{
		Walls: []analysis.Polyline{{Points: flat(circle(0, 60)), Closed: true}, {Points: flat(circle(0, 55)), Closed: true}},
		Void:  flat(circle(0, 55)), Room: &analysis.Ellipse{Major: 106, Minor: 104},
		Body: &analysis.BodyOutline{Measure: "calf_girth", Skin: analysis.Ellipse{Major: 100, Minor: 98}, Padding: 3, Needed: 330, Has: 345,
			Gaps: []analysis.WallGap{{From: r2.Vec{X: 53}, To: r2.Vec{X: 55}, Gap: 2}, {From: r2.Vec{Y: 52}, To: r2.Vec{Y: 55}, Gap: 3}}},
	}
	section := func() *image.RGBA { return outline.Section("Section at 80 mm", "inner girth 345.6 mm", cut, nil) }
	rest := []func() *image.RGBA{
		func() *image.RGBA { return solid.OnBed(bed) }, section, section, section,
		func() *image.RGBA { return chart.Girth(curve) }, func() *image.RGBA { return chart.Ladder(belief) },
	}
	proof.Drawn(b, func() *image.RGBA {
		for _, draw := range rest {
			im := draw()
			if _, err := picture.PNG(im); err != nil {
				b.Fatal(err)
			}
			picture.Free(im)
		}
		return solid.Part(shell)
	})
}

// circle is a loop of 2,000 points at a height, as fine as a mesh is cut.
func circle(z, radius float64) (out []r3.Vec) {
	for k := range 2000 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 1000)
		out = append(out, r3.Vec{X: radius * cos, Y: radius * sin, Z: z})
	}
	return out
}

// flat is a loop seen from above.
func flat(of []r3.Vec) (out []r2.Vec) {
	for _, p := range of {
		out = append(out, r2.Vec{X: p.X, Y: p.Y})
	}
	return out
}
