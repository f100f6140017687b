package answer

import (
	"gambeson/analysis"
	"gambeson/report/words"
)

// LargestOnBed is the largest scale that needs no supports.
func LargestOnBed(b *analysis.Bed) float64 {
	return max(b.Largest.AsIs, b.Largest.Turned, b.Largest.Laid)
}

// OnBed says in a table whether the part fits the bed.
func OnBed(f *analysis.Findings) string {
	bed := f.Bed
	switch {
	case bed == nil:
		return ""
	case bed.Fits:
		return "yes, " + words.Placement(bed.Placement)
	case bed.Second != nil && bed.Second.Fits:
		return "second printer, " + words.Placement(bed.Second.Placement)
	}
	return "**no**, up to " + words.AtMost(LargestOnBed(bed))
}
