package answer

import (
	"slices"

	"gambeson/analysis"
	"gambeson/report/words"
)

// OddGuesses lists the measures that a try-on does not go with, and that are only
// estimated: nobody can correct them.
func OddGuesses(f *analysis.Findings) (out []string) {
	if f.Testing == nil || f.Fit == nil {
		return nil
	}
	for _, t := range f.Testing.Tried {
		guessed := slices.ContainsFunc(f.Fit.Sits, func(s analysis.Sit) bool { return s.Measure == t.Station && s.Source == "estimated" }) ||
			slices.ContainsFunc(f.Fit.Entries, func(e analysis.Entry) bool { return e.Measure == t.Station && e.Source == "estimated" })
		if t.Odd && guessed && !slices.Contains(out, t.Station) {
			out = append(out, t.Station)
		}
	}
	return out
}

// Contradiction names the last two try-ons of one place that cannot both be right, "" where
// there are none: what is larger was found tighter, or the same was found otherwise.
func Contradiction(f *analysis.Findings) string {
	if f.Testing == nil {
		return ""
	}
	room := map[string]int{"tight": -1, "loose": 1}
	tried := f.Testing.Tried
	for i := len(tried) - 1; i > 0; i-- {
		for k := i - 1; k >= 0; k-- {
			a, b := tried[k], tried[i]
			if !a.Counts || !b.Counts || a.Station != b.Station || a.Part != b.Part {
				continue
			}
			if more := room[b.Verdict] - room[a.Verdict]; more > 0 && (b.Percent < a.Percent || !words.Differs(a.Percent, b.Percent)) || more < 0 && (b.Percent > a.Percent || !words.Differs(a.Percent, b.Percent)) {
				return words.Code(a.Verdict) + " at " + words.Percent(a.Told()) + a.Over() + " and, after it, " + words.Code(b.Verdict) + " at " + words.Percent(b.Told()) + b.Over() + " at the " + words.BodyPlace(a.Station)
			}
		}
	}
	return ""
}

// SidesDisagree names a try-on of a part and one of the other side, at the same girth, of which
// what is no larger was found to have more room: true where there are such. Where the girth
// was measured to be another on that side, they need not agree.
func SidesDisagree(f *analysis.Findings) (own, other analysis.Tried, found bool) {
	if f.Testing == nil {
		return own, other, false
	}
	room := map[string]int{"tight": -1, "loose": 1}
	for _, own := range slices.Backward(ownTryons(f)) {
		for _, other := range slices.Backward(f.Testing.Tried) {
			if !other.Across || !other.Counts || other.Station != own.Station {
				continue
			}
			more, larger := room[own.Verdict]-room[other.Verdict], own.Percent-other.Percent
			if more > 0 && larger <= analysis.SameScale || more < 0 && larger >= -analysis.SameScale {
				return own, other, true
			}
		}
	}
	return own, other, false
}

// SidesWords says what to do where SidesDisagree names two try-ons, of a part and of the
// other side, as they are to be called.
func SidesWords(own, other analysis.Tried, part, side string) string {
	found := func(e analysis.Tried) string { return words.Code(e.Verdict) + " at " + words.Percent(e.Told()) }
	return "At the " + words.BodyPlace(own.Station) + " " + part + " was found " + found(own) + ", and " + side + " " + found(other) + ". On a body with both sides alike only one of these can be right: put both on again, over the same padding. If it stays so, measure each side: " + words.Code(own.Station+".left") + " and " + words.Code(own.Station+".right") + " in `wearer.toml`."
}

// Over says what a band is tried on over: what only has to pass it presses the padding.
func Over(passes bool) string {
	if passes {
		return " as on the way in, with the padding pressed: `tight` is what does not pass"
	}
	return ""
}

// Station names the place of a band for the logbook: the measure that it
// answers for, else the distance in mm. (With several ways a distance does not
// tell the place, and where a measure both passes and rests the measure does
// not.)
func Station(f *analysis.Findings, band analysis.Band) string {
	if f.Fit == nil {
		return words.Decimal(band.Station, 0)
	}
	rests := slices.ContainsFunc(f.Fit.Sits, func(s analysis.Sit) bool { return s.Measure == band.Measure })
	if band.Measure != "" && !(band.Passes && rests) {
		return band.Measure
	}
	return words.Decimal(band.Station, 0)
}

// CheckCommand is what looks into a part at a path anew, to be pasted; without the path
// where that cannot be typed.
func CheckCommand(path string) string {
	if word, ok := words.ShellWord(path); ok {
		return "gambeson check " + word
	}
	return "gambeson check"
}

// BeginsToFit names what is doubtful of a scale.
func BeginsToFit(t *analysis.Testing) string {
	switch {
	case t.Measure == "":
		return "the part begins to fit"
	case t.Passes:
		return "the " + words.BodyPlace(t.Measure) + " begins to get in"
	}
	return "the " + words.BodyPlace(t.Measure) + " begins to sit well"
}
