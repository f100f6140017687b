package report

import (
	"math"

	"gambeson/analysis"
	"gambeson/report/sample"

	"gonum.org/v1/gonum/spatial/r2"
)

// The parts of the Lantern Street Players' suit for Mira, as documents.

// greave is the document of that part.
func greave() Document {
	findings, brief := sample.Greave()
	return Document{
		Brief:       brief,
		Fingerprint: "a1b2c3d4",
		Findings:    findings,
		Bands: []Solid{
			{File: "bands/000mm.stl", Mesh: sample.Wedge(0)},
			{File: "bands/265mm.stl", Mesh: sample.Wedge(265)},
		},
		Outlines: []analysis.Outline{ring(0, 46, 40, 5)},
	}
}

// boot is the document of that part.
func boot() Document {
	findings, brief := sample.Boot()
	return Document{
		Brief:       brief,
		Fingerprint: "b007",
		Findings:    findings,
		Outlines:    []analysis.Outline{ring(150, 52, 47, 4)},
		Hows:        map[string]string{"ankle_girth": "thinnest place of the leg, just above the ankle bones", "calf_girth": "thickest place of the lower leg, standing on both feet"},
	}
}

// plate is the document of that part.
func plate() Document {
	findings, brief := sample.Plate()
	return Document{
		Brief:       brief,
		Findings:    findings,
		Fingerprint: "f1a7e",
	}
}

// ring is the section of an elliptical shell at a place along the first way.
func ring(at, a, b, wall float64) analysis.Outline {
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
