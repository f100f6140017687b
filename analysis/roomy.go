package analysis

import (
	"math"
	"slices"
)

// TooRoomy reports whether a part that nothing else makes loose, such as a helm, stands too
// far off what rests inside as it is set.
func (f *Findings) TooRoomy() bool {
	return f.Fit != nil && f.Fit.Roomiest > 0 && f.Percent > f.Fit.Roomiest*(1+written)
}

// worthHalving is how much larger than what rests inside needs, as a factor, a part must be
// to get on closed for both ways to be told: a tenth of the filament and of the hours of a
// wall that is printed as thick (a guess).
const worthHalving = 1.05

// Ways are the two ways to make a part that must be larger closed, for what passes its rim,
// than what rests inside needs: closed, or in halves that are strapped together.
type Ways struct {
	Passes       string  // measure that asks for the most closed
	ClosedFrom   float64 // percent from which on the body gets in closed
	Closed       float64 // percent to print it at closed
	HalvedFrom   float64 // percent from which on what rests inside has room
	Halved       float64 // percent to print it at in halves
	ClosedLoose  bool    // it is too loose at Closed
	HalvesAsWell bool    // the advice is closed, so that halves are the other way
}

// TwoWays returns both ways to make a part that nothing else makes loose, such as a helm;
// false where it need not be much larger closed, or nothing has to pass.
func (f *Findings) TwoWays() (w Ways, ok bool) {
	if f.Fit == nil || f.Fit.Roomiest <= 0 {
		return w, false
	}
	w.ClosedFrom, w.HalvedFrom = f.Fit.GetsIn(), f.Fit.Rests
	if w.ClosedFrom < worthHalving*w.HalvedFrom || f.Fit.Recommended <= 0 {
		return w, false
	}
	for _, e := range f.Fit.Entries {
		if e.Percent == w.ClosedFrom {
			w.Passes = e.Measure
		}
	}
	w.HalvesAsWell = !f.Fit.WornOpened()
	w.Closed, w.Halved = plain(w.ClosedFrom, w.ClosedFrom, 0), f.Fit.Recommended
	if w.HalvesAsWell {
		w.Closed, w.Halved = f.Fit.Recommended, plain(w.HalvedFrom, w.HalvedFrom, 0)
	}
	if f.Percent >= w.ClosedFrom && f.Advised() == 0 { // it stays as it is set
		w.Closed = f.Percent
	}
	w.ClosedLoose = w.Closed > f.Fit.Roomiest*(1+written)
	return w, true
}

// feltClose reports whether what rests in a part was itself found to fit at the scale that
// is set: that the body gets in tells nothing of how far off the part stands.
func (f *Findings) feltClose() bool {
	return slices.ContainsFunc(f.Testing.Tried, func(e Tried) bool {
		return e.Fits() && e.Station == f.Fit.Lead && math.Abs(e.Percent-f.Percent) <= SameScale
	})
}
