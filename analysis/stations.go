package analysis

import (
	"math"
	"slices"
)

// Ends returns the indexes of the tightest and the widest station of a way,
// -1 where it has none. Where the part closes round the body somewhere, only
// the closed stations count. Towards a closed end every part narrows: a station
// that lies nearer to the end of a way to "end" than its own radius is in the
// cap, and not the tightest.
func (c Centreline) Ends() (tightest, widest int) {
	closed := slices.ContainsFunc(c.Stations, func(s Station) bool { return s.Gap == 0 })
	tightest, widest = -1, -1
	for i, s := range c.Stations {
		if closed && s.Gap > 0 {
			continue
		}
		capped := c.To == "end" && s.Gap == 0 && c.Length-s.Along < s.InnerGirth/(2*math.Pi)
		if !capped && (tightest < 0 || s.InnerGirth < c.Stations[tightest].InnerGirth) {
			tightest = i
		}
		if widest < 0 || s.InnerGirth > c.Stations[widest].InnerGirth {
			widest = i
		}
	}
	return tightest, widest
}

// Tightest returns the tightest station of all ways; ok is false where there
// is none.
func (f *Findings) Tightest() (s Station, ok bool) {
	for _, line := range f.Ways() {
		if at, _ := line.Ends(); at >= 0 && (!ok || tighter(line.Stations[at], s)) {
			s, ok = line.Stations[at], true
		}
	}
	return s, ok
}

// tighter says whether a counts as tighter than b: what is closed before what
// is open, then by inner girth.
func tighter(a, b Station) bool {
	if (a.Gap == 0) != (b.Gap == 0) {
		return a.Gap == 0
	}
	return a.InnerGirth < b.InnerGirth
}

// Widest returns the widest station of all ways; ok is false where there is
// none.
func (f *Findings) Widest() (s Station, ok bool) {
	for _, line := range f.Ways() {
		if _, at := line.Ends(); at >= 0 && (!ok || line.Stations[at].InnerGirth > s.InnerGirth) {
			s, ok = line.Stations[at], true
		}
	}
	return s, ok
}

// Ways lists the centrelines of all cavities.
func (f *Findings) Ways() []Centreline {
	var all []Centreline
	for _, c := range f.Cavities {
		all = append(all, c.Centrelines...)
	}
	return all
}

// Strapped reports whether only straps hold a part on the body along a way: it is
// open all along, and no girth of the body was compared with it. How much room it
// has then depends on how it is strapped.
func (f *Findings) Strapped(w Centreline) bool {
	if f.Fit != nil && len(f.Fit.Sits)+len(f.Fit.Entries) > 0 {
		return false
	}
	return len(w.Stations) > 0 && !slices.ContainsFunc(w.Stations, func(s Station) bool { return !s.Open() }) &&
		slices.ContainsFunc(w.Stations, func(s Station) bool { return s.Capacity == 0 })
}

// OpenAlong returns how wide the part is open at the least along the whole of a way
// through it, mm: it may be put on through that, bent open. It is 0 where the part closes
// somewhere on each way.
func (f *Findings) OpenAlong() (gap float64) {
	for _, c := range f.Cavities {
		for _, w := range c.Centrelines {
			least := math.Inf(1)
			for _, s := range w.Stations {
				least = min(least, s.Gap)
			}
			if len(w.Stations) > 1 {
				gap = max(gap, least)
			}
		}
	}
	return gap
}

// IsPlate reports whether a part goes only part of the way round, so that a tape laid
// from rim to rim has to tell its scale.
func (f *Findings) IsPlate() bool {
	_, ok := f.Widest()
	return ok && f.Says("not-held") && !f.OnlyCovers()
}

// LaidOn reports whether a plate bulges, as half a dome for the knee or a breast plate, so
// that a way comes in by its side: the girths along that are not those round the body.
func (f *Findings) LaidOn() bool {
	return f.IsPlate() && !slices.ContainsFunc(f.Ways(), func(w Centreline) bool { return !w.Aside })
}

// Open reports whether the part does not go all the way round at a station.
// (A cover that was not looked for is 0.)
func (s Station) Open() bool { return s.Gap > 0 || s.Cover > 0 && s.Cover < 360 }

// RoomAt returns the girth in mm that has room at Percent where a measure rests
// or passes (in the test band for it, where there is one) or, where measure is
// "", along mm down the first way; 0 where that is not known. It is the capacity
// where that was found, no more than the closed girth, else the inner girth.
func (f *Findings) RoomAt(measure string, along float64) float64 {
	if measure != "" {
		return f.roomFor(measure)
	}
	lines := f.Ways()
	if len(lines) == 0 {
		return 0
	}
	best, least := 0.0, math.Inf(1)
	for _, s := range lines[0].Stations {
		if d := math.Abs(s.Along - along); d < least {
			best, least = s.room(), d
		}
	}
	return best
}

func (f *Findings) roomFor(measure string) float64 {
	if f.Fit == nil {
		return 0
	}
	for _, b := range f.Bands {
		if b.Measure == measure && b.Capacity > 0 { // that is what is tried on
			return b.Capacity * f.Percent / b.Percent
		}
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
	switch {
	case s.Capacity > 0 && s.Closed > 0:
		return min(s.Capacity, s.Closed)
	case s.Capacity > 0:
		return s.Capacity
	}
	return s.InnerGirth
}

// Places names the measures of the body that rest or pass in what the part
// covers, in the order of the body; nil where it is not known what it covers.
func (f *Findings) Places() []string {
	if f.Region == nil {
		return nil
	}
	return measuresIn(f.Region.Name)
}
