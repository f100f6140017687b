package analysis

import "math"

// GetsIn is the least scale at which everything passes by one opening; 0 where
// none helps or nothing has to pass.
func (f *Fit) GetsIn() float64 {
	needs := map[string]float64{}
	for _, e := range f.Entries {
		at := e.Percent
		if at == 0 {
			at = math.Inf(1)
		}
		needs[e.Opening] = max(needs[e.Opening], at)
	}
	best := math.Inf(1)
	for _, at := range needs {
		best = min(best, at)
	}
	if math.IsInf(best, 1) {
		return 0
	}
	return best
}

// WornOpened says that the part is worn, at the scale that is recommended, where it must
// be opened to get in.
func (f *Fit) WornOpened() bool {
	in := f.GetsIn()
	return f.Recommended > 0 && (f.Recommended < in || in == 0 && len(f.Entries) > 0)
}

// Halved is what gets in only where the part is parted in halves, if anything.
func (f *Fit) Halved() (Entry, bool) {
	for _, e := range f.Entries {
		if !e.Passes && e.Panel == nil && e.Halves && f.WornOpened() {
			return e, true
		}
	}
	if f.Roomiest > 0 && f.WornOpened() { // closed it passes as it is set, if so, where that is too large
		for _, e := range f.Entries {
			if e.Passes && e.Percent > f.Recommended {
				return e, true
			}
		}
	}
	return Entry{}, false
}
