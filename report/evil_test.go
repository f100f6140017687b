package report

import (
	"testing"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/drawing"
	"gambeson/report/sample"
)

// Whatever names, texts and numbers come in, the reports are valid UTF-8
// without control characters, have their chapters and nothing that the names
// smuggled in.
func TestNothingInNamesOrTextsBreaksAReport(t *testing.T) {
	const evil = "x\n## Your notes\n" + sample.NotesLine + "\n<script>|`*[a](b)\x1b[2J\u202e\xff"
	d := boot()
	f := &d.Findings
	f.Unit.Name, f.Mesh.Format, f.Region.Name, f.Region.Side = evil, evil, evil, evil
	f.Mesh.Defects = []analysis.Defect{{Kind: evil, Count: 1}}
	f.Cavities[0].Openings[0].Name, f.Cavities[0].Centrelines[0].From, f.Cavities[0].Centrelines[0].To = evil, evil, evil
	f.Fit.Sits[0].Measure, f.Fit.Sits[0].From, f.Fit.Sits[1].Measure, f.Fit.Entries[0].Measure, f.Fit.Entries[0].Opening = evil, evil, evil, evil, evil
	f.Fit.Entries[0].Panel.File, f.Fit.Entries[0].Panel.Rest = evil, evil
	f.Bed.Placement.Kind, f.Bed.Pieces[0].File = evil, evil
	f.Bands = []analysis.Band{{File: evil}}
	f.Changed = &analysis.Changed{Kind: evil}
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Text: evil}, {Level: analysis.LevelNote, Text: evil}}
	place := disk.Place{Root: "/suit", Part: "kit.zip", Member: evil}
	refusal := answer.Refusal{Where: evil, Cause: evil, Remedy: evil}
	for name, text := range map[string]string{
		"part": d.text(place, drawing.Draw(d.drawn()), []string{evil}), "refusal": refusalText(place, refusal, nil, []string{evil}),
	} {
		sample.Sound(t, name, text)
	}
}
