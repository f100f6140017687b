package step

import (
	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/words"
)

// Scale says in one place which of all scales of a report is the one to print the part at,
// or what has to be known before there is one; "" where something else comes before any
// scale, or nothing is left to print.
func Scale(f *analysis.Findings, brief analysis.Brief, p disk.Place) string {
	d := part{Findings: *f, Brief: brief}
	if d.barred(p) != "" || f.PrintFits() {
		return ""
	}
	const first, none = "**Scale to print at: ", "**Scale to print at:** "
	beside := " Where " + suitLink(p) + " has another scale or other tests for this part, do as that says: it looks at all parts together."
	scale, least := advisedWords(f)
	orMore := ""
	if least {
		orMore = " or more"
	}
	after, tested := afterFits(f)
	switch {
	case f.Unsettled():
		return none + "not settled, as what was tried on is in doubt."
	case answer.Untold(f) && !f.IsPlate():
		return none + "not known before the body is measured."
	case d.goesWithOthers():
		return none + "that of the parts beside it, which " + suitLink(p) + " names once the body is measured."
	case f.IsPlate() && !answer.PlateSet(f):
		return none + "the tape tells, as the steps have it."
	case d.unlikely():
		return none + "none is likely to fit yet."
	case f.Stretch() != nil:
		return first + words.ThreeScales(f.Fit.TwoWay.Axes) + "**, set in the file itself." + beside
	case d.measureStep() != "":
		return none + "measure first. By the *estimate* it is **" + scale + orMore + "**." + beside
	case tested && after > 0:
		return none + "the test band tells. If it fits, **" + words.Percent(after) + "**." + beside
	case tested:
		return none + "the test band tells." + beside
	case f.Advised() > 0 || narrowCap(f):
		return first + scale + orMore + ".**" + beside
	case misfits(f):
		return none + "none is known at which it fits." + beside
	case f.PercentSet || words.Differs(f.Percent, 100):
		return first + scale + "**, as `suit.toml` has it." + beside
	}
	return first + scale + "**, as the file lies." + beside
}

// misfits reports whether a part does not fit as it is set, and is not to be opened to.
func misfits(f *analysis.Findings) bool {
	if f.Fit == nil || f.OnlyCovers() || f.IsPlate() || f.Felt() || f.Fit.WornOpened() || f.Fit.Opened() {
		return false
	}
	return f.Fit.Verdict == "tight" || f.Fit.Verdict == "loose" || f.Fit.Verdict == "blocked"
}

// advisedWords is the scale to print a part at by what is known now; least where it is only
// the smallest that will do.
func advisedWords(f *analysis.Findings) (scale string, least bool) {
	to := f.Advised()
	if to <= 0 && narrowCap(f) {
		return words.AtLeast(f.Fit.Cap.Least), true
	}
	if to <= 0 {
		return words.Percent(f.Percent), false
	}
	if _, tried := f.TriedScale(); f.Fit.Recommended <= 0 && !tried {
		return words.AtLeast(to), true
	}
	return words.Percent(to), false
}

// goesWithOthers reports whether a part only covers and nothing tells yet at which scale the
// parts beside it fit the body.
func (d part) goesWithOthers() bool {
	f := &d.Findings
	return f.OnlyCovers() && !f.IsPlate() && f.Region != nil && f.Region.Name != "" && len(d.Brief.Wearer.Measures) == 0 && !f.PercentSet
}

// narrowCap reports whether a cap for a joint is narrower than that.
func narrowCap(f *analysis.Findings) bool {
	return f.Fit != nil && f.Fit.Cap != nil && !f.Fit.Cap.Spans()
}
