package suit

import (
	"testing"

	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/sample"
)

// Whatever names, texts and numbers come in, SUIT.md and lists are sound.
func TestNothingInNamesOrTextsBreaksTheSuit(t *testing.T) {
	const evil = sample.Evil
	findings, _ := sample.Boot()
	f := &findings
	sample.Spoil(f)
	place := disk.Place{Root: "/suit", Part: "kit.zip", Member: evil}
	refusal := answer.Refusal{Where: evil, Cause: evil, Remedy: evil}
	rows := []Row{{Place: place, Findings: f}, {Place: disk.Place{Part: evil}, Refusal: &refusal}}
	all := Suit{Wearer: evil, Rows: rows, Gone: []Gone{{place, evil}}, Problems: []Problem{{evil, evil, evil}}}
	for name, text := range map[string]string{
		"suit": all.text([]string{evil}), "list": listText(place.Archive(), rows, nil),
	} {
		sample.Sound(t, name, text)
	}
}
