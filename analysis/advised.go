package analysis

import (
	"math"
	"slices"

	"gambeson/analysis/tryon"
)

// Advised is the scale to use in place of the one that the findings are for: the
// best, or the least that the body asks for; 0 where there is none, or what is set
// will do. What was tried on counts for more than the tape.
func (f *Findings) Advised() float64 {
	if f.Fit == nil {
		return 0
	}
	if scale, ok := f.TriedScale(); ok {
		set := f.Testing.ChanceAt(f.Percent)
		// What was felt on this very part goes before what was felt on the other side.
		fits, against := f.FoundAt(f.Percent, func(e Tried) bool { return e.Part == "" })
		if !fits {
			fits, against = f.FoundAt(f.Percent, func(e Tried) bool { return e.Part == "" || e.Across })
		}
		if math.Abs(scale-f.Percent) < SameScale || set >= WillDo && f.Testing.Chance-set < worthMoving || fits && !against && set >= StillFits {
			return 0
		}
		return scale
	}
	scale := f.Fit.Recommended
	if f.Fit.Opened() && f.Fit.bearableAt(f.Percent, true) && !f.lengthWarned() {
		return 0 // opened, as it is to be, it fits
	}
	// What is set need not be the best to do, unless only its girths do.
	if f.Fit.Verdict == "fits" && !(f.lengthWarned() && scale > 0 && f.suitsLengths(scale)) {
		return 0
	}
	if scale <= 0 {
		scale = f.Fit.Smallest
		if scale <= f.Percent {
			return 0
		}
	}
	if math.Abs(scale-f.Percent) < SameScale {
		return 0
	}
	return scale
}

// Says reports whether one of the warnings or notes has one of these codes.
func (f *Findings) Says(codes ...string) bool {
	return slices.ContainsFunc(f.Warnings, func(w Warning) bool { return slices.Contains(codes, w.Code) })
}

// Hindered reports whether a part is warned of for more than that it is printed in pieces
// or has a panel taken off, as its report has them.
func (f *Findings) Hindered() bool {
	return slices.ContainsFunc(f.Warnings, func(w Warning) bool {
		switch {
		case w.Level != LevelWarning:
			return false
		case w.Code == "bed-overflow":
			return f.Bed == nil || len(f.Bed.Pieces) == 0
		case w.Code == "does-not-enter":
			return !f.Fit.Opened() || !slices.ContainsFunc(f.Fit.Entries, func(e Entry) bool { return !e.Passes && e.Panel != nil })
		}
		return true
	})
}

// lengthWarned reports whether the part is too short or too long as it is set.
func (f *Findings) lengthWarned() bool {
	return slices.ContainsFunc(f.Warnings, func(w Warning) bool {
		return w.Level == LevelWarning && (w.Code == "too-short" || w.Code == "too-long")
	})
}

// suitsLengths reports whether a scale makes the part neither too short nor too long.
func (f *Findings) suitsLengths(percent float64) bool {
	return !slices.ContainsFunc(f.Fit.Lengths, func(l Length) bool {
		return percent < l.Smallest-SameScale || l.Largest > 0 && percent > l.Largest+SameScale
	})
}

// worthMoving is how much likelier to fit another scale must be to be worth setting
// anew, after a try-on: one part in twenty (a guess).
const worthMoving = 0.05

// WillDo is the chance of fitting below which a scale does not do, whatever others
// are like, and nobody is told to print at it: likelier than not.
const WillDo = 0.5

// StillFits is the chance of fitting from which a part stays at a scale at which it was found
// to fit, though another is likelier (a guess: a part in four is what sharing a scale may
// cost, too).
const StillFits = 0.75

// FoundAt reports whether try-ons that are like this part, on it or on what has its size,
// found it to fit at a scale, and whether others of them speak against that scale.
func (f *Findings) FoundAt(percent float64, like func(Tried) bool) (fits, against bool) {
	if f.Testing == nil {
		return false, false
	}
	for _, e := range f.Testing.Tried {
		if !e.Counts || !like(e) {
			continue
		}
		fits = fits || e.Fits() && math.Abs(e.Percent-percent) <= SameScale
		switch e.Verdict {
		case string(tryon.Tight):
			against = against || percent <= e.Percent+SameScale
		case string(tryon.Loose): // elsewhere than at the leading measure it says no more than not tight
			against = against || f.Fit != nil && e.Station == f.Fit.Lead && percent >= e.Percent-SameScale
		}
	}
	return fits, against
}

// TriedScale is the scale to print the part at by try-ons of it, or of parts like it,
// with all else that is known; false where none says anything of it.
func (f *Findings) TriedScale() (scale float64, ok bool) {
	t := f.Testing
	if t == nil || t.Print <= 0 || !slices.ContainsFunc(t.Tried, func(e Tried) bool { return e.Counts }) {
		return 0, false
	}
	return t.Print, true
}

// overrules is the chance of fitting from which on what was tried on counts for more than
// what the measures alone say (a guess).
const overrules = 0.8

// Felt reports whether try-ons show that the part, as it is set, most likely fits, and no
// other scale is worth setting: whatever the measures alone say of it.
func (f *Findings) Felt() bool {
	if f.Fit == nil || f.Fit.Verdict == "blocked" || f.Unsettled() {
		return false
	}
	_, ok := f.TriedScale()
	if ok && f.TooRoomy() && !f.feltClose() {
		return false
	}
	return ok && f.Advised() == 0 && f.Testing.ChanceAt(f.Percent) >= overrules
}

// heedTryons makes a note of what the measures alone warn of where it was felt to fit.
func (f *Findings) heedTryons() {
	if !f.Felt() {
		return
	}
	for i, w := range f.Warnings {
		if w.Code == "too-tight" || w.Code == "too-loose" {
			f.Warnings[i].Level, f.Warnings[i].Text = LevelNote, "By the measures alone, which what was tried on overrules: "+w.Text
		}
	}
}

// Surpassed is the scale that try-ons show to be better than the one set, which the
// body gets into; false where they show none.
func (f *Findings) Surpassed() (scale float64, ok bool) {
	if f.Fit == nil || f.Fit.Verdict == "blocked" {
		return 0, false
	}
	scale, ok = f.TriedScale()
	return scale, ok && f.Advised() > 0
}

// ChanceAt is the chance that the part fits at a scale by what is known now, between
// the scales that Odds has and as at the ends beyond them; 0 where it has none.
func (t *Testing) ChanceAt(percent float64) float64 {
	for i, o := range t.Odds {
		if percent > o[0] {
			continue
		}
		if i == 0 {
			return o[1]
		}
		before := t.Odds[i-1]
		return before[1] + (o[1]-before[1])*(percent-before[0])/(o[0]-before[0])
	}
	if n := len(t.Odds); n > 0 {
		return t.Odds[n-1][1]
	}
	return 0
}

// Complained reports whether something was found tight or loose.
func (t *Testing) Complained() bool {
	return slices.ContainsFunc(t.Tried, func(e Tried) bool { return e.Counts && e.Verdict != "fits" })
}

// Span is the stretch of scales round Print at which the part is likelier to fit than
// not; Print alone where it is not likely there either.
func (t *Testing) Span() (least, most float64) { return t.above(WillDo) }

// Shown is the stretch of scales round Print that try-ons show to be nearly as good
// as that; Print alone where the part itself was found to fit at it.
func (t *Testing) Shown() (least, most float64) {
	if slices.ContainsFunc(t.Tried, func(e Tried) bool {
		return e.Counts && e.Part == "" && e.Verdict == string(tryon.Fits) && math.Abs(e.Percent-t.Print) <= HalfStep
	}) {
		return t.Print, t.Print
	}
	return t.above(t.Chance - tryon.AsGood)
}

// HalfStep is half of the step in which scales are planned, percent: what was tried
// may lie as far from what is advised for it.
const HalfStep = 0.25

// above is the stretch of scales round Print at which the part fits with at least a
// chance; Print alone where it does not even there.
func (t *Testing) above(chance float64) (least, most float64) {
	least, most = t.Print, t.Print
	if t.Chance < chance {
		return least, most
	}
	for i := len(t.Odds) - 1; i >= 0; i-- {
		if o := t.Odds[i]; o[0] < least {
			if o[1] < chance {
				break
			}
			least = o[0]
		}
	}
	for _, o := range t.Odds {
		if o[0] > most {
			if o[1] < chance {
				break
			}
			most = o[0]
		}
	}
	return least, most
}

// SettledByTrying reports whether a try-on has shown a scale at which the part fits
// for sure: nothing is left to be measured or tried for it.
func (f *Findings) SettledByTrying() bool {
	_, tried := f.TriedScale()
	return tried && f.Testing.Settled
}

// tellsMuch is the share of the scale's uncertainty from which on a measure is worth a
// step of its own (a guess).
const tellsMuch = 0.25

// MeasureFirst returns the measure that is worth being taken before anything is printed:
// it narrows what fits, what is recommended might not fit without, and no try-on has
// settled it. It is empty where there is none.
func (f *Findings) MeasureFirst() string {
	fit := f.Fit
	if fit == nil || len(fit.Helps) == 0 || fit.Helps[0].Cut < tellsMuch || f.SettledByTrying() && !f.Unsettled() {
		return ""
	}
	sure := fit.SmallestInterval != nil && !fit.WornOpened() && fit.Recommended >= fit.SmallestInterval[1] &&
		fit.Recommended+NineInTen*fit.Doubt() <= fit.Loosest
	if sure {
		return ""
	}
	return fit.Helps[0].Measure
}
