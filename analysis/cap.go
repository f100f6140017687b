package analysis

import (
	"math"

	"gambeson/analysis/cavity"
	"gambeson/analysis/fit"
)

// Cap compares the rim of a cap that lies on a joint with the joint's width: nothing rests
// in it, but one that is narrower does not reach its sides.
type Cap struct {
	Measure string  `json:"measure"` // girth of the joint
	Body    float64 `json:"body_mm"`
	Source  string  `json:"source"` // measured or estimated
	SD      float64 `json:"sd_mm,omitempty"`
	Needed  float64 `json:"needed_mm"` // width with padding and liner, taken as round
	Rim     float64 `json:"rim_mm"`    // inner width of the rim, the narrower way, at Percent
	Least   float64 `json:"spans_percent"` // scale from which on the rim is wide enough
}

// Spans reports whether the rim reaches over the whole width at Percent.
func (c Cap) Spans() bool { return c.Rim >= c.Needed }

// describeCap compares a cap for a knee or an elbow with the wearer.
func (f *Findings) describeCap(region fit.Region, wearer fit.Wearer, wants fit.Wants) {
	if !region.Rounds() || !f.OnlyCovers() {
		return
	}
	rim := 0.0
	for _, w := range f.Ways() {
		if w.From != cavity.End && w.To != cavity.End {
			continue
		}
		for _, s := range w.Stations {
			if s.Ellipse != nil {
				rim = max(rim, s.Ellipse[1])
			}
		}
	}
	lead := region.Lead()
	body, known := wearer.Of(lead)
	if rim == 0 || !known {
		return
	}
	needed := (body.Mean + wants.Layer()) / math.Pi
	f.Fit.Cap = &Cap{
		Measure: lead, Body: body.Mean, Source: source(body.Given), SD: body.SD,
		Needed: needed, Rim: rim, Least: f.Percent * needed / rim,
	}
}
