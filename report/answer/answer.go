// Package answer says in short what the findings of one part come to: the verdict, what
// is wrong, and what else follows from them that its own report and that of the suit
// have to say alike.
package answer

import (
	"fmt"
	"slices"

	"gambeson/analysis"
	"gambeson/report/words"
)

// Of is the verdict on the body in one sentence with the number that
// matters, and that the two sides do not agree, where they do not; or why there is
// none yet.
func Of(f *analysis.Findings) string {
	if f.Unknown() {
		return doubt(f)
	}
	text := verdictOf(f)
	if own, other, found := SidesDisagree(f); found && !f.Unsettled() {
		text += " **The two sides disagree.** " + SidesWords(own, other, "this part", words.Code(other.Part))
	}
	return text
}

func verdictOf(f *analysis.Findings) string {
	at := " at " + words.Percent(f.Percent)
	if tight, has := f.Tightest(); f.OnlyCovers() && !(has && tight.Open()) {
		return "**No way through for a body was found**, so there are no girths to compare: the part covers, but does not go round."
	}
	if f.LaidOn() {
		return "**Open at the side, so no girth decides whether it fits:** it is laid on, and straps hold it. Its width from rim to rim decides."
	}
	verdict := ""
	if f.Fit != nil {
		verdict = f.Fit.Verdict
	}
	if scale, ok := f.Surpassed(); ok && f.Unsettled() {
		return fmt.Sprintf("**Not settled%s:** what was tried on is in doubt. By all that is known it fits with a chance of %s,%s of %s.",
			at, words.Odds(f.Testing.ChanceAt(f.Percent)), " at "+words.Percent(scale), words.Odds(f.Testing.Chance))
	} else if ok {
		return fmt.Sprintf("**Better at %[1]s than%[2]s, %[3]s.** At %[1]s it fits with a chance of %[4]s,%[2]s of %[5]s.",
			words.Percent(scale), at, AsTried(f), words.Odds(f.Testing.Chance), words.Odds(f.Testing.ChanceAt(f.Percent)))
	}
	if (verdict == "tight" || verdict == "loose") && f.Felt() {
		return fmt.Sprintf("**Likely fits%s, %s:** with a chance of %s, though by the measures alone it would be too %s.",
			at, AsTried(f), words.Odds(f.Testing.ChanceAt(f.Percent)), verdict)
	}
	switch verdict {
	case "blocked":
		for _, e := range f.Fit.Entries {
			if !e.Passes {
				return fmt.Sprintf("**The body does not get in%s:** the %s needs %s and the narrowest place on its way has %s.",
					at, bodyPart(e.Measure, e.Source), words.Girth(e.Needed), words.Girth(e.Throat))
			}
		}
		return "**The body does not get in" + at + ".**"
	case "tight":
		if n, only := onlyNarrow(f); only && !n.Bare() {
			return fmt.Sprintf("**Too tight%s:** %s in, the part has %s, and with padding and ease the body there needs about %s.", at, words.Along(n.Along), words.Girth(n.Room), words.Girth(n.Needed))
		} else if only {
			return fmt.Sprintf("**Too tight%s:** %s in, the part has %s, and the bare body there is about %s.", at, words.Along(n.Along), words.Girth(n.Room), words.Girth(n.Body))
		}
		if s, ok := tightest(f); ok {
			return fmt.Sprintf("**Too tight%s:** the %s needs %s inside and the part has %s.", at, bodyPart(s.Measure, s.Source), words.Girth(s.Needed), words.Girth(s.Capacity))
		}
		return "**Too tight" + at + ".**"
	case "loose":
		if s, ok := f.Fit.LeadSit(); ok && f.TooRoomy() {
			return fmt.Sprintf("**Too loose%s:** the %s has %s of girth more than padding and ease take, about %s on each side.", at, bodyPart(s.Measure, s.Source), words.Girth(s.Capacity-s.Needed), words.Girth(s.Extra))
		} else if ok {
			return fmt.Sprintf("**Too loose%s:** the %s has %s of ease.", at, bodyPart(s.Measure, s.Source), words.Girth(s.Ease))
		}
		return "**Too loose" + at + ".**"
	case "fits":
		if f.Says("assembly-scale") {
			return fmt.Sprintf("**Would fit%s, if all pieces of its shell had that scale:** so far `suit.toml` gives them different ones, at which they do not meet.", at)
		}
		if s, ok := tightest(f); ok {
			return fmt.Sprintf("**Fits%s:** the tightest measure, the %s, has %s.", at, bodyPart(s.Measure, s.Source), words.Spare(s.Capacity-s.Needed))
		}
		return "**Fits" + at + ".**"
	}
	return girthAnswer(f, at)
}

// girthAnswer says how wide the part is inside where nothing more is known.
func girthAnswer(f *analysis.Findings, at string) string {
	tight, ok := f.Tightest()
	wide, _ := f.Widest()
	if !ok {
		return "**The part does not close round the body anywhere,** so there is no girth to compare."
	}
	where := words.Along(tight.Along)
	for _, w := range f.Ways() {
		if i, _ := w.Ends(); i >= 0 && w.Stations[i].Along == tight.Along && w.Stations[i].Center == tight.Center {
			where += " from " + words.Prose(words.StartOf(w))
			break
		}
	}
	if tight.Open() {
		return fmt.Sprintf("**Open at the side, so no girth decides whether it fits:** straps hold it. Round the body it has %s to %s of wall%s. Where that is shortest, %s, the rims are %s apart.",
			words.Girth(tight.InnerGirth), words.Girth(wide.InnerGirth), at, where, words.Girth(tight.Gap))
	}
	return fmt.Sprintf("**Inside%s the girth is %s at the tightest place, %s,** and %s at the widest.",
		at, words.Girth(tight.InnerGirth), where, words.Girth(wide.InnerGirth))
}

// tightest returns the sit that has the least of what it needs, but for holes that are
// only cut wider.
func tightest(f *analysis.Findings) (best analysis.Sit, ok bool) {
	for _, s := range f.Fit.Sits {
		if !s.Hole && (!ok || s.Capacity*best.Needed < best.Capacity*s.Needed) {
			best, ok = s, true
		}
	}
	return best, ok
}

// AsTried says whose try-ons show something of a part.
func AsTried(f *analysis.Findings) string {
	own := slices.DeleteFunc(slices.Clone(f.Testing.Tried), func(t analysis.Tried) bool { return t.Part != "" || !t.Counts })
	switch {
	case slices.ContainsFunc(own, func(t analysis.Tried) bool {
		return analysis.Against(f.Testing.Print, t.Percent, t.Verdict) || t.Verdict == "fits" && !words.Differs(t.Percent, f.Percent) && f.Advised() > 0
	}):
		return "by all that is known, though it goes against what was tried on"
	case len(own) > 0:
		return "as the try-ons show"
	}
	return "as the try-ons of other parts show"
}

// onlyNarrow is where the part is too narrow between its measures, where each of them has
// its room; false where it is not, or one has not.
func onlyNarrow(f *analysis.Findings) (n analysis.Narrow, only bool) {
	if f.Fit == nil || f.Fit.Narrow == nil {
		return n, false
	}
	s, ok := tightest(f)
	return *f.Fit.Narrow, !ok || s.Capacity >= s.Needed
}

// bodyPart is a measure in a sentence; one that is estimated says so.
func bodyPart(measure, source string) string {
	if source == "estimated" {
		return words.BodyPlace(measure) + " (*estimated*)"
	}
	return words.BodyPlace(measure)
}

// Besides lists in short what else asks the person to act than the verdict has
// said; the chapters say the same at length. Where nothing holds before
// something is settled, all is said at once.
func Besides(f *analysis.Findings) []string {
	said := map[string]bool{"bed-overflow": f.Bed != nil}
	if f.Fit != nil {
		said[map[string]string{"blocked": "does-not-enter", "tight": "too-tight", "loose": "too-loose"}[f.Fit.Verdict]] = true
	}
	if f.Unknown() {
		for _, code := range ofSize {
			said[code] = true
		}
	}
	var out []string
	for _, w := range f.Warnings {
		if w.Level != analysis.LevelWarning {
			continue
		}
		text := words.Capital(inShort(w, f)) + "."
		if ChapterOf(w.Code) == "" {
			text = words.Prose(w.Text)
		}
		if !said[w.Code] {
			out = append(out, "**Warning:** "+text)
		}
		said[w.Code] = said[w.Code] || w.Code == "does-not-enter" || w.Code == "bed-overflow" // what is said in short of the first
	}
	return out
}

// ChapterOf is the chapter in which a warning is said at length, "" where it is
// said at once on top.
func ChapterOf(code string) string {
	switch code {
	case "does-not-enter":
		return "entering"
	case "too-tight", "too-loose", "too-short", "too-long", "hole-tight":
		return "wearing"
	case "bed-overflow", "thin-wall":
		return "printer"
	case "try-ons-odd", "try-ons-disagree":
		return "scale"
	case "mesh-open", "solid-block":
		return "mesh"
	}
	return ""
}

// Warnings lists what asks the person to act.
func Warnings(f *analysis.Findings) []string {
	var out []string
	for _, w := range f.Warnings {
		if w.Level == analysis.LevelWarning {
			out = append(out, "**Warning:** "+words.Prose(w.Text))
		}
	}
	return out
}
