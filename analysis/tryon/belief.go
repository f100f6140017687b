// Package tryon keeps what is believed about the room that a body needs in a
// part, learns from what the wearer found when a band was tried on, and says
// whether another band is worth its hours before the real print.
//
// Everything works in mm of capacity at one station; a scale in percent is only
// how it is said: a part of which the station has c mm at 100 % has c·p/100 mm
// at p %. Hours are hours.
package tryon

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"
)

// Verdict is what the wearer found.
type Verdict string

// The three answers of a try-on, from the least room to the most.
const (
	Tight Verdict = "tight"
	Fits  Verdict = "fits"
	Loose Verdict = "loose"
)

// verdicts in the order in which likelihoods are kept.
var verdicts = [...]Verdict{Tight, Fits, Loose}

// index of a verdict in verdicts, -1 where it is none.
func (v Verdict) index() int {
	for i, known := range verdicts {
		if v == known {
			return i
		}
	}
	return -1
}

// Answer is one try-on: what was found at how much room.
type Answer struct {
	Capacity float64 // mm at the station
	Verdict  Verdict
}

// Judge is how far a verdict is to be trusted.
type Judge struct {
	// Slack is the standard deviation of where the wearer feels the limit between
	// two verdicts, mm of girth.
	Slack float64
	// Wrong is the chance that a verdict is not the one that was felt: mixed up,
	// written down wrong, tried with other padding. It is then either of the
	// others.
	Wrong float64
}

// UsualJudge is taken where nothing is known of the wearer: 3 mm of girth, half
// a millimetre of air all round (common practice, no source), and one answer in
// twenty wrong (assumed, no source).
func UsualJudge() Judge { return Judge{Slack: 3, Wrong: 0.05} }

// chances returns how likely each verdict is at a capacity c for a body that
// needs θ and finds the part loose from θ+window on: an ordered probit (McCullagh
// 1980) with the limits θ and θ+window, in which Wrong of the answers go to one
// of the other two.
func (j Judge) chances(c, need, window float64) [3]float64 {
	p := [3]float64{beyond(need-c, j.Slack), 0, beyond(c-need-window, j.Slack)}
	p[1] = max(0, 1-p[0]-p[2])
	for i := range p {
		p[i] = (1-j.Wrong)*p[i] + j.Wrong*(1-p[i])/2
	}
	return p
}

// beyond is Φ(x/sd), and for sd 0 the step with one half at 0.
func beyond(x, sd float64) float64 {
	switch {
	case sd > 0:
		return distuv.UnitNormal.CDF(x / sd)
	case x == 0:
		return 0.5
	case x > 0:
		return 1
	}
	return 0
}

// Station is what is known of the capacity needed at one station before anybody
// tried anything on, and the answers since.
type Station struct {
	Mean, SD float64 // of the least capacity that fits, mm
	// Window is how much more than the least is not yet loose, mm; +Inf where
	// nothing is ever loose.
	Window float64
	// Wide is the standard deviation of Window, mm: one wearer calls loose what is
	// right for another. 0 where it is sure.
	Wide    float64
	Judge   Judge
	Answers []Answer
}

// check names what of a station cannot be reckoned with.
func (s Station) check() error {
	switch {
	case !(s.Mean > 0) || math.IsInf(s.Mean, 0):
		return fmt.Errorf("a need of %v mm; it must be above 0", s.Mean)
	case !(s.SD >= 0) || math.IsInf(s.SD, 0):
		return fmt.Errorf("a need known to ± %v mm; it must be 0 or more", s.SD)
	case !(s.Window >= 0):
		return fmt.Errorf("a window of %v mm between tight and loose; it must be 0 or more", s.Window)
	case !(s.Wide >= 0) || math.IsInf(s.Wide, 0):
		return fmt.Errorf("a window known to ± %v mm; it must be 0 or more", s.Wide)
	case !(s.Judge.Slack >= 0) || math.IsInf(s.Judge.Slack, 0):
		return fmt.Errorf("a slack of %v mm; it must be 0 or more", s.Judge.Slack)
	case !(s.Judge.Wrong >= 0 && s.Judge.Wrong < 0.5):
		return fmt.Errorf("a chance of %v of a wrong answer; it must be from 0 to below 0.5", s.Judge.Wrong)
	}
	for i, a := range s.Answers {
		if a.Verdict.index() < 0 {
			return fmt.Errorf("try-on %d: the verdict %q is none of tight, fits, loose", i+1, a.Verdict)
		}
		if !(a.Capacity > 0) || math.IsInf(a.Capacity, 0) {
			return fmt.Errorf("try-on %d: a capacity of %v mm; it must be above 0", i+1, a.Capacity)
		}
	}
	return nil
}

// Belief is how likely each need is, in mm of capacity at one station. The
// recommended capacity is sought, and bands are planned, by it.
type Belief struct {
	density
	window  float64   // mm, before any answer
	windows []float64 // parallel to weight, that of a wearer of that need; nil where answers told nothing of it
	judge   Judge
}

// Believe returns the belief about a station once all of its answers are
// learnt. An answer that cannot be (no slack, no wrong answers, and yet against
// the others) is left out: Doubts tells of it.
func Believe(s Station) (*Belief, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	b := &Belief{density: normal(s.Mean, s.SD, s.Judge.Slack), window: s.Window, judge: s.Judge}
	if s.Wide > 0 && s.foundLoose() && b.learnBoth(s.Answers, s.Wide) {
		return b, nil
	}
	for _, a := range s.Answers {
		b.learn(a)
	}
	return b, nil
}

// foundLoose reports whether the wearer has found something loose: only then is there
// reason to think that it is sooner so than was taken.
func (s Station) foundLoose() bool {
	return !math.IsInf(s.Window, 1) && slices.ContainsFunc(s.Answers, func(a Answer) bool { return a.Verdict == Loose })
}

// A window that is not sure is one of so many to each side of the mean, half a standard
// deviation apart.
const windowsAside = 6

// eachWindow calls f with each of them and how likely it is, up to one factor.
func eachWindow(mean, wide float64, f func(window, likely float64)) {
	for k := -windowsAside; k <= windowsAside; k++ {
		off := float64(k) / 2
		f(max(0, mean+off*wide), distuv.UnitNormal.Prob(off))
	}
}

// learnBoth takes answers in where neither the need nor the window is known: who finds
// one band tight and loose what is little larger has a small window rather than an odd
// body. Of the window what is left is its mean for each need. ok is false where no need
// gives these answers.
func (b *Belief) learnBoth(answers []Answer, wide float64) (ok bool) {
	windows := make([]float64, len(b.weight))
	sum := b.times(func(i int) float64 {
		likely, mean := 0.0, 0.0
		eachWindow(b.window, wide, func(window, p float64) {
			for _, a := range answers {
				p *= b.judge.chances(a.Capacity, b.at(i), window)[a.Verdict.index()]
			}
			likely, mean = likely+p, mean+p*window
		})
		windows[i] = b.window
		if likely > 0 {
			windows[i] = mean / likely
		}
		return likely
	})
	if sum > 0 {
		b.windows = windows
	}
	return sum > 0
}

// windowAt is how much more than the need of step i is not yet loose, mm.
func (b *Belief) windowAt(i int) float64 {
	if b.windows == nil {
		return b.window
	}
	return b.windows[i]
}

// Chance is how likely a try-on is to give this answer.
func (b *Belief) Chance(a Answer) float64 {
	k, sum := a.Verdict.index(), 0.0
	for i, w := range b.weight {
		sum += w * b.judge.chances(a.Capacity, b.at(i), b.windowAt(i))[k]
	}
	return sum
}

// learn takes an answer in and returns how likely it was before; 0 leaves the
// belief as it is.
func (b *Belief) learn(a Answer) float64 {
	k := a.Verdict.index()
	return b.times(func(i int) float64 { return b.judge.chances(a.Capacity, b.at(i), b.windowAt(i))[k] })
}

// Fits is the chance that a part with this capacity (mm) at the station is
// neither tight nor loose. give is how many mm less than the need are still
// worn.
func (b *Belief) Fits(capacity, give float64) float64 {
	sum := 0.0
	for i, w := range b.weight {
		sum += w * b.share(i, capacity-b.windowAt(i), capacity+give)
	}
	return min(1, sum)
}

// Roomy is the chance that a part with this capacity (mm) at the station is not
// tight. give is how many mm less than the need are still worn.
func (b *Belief) Roomy(capacity, give float64) float64 { return b.upTo(capacity + give) }

// density is a spread of chances over equal steps; the weights add up to 1.
type density struct {
	low, step float64
	weight    []float64
}

// A normal density reaches so many standard deviations to each side, in steps
// of no more than a 25th of one and half the slack, as far as mostSteps allows.
// Sums over equal steps of functions as smooth as these are exact to rounding
// (Trefethen & Weideman 2014, The exponentially convergent trapezoidal rule).
const (
	reach     = 8
	fine      = 25
	mostSteps = 2000
)

// normal lays a normal density out; sd 0 gives one step that has it all.
func normal(mean, sd, slack float64) density {
	if sd == 0 {
		return density{low: mean, weight: []float64{1}}
	}
	step := sd / fine
	if slack > 0 {
		step = min(step, slack/2)
	}
	half := min(int(math.Ceil(reach*sd/step)), mostSteps/2)
	return spread(mean, reach*sd/float64(half), half, distuv.Normal{Mu: mean, Sigma: sd}.Prob)
}

// spread lays a density out over 2·half+1 steps about a middle.
func spread(middle, step float64, half int, f func(float64) float64) density {
	d := density{low: middle - float64(half)*step, step: step, weight: make([]float64, 2*half+1)}
	for i := range d.weight {
		d.weight[i] = 1 / float64(len(d.weight))
	}
	d.times(func(i int) float64 { return f(d.at(i)) })
	return d
}

// at is the value of step i.
func (d density) at(i int) float64 { return d.low + float64(i)*d.step }

// times multiplies by the likelihood of each step, and returns the sum by which the
// weights are then divided; 0 leaves them.
func (d *density) times(f func(i int) float64) float64 {
	product, sum := make([]float64, len(d.weight)), 0.0
	for i, w := range d.weight {
		product[i] = w * f(i)
		sum += product[i]
	}
	if !(sum > 0) {
		return 0
	}
	for i := range product {
		product[i] /= sum
	}
	d.weight = product
	return sum
}

// Mean is the mean in mm.
func (d density) Mean() float64 {
	sum := 0.0
	for i, w := range d.weight {
		sum += w * d.at(i)
	}
	return sum
}

// SD is the standard deviation in mm.
func (d density) SD() float64 {
	mean, sum := d.Mean(), 0.0
	for i, w := range d.weight {
		off := d.at(i) - mean
		sum += w * off * off
	}
	return math.Sqrt(sum)
}

// share is how much of step i, which reaches half a step to each side, lies
// between two values.
func (d density) share(i int, low, high float64) float64 {
	x := d.at(i)
	if d.step == 0 {
		if low <= x && x <= high {
			return 1
		}
		return 0
	}
	return max(0, min(high, x+d.step/2)-max(low, x-d.step/2)) / d.step
}

// upTo is the chance of a value up to one.
func (d density) upTo(high float64) float64 {
	if d.step == 0 {
		return d.share(0, math.Inf(-1), high)
	}
	x := (high-d.low)/d.step + 0.5
	switch i := int(x); {
	case !(x > 0):
		return 0
	case x >= float64(len(d.weight)):
		return 1
	default:
		return min(1, floats.Sum(d.weight[:i])+(x-float64(i))*d.weight[i])
	}
}

// Quantile is the value in mm that a share (0–1) lies below.
func (d density) Quantile(share float64) float64 {
	sum := 0.0
	for i, w := range d.weight {
		if sum+w >= share && w > 0 {
			return d.at(i) + d.step*((share-sum)/w-0.5)
		}
		sum += w
	}
	return d.at(len(d.weight) - 1)
}
