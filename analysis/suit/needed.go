package suit

import (
	"math"
	"slices"

	"gambeson/analysis"
)

// Needed returns what of a part's findings a summary of the suit needs: all but
// the stations at which no band was cut, but the tightest and the widest of each
// way, of which the girths alone stay, and how pieces lie. It holds on to nothing else of f.
func Needed(f *analysis.Findings) *analysis.Findings {
	out := *f
	out.Cavities = nil
	for _, c := range f.Cavities {
		c.Centrelines = slices.Clone(c.Centrelines)
		for i := range c.Centrelines {
			c.Centrelines[i].Course = c.Centrelines[i].Girths() // before stations are left out
			c.Centrelines[i].Stations = telling(c.Centrelines[i], f.Bands)
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

// telling returns the stations of a way that are nearest to where bands were cut,
// and its tightest and widest, in their order.
func telling(way analysis.Centreline, bands []analysis.Band) []analysis.Station {
	tightest, widest := way.Ends()
	var out []analysis.Station
	for i, s := range way.Stations {
		if i == tightest || i == widest || slices.ContainsFunc(bands, func(b analysis.Band) bool { return nearestTo(way.Stations, b.Station) == i }) {
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
