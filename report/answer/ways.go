package answer

import "gambeson/analysis"

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
