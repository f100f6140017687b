package answer

import (
	"gambeson/analysis"
	"gambeson/report/words"
)

// PlateSet reports whether the scale of a plate was set, as its report asks.
func PlateSet(f *analysis.Findings) bool {
	return f.IsPlate() && (f.PercentSet || words.Differs(f.Percent, 100))
}
