package report

import (
	"math"
	"slices"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/words"
)

// testing says whether a band is worth its hours, what each answer leads to, and
// what the other ways would take.
func (b *page) testing(f *analysis.Findings, p disk.Place) {
	t := f.Testing
	if t == nil {
		return
	}
	if len(f.Bands) == 0 {
		b.Heading("Test bands")
	}
	b.Block("### Is a test worth it")
	text := "**" + words.Prose(t.Text) + "**"
	if f.Unsettled() {
		text = "**First settle what was tried on:** until then nothing is to be printed. By what is known so far: " + words.Prose(t.Text)
	} else if f.MeasureFirst() != "" && t.Next != nil {
		text = "**First measure, as the steps above say:** that may leave no need of a test. Without that: " + text
	}
	if t.Next != nil && !f.Unsettled() {
		files := []string{paper.FileLink(p, t.Next.Band)}
		for _, file := range t.Next.With {
			files = append(files, paper.FileLink(p, file))
		}
		how := answer.Over(t.Passes)
		if how == "" {
			how = " with all the padding that will be worn"
		}
		text += " Print " + words.And(files) + ", try it on" + how + ", and note what it showed."
	}
	b.Block(text)
	b.afterwards(t)
	b.ways(f)
	b.Block("By all that is known " + answer.BeginsToFit(t) + " at " + words.Percent(t.Smallest) + " ± " + words.Percent(t.SD) + " (*estimate*, one standard deviation). That is wider than under Scale, as it also holds what padding, printer and the ease that one prefers leave open. One verdict in twenty is taken to be wrong. " + easeCounts(t) + " Hours are averages over all bodies that this allows." + inVain(f))
}

// easeCounts says whose word decides how much ease is enough.
func easeCounts(t *analysis.Testing) string {
	if t.Complained() {
		return "Since a band was found tight or loose, what was felt decides how much ease is enough."
	}
	return "Less ease than asked for counts as fitting where most would call it so, until a band is found tight or loose."
}

// inVain says what a print that does not fit is counted for.
func inVain(f *analysis.Findings) string {
	if f.Print == nil || f.Testing.Stake <= 0 {
		return ""
	}
	text := " A part that turns out too tight or too loose is counted as " + words.Hours(f.Testing.Stake) + " lost (*a guess*). Its print takes " + words.Hours(f.Print.Hours) + ", and its filament, the work on it and what waits behind it cost more than that."
	if f.Region != nil && f.Region.Side != "" {
		text += " Half of that is for the other side, as most suits have one, printed at the same scale. This report does not look whether yours has."
	}
	return text + " One that the body does not get into is opened instead, for a quarter of that."
}

// afterwards says what each answer to the next band leads to.
func (b *page) afterwards(t *analysis.Testing) {
	var rows [][]string
	for _, a := range t.Then {
		then := "print the part at " + words.Percent(a.Print) + ": it fits " + words.Odds(a.Chance)
		switch {
		case a.Band > 0:
			then = "try a band at " + words.Percent(a.Band)
		case t.Next != nil && analysis.Against(a.Print, t.Next.Percent, a.Verdict):
			then = "measure there again: by all else that is known " + words.Percent(a.Print) + " fits"
		}
		rows = append(rows, []string{words.Code(a.Verdict), words.Odds(a.Likely), then})
	}
	b.Table([]string{"if the band is", "that is", "then"}, rows)
}

// ways lists what the ways to go on take.
func (b *page) ways(f *analysis.Findings) {
	t := f.Testing
	var rows [][]string
	for _, w := range t.Ways {
		var scales []string
		for _, p := range w.Percents {
			scales = append(scales, words.Percent(p))
		}
		name := ""
		switch w.Kind {
		case "as recommended":
			name = "the part at once at the recommended " + words.And(scales)
			if f.Fit != nil && len(w.Percents) > 0 && words.Differs(w.Percents[0], f.Fit.Recommended) {
				name = "the part at once at " + words.And(scales) + ", as it is set"
			} else if _, tried := f.TriedScale(); tried { // nothing recommends it any more
				name = "the part at once at " + words.And(scales) + ", as by the tape alone"
			} else if f.Stretch() != nil {
				name = "the part at once at " + words.And(scales) + ", one scale for all directions"
			} else if f.Fit != nil && f.Advised() == 0 && words.Differs(f.Fit.Recommended, f.Percent) {
				name = "the part at once at " + words.And(scales) + ", the middle of what fits"
			}
		case "at once":
			if slices.ContainsFunc(t.Ways, func(o analysis.Way) bool {
				return o.Kind == "as recommended" && words.Percent(o.Percents[0]) == words.Percent(t.Print)
			}) {
				continue // no other is better by enough to name two scales
			}
			name = "the part at once at the likeliest " + words.And(scales)
		case "ladder":
			name = "bands at " + words.And(scales) + ", until one settles it"
		case "best":
			if !t.WorthIt {
				continue // it is the first
			}
			name = "the advice above"
		}
		tests := "none"
		if w.TestHours > 0 {
			tests = words.Hours(w.TestHours)
		}
		rows = append(rows, []string{name, tests, words.Odds(w.Again), words.Hours(w.Hours)})
	}
	b.Table([]string{"way", "tests", "part printed again", "tests and what is lost"}, rows)
}

// tried lists the try-ons as they were understood, none left out.
func (b *page) tried(t *analysis.Testing) {
	var rows [][]string
	for _, e := range t.Tried {
		remark := ""
		switch {
		case e.Odd:
			remark = "does not go with the rest: put it on again"
		case !e.Counts:
			remark = "says nothing: no girth that decides is there"
		}
		if e.Part != "" {
			remark = "on " + words.Code(e.Part) + ", in the scale of this part"
			if e.Differs != 0 {
				remark += "; the girth there is " + words.Girth(math.Abs(e.Differs)) + " " + larger(e.Differs) + " by the tape, and counts as such"
			}
		}
		if e.Padding != nil {
			if remark != "" {
				remark += "; "
			}
			remark += e.Reckoned()
			if e.Counts && e.Noted > 0 {
				remark += ", as at " + words.Percent(e.Percent)
			}
		}
		rows = append(rows, []string{words.Plainly(e.Station), words.Percent(e.Told()), words.Code(e.Verdict), remark})
	}
	b.Table([]string{"tried on", "scale", "found", "remark"}, rows)
}

func larger(by float64) string {
	if by < 0 {
		return "smaller"
	}
	return "larger"
}
