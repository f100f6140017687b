package drawing

import (
	"strings"

	"gambeson/report/answer"
	"gambeson/report/picture/tape"
	"gambeson/report/words"
)

// tapePicture shows where the tape runs for what is worth measuring.
func tapePicture(d Part) Picture {
	var shown []tape.Tape
	for _, h := range answer.Worth(&d.Findings) {
		if tape.Has(h.Measure) {
			shown = append(shown, tape.Tape{Measure: h.Measure, Name: tapeName(h.Measure), How: d.Hows[h.Measure]})
		}
	}
	if len(shown) == 0 {
		return Picture{}
	}
	var names []string
	for _, t := range shown {
		names = append(names, t.Name)
	}
	return Picture{File: pictureName("tape", 0), Alt: "Where the tape runs: " + words.And(names), image: tape.Draw(shown...)}
}

// tapeName is the name of a measure in a picture.
func tapeName(measure string) string { return words.Visible(strings.ReplaceAll(measure, "_", " ")) }
