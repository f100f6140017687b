package suit

import (
	"math"
	"slices"

	"gambeson/analysis"
)

const (
	// tapesDiffer is how far two readings of one girth may lie apart, mm, of a body whose
	// sides do not differ by more than usual: √2 of what the sides have of their own (USAF
	// 1967, calf: 4.6).
	tapesDiffer = 6.5
	// oneSize is how many times as large as its own best a part may be, that nothing makes
	// loose or that is padded out anyhow, for both sides to be of one size, or for what
	// somebody set to stay (a guess).
	oneSize = 1.1
)

// apart returns the girth by which the two sides of a pair differ too much for one size,
// nil where one serves both. The measures alone decide it, so that no try-on puts
// together again what each has its own scale by; but try-ons may part what by the tape is
// hardly to be had.
func (j *judge) apart(l, r int) *Apart {
	left, right := j.findings[l], j.findings[r]
	found := unlike(left, right)
	if found == nil {
		return nil
	}
	if a, b := taped(left), taped(right); a != nil && b != nil && sundered(a.times(j.drawn[l]), b.times(j.drawn[r])) {
		return found
	}
	a, b := j.Parts[l].Range, j.Parts[r].Range
	if a == nil || b == nil || a.Shown == ([2]float64{}) || b.Shown == ([2]float64{}) || a.Point || b.Point {
		return nil
	}
	if sundered(a.span().times(j.drawn[l]), b.span().times(j.drawn[r])) {
		return found
	}
	return nil
}

// strangers reports whether two parts that are drawn unlike keep each its scale: both were
// set to other ones and fit so; or one is printed or set, and no scale is likely to serve
// both. As long as all is free they get one all the same: then the lesser part is the looser.
func (j *judge) strangers(l, r int) bool {
	a, b := &j.Parts[l], &j.Parts[r]
	if a.Range == nil || b.Range == nil || a.Range.Point || b.Range.Point {
		return false
	}
	set := func(i int) bool { f := j.findings[i]; return f.Percent != 100 || f.PercentSet || f.Stretched }
	if set(l) && set(r) && math.Abs(a.Wanted-b.Wanted) > analysis.SameScale {
		return a.Range.likely().holds(a.Wanted) && b.Range.likely().holds(b.Wanted)
	}
	return (a.Printed > 0 || b.Printed > 0 || set(l) || set(r)) && sundered(a.Range.likely(), b.Range.likely())
}

func sundered(a, b span) bool { return a.hi < b.lo-tolerance || b.hi < a.lo-tolerance }

// unlike returns the girth that rests in both parts and was measured on both sides, of
// which the two differ most; nil where none differs by more than tapes do.
func unlike(left, right *analysis.Findings) (most *Apart) {
	if left.Fit == nil || right.Fit == nil {
		return nil
	}
	for _, a := range left.Fit.Sits {
		at := slices.IndexFunc(right.Fit.Sits, func(b analysis.Sit) bool { return b.Measure == a.Measure })
		if at < 0 || a.Source != "measured" || right.Fit.Sits[at].Source != "measured" {
			continue
		}
		b := right.Fit.Sits[at]
		if by := math.Abs(a.Body - b.Body); by > tapesDiffer && (most == nil || by > math.Abs(most.Left-most.Right)) {
			most = &Apart{a.Measure, a.Body, b.Body}
		}
	}
	return most
}

// taped returns the scales at which what rests in a part is likely enough to fit by the
// measures alone, once the body is in; nil where not known.
func taped(f *analysis.Findings) *span {
	r := &Range{Smallest: f.Fit.Rests, Loosest: f.Fit.Loosest, SD: analysis.Spread(f.Fit.Interval)}
	if r.Smallest <= 0 {
		r.Smallest = f.Fit.Smallest
	}
	if r.Smallest <= 0 {
		return nil
	}
	if r.SD == 0 {
		r.SD = analysis.Spread(f.Fit.SmallestInterval)
	}
	r.Point = r.Loosest > 0 && r.Smallest > r.Loosest
	r.Recommended = r.span().clamp(f.Fit.Recommended)
	s := r.likely()
	if r.Point || r.Loosest <= 0 {
		s.hi = oneSize * s.want
	}
	return &s
}

// parted reports whether two parts are a pair of which each has its own size.
func (j *judge) parted(a, b int) bool {
	other, parted := j.otherSize[a]
	return parted && other == b
}
