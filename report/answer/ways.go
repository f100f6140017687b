package answer

import (
	"slices"

	"gambeson/analysis"
)

// Ways lists the centrelines of all cavities.
func Ways(f *analysis.Findings) []analysis.Centreline {
	var out []analysis.Centreline
	for _, c := range f.Cavities {
		out = append(out, c.Centrelines...)
	}
	return out
}

// IsOpen reports whether the part does not go all the way round at a station.
// (A cover that was not looked for is 0.)
func IsOpen(s analysis.Station) bool { return s.Gap > 0 || s.Cover > 0 && s.Cover < 360 }

// LedTo reports whether a way begins or ends at an opening.
func LedTo(opening string, ways []analysis.Centreline) bool {
	return slices.ContainsFunc(ways, func(w analysis.Centreline) bool { return w.From == opening || w.To == opening })
}

// Strapped reports whether only straps hold a part on the body along a way: it is
// open all along, and no girth of the body was compared with it. How much room it
// has then depends on how it is strapped.
func Strapped(f *analysis.Findings, w analysis.Centreline) bool {
	if f.Fit != nil && len(f.Fit.Sits)+len(f.Fit.Entries) > 0 {
		return false
	}
	return len(w.Stations) > 0 && !slices.ContainsFunc(w.Stations, func(s analysis.Station) bool { return !IsOpen(s) }) &&
		slices.ContainsFunc(w.Stations, func(s analysis.Station) bool { return s.Capacity == 0 })
}
