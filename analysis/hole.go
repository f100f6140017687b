package analysis

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// leastCut is how far at least, in mm, a rim is cut back: what a file takes off (a guess).
const leastCut = 1.0

// TightHoles are the sits at holes that are too small for the body once the part is of a
// scale, in percent, and how far back their rims are to be cut all round, whole mm: the curve at
// a distance r round a convex one is 2πr longer (Steiner). Less than a millimetre is not
// worth a cut.
func (f *Findings) TightHoles(percent float64) (holes []Sit, back float64) {
	if f.Fit == nil || !(f.Percent > 0) {
		return nil, 0
	}
	for _, s := range f.Fit.Sits {
		if r := s.Lacks(percent/f.Percent) / (2 * math.Pi); s.Hole && r >= leastCut {
			holes, back = append(holes, s), max(back, r)
		}
	}
	return holes, math.Ceil(back - 1e-6) // past the rounding of sums
}

// warnHoles warns of holes that are too small for what comes out there.
func (f *Findings) warnHoles() {
	holes, back := f.TightHoles(f.Percent)
	if len(holes) == 0 {
		return
	}
	s := slices.MaxFunc(holes, func(a, b Sit) int { return cmp.Compare(a.Lacks(1), b.Lacks(1)) })
	f.warn("hole-tight", fmt.Sprintf("%s too small for the %s: with padding and ease that needs %s mm, and has %s mm. Cut %s back by about %.0f mm all round. No scale of the part is chosen for it.",
		holeWords(holes), bodyWords(s.Measure, s.Source, s.Body, s.SD), tenths(s.Needed), tenths(s.Capacity), oneOrMore(holes, "its rim", "their rims"), back))
}

// holeWords names holes by their openings, with the verb that follows.
func holeWords(holes []Sit) string {
	var names []string
	for _, s := range holes {
		names = append(names, s.To)
	}
	return oneOrMore(holes, "The hole at opening ", "The holes at openings ") + strings.Join(names, " and ") + oneOrMore(holes, " is", " are")
}

func oneOrMore(holes []Sit, one, more string) string {
	if len(holes) > 1 {
		return more
	}
	return one
}
