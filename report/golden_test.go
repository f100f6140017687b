package report

import (
	"testing"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/sample"
	"gambeson/report/suit"

	"github.com/stretchr/testify/require"
)

func TestReportsReadAsAccepted(t *testing.T) {
	for _, part := range []struct {
		golden string
		doc    Document
	}{
		{"greave.md", greave()}, {"boot.md", boot()}, {"plate.md", plate()},
		{"fits.md", fittingGreave()}, {"tried.md", triedBefore()}, {"nobody.md", nobody()},
	} {
		t.Run(part.golden, func(t *testing.T) {
			p := disk.Place{Root: sample.Folder(t), Part: part.doc.Findings.Part}
			require.NoError(t, Write(p, part.doc))
			sample.Golden(t, part.golden, sample.ReadFile(t, p.Root, p.Report()))
		})
	}
}

func TestRefusalReadsAsAccepted(t *testing.T) {
	p := disk.Place{Root: sample.Folder(t), Part: "legs/half.stl"}
	require.NoError(t, Write(p, Document{Fingerprint: "9", Refusal: &answer.Refusal{
		Where: "byte 684", Cause: "12 triangles are announced, 11 are there", Remedy: "copy the file again",
	}}))
	sample.Golden(t, "refusal.md", sample.ReadFile(t, p.Root, p.Report()))
}

func suitRows(root string) []suit.Row {
	var rows []suit.Row
	for _, d := range []Document{plate(), greave(), boot()} {
		f := d.Findings
		rows = append(rows, suit.Row{Place: disk.Place{Root: root, Part: f.Part}, Findings: &f})
	}
	return append(rows,
		suit.Row{Place: disk.Place{Root: root, Part: "legs/half.stl"}, Refusal: &answer.Refusal{Where: "byte 684", Cause: "12 triangles are announced, 11 are there", Remedy: "copy the file again"}},
		suit.Row{Place: disk.Place{Root: root, Part: "kit.zip", Member: "arms/*left*.stl"}, Findings: &analysis.Findings{Part: "kit.zip/arms/*left*.stl", Percent: 100}})
}

// fittingGreave is a greave that fits, with a test that is not worth its hours.
func fittingGreave() Document {
	d := greave()
	d.Findings, d.Brief = sample.Fitting()
	d.Bands = nil
	return d
}

// triedBefore is that greave after two try-ons, one of which cannot be.
func triedBefore() Document {
	d := fittingGreave()
	f := &d.Findings
	band := analysis.Band{File: "legs/greave-left.stl.fit/bands/265mm.stl", Station: 265, Percent: 103, Height: 12, Arcs: 1, Hours: 0.9, Grams: 16, Measure: "calf_girth", Reason: "where the calf rests and has the least room", Notches: 1}
	f.Bands, d.Bands = []analysis.Band{band}, []Solid{{File: "bands/265mm.stl", Mesh: sample.Wedge(265)}}
	f.Testing = &analysis.Testing{WorthIt: true, Text: "A test saves 3.1 h: print the band at 103 % first.", Smallest: 99.1, SD: 2.2, Odds: [][2]float64{{95, 0.03}, {99, 0.48}, {104, 0.9}, {110, 0.2}}, Print: 104, Chance: 0.9, TestHours: 0.9, Reprints: 3.1,
		Next:  &analysis.NextBand{Band: band.File, Percent: 103},
		Then:  []analysis.After{{Verdict: "tight", Likely: 0.2, Band: 105}, {Verdict: "fits", Likely: 0.7, Print: 104, Chance: 0.97}, {Verdict: "loose", Likely: 0.1, Print: 101, Chance: 0.95}},
		Ways:  []analysis.Way{{Kind: "best", Percents: []float64{103}, TestHours: 0.9, Hours: 1.4, Again: 0.03}, {Kind: "at once", Percents: []float64{104}, Hours: 4.5, Again: 0.1}},
		Tried: []analysis.Tried{{Station: "calf_girth", Percent: 98, Verdict: "tight", Counts: true}, {Station: "calf_girth", Percent: 97, Verdict: "loose", Counts: true, Odd: true}}}
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "try-ons-disagree", Text: "Two try-ons cannot both be right: tight at 98 % and loose at 97 %. Put both on again, with the same padding, and correct the logbook."}}
	return d
}

// nobody is that greave without a wearer.
func nobody() Document {
	d := fittingGreave()
	d.Findings.Fit, d.Findings.Testing, d.Brief.Wearer = nil, nil, analysis.Wearer{}
	return d
}
