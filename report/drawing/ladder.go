package drawing

import (
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/picture/chart"
	"gambeson/report/words"
)

// drawLadder draws what is known of the scale that fits, what the bed takes, the
// bands to print and what was tried on.
func (d Part) drawLadder() Picture {
	f := &d.Findings
	t := f.Testing
	if t == nil || !(t.Smallest > 0) || len(t.Odds) == 0 {
		return Picture{}
	}
	if t.Next == nil && len(t.Tried) == 0 && !slices.ContainsFunc(t.Odds, func(o [2]float64) bool { return o[1] < 0.995 }) {
		return Picture{} // it fits at every scale that was looked at, once on: nothing to see
	}
	b := chart.Belief{
		Title: "The scale that fits, by all that is known", Smallest: t.Smallest, SD: t.SD, Curve: t.Odds, Print: t.Print, Chance: t.Chance,
	}
	if f.Fit != nil {
		b.Least, b.Most = words.UpTenth(answer.Needed(f)), words.DownTenth(f.Fit.Loosest)
	}
	if f.Bed != nil && f.Bed.UpTo() < 1e5 {
		b.Bed = words.DownTenth(f.Bed.UpTo())
	}
	if t.Next != nil {
		b.Rungs = append(b.Rungs, chart.Rung{Percent: t.Next.Percent, Text: "print next"})
		b.Rungs = append(b.Rungs, laterRungs(t.Then)...)
	}
	if t.Next == nil {
		b.Untested = true
		for _, band := range f.Bands {
			if rung := (chart.Rung{Percent: band.Percent, Text: "not needed"}); !slices.Contains(b.Rungs, rung) {
				b.Rungs = append(b.Rungs, rung)
			}
		}
	}
	for _, e := range t.Tried {
		trial := chart.Trial{Percent: e.Percent, Verdict: words.Visible(e.Verdict), Text: words.Visible(strings.ReplaceAll(e.Station, "_", " "))}
		switch {
		case e.Odd:
			trial.Text = "the odd one out"
		case !e.Counts:
			trial.Text = "says nothing"
		case e.Part != "":
			trial.Text = "on " + words.Visible(e.Part)
		case e.Noted > 0: // there is no room for the station as well
			trial.Text = "noted " + words.Percent(e.Noted)
		}
		b.Tried = append(b.Tried, trial)
	}
	alt := "By all that is known " + answer.BeginsToFit(t) + " at " + words.Percent(t.Smallest) + " ± " + words.Percent(t.SD) + ". Printed at " + words.Percent(t.Print) + " it fits, once it is on, " + words.Odds(t.Chance) + "." + lessIsWorn(t)
	return Picture{File: pictureName("ladder", 0), Alt: alt, image: chart.Ladder(b)}
}

// laterRungs are the bands that follow the next one, each once, with the answers to it
// that lead there.
func laterRungs(then []analysis.After) (out []chart.Rung) {
	var answers [][]string // parallel to out
	for _, a := range then {
		if a.Band <= 0 {
			continue
		}
		at := slices.IndexFunc(out, func(r chart.Rung) bool { return r.Percent == a.Band })
		if at < 0 {
			at, out, answers = len(out), append(out, chart.Rung{Percent: a.Band}), append(answers, nil)
		}
		how := "is " + words.Visible(a.Verdict)
		if a.Verdict == "fits" {
			how = "fits"
		}
		answers[at] = append(answers[at], how)
		out[at].Text = "then, if it " + words.Or(answers[at])
	}
	return out
}

// lessIsWorn says why a part is likely to fit at a scale at which it hardly begins to
// sit well for sure.
func lessIsWorn(t *analysis.Testing) string {
	if t.Passes || t.Complained() || t.Print > t.Smallest+2*t.SD {
		return ""
	}
	return " Less ease than was asked for counts as fitting too."
}
