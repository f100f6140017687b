package suit

import (
	"math"
	"slices"

	"gambeson/analysis"
)

// A part wears the scale of others for little as long as it takes neither dearHours nor the
// share dear of its own hours more, nor is LowBelow likelier to be printed again (guesses).
const (
	dearHours = 1.0
	dear      = 0.03
)

// share says what it costs each part to wear a scale that it would not have by itself.
func (j *judge) share() {
	for i := range j.Parts {
		p, u := &j.Parts[i], j.units[j.unitOf[i]]
		if p.Range == nil || p.Scale <= 0 || p.Stretch != nil || p.Printed > 0 || !j.wornByOthers(i) {
			continue
		}
		own := math.Round(10*u.span.want/j.drawn[i]) / 10
		s := Sharing{Own: own, Misfit: j.unfit(i, own)}
		if f := j.findings[i].Print; f != nil && !j.ByVolume {
			if most := f.At(p.Scale).Hours; most-f.At(own).Hours >= max(dearHours, dear*most) {
				s.Less = most - f.At(own).Hours
			}
		}
		if math.Abs(own-p.Scale) > analysis.HalfStep && (s.Less > 0 || p.Risk.Unfit-s.Misfit >= LowBelow) {
			p.Shares = &s
		}
	}
}

// unfit is the chance that a part does not fit the body at a scale, as Risk.Unfit has it.
func (j *judge) unfit(i int, scale float64) float64 {
	p, f := j.Parts[i], j.findings[i]
	if p.Range.Shown != ([2]float64{}) || f.Fit == nil {
		return j.misfit(i, scale)
	}
	return p.Range.unfit(f, scale)
}

// wornByOthers reports whether a part of another unit has the scale of a part.
func (j *judge) wornByOthers(i int) bool {
	return slices.ContainsFunc(j.Scales, func(g Group) bool {
		return slices.Contains(g.Parts, j.Parts[i].Name) && slices.ContainsFunc(g.Parts, func(name string) bool {
			return j.unitOf[j.index(name)] != j.unitOf[i]
		})
	})
}
