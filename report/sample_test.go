package report

import (
	"gambeson/analysis"
	"gambeson/report/drawing"
	"gambeson/report/sample"
)

// The parts of the Lantern Street Players' suit for Mira, as documents.

// greave is the document of that part.
func greave() Document {
	findings, brief := sample.Greave()
	return Document{
		Part:        drawing.Part{Findings: findings, Brief: brief, Outlines: []analysis.Outline{sample.Ring(0, 46, 40, 5)}},
		Fingerprint: "a1b2c3d4",
		Bands: []Solid{
			{File: "bands/000mm.stl", Mesh: sample.Wedge(0)},
			{File: "bands/265mm.stl", Mesh: sample.Wedge(265)},
		},
	}
}

// boot is the document of that part.
func boot() Document {
	findings, brief := sample.Boot()
	return Document{
		Fingerprint: "b007",
		Part: drawing.Part{
			Findings: findings, Brief: brief, Outlines: []analysis.Outline{sample.Ring(150, 52, 47, 4)},
			Hows: map[string]string{"ankle_girth": "thinnest place of the leg, just above the ankle bones", "calf_girth": "thickest place of the lower leg, standing on both feet"},
		},
	}
}

// plate is the document of that part.
func plate() Document {
	findings, brief := sample.Plate()
	return Document{
		Part:        drawing.Part{Findings: findings, Brief: brief},
		Fingerprint: "f1a7e",
	}
}
