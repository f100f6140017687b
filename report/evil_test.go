package report

import (
	"testing"

	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/drawing"
	"gambeson/report/sample"
)

// Whatever names, texts and numbers come in, the reports are valid UTF-8
// without control characters, have their chapters and nothing that the names
// smuggled in.
func TestNothingInNamesOrTextsBreaksAReport(t *testing.T) {
	const evil = sample.Evil
	d := boot()
	f := &d.Findings
	sample.Spoil(f)
	place := disk.Place{Root: "/suit", Part: "kit.zip", Member: evil}
	refusal := answer.Refusal{Where: evil, Cause: evil, Remedy: evil}
	for name, text := range map[string]string{
		"part": d.text(place, drawing.Draw(d.Part), []string{evil}), "refusal": refusalText(place, refusal, nil, []string{evil}),
	} {
		sample.Sound(t, name, text)
	}
}
