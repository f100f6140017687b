package step

import (
	"gambeson/analysis"
	"gambeson/report/words"
)

// OpenRing says that a test band has to be cut open before it is tried on: a
// closed ring that the body does not pass is never forced over it. "" where it
// need not.
func OpenRing(f *analysis.Findings, brief analysis.Brief, band analysis.Band) string {
	switch {
	case band.Arcs > 1 || openBand(f, band):
		return ""
	case brief.Halves && !f.Says("halves-uncut"):
		return "Cut it through at both sides first, as the part itself will be. As a closed ring it does not go on."
	case brief.Strapped || f.PartsAlong() && !brief.Glued:
		return "Cut it open first where the part itself will be. As a closed ring it does not go on."
	}
	if f.Fit == nil {
		return ""
	}
	for _, e := range f.Fit.Entries {
		if e.Percent == 0 || e.Percent > band.Percent*(1+1e-4) {
			if in := f.Fit.GetsIn(); in == 0 || in > band.Percent*(1+1e-4) {
				return "Cut it open at one side before you try it on. At this scale the " + words.BodyPlace(e.Measure) + " does not pass it closed, and it must never be forced."
			}
		}
	}
	return ""
}

// openBand reports whether a band is cut where the part does not go all the way
// round.
func openBand(f *analysis.Findings, band analysis.Band) bool {
	for _, w := range f.Ways() {
		for _, s := range w.Stations {
			if s.Along == band.Station && (band.From == "" || w.From == band.From && w.To == band.To) {
				return s.Open()
			}
		}
	}
	return false
}
