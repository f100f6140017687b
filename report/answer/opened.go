package answer

import (
	"math"
	"slices"

	"gambeson/analysis"
	"gambeson/report/words"
)

// GetsIn is the least scale at which everything passes by one opening; 0 where
// none helps or nothing has to pass.
func GetsIn(f *analysis.Findings) float64 {
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

// Opened says that the part is worn at a scale at which it must be opened to
// get in.
func Opened(f *analysis.Findings) bool {
	in := GetsIn(f)
	return f.Fit.Recommended > 0 && (f.Fit.Recommended < in || in == 0 && len(f.Fit.Entries) > 0)
}

// Halved is what gets in only where the part is parted in halves, if anything.
func Halved(f *analysis.Findings) (analysis.Entry, bool) {
	for _, e := range f.Fit.Entries {
		if !e.Passes && e.Panel == nil && e.Halves && Opened(f) {
			return e, true
		}
	}
	return analysis.Entry{}, false
}

// PartsAlong reports whether a part is one of pieces that part along their length.
func PartsAlong(f *analysis.Findings) bool { return f.Assembly != nil && f.Assembly.Along }

// Hindered reports whether a part is warned of for more than that it is printed in pieces
// or has a panel taken off, as its report has them.
func Hindered(f *analysis.Findings) bool {
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

// DownTo says how far a panel reaches from the rim of its opening.
func DownTo(f *analysis.Findings, e analysis.Entry) string {
	if f.WholeLength(e) {
		return "over its whole length"
	}
	return "down to " + words.Along(e.Panel.To)
}

// Needed is the least scale at which the body gets in and fits; 0 where it is
// not known.
func Needed(f *analysis.Findings) float64 {
	if f.Fit == nil {
		return 0
	}
	if Opened(f) {
		return f.Fit.Rests
	}
	return f.Fit.Smallest
}
