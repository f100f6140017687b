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
	// Shown are the scales of it, from the one to the other, that try-ons show to be
	// nearly as good as the best; zero where nothing was tried.
	Shown [2]float64
}

// Doubt is how far the range may be off, 9 in 10, 0 where not known.
func (r *Range) Doubt() float64 { return analysis.NineInTen * r.SD }

// rangeOf returns the scales at which a part fits, nil where not known.
func rangeOf(f *analysis.Findings) *Range {
	fit := f.Fit
	if fit == nil {
		return nil
	}
	r := &Range{Smallest: fit.Smallest, Loosest: fit.Loosest, Recommended: fit.Recommended}
	// What fits closed as it is set is not made smaller to be opened.
	if r.Opened = fit.Opened() && fit.Verdict != "fits"; r.Opened {
		r.Smallest = fit.Rests
	}
	if r.Smallest <= 0 {
		return nil
	}
	r.Point = r.Loosest > 0 && r.Smallest > r.Loosest
	r.suitLengths(fit.Lengths)
	if r.Recommended <= 0 {
		r.Recommended = f.Percent
	}
	if scale, ok := f.TriedScale(); ok && !r.Point {
		// What was tried is one girth; the others count as the tape has them.
		others := 0.0
		switch {
		case f.Testing.Passes:
			others = fit.Rests
			if !r.Opened {
				others = max(others, gate(f.Testing))
			}
		case !r.Opened && fit.Smallest > fit.Rests:
			others = fit.Smallest
		}
		r.tried(scale, f.Testing, others)
	}
	r.Recommended = r.span().clamp(r.Recommended)
	for _, i := range []*[2]float64{fit.Interval, fit.SmallestInterval} {
		if r.SD == 0 {
			r.SD = analysis.Spread(i)
		}
	}
	return r
}

// gate returns the scale below which what was found tight on its way in might not get in:
// where it likely does, or what is advised, if that is less, or where it was found to pass;
// 0 where nothing was tight, and where it is advised to open the part. (The odds are those of
// the part once on.)
func gate(t *analysis.Testing) float64 {
	stuck, passed := false, math.Inf(1)
	for _, e := range t.Tried {
		if !e.Counts || e.Station != t.Measure {
			continue
		}
		stuck = stuck || e.Verdict == "tight"
		if e.Verdict == "fits" && e.Differs >= 0 { // where less passed, this need not
			passed = min(passed, e.Percent)
		}
	}
	if !stuck || t.Print < t.Smallest {
		return 0
	}
	return min(t.Print, t.Smallest+distuv.UnitNormal.Quantile(1-LowBelow)*t.SD, passed)
}

// tried moves the range to where try-ons show that the part fits, but for the least
// scale that other girths ask for.
func (r *Range) tried(scale float64, t *analysis.Testing, others float64) {
	least, most := t.Span()
	r.Smallest = max(least, others)
	if r.Loosest > 0 {
		r.Loosest = max(most, r.Smallest)
	}
	r.Recommended, r.SD = scale, t.SD
	r.Shown[0], r.Shown[1] = t.Shown()
	for i, x := range r.Shown {
		r.Shown[i] = r.span().clamp(x)
	}
}

// suitLengths cuts the range to the scales at which the part is also long
// enough and not too long, as far as something is left: where girth and length
// differ, the girth decides.
func (r *Range) suitLengths(lengths []analysis.Length) {
	for _, l := range lengths {
		if r.span().holds(l.Smallest) {
			r.Smallest = l.Smallest
		}
	}
	for _, l := range lengths {
		if l.Largest > 0 && r.span().holds(l.Largest) {
			r.Loosest = l.Largest
		}
	}
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

// times is the span of a file that is so many times smaller.
func (s span) times(f float64) span {
	s.lo, s.hi, s.want = s.lo*f, s.hi*f, s.want*f
	return s
}

// meet returns what both spans hold; where that is nothing, the point at which
// the tighter of them begins.
func (s span) meet(t span) span {
	m := span{lo: max(s.lo, t.lo), hi: min(s.hi, t.hi), weight: s.weight + t.weight}
	m.hi = max(m.lo, m.hi)
	m.want = m.clamp((s.want*s.weight + t.want*t.weight) / m.weight)
	return m
}

// misfit returns the chance that a part does not fit at a scale. The range as a
// whole is taken to lie higher or lower by a normal error, because whoever is
// larger than thought is so for both of its ends. A part that is too loose at
// every scale that is wide enough is judged by its smallest scale alone.
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

// A scale that is shared is no reason to print a part twice: the chance that it
// does not fit there is to stay below mostMisfit, well below what the reports call
// a high risk, or where no scale is that sure, within addedMisfit of the least
// chance that the part can have (guesses).
const (
	mostMisfit  = 0.25
	addedMisfit = LowBelow
)

// roomiest is how much larger than at its own scale a part that nothing makes loose
// may be to have that of others: a fifteenth more filament (a guess).
const roomiest = 1.03

// likely returns the scales of the range at which the part is likely enough to
// fit: all of them where the range is known without doubt, or is a point. Where
// something was tried on they are those that it has shown: whoever printed a band
// wants the part as it was.
func (r *Range) likely() span {
	s := r.span()
	if r.Shown != ([2]float64{}) {
		s.lo, s.hi = r.Shown[0], r.Shown[1]
		s.want = s.clamp(s.want)
		if r.Loosest <= 0 {
			s.hi = min(s.hi, roomiest*s.want)
		}
		return s
	}
	if math.IsInf(s.hi, 1) {
		if r.SD > 0 {
			s.lo += distuv.UnitNormal.Quantile(1-mostMisfit) * r.SD
		}
		s.want = max(s.want, s.lo)
		s.hi = roomiest * s.want
		return s
	}
	if r.SD <= 0 || r.Point {
		return s
	}
	return r.within(max(mostMisfit, r.misfit((s.lo+s.hi)/2)+addedMisfit))
}

// within returns the scales, of a range with two ends, at which the chance of a misfit is no
// more than most, which its middle has.
func (r *Range) within(most float64) span {
	s := r.span()
	if r.misfit(s.lo) <= most {
		return s
	}
	off, in := s.lo, (s.lo+s.hi)/2 // the chance falls towards the middle
	for in-off > tolerance {
		if half := (off + in) / 2; r.misfit(half) > most {
			off = half
		} else {
			in = half
		}
	}
	s.lo, s.hi = in, s.lo+s.hi-in // the misfit of both ends is the same
	s.want = s.clamp(s.want)
	return s
}

// sharedMisfit is how much likelier a part may be to be printed again at the scale of others
// than at its own: one scale less to set saves a line of suit.toml and a look at the
// printing program, and a part printed again costs days (a guess, as much as what is set
// stays for).
const sharedMisfit = stays

// worth returns the scales that are worth having for the sake of others: those of likely at
// which the part is hardly likelier to be printed again than at its own.
func (r *Range) worth() span {
	s := r.likely()
	if r.SD <= 0 || r.Point || r.Shown != ([2]float64{}) {
		return s
	}
	most := r.misfit(r.span().want) + sharedMisfit
	if r.Loosest > 0 {
		w := r.within(most)
		s.lo, s.hi = max(s.lo, w.lo), min(s.hi, w.hi)
	} else if most < 1 {
		s.lo = max(s.lo, r.Smallest+distuv.UnitNormal.Quantile(1-most)*r.SD)
	}
	s.hi = max(s.lo, s.hi)
	s.want = s.clamp(s.want)
	return s
}
