package fit

import (
	"math"
	"slices"
)

// Scales are factors of the size at which the part was measured. They are
// sought between these: a tenth and ten times the size.
const (
	leastScale = 0.1
	mostScale  = 10.0
	scaleStep  = 1.01 // of the first, coarse search
	scaleFine  = 1e-5 // of the narrowing that follows
	drawnFine  = 1e-4 // the same for one of many likely bodies: a hundredth of a percent
)

// Range is the scales at which a part fits.
type Range struct {
	Smallest float64 // every girth has what it needs; +Inf where no scale does it
	Rests    float64 // the same for those that rest inside, once they are; 0 where none does
	Loosest  float64 // the leading girth is not yet loose; 0 where that is not asked, +Inf where it never is
	// Recommended is the middle of the two, as far as the length allows; Smallest
	// where it lies above Loosest. Where the body gets in only at scales at which
	// the part is loose, the part has to be opened anyway: then Recommended is
	// for what rests inside.
	Recommended float64
}

const (
	// hardly is the share of the scales at which the body has room but the part is
	// not loose that must be left where it gets in unopened: with the usual 34 mm
	// from the one to the other it is 8 mm, hardly more than tape, padding and print
	// leave open (a guess).
	hardly = 1.0 / 4
	// TooRoomy is how much larger than the body needs a part is that counts as too loose
	// where nothing else makes it so: a helm stands some 30 mm off the padded head all
	// round (a guess).
	TooRoomy = 4.0 / 3
	// leftClosed is how much larger such a part may have to be for the body to get in
	// unopened: less than TooRoomy, since what is recommended is on the safe side of
	// what is estimated, and so some percent more than the least (a guess).
	leftClosed = 5.0 / 4
)

// Opened says that the part must be opened to get in at any scale at which it is
// not loose, or that hardly a scale is left at which it need not be.
func (r Range) Opened() bool {
	switch {
	case r.Rests == 0:
		return false
	case r.Loosest == 0 || math.IsInf(r.Loosest, 1):
		return r.Smallest > leftClosed*r.Rests
	}
	return r.Rests <= r.Loosest && r.Loosest-r.Smallest < hardly*(r.Loosest-r.Rests)
}

// middle is the middle of the range, its smallest where it has no end.
func (p *problem) middle(r Range) float64 {
	if math.IsInf(r.Loosest, 1) {
		return p.worn(r)
	}
	return (p.worn(r) + max(p.worn(r), r.Loosest)) / 2
}

// Worn is the smallest scale at which the part is worn: once it is opened where
// it must be.
func (r Range) Worn() float64 {
	if r.Opened() {
		return r.Rests
	}
	return r.Smallest
}

// worn is the smallest scale once the part is opened where it must be.
func (p *problem) worn(r Range) float64 {
	if p.opened == nil {
		return r.Worn()
	}
	if *p.opened {
		return r.Rests
	}
	return r.Smallest
}

// problem is one body before one part.
type problem struct {
	seat    *Seat // nil where nothing rests
	figure  figure
	wants   Wants
	entry   float64 // factor from which on it gets in, 0 where that is not asked
	lengths []limit
	most    float64 // scale above which it comes to reach a girth that has no room, 0 where none is
	drawn   bool    // one of many likely bodies
	// opened, where it is not nil, settles whether the part is opened to get in.
	opened *bool
}

// fine is how near to a turn is near enough.
func (p *problem) fine() float64 {
	if p.drawn {
		return drawnFine
	}
	return scaleFine
}

// limit is the range of scales that a length allows; hi 0 where it has no end.
type limit struct{ lo, hi float64 }

// rangeNear returns the range, sought from a start on: outward until the answer
// turns, then halved.
func (p *problem) rangeNear(start, length float64) Range {
	return p.rangeFrom(start, start, length)
}

// rangeFrom is rangeNear with a start for each end.
func (p *problem) rangeFrom(rests, loosest, length float64) Range {
	r := Range{Smallest: p.entry}
	if p.seat != nil {
		r.Rests = turn(rests, p.fine(), func(f float64) float64 { return p.spare(f, length) })
		r.Smallest = max(r.Smallest, r.Rests)
		if !p.seat.Region.Roomy && !math.IsInf(r.Rests, 1) {
			r.Loosest = turn(max(loosest, r.Rests), p.fine(), func(f float64) float64 { return p.slack(f, length) })
		}
	}
	r.Recommended = p.between(r)
	return r
}

// settle finds the range of a body of which nothing is known yet, and the scale
// to seek that of a like body from. It sets most where there is one.
func (p *problem) settle() (r Range, start float64) {
	if start = p.least(); math.IsInf(start, 1) {
		return Range{Smallest: start}, start
	}
	r = p.rangeNear(start, 0)
	below, above, found := p.gap(r)
	switch {
	case !found:
		return r, start
	case !math.IsInf(above, 1) && (below <= p.worn(r) || below < p.worn(r)*scaleStep && above <= r.Loosest):
		start = above
	default:
		p.most = below
	}
	return p.rangeNear(start, 0), start
}

// gap returns between which scales of a range a girth has no room: as it grows,
// a short part comes to reach one that it did not cover, such as an ankle. found
// is false where all have room on the whole range.
func (p *problem) gap(r Range) (below, above float64, found bool) {
	spare := func(f float64) float64 { return p.spare(f, 0) }
	for f := p.worn(r) * (1 + 2*scaleFine); f < r.Loosest && !math.IsInf(r.Loosest, 1); f *= scaleStep {
		if spare(f) < 0 {
			return turn(f, scaleFine, func(f float64) float64 { return -spare(f) }), turn(f, scaleFine, spare), true
		}
	}
	return 0, 0, false
}

// fits: as it is, it gets in or is opened, every girth has what it needs, and it
// is not loose.
func (p *problem) fits(opened bool) bool {
	if !opened && p.entry > 1 {
		return false
	}
	if p.seat == nil {
		return true
	}
	at := p.seat.best(p.figure, even(1))
	return p.spareAt(even(1), at) >= 0 && (p.seat.Region.Roomy || p.slackAt(even(1), at) <= 0)
}

// roomy: every girth has what it needs.
func (p *problem) roomy(f, length float64) bool { return p.spare(f, length) >= 0 }

// spare is what the girth with the least room has beyond its need, as a share
// of it; −Inf where the leading one is not inside.
func (p *problem) spare(f, length float64) float64 {
	sc := stretch(f, length)
	return p.spareAt(sc, p.seat.best(p.figure, sc))
}

func (p *problem) spareAt(sc scale, at pose) float64 {
	if at.score < leadScore {
		return math.Inf(-1)
	}
	return min(p.seat.ratioAtRims(p.figure, sc), at.ratio) - 1
}

// slack is the ease of the leading girth beyond what is wanted at most, mm:
// above 0 the part is loose. Where it is not inside, the part is too short for
// it, and not loose: −Inf.
func (p *problem) slack(f, length float64) float64 {
	sc := stretch(f, length)
	return p.slackAt(sc, p.seat.best(p.figure, sc))
}

func (p *problem) slackAt(sc scale, at pose) float64 {
	for i := range p.seat.rests {
		if room, inside := p.seat.room(i, p.figure, sc, at.rim); p.seat.rests[i].Lead && inside {
			return room - p.figure.bare[i] - p.wants.Loosest
		}
	}
	return math.Inf(-1)
}

// stretch is the scale round the part with a length held fast, where length is
// not 0.
func stretch(f, length float64) scale {
	if length > 0 {
		return scale{f, length}
	}
	return even(f)
}

// least returns the least scale at which every girth has what it needs, from
// the smallest scales up: for a body of which nothing is known yet.
func (p *problem) least() float64 {
	enough := p.seat.leastFor(p.figure)
	for f := leastScale; f < mostScale; f *= scaleStep {
		if f >= enough && p.roomy(f, 0) {
			return f
		}
	}
	return math.Inf(1)
}

// turn returns where a margin that is negative below and not so above turns,
// near a start, to a share of it; +Inf where it never does. It is sought outward in steps that
// grow, and narrowed by the chord, as a margin is all but straight; halved
// where that does not serve, as where a girth comes in by a rim. A start that is no
// scale, as odd lengths give, counts as the least or the largest one.
func turn(start, fineness float64, margin func(float64) float64) float64 {
	if start = min(start, mostScale); !(start >= leastScale) {
		start = leastScale
	}
	low, high := start, start
	below := margin(start)
	above := below
	if above >= 0 {
		for step := nearStep; low > leastScale; step = further(step) {
			if low, below = high/step, margin(high/step); below < 0 {
				break
			}
			high, above = low, below
		}
	} else {
		for step := nearStep; ; step = further(step) {
			if low*step > mostScale {
				return math.Inf(1)
			}
			if high, above = low*step, margin(low*step); above >= 0 {
				break
			}
			low, below = high, above
		}
	}
	for chord := true; high-low > fineness*high; {
		width, fine := high-low, fineness*high/2
		at := low + width/2
		if chord && !math.IsInf(above-below, 0) {
			at = min(max(low+width*below/(below-above), low+fine), high-fine)
		}
		for _, x := range [2]float64{at + fine/2, at - fine/2} { // close in from both sides
			if x <= low || x >= high {
				continue
			}
			if m := margin(x); m >= 0 {
				high, above = x, m
			} else {
				low, below = x, m
			}
		}
		chord = high-low < width/4
	}
	return high
}

// The search for a turn begins with a small step, as the start is mostly near,
// and goes on with steps up to scaleStep.
const nearStep = 1.001

func further(step float64) float64 { return min(scaleStep, step*step*step) }

// between returns the scale to recommend within a range, as far as the length
// allows.
func (p *problem) between(r Range) float64 {
	lo, hi := p.worn(r), r.Loosest
	if math.IsInf(lo, 1) {
		return 0
	}
	if hi < lo {
		hi = lo
	}
	if hi == 0 || math.IsInf(hi, 1) {
		hi = lo
	}
	if p.most > 0 {
		hi = min(hi, max(lo, p.most))
	}
	for _, l := range p.lengths {
		least, most := l.lo, l.hi
		lo = max(lo, least)
		if most > 0 {
			hi = min(hi, most)
		}
	}
	return (lo + max(lo, hi)) / 2
}

// conflict says whether girth and length ask for different scales, and the
// scale of the length that comes nearest to that of the girth.
func (p *problem) conflict(r Range) (length float64, differ bool) {
	if p.seat == nil || math.IsInf(p.worn(r), 1) {
		return 0, false
	}
	length = p.middle(r)
	for _, l := range p.lengths {
		least, most := l.lo, l.hi
		if least > 0 && least > max(p.worn(r), r.Loosest) {
			length, differ = least, true
		}
		if most > 0 && most < p.worn(r) {
			length, differ = most, true
		}
	}
	return length, differ
}

// quantile returns the value that a share of the values lies below; +Inf may be
// among them.
func quantile(values []float64, share float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	at := share * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	if sorted[i] == sorted[i+1] || at == float64(i) {
		return sorted[i]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
