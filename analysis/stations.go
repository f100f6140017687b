package analysis

import "math"

// Tightest returns the station of least inner girth among those the part
// closes round, over all ways; ok is false where there is none.
func (f *Findings) Tightest() (s Station, ok bool) {
	return f.extreme(func(a, b float64) bool { return a < b })
}

// Widest returns the station of greatest inner girth, likewise.
func (f *Findings) Widest() (s Station, ok bool) {
	return f.extreme(func(a, b float64) bool { return a > b })
}

func (f *Findings) extreme(better func(a, b float64) bool) (best Station, ok bool) {
	for _, c := range f.Cavities {
		for _, line := range c.Centrelines {
			for _, s := range line.Stations {
				if s.Gap == 0 && (!ok || better(s.InnerGirth, best.InnerGirth)) {
					best, ok = s, true
				}
			}
		}
	}
	return best, ok
}

// RoomAt returns the girth in mm that has room where a measure rests or passes,
// or, where measure is "", along mm down the first way; 0 where that is not
// known. It is the capacity where that was found, else the inner girth.
func (f *Findings) RoomAt(measure string, along float64) float64 {
	if measure != "" {
		return f.roomFor(measure)
	}
	for _, c := range f.Cavities {
		for _, line := range c.Centrelines {
			best, least := 0.0, math.Inf(1)
			for _, s := range line.Stations {
				if d := math.Abs(s.Along - along); d < least {
					best, least = s.room(), d
				}
			}
			return best
		}
	}
	return 0
}

func (f *Findings) roomFor(measure string) float64 {
	if f.Fit == nil {
		return 0
	}
	for _, s := range f.Fit.Sits {
		if s.Measure == measure {
			return s.Capacity
		}
	}
	for _, e := range f.Fit.Entries {
		if e.Measure == measure {
			return e.Throat
		}
	}
	return 0
}

func (s Station) room() float64 {
	if s.Capacity > 0 {
		return s.Capacity
	}
	return s.InnerGirth
}
