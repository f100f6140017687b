package report

import (
	"math"
	"slices"

	"gambeson/analysis"
)

// testing says whether a band is worth its hours, what each answer leads to, and
// what the other ways would take.
func (b *page) testing(f *analysis.Findings, p Place) {
	t := f.Testing
	if t == nil {
		return
	}
	if len(f.Bands) == 0 {
		b.heading("Test bands")
	}
	b.block("### Is a test worth it")
	text := "**" + prose(t.Text) + "**"
	if t.Next != nil {
		files := []string{fileLink(p, t.Next.Band)}
		for _, file := range t.Next.With {
			files = append(files, fileLink(p, file))
		}
		how := over(t.Passes)
		if how == "" {
			how = " with all the padding that will be worn"
		}
		text += " Print " + and(files) + ", try it on" + how + ", and note what it showed."
	}
	b.block(text)
	b.afterwards(t)
	b.ways(f)
	b.block("By all that is known " + beginsToFit(t) + " at " + percent(t.Smallest) + " ± " + percent(t.SD) + " (*estimate*, one standard deviation). That is wider than under Scale: besides tape and estimates it holds what padding, printer and the ease that one prefers leave open. One verdict in twenty is taken to be wrong. " + easeCounts(t) + " Hours are averages over all bodies that this allows." + inVain(f))
}

// easeCounts says whose word decides how much ease is enough.
func easeCounts(t *analysis.Testing) string {
	if complained(t) {
		return "Since a band was found tight or loose, what was felt decides how much ease is enough."
	}
	return "Less ease than asked for counts as fitting where most would call it so, until a band is found tight or loose."
}

// lessIsWorn says why a part is likely to fit at a scale at which it hardly begins to
// sit well for sure.
func lessIsWorn(t *analysis.Testing) string {
	if t.Passes || complained(t) || t.Print > t.Smallest+2*t.SD {
		return ""
	}
	return ", as less ease than was asked for is worn too"
}

// complained reports whether something was found tight or loose.
func complained(t *analysis.Testing) bool {
	return slices.ContainsFunc(t.Tried, func(e analysis.Tried) bool { return e.Counts && e.Verdict != "fits" })
}

// beginsToFit names what is doubtful of a scale.
func beginsToFit(t *analysis.Testing) string {
	switch {
	case t.Measure == "":
		return "the part begins to fit"
	case t.Passes:
		return "the " + bodyPlace(t.Measure) + " begins to get in"
	}
	return "the " + bodyPlace(t.Measure) + " begins to sit well"
}

// inVain says what a print that does not fit is counted for.
func inVain(f *analysis.Findings) string {
	if f.Print == nil || f.Testing.Stake <= 0 {
		return ""
	}
	text := " A part that turns out too tight or too loose is counted as " + hours(f.Testing.Stake) + " lost (*a guess*): its print of " + hours(f.Print.Hours) + ", as its filament, the work on it and what waits behind it cost more than the printer's hours"
	if f.Region != nil && f.Region.Side != "" {
		text += ", and the same for the other side, which is printed at the same scale"
	}
	return text + ". One that the body does not get into is opened instead, for a quarter of that."
}

// afterwards says what each answer to the next band leads to.
func (b *page) afterwards(t *analysis.Testing) {
	var rows [][]string
	for _, a := range t.Then {
		then := "print the part at " + percent(a.Print) + ": it fits " + odds(a.Chance)
		switch {
		case a.Band > 0:
			then = "try a band at " + percent(a.Band)
		case t.Next != nil && analysis.Against(a.Print, t.Next.Percent, a.Verdict):
			then = "measure there again: by all else that is known " + percent(a.Print) + " fits"
		}
		rows = append(rows, []string{code(a.Verdict), odds(a.Likely), then})
	}
	b.table([]string{"if the band is", "that is", "then"}, rows)
}

// ways lists what the ways to go on take.
func (b *page) ways(f *analysis.Findings) {
	t := f.Testing
	var rows [][]string
	for _, w := range t.Ways {
		var scales []string
		for _, p := range w.Percents {
			scales = append(scales, percent(p))
		}
		name := ""
		switch w.Kind {
		case "as recommended":
			name = "the part at once at the recommended " + and(scales)
			if f.Fit != nil && len(w.Percents) > 0 && differs(w.Percents[0], f.Fit.Recommended) {
				name = "the part at once at " + and(scales) + ", as it is set"
			}
		case "at once":
			if slices.ContainsFunc(t.Ways, func(o analysis.Way) bool {
				return o.Kind == "as recommended" && percent(o.Percents[0]) == percent(t.Print)
			}) {
				continue // no other is better by enough to name two scales
			}
			name = "the part at once at the likeliest " + and(scales)
		case "ladder":
			name = "bands at " + and(scales) + ", until one settles it"
		case "best":
			if !t.WorthIt {
				continue // it is the first
			}
			name = "the advice above"
		}
		tests := "none"
		if w.TestHours > 0 {
			tests = hours(w.TestHours)
		}
		rows = append(rows, []string{name, tests, odds(w.Again), hours(w.Hours)})
	}
	b.table([]string{"way", "tests", "part printed again", "tests and what is lost"}, rows)
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
			remark = "on " + code(e.Part) + ", in the scale of this part"
			if e.Differs != 0 {
				remark += "; the girth there is " + girth(math.Abs(e.Differs)) + " " + larger(e.Differs) + " by the tape, and counts as such"
			}
		}
		rows = append(rows, []string{plainly(e.Station), percent(e.Percent), code(e.Verdict), remark})
	}
	b.table([]string{"tried on", "scale", "found", "remark"}, rows)
}

func larger(by float64) string {
	if by < 0 {
		return "smaller"
	}
	return "larger"
}

// nextBand is the band to print next: the advised one, else the first.
func nextBand(f *analysis.Findings) analysis.Band {
	if f.Testing != nil && f.Testing.Next != nil {
		for _, b := range f.Bands {
			if b.File == f.Testing.Next.Band {
				return b
			}
		}
	}
	return f.Bands[0]
}
