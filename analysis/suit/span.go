package suit

import (
	"math"

	"gambeson/analysis"

	"gonum.org/v1/gonum/stat/distuv"
)

// Range is the scales of one part that fit the body, in percent of the file.
type Range struct {
	Smallest float64
	Loosest  float64 // 0 where nothing makes it too loose
	// Recommended is the scale the part itself would have.
	Recommended float64
	SD          float64 // by which the range may lie higher or lower, 0 where not known
	// Opened: no scale lets the body in that does not leave the part too loose,
	// so the range is that of a part opened by a panel or parted in halves.
	Opened bool
	// Point: no scale is both wide enough and not too loose; the smallest one
	// stands for the range.
	Point bool
}

// nineInTen is half the width of the interval that holds 9 in 10, in standard
// deviations of a normal.
var nineInTen = distuv.UnitNormal.Quantile(0.95)

// rangeOf returns the scales at which a part fits, nil where not known.
func rangeOf(f *analysis.Findings) *Range {
	fit := f.Fit
	if fit == nil || fit.Smallest <= 0 && fit.Loosest <= 0 {
		return nil
	}
	r := &Range{Smallest: fit.Smallest, Loosest: fit.Loosest, Recommended: fit.Recommended}
	for _, i := range []*[2]float64{fit.SmallestInterval, fit.Interval} {
		if i != nil && r.SD == 0 {
			r.SD = max(0, i[1]-i[0]) / (2 * nineInTen)
		}
	}
	if r.Loosest > 0 && r.Smallest > r.Loosest {
		r.Opened = opens(fit) && wornFrom(f) <= r.Loosest
		r.Point = !r.Opened
		if r.Opened {
			r.Smallest = wornFrom(f)
			r.Recommended = (r.Smallest + r.Loosest) / 2
		}
	}
	if r.Recommended <= 0 {
		r.Recommended = f.Percent
	}
	s := r.span()
	r.Recommended = s.clamp(r.Recommended)
	return r
}

// opens reports whether some way in is to be had by a panel or in halves.
func opens(fit *analysis.Fit) bool {
	for _, e := range fit.Entries {
		if !e.Passes && (e.Panel != nil || e.Halves) {
			return true
		}
	}
	return false
}

// wornFrom returns the scale from which on every sit has what it needs where
// it rests now, whatever must pass on the way in.
func wornFrom(f *analysis.Findings) float64 {
	least := 0.0
	for _, s := range f.Fit.Sits {
		if s.Capacity <= 0 {
			return math.Inf(1)
		}
		least = max(least, f.Percent*s.Needed/s.Capacity)
	}
	if least == 0 {
		return math.Inf(1)
	}
	return least
}

// span is the interval of scales of a part or a pair, lo ≤ hi, and the scale
// it would have by itself.
type span struct {
	lo, hi, want float64
	weight       float64 // how many parts it stands for
}

// span returns the range as an interval; what nothing makes too loose has no
// end.
func (r *Range) span() span {
	s := span{lo: r.Smallest, hi: r.Loosest, want: r.Recommended, weight: 1}
	if r.Loosest <= 0 {
		s.hi = math.Inf(1)
	}
	s.hi = max(s.lo, s.hi)
	return s
}

// tolerance forgives the rounding of the arithmetic, in percent.
const tolerance = 1e-9

func (s span) holds(scale float64) bool { return scale >= s.lo-tolerance && scale <= s.hi+tolerance }

// clamp returns the scale of the span that is nearest to x.
func (s span) clamp(x float64) float64 { return min(max(x, s.lo), s.hi) }

// meet returns what both spans hold; where that is nothing, the point at which
// the tighter of them begins.
func (s span) meet(t span) span {
	m := span{lo: max(s.lo, t.lo), hi: min(s.hi, t.hi), weight: s.weight + t.weight}
	m.hi = max(m.lo, m.hi)
	m.want = m.clamp((s.want*s.weight + t.want*t.weight) / m.weight)
	return m
}

// misfit returns the chance that a part does not fit at a scale: the range as
// a whole lies higher or lower by a normal error, because whoever is larger
// than thought is so for both of its ends. A part that is loose at every scale
// that is wide enough is judged by its smallest scale alone.
func (r *Range) misfit(scale float64) float64 {
	s := r.span()
	if r.Point {
		s.hi = math.Inf(1)
	}
	if r.SD <= 0 {
		if s.holds(scale) {
			return 0
		}
		return 1
	}
	shift := distuv.Normal{Mu: 0, Sigma: r.SD}
	return 1 - (shift.CDF(scale-s.lo) - shift.CDF(scale-s.hi))
}
