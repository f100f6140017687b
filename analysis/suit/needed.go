package suit

import (
	"math"
	"slices"

	"gambeson/analysis"
)

// Needed returns what of a part's findings a summary of the suit needs: all but
// the stations at which no band was cut, and how pieces lie. It holds on to
// nothing else of f.
func Needed(f *analysis.Findings) *analysis.Findings {
	out := *f
	out.Cavities = nil
	for _, c := range f.Cavities {
		c.Centrelines = slices.Clone(c.Centrelines)
		for i := range c.Centrelines {
			c.Centrelines[i].Stations = atBands(c.Centrelines[i].Stations, f.Bands)
		}
		out.Cavities = append(out.Cavities, c)
	}
	if b := f.Bed; b != nil {
		bed := *b
		bed.Seams = nil
		bed.Pieces = slices.Clone(b.Pieces)
		for i := range bed.Pieces {
			bed.Pieces[i].Plane = nil
		}
		out.Bed = &bed
	}
	return &out
}

// atBands returns the stations nearest to where bands were cut, in their order.
func atBands(all []analysis.Station, bands []analysis.Band) []analysis.Station {
	var out []analysis.Station
	for i, s := range all {
		if slices.ContainsFunc(bands, func(b analysis.Band) bool { return nearestTo(all, b.Station) == i }) {
			out = append(out, s)
		}
	}
	return out
}

// nearestTo returns the first of the stations that are nearest to a place.
func nearestTo(all []analysis.Station, along float64) int {
	best := 0
	for i, s := range all {
		if math.Abs(s.Along-along) < math.Abs(all[best].Along-along) {
			best = i
		}
	}
	return best
}
