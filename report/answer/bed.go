package answer

import (
	"gambeson/analysis"
	"gambeson/report/words"
)

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
	return "**no**, up to " + words.AtMost(bed.UpTo())
}

// BedAnswer is the verdict on the printer in one sentence or two; "" where there is none, or
// no verdict counts yet.
func BedAnswer(f *analysis.Findings) string {
	bed := f.Bed
	switch {
	case bed == nil || f.Unknown():
		return ""
	case bed.Fits:
		return "It fits the bed, " + words.Placement(bed.Placement) + "."
	case bed.Second != nil && bed.Second.Fits:
		return "It does not fit the first printer: " + OverOr(bed, "too large") + ". It fits the second, " + words.Placement(bed.Second.Placement) + "."
	}
	text := "**It does not fit the bed: " + OverOr(bed, "too large") + ".**"
	if l := bed.UpTo(); l > 0 {
		text += " It fits up to " + words.AtMost(l) + ", and this report is for " + words.Percent(f.Percent) + "."
	}
	if bed.Offer != nil {
		text += " " + words.Capital(words.Placement(*bed.Offer)) + " it would fit, on supports."
	}
	return text
}

// BedStep says how to come to a part that fits, where it was not parted.
func BedStep(f *analysis.Findings) string {
	bed := f.Bed
	if bed == nil || bed.Fits || bed.Second != nil && bed.Second.Fits || len(bed.Pieces) > 0 {
		return ""
	}
	ways := []string{"part it in two", "use a larger printer"}
	if bed.Offer != nil {
		ways = append([]string{"print it " + words.Placement(*bed.Offer) + " on supports"}, ways...)
	}
	if l := bed.UpTo(); l > 0 && wearable(f, l) {
		ways = append([]string{"print it at " + words.AtMost(l) + " at most"}, ways...)
	}
	return "Make it fit the bed: " + words.Or(ways) + "."
}

// wearable reports whether nothing that is known of the body stands against a
// smaller scale.
func wearable(f *analysis.Findings, scale float64) bool {
	if f.Fit == nil {
		return true
	}
	return f.Fit.Verdict != "tight" && f.Fit.Verdict != "blocked" && scale >= f.Fit.Smallest
}

// OverOr says by how much a part is over the build volume, and lying how.
func OverOr(bed *analysis.Bed, otherwise string) string {
	var out []string
	for k, side := range [3]string{"wide (x)", "deep (y)", "high (z)"} {
		if bed.Over[k] > 0 {
			out = append(out, words.Girth(bed.Over[k])+" too "+side)
		}
	}
	if len(out) == 0 {
		return otherwise
	}
	return words.Placement(bed.Placement) + " it is " + words.And(out)
}
