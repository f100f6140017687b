// Package sample holds what the tests of the reports share: findings of an invented
// suit, a folder to write it into, and how a text is compared with the one accepted.
package sample

import (
	"math"

	"gambeson/analysis"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// The parts of the Lantern Street Players' suit for Mira, as findings and what was
// asked.

// Greave is a lower leg that is too tight, in the first form of the findings:
// one straight way, no openings.
func Greave() (analysis.Findings, analysis.Brief) {
	brief := analysis.DefaultBrief()
	brief.Percent = 107
	brief.Region = analysis.Region{Name: "lower_leg", Side: "left", Source: "name"}
	brief.Shell.Padding, brief.Shell.Asked.Padding = 4, true
	brief.Wearer.Measures = map[string]float64{"calf_girth": 382}
	way := analysis.Centreline{Length: 380, Stations: Stations(380, func(z float64) float64 {
		return 290 + 100*math.Sin(math.Max(0, z-60)/130)
	})}
	return analysis.Findings{
		Schema: analysis.Schema, Part: "legs/greave-left.stl", Percent: 107,
		Unit: &analysis.Unit{Name: "millimetre", Factor: 1, Source: "assumed"},
		Mesh: &analysis.Mesh{
			Format: "stl-binary", Triangles: 12800, Vertices: 6402, Bounds: [3]float64{131, 118.5, 355},
			Area: 241220, Volume: 362000, Closed: false, Components: 1,
			Defects: []analysis.Defect{
				{Kind: "open-edge", Count: 14, Where: [3]float64{-12, 58.25, 301}},
				{Kind: "sliver", Count: 3, Where: [3]float64{40, 2, 7}},
			},
		},
		Region: &brief.Region,
		Bed: &analysis.Bed{
			Fits: false, Largest: analysis.Largest{AsIs: 67.638, Turned: 67.638},
			Placement: analysis.Placement{Kind: "as-is", Size: [3]float64{140.2, 126.8, 379.9}},
			Over:      [3]float64{0, 0, 129.9},
		},
		Cavities: []analysis.Cavity{{Centrelines: []analysis.Centreline{way}}},
		Fit: &analysis.Fit{Verdict: "tight", Shell: &brief.Shell, Sits: []analysis.Sit{
			{Measure: "calf_girth", Body: 382, Source: "measured", Needed: 413.1, Capacity: 390, Ease: -17.1, Along: 265},
		}},
		Bands: []analysis.Band{
			{File: "legs/greave-left.stl.fit/bands/000mm.stl", Station: 0, Percent: 107, Height: 20, Arcs: 2, Flats: true, Reason: "the tightest place of the part"},
			{File: "legs/greave-left.stl.fit/bands/265mm.stl", Station: 265, Percent: 107, Height: 12, Arcs: 1, Hours: 1.2, Grams: 9,
				Measure: "calf_girth", Reason: "where the calf rests", Notches: 2, Text: "GREAVE-LEFT CALF 107%"},
		},
		Changed: &analysis.Changed{Kind: "rescaled", Percent: 104.2, Text: "rescaled to 104.2 % of what it was"},
		Warnings: []analysis.Warning{
			{Level: analysis.LevelWarning, Code: "bed-overflow", Text: "No longer fits the bed: 379.9 mm of height against 250.0 mm."},
			{Level: analysis.LevelNote, Code: "unit-assumed", Text: "The file names no unit of length; its numbers were taken as millimetres."},
			{Level: analysis.LevelNote, Code: "mesh-sliver", Text: "3 facets are slivers."},
		},
	}, brief
}

// Boot has all that later findings bring: openings, entries, a panel,
// capacity, cover, estimates, an interval, pieces and costs.
func Boot() (analysis.Findings, analysis.Brief) {
	brief := analysis.DefaultBrief()
	brief.Region = analysis.Region{Name: "foot", Side: "right", Source: "config"}
	way := analysis.Centreline{From: "A", To: "end", Length: 300, Stations: Stations(300, func(z float64) float64 {
		return 330 - 0.1*z
	})}
	for i := range way.Stations {
		s := &way.Stations[i]
		s.Capacity, s.Ellipse, s.Cover = s.InnerGirth*0.97, &[2]float64{110, 96}, 360
		if s.Along < 30 {
			s.Cover, s.Gap = 290, 61.5
		}
	}
	return analysis.Findings{
		Schema: analysis.Schema, Part: "boot right.3mf", Percent: 100,
		Unit: &analysis.Unit{Name: "inch", Factor: 25.4, Source: "file"},
		Mesh: &analysis.Mesh{
			Format: "3mf", Triangles: 204800, Vertices: 102402, Bounds: [3]float64{120, 300, 280},
			Area: 412000, Volume: 618000, Closed: true, Components: 2,
		},
		Region: &brief.Region,
		Bed: &analysis.Bed{
			Fits: true, Largest: analysis.Largest{AsIs: 70, Turned: 88.14, Laid: 101.06, Tilted: 112.46},
			Placement: analysis.Placement{Kind: "laid", Rotation: [3][3]float64{{1, 0, 0}, {0, 0, 1}, {0, -1, 0}},
				Size: [3]float64{120, 280, 300}, Overhang: 5120, FirstLayer: 830},
			Pieces: []analysis.Piece{
				{File: "boot right.3mf.fit/pieces/1-of-2-front.stl", Bounds: [3]float64{120, 150, 280}, Volume: 309000, Holes: 260, Overhang: 1240, Hours: 11.3, Grams: 155},
				{File: "boot right.3mf.fit/pieces/2-of-2-back.stl", Bounds: [3]float64{120, 150, 280}, Volume: 308000, Holes: 260, Bodies: 2},
			},
			Seams: []analysis.Seam{{Plane: analysis.Plane{Normal: [3]float64{0, 1, 0}}, Length: 812.4, Above: []int{2}, Below: []int{1},
				Pins: []analysis.Pin{{Diameter: 4, Count: 3, Depth: 10}, {Diameter: 1.75, Count: 1, Depth: 6.5}}, Unkeyed: "the wall is thin at the toe"}},
			Loads: 3, BandLoads: 1,
		},
		Cavities: []analysis.Cavity{{
			Volume: 2.4e6,
			Openings: []analysis.Opening{
				{Name: "A", Center: [3]float64{0, -90, 280}, Facing: [3]float64{0.02, 0, 0.99}, Girth: 331, Capacity: 322.5},
				{Name: "B", Center: [3]float64{0, 110, 12}, Facing: [3]float64{0, 1, 0}, Girth: 61},
			},
			Centrelines: []analysis.Centreline{way},
		}},
		Fit: &analysis.Fit{
			Verdict: "blocked", Shell: &brief.Shell,
			Sits: []analysis.Sit{
				{Measure: "instep_girth", Body: 245, Source: "measured", Needed: 282.4, Capacity: 301.2, Ease: 24.8, Along: 240, From: "A", Extra: 3},
				{Measure: "ankle_girth", Body: 222, Source: "estimated", SD: 8.4, Needed: 259.4, Capacity: 305.9, Ease: 52.5, Along: 120, From: "A", Extra: 7.4},
			},
			Entries: []analysis.Entry{{
				Opening: "A", To: "end", Measure: "heel_girth", Body: 331, Source: "measured", Needed: 343.6, Throat: 311, ThroatAlong: 150, Percent: 110.41,
				Panel: &analysis.Panel{To: 165, Width: 40.5, Facing: [3]float64{0, -1, 0}, Throat: 346.2,
					File: "boot right.3mf.fit/panel/panel.stl", Rest: "boot right.3mf.fit/panel/rest.stl"},
			}},
			Lead: "instep_girth", Rests: 104.2, Smallest: 110.44, SmallestInterval: &[2]float64{108.2, 112.9},
			Loosest: 121.26, Recommended: 115.8, Interval: &[2]float64{112.31, 119.28},
			Lengths: []analysis.Length{{Measure: "foot_length", Body: 262, Source: "measured", Room: 275.5, Smallest: 96.4, Largest: 103.6}},
			TwoWay:  &analysis.TwoWay{Girth: 115.8, Length: 103.6, Axis: [3]float64{0, 1, 0}, Axes: [3]float64{115.8, 103.6, 115.8}, Size: [3]float64{138.9, 310.8, 324.2}},
			Helps:   []analysis.Help{{Measure: "ankle_girth", Cut: 0.64, SD: 0.9}, {Measure: "calf_girth", Cut: 0.19, SD: 1.35}},
		},
		Print: &analysis.Print{Percent: 100, Hours: 22.42, Grams: 310.4, Metres: 104.2},
	}, brief
}

// Plate has no way through, and two printers to lie on.
func Plate() (analysis.Findings, analysis.Brief) {
	brief := analysis.DefaultBrief()
	brief.Printer.Strips = [][4]float64{{0, 200, 40, 20}}
	brief.Second = &analysis.Printer{Diameter: 300, Height: 320, Margin: 4}
	return analysis.Findings{
		Schema: analysis.Schema, Part: "torso/back-plate.obj", Percent: 100,
		Unit:   &analysis.Unit{Name: "millimetre", Factor: 1, Source: "config"},
		Region: &analysis.Region{Source: "unknown"},
		Mesh:   &analysis.Mesh{Format: "obj", Triangles: 12, Vertices: 8, Bounds: [3]float64{200, 150, 4}, Area: 62800, Volume: 120000, Closed: true, Components: 1},
		Bed: &analysis.Bed{Fits: true, Largest: analysis.Largest{AsIs: 105, Turned: 120},
			Placement: analysis.Placement{Kind: "turned", Rotation: [3][3]float64{{0.7071, -0.7071, 0}, {0.7071, 0.7071, 0}, {0, 0, 1}}, Size: [3]float64{247.5, 247.5, 4}, FirstLayer: 30000},
			Second: &analysis.Bed{Fits: true, Largest: analysis.Largest{AsIs: 116.82, Turned: 116.82, Laid: 116.82, Tilted: 120.25},
				Placement: analysis.Placement{Kind: "as-is", Size: [3]float64{200, 150, 4}, FirstLayer: 30000}}},
	}, brief
}

// Stations run up z every 5 mm; girth gives the inner girth.
func Stations(length float64, girth func(z float64) float64) []analysis.Station {
	var out []analysis.Station
	for z := 0.0; z <= length; z += 5 {
		out = append(out, analysis.Station{
			Along: z, Center: [3]float64{0, 0, z}, Normal: [3]float64{0, 0, 1}, InnerGirth: girth(z),
		})
	}
	return out
}

// Wedge is a small closed mesh that differs with its argument.
func Wedge(x float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for _, p := range []r3.Vec{{X: x}, {X: x + 10}, {X: x, Y: 10}, {X: x, Z: 12}} {
		m.AddVertex(p)
	}
	m.AddTriangle(0, 2, 1)
	m.AddTriangle(0, 1, 3)
	m.AddTriangle(1, 2, 3)
	m.AddTriangle(0, 3, 2)
	return m
}

// Fitting is a greave that fits, with a test that is not worth its hours.
func Fitting() (analysis.Findings, analysis.Brief) {
	f, brief := Greave()
	brief.Percent, f.Percent, f.Changed, f.Warnings, f.Bands = 100, 100, nil, nil, nil
	f.Mesh.Closed, f.Mesh.Defects = true, nil
	f.Bed = &analysis.Bed{Fits: true, Largest: analysis.Largest{AsIs: 112, Turned: 118.4, Laid: 118.4}, Placement: analysis.Placement{Kind: "as-is", Size: [3]float64{131, 118.5, 240}, FirstLayer: 900}}
	f.Fit = &analysis.Fit{Verdict: "fits", Lead: "calf_girth", Shell: &brief.Shell, Smallest: 97.2, Loosest: 107, Recommended: 102, Interval: &[2]float64{99.6, 104.3},
		Sits: []analysis.Sit{{Measure: "calf_girth", Body: 360, Source: "measured", Needed: 391.1, Capacity: 398.6, Ease: 13.5, Along: 265, From: "A"}}}
	f.Testing = &analysis.Testing{Text: "No test is needed: at 102 % the part, once on, fits with a chance of more than 99 %.", Smallest: 97.2, SD: 1.4, Odds: [][2]float64{{95, 0.06}, {97, 0.44}, {102, 0.996}, {108, 0.3}}, Print: 102, Chance: 0.996,
		Ways: []analysis.Way{{Kind: "as recommended", Percents: []float64{102}, Hours: 0.2, Again: 0.004}}}
	f.Print = &analysis.Print{Percent: 100, Hours: 14.2, HoursSD: 3.7, Grams: 262, GramsSD: 23, Metres: 87.9}
	return f, brief
}

// Ring is the section of an elliptical shell at a place along the first way.
func Ring(at, a, b, wall float64) analysis.Outline {
	loop := func(grow, turn float64) []r2.Vec {
		var l []r2.Vec
		for i := range 96 {
			sin, cos := math.Sincos(turn * float64(i) * math.Pi / 48)
			l = append(l, r2.Vec{X: (a + grow) * cos, Y: (b + grow) * sin})
		}
		return l
	}
	return analysis.Outline{
		Along: at, Void: loop(0, 1),
		Walls: []analysis.Polyline{{Points: loop(wall, 1), Closed: true}, {Points: loop(0, -1), Closed: true}},
	}
}
