package suit

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis"
)

// Measure is one that was not given, and what giving it would do for the suit.
type Measure struct {
	Name string
	// Parts whose scale it narrows noticeably, and of them those that it settles:
	// their doubt becomes less than half.
	Parts, Settled []string
	// Before and After are how far the scale of those parts may be off, 9 in 10,
	// in percent: the root of the mean square over them, pairs counted once.
	Before, After float64
	gain          float64 // variance of scales that goes, summed over all
}

const (
	// mostMeasures is how many measures are advised at once, to keep the list
	// short.
	mostMeasures = 3
	// noticeable is the share of a scale's variance from which on a measure
	// counts for a part: it takes a twentieth off the doubt (a guess).
	noticeable = 0.1
)

// helped is what one measure does for one unit.
type helped struct {
	unit int
	cut  float64 // share of the variance
}

// measure ranks the missing measures by the variance of scales that goes,
// summed over the units. After each choice the variance that it took is gone;
// what another measure would take of the rest is taken to be the same share,
// which is more than it will be where the two tell the same.
func (j *judge) measure() {
	helps := map[string][]helped{}
	left := make([]float64, len(j.units)) // variance, percent²
	for at, u := range j.units {
		cuts := map[string]float64{}
		for _, i := range u.parts {
			fit := j.findings[i].Fit
			// A try-on that does not go with an estimate settles nothing: a tape does.
			if fit == nil || j.Parts[i].Printed > 0 || j.findings[i].SettledByTrying() && !j.findings[i].Unsettled() {
				continue
			}
			for _, h := range fit.Helps {
				cuts[h.Measure] = max(cuts[h.Measure], min(h.Cut, 1))
				if h.Cut < 1 {
					left[at] = max(left[at], h.SD*h.SD/(1-h.Cut))
				}
			}
			if r := j.Parts[i].Range; r != nil && left[at] == 0 {
				left[at] = r.SD * r.SD
			}
		}
		for m, cut := range cuts {
			helps[m] = append(helps[m], helped{at, cut})
		}
	}
	for range mostMeasures {
		m, ok := j.mostTelling(helps, left)
		if !ok {
			return
		}
		for _, h := range helps[m.Name] {
			left[h.unit] *= 1 - h.cut
		}
		delete(helps, m.Name)
		j.Measures = append(j.Measures, m)
	}
}

// mostTelling returns the measure that takes most of the variance left.
func (j *judge) mostTelling(helps map[string][]helped, left []float64) (Measure, bool) {
	var all []Measure
	for name, hs := range helps {
		m := Measure{Name: name}
		units, before, after := 0, 0.0, 0.0
		for _, h := range hs {
			m.gain += h.cut * left[h.unit]
			if h.cut < noticeable || left[h.unit] == 0 {
				continue
			}
			units++
			before += left[h.unit]
			after += left[h.unit] * (1 - h.cut)
			for _, i := range j.units[h.unit].parts {
				m.Parts = append(m.Parts, j.Parts[i].Name)
				if 1-h.cut < 0.5*0.5 {
					m.Settled = append(m.Settled, j.Parts[i].Name)
				}
			}
		}
		if units == 0 {
			continue
		}
		m.Before = analysis.NineInTen * math.Sqrt(before/float64(units))
		m.After = analysis.NineInTen * math.Sqrt(after/float64(units))
		all = append(all, m)
	}
	if len(all) == 0 {
		return Measure{}, false
	}
	return slices.MinFunc(all, func(a, b Measure) int {
		return cmp.Or(cmp.Compare(b.gain, a.gain), cmp.Compare(a.Name, b.Name))
	}), true
}
