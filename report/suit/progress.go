package suit

import (
	"fmt"
	"strings"

	together "gambeson/analysis/suit"
	"gambeson/report/answer"
	"gambeson/report/words"
)

// stage is how far a part has come. The names are those in the drawing.
type stage int

const (
	unread   stage = iota // its file could not be read
	unclear               // what it covers or its unit is missing
	unscaled              // another scale is to be set
	untaped               // a measure would settle it
	untried               // a band is to be tried on first, of this bed load or a later one
	warned                // its report warns of something else
	unjudged              // nothing tells how it fits
	ready                 // it can be printed
	printedStage
)

var stageNames = [...]string{"not read", "what is it?", "scale to set", "to measure", "band to try", "see its report", "look at it", "to print", "printed"}

// progress draws how far the suit has come: a square for each part.
func (b *page) progress(s Suit, rows []Row) {
	if len(rows) == 0 {
		return
	}
	var parts [printedStage + 1]int
	var took [printedStage + 1]float64
	widest := 0
	for _, r := range rows {
		at := stageOf(s, r)
		parts[at]++
		widest = max(widest, parts[at])
		if f := r.Findings; f != nil && f.Print != nil {
			p, _ := s.Judged.Part(f.Part)
			scale := scaleOf(p, f)
			if at == printedStage && f.Printed > 0 { // of the print that was made, be it to be made again
				scale = f.Printed
			}
			took[at] += s.Printed[f.Part].of(f, scale).or(f.Print.At(scale)).Hours
		}
	}
	var drawing strings.Builder
	each := 1 // parts for a square: a line is to fit a telephone
	for widest/each > 12 {
		each++
	}
	for at := printedStage; at >= unread; at-- {
		if parts[at] == 0 && at != printedStage && at != ready {
			continue
		}
		line := fmt.Sprintf("%-14s %2d %s", stageNames[at], parts[at], strings.Repeat("■", (parts[at]+each-1)/each))
		if took[at] > 0 {
			line += " " + words.Hours(took[at])
		}
		drawing.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	b.Heading("Progress")
	square := "Each ■ is a part"
	if each > 1 {
		square = "Each ■ is up to " + words.Things(each, "part")
	}
	b.Block(square + ", with the first thing that it waits for; hours are of its print (*estimates*, or as `logbook.toml` has them). A part counts as printed when it stands there under `[[printed]]`.")
	b.Block("```text\n" + drawing.String() + "```")
}

// stageOf says what a part waits for.
func stageOf(s Suit, r Row) stage {
	f := r.Findings
	if f == nil {
		return unread
	}
	if _, printed := s.Printed[f.Part]; printed {
		return printedStage
	}
	p, judged := s.Judged.Part(f.Part)
	switch {
	case !judged || len(f.Cavities) > 0 && p.Region.Name == "":
		return unclear
	case s.Judged.Measured(f.Part):
		return untaped
	case wantsScale(p) || p.Stretch != nil:
		return unscaled
	case s.Judged.Tested(f.Part) || s.Judged.TestedLater(f.Part):
		return untried
	case p.Odd || f.Hindered():
		return warned
	case p.Risk.Level == together.High && (p.Risk.Blocked || p.Risk.NoRoom || !contented(f)):
		return warned
	case !f.OnlyCovers() && !answer.PlateSet(f) && len(f.Cavities) > 0 && (f.Fit == nil || f.Fit.Verdict == "" || f.Fit.Verdict == "unknown"):
		return unjudged
	}
	return ready
}
