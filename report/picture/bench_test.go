package picture

import (
	"image"
	"maps"
	"math"
	"slices"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/speed"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// greave is a shell of 40,000 triangles with two bands and a panel.
func greave() Shell {
	limb := shape.Limb{Sides: 250, Wall: 4}
	for i := range 41 {
		radius := 50 + 8*math.Sin(float64(i)/12)
		limb.Rings = append(limb.Rings, shape.Ring{Center: r3.Vec{Z: 8 * float64(i)}, Inner: shape.Ellipse{A: radius, B: radius}})
	}
	loop := func(z, radius float64) (out []r3.Vec) {
		for k := range 90 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 45)
			out = append(out, r3.Vec{X: radius * cos, Y: radius * sin, Z: z})
		}
		return out
	}
	var way []r3.Vec
	for i := range 64 {
		way = append(way, r3.Vec{X: 2 * math.Sin(float64(i)/20), Z: 320 - 5*float64(i)})
	}
	return Shell{
		Title: "The part at 107 %", Part: limb.Mesh(), Ways: [][]r3.Vec{way},
		Panel:    shape.Offset(shape.Bar{X: 60, Y: 6, Z: 300}.Mesh(), r3.Vec{X: -30, Y: -58}),
		Openings: []Opening{{"A", r3.Vec{Z: 320}, r3.Vec{Z: 1}}, {"B", r3.Vec{}, r3.Vec{Z: -1}}},
		Rings:    []Ring{{loop(40, 52), "band at 280 mm: heel on its way in"}, {loop(240, 56), "band at 80 mm: calf"}},
		Tightest: &r3.Vec{Z: 40}, TightestText: "tightest, inner girth 326.0 mm",
	}
}

// fineShell is a section as a mesh of a part cuts it: thousands of points.
func fineShell() analysis.Outline {
	o := shell()
	o.Walls[0] = analysis.Polyline{Points: loop(60, 48, 2000, 1), Closed: true}
	o.Walls[1] = analysis.Polyline{Points: loop(55, 43, 2000, -1), Closed: true}
	o.Void = loop(55, 43, 2000, 1)
	return withBody(o)
}

// withBody puts a body into a section of the shell: an ellipse 2 mm smaller all
// round, with 3 mm of padding.
func withBody(o analysis.Outline) analysis.Outline {
	o.Body = &analysis.BodyOutline{
		Measure: "calf_girth", Skin: analysis.Ellipse{Center: r2.Vec{X: 30, Y: 12}, Major: 100, Minor: 76}, Padding: 3,
		Needed: 300, Has: 297,
		Gaps: []analysis.WallGap{
			{From: r2.Vec{X: 83, Y: 12}, To: r2.Vec{X: 85, Y: 12}, Gap: 2},
			{From: r2.Vec{X: 30, Y: 53}, To: r2.Vec{X: 30, Y: 57}, Gap: 4},
		},
	}
	return o
}

// all draws every picture of one part.
func all() map[string]func() *image.RGBA {
	part, cut, c, b := greave(), fineShell(), limb(), ladders()["tried"]
	bed := Bed{Title: "On the bed at 107 %, as it lies", Part: []*mesh.Mesh{shape.Offset(part.Part, r3.Vec{X: 110, Y: 110})}, Width: 220, Depth: 220, Height: 350, Margin: 5}
	return map[string]func() *image.RGBA{
		"part":    func() *image.RGBA { return Part(part) },
		"girth":   func() *image.RGBA { return Girth(c) },
		"section": func() *image.RGBA { return Section("Section at 80 mm", "calf: needs 300.0 mm, has 297.0 mm", cut, nil) },
		"bed":     func() *image.RGBA { return OnBed(bed) },
		"ladder":  func() *image.RGBA { return Ladder(b) },
	}
}

func BenchmarkPictures(b *testing.B) {
	for name, draw := range all() {
		b.Run(name, func(b *testing.B) { drawn(b, draw) })
	}
}

// BenchmarkWhole draws all pictures of one part of 100,000 triangles, as a report
// has them: it has three sections.
func BenchmarkWhole(b *testing.B) {
	part := greave()
	part.Part = shape.Relief{Triangles: 100_000}.Mesh()
	low := part.Part.Bounds().Min
	bed := Bed{Title: "On the bed at 107 %, as it lies", Part: []*mesh.Mesh{shape.Offset(part.Part, r3.Sub(r3.Vec{X: 100, Y: 100}, low))}, Width: 300, Depth: 300, Height: 400, Margin: 5}
	draw := all()
	draw["part"] = func() *image.RGBA { return Part(part) }
	draw["bed"] = func() *image.RGBA { return OnBed(bed) }
	draw["section-2"], draw["section-3"] = draw["section"], draw["section"]
	names := slices.Sorted(maps.Keys(draw))
	drawn(b, func() *image.RGBA {
		for _, name := range names[1:] {
			im := draw[name]()
			if _, err := PNG(im); err != nil {
				b.Fatal(err)
			}
			Free(im)
		}
		return draw[names[0]]()
	})
}

// drawn draws and packs a picture again and again.
func drawn(b *testing.B, draw func() *image.RGBA) {
	before, n := speed.ProcessorTime(), 0
	for b.Loop() {
		im := draw()
		data, err := PNG(im)
		if err != nil {
			b.Fatal(err)
		}
		Free(im)
		b.ReportMetric(float64(len(data)), "bytes")
		n++
	}
	b.ReportMetric(1e3*(speed.ProcessorTime()-before).Seconds()/float64(n), "cpu-ms/op")
}
