package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"gambeson/analysis"
	"gambeson/report/words"
)

// ways lists the centrelines of all cavities.
func ways(f *analysis.Findings) []analysis.Centreline {
	var out []analysis.Centreline
	for _, c := range f.Cavities {
		out = append(out, c.Centrelines...)
	}
	return out
}

// open reports whether the part does not go all the way round at a station.
// (A cover that was not looked for is 0.)
func open(s analysis.Station) bool { return s.Gap > 0 || s.Cover > 0 && s.Cover < 360 }

// lead is the sit that the part hangs on.
func lead(f *analysis.Findings) (analysis.Sit, bool) {
	for _, s := range f.Fit.Sits {
		if s.Measure == f.Fit.Lead {
			return s, true
		}
	}
	return analysis.Sit{}, false
}

// getsIn is the least scale at which everything passes by one opening; 0 where
// none helps or nothing has to pass.
func getsIn(f *analysis.Findings) float64 {
	needs := map[string]float64{}
	for _, e := range f.Fit.Entries {
		at := e.Percent
		if at == 0 {
			at = math.Inf(1)
		}
		needs[e.Opening] = max(needs[e.Opening], at)
	}
	best := math.Inf(1)
	for _, at := range needs {
		best = min(best, at)
	}
	if math.IsInf(best, 1) {
		return 0
	}
	return best
}

// opened says that the part is worn at a scale at which it must be opened to
// get in.
func opened(f *analysis.Findings) bool {
	in := getsIn(f)
	return f.Fit.Recommended > 0 && (f.Fit.Recommended < in || in == 0 && len(f.Fit.Entries) > 0)
}

// largest is the largest scale that needs no supports.
func largest(b *analysis.Bed) float64 {
	return max(b.Largest.AsIs, b.Largest.Turned, b.Largest.Laid)
}

// placementWords says how the part lies on the bed.
func placementWords(p analysis.Placement) string { return words.Prose(p.Words()) }

// bedWords says in a table whether the part fits the bed.
func bedWords(f *analysis.Findings) string {
	bed := f.Bed
	switch {
	case bed == nil:
		return ""
	case bed.Fits:
		return "yes, " + placementWords(bed.Placement)
	case bed.Second != nil && bed.Second.Fits:
		return "second printer, " + placementWords(bed.Second.Placement)
	}
	return "**no**, up to " + words.AtMost(largest(bed))
}

// volumeWords says what a printer prints on.
func volumeWords(p analysis.Printer) string {
	text := words.Decimal(p.Bed[0], 1) + " × " + words.Girth(p.Bed[1])
	if p.Diameter > 0 {
		text = "round, " + words.Girth(p.Diameter) + " across"
	}
	text += ", " + words.Girth(p.Height) + " high, " + words.Girth(p.Margin) + " kept free at the edge"
	if n := len(p.Strips); n > 0 {
		text += " and round " + words.Things(n, "strip") + " that cannot be printed on"
	}
	return text
}

// halved is what gets in only where the part is parted in halves, if anything.
func halved(f *analysis.Findings) (analysis.Entry, bool) {
	for _, e := range f.Fit.Entries {
		if !e.Passes && e.Panel == nil && e.Halves && opened(f) {
			return e, true
		}
	}
	return analysis.Entry{}, false
}

// partsAlong reports whether a part is one of pieces that part along their length.
func partsAlong(f *analysis.Findings) bool { return f.Assembly != nil && f.Assembly.Along }

// isPlate reports whether a part goes only part of the way round, so that a tape laid
// from rim to rim has to tell its scale.
func isPlate(f *analysis.Findings) bool {
	_, ok := f.Widest()
	return ok && f.Says("not-held") && !f.OnlyCovers()
}

// plateSet reports whether the scale of such a part was set, as its report asks.
func plateSet(f *analysis.Findings) bool {
	return isPlate(f) && (f.PercentSet || words.Differs(f.Percent, 100))
}

// oddGuesses lists the measures that a try-on does not go with, and that are only
// estimated: nobody can correct them.
func oddGuesses(f *analysis.Findings) (out []string) {
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

// contradiction names the last two try-ons of one place that cannot both be right, "" where
// there are none: what is larger was found tighter, or the same was found otherwise.
func contradiction(f *analysis.Findings) string {
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
				return words.Code(a.Verdict) + " at " + words.Percent(a.Percent) + " and, after it, " + words.Code(b.Verdict) + " at " + words.Percent(b.Percent) + " at the " + words.BodyPlace(a.Station)
			}
		}
	}
	return ""
}

// hindered reports whether a part is warned of for more than that it is printed in pieces
// or has a panel taken off, as its report has them.
func hindered(f *analysis.Findings) bool {
	return slices.ContainsFunc(f.Warnings, func(w analysis.Warning) bool {
		switch {
		case w.Level != analysis.LevelWarning:
			return false
		case w.Code == "bed-overflow":
			return f.Bed == nil || len(f.Bed.Pieces) == 0
		case w.Code == "does-not-enter":
			return !f.Fit.Opened() || !slices.ContainsFunc(f.Fit.Entries, func(e analysis.Entry) bool { return !e.Passes && e.Panel != nil })
		}
		return true
	})
}

// over says what a band is tried on over: what only has to pass it presses the padding.
func over(passes bool) string {
	if passes {
		return " as on the way in, with the padding pressed: `tight` is what does not pass"
	}
	return ""
}

// station names the place of a band for the logbook: the measure that it
// answers for, else the distance in mm. (With several ways a distance does not
// tell the place, and where a measure both passes and rests the measure does
// not.)
func station(f *analysis.Findings, band analysis.Band) string {
	if f.Fit == nil {
		return words.Decimal(band.Station, 0)
	}
	rests := slices.ContainsFunc(f.Fit.Sits, func(s analysis.Sit) bool { return s.Measure == band.Measure })
	if band.Measure != "" && !(band.Passes && rests) {
		return band.Measure
	}
	return words.Decimal(band.Station, 0)
}

// threeScales names the scales along the axes of a file.
func threeScales(axes [3]float64) string {
	return fmt.Sprintf("x %s, y %s, z %s", words.Percent(axes[0]), words.Percent(axes[1]), words.Percent(axes[2]))
}

// triedCommand is what notes that a part or a band of it fits at a station and a scale;
// false where the part's name cannot be typed.
func triedCommand(part, station string, scale float64) (string, bool) {
	name, ok := shellWord(part)
	return words.Code("gambeson tried " + name + " --station " + station + " --percent " + strings.TrimSuffix(words.Decimal(scale, 1), ".0") + " --verdict fits"), ok
}

// shellWord quotes a name for a command line; false where it holds what
// cannot be typed.
func shellWord(name string) (string, bool) {
	if words.Visible(name) != name {
		return "", false
	}
	if strings.IndexFunc(name, func(r rune) bool {
		return !(unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("./_-", r))
	}) < 0 && !strings.HasPrefix(name, "-") {
		return name, true
	}
	return "'" + strings.ReplaceAll(name, "'", `'\''`) + "'", true
}

// odds says a chance in a hundred, and never that it is certain.
func odds(chance float64) string {
	switch {
	case chance < 0.005:
		return "less than 1 in 100"
	case chance > 0.995:
		return "more than 99 in 100"
	}
	return words.Decimal(100*chance, 0) + " in 100"
}
