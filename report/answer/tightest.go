package answer

import (
	"gambeson/analysis"
)

// Tightest is the place that a report means by the tightest one in its answer: a measure
// where the part is judged on a body, else so many mm along the way in. ok is false where
// there is none.
func Tightest(f *analysis.Findings) (measure string, along float64, ok bool) {
	if f.Fit != nil {
		if n, only := onlyNarrow(f); only && f.Fit.Verdict == "tight" {
			return "", n.Along, true
		}
		if f.Fit.Verdict == "blocked" {
			for _, e := range f.Fit.Entries {
				if !e.Passes {
					return e.Measure, 0, true
				}
			}
		}
		if s, ok := tightest(f); ok {
			return s.Measure, 0, true
		}
	}
	s, ok := f.Tightest()
	return "", s.Along, ok
}

// KeyOf is the key under which a measure is to be written: with the side where
// the other one is given so.
func KeyOf(f *analysis.Findings, w analysis.Wearer, measure string) string {
	given := func(side string) bool { _, ok := w.Measures[measure+"."+side]; return ok }
	if side := f.Region.Side; side != "" && (given("left") || given("right")) {
		return measure + "." + side
	}
	return measure
}

// Worth lists the few measures that would settle most.
func Worth(f *analysis.Findings) []analysis.Help {
	if f.Fit == nil {
		return nil
	}
	var out []analysis.Help
	for _, h := range f.Fit.Helps {
		if len(out) < mostHelps && analysis.NineInTen*(f.Fit.Doubt()-h.SD) >= leastTold {
			out = append(out, h)
		}
	}
	return out
}

// mostHelps is how many measures are worth naming, and leastTold by how much, in
// percent of the scale, one must narrow what fits: half of the step in which a
// scale is set.
const (
	mostHelps = 3
	leastTold = 0.25
)
