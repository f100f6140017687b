package answer

import (
	"gambeson/analysis"
	"gambeson/report/words"
)

// IsPlate reports whether a part goes only part of the way round, so that a tape laid
// from rim to rim has to tell its scale.
func IsPlate(f *analysis.Findings) bool {
	_, ok := f.Widest()
	return ok && f.Says("not-held") && !f.OnlyCovers()
}

// PlateSet reports whether the scale of a plate was set, as its report asks.
func PlateSet(f *analysis.Findings) bool {
	return IsPlate(f) && (f.PercentSet || words.Differs(f.Percent, 100))
}
