package answer

import (
	"slices"

	"gambeson/analysis"
	"gambeson/report/words"
)

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
	if f.Fit.WornOpened() {
		return f.Fit.Rests
	}
	return f.Fit.Smallest
}

// LedTo reports whether a way begins or ends at an opening.
func LedTo(opening string, ways []analysis.Centreline) bool {
	return slices.ContainsFunc(ways, func(w analysis.Centreline) bool { return w.From == opening || w.To == opening })
}
