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
	Needed  float64 `json:"needed_mm"`     // width with padding and liner, taken as round
	Rim     float64 `json:"rim_mm"`        // inner width of the rim, the narrower way, at Percent
	Least   float64 `json:"spans_percent"` // scale from which on the rim is wide enough
}

// Spans reports whether the rim reaches over the whole width at Percent.
func (c Cap) Spans() bool { return c.Rim >= c.Needed }

// describeCap compares a cap for a knee or an elbow with the wearer.
func (f *Findings) describeCap(region fit.Region, wearer fit.Wearer, wants fit.Wants) {
	if !region.Rounds() || !f.OnlyCovers() {
		return
	}
	rim := f.capRim()
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

// capRim is the inner width of the rim of a cap, the narrower way: that of the widest section
// on its way, as much larger as the opening has room; 0 where there is no such way.
func (f *Findings) capRim() (rim float64) {
	room := 0.0
	for _, c := range f.Cavities {
		for _, w := range c.Centrelines {
			if w.From != cavity.End && w.To != cavity.End {
				continue
			}
			for _, s := range w.Stations {
				if s.Ellipse == nil || s.Capacity <= room {
					continue
				}
				room, rim = s.Capacity, s.Ellipse[1]
				for _, o := range c.Openings {
					if o.Name == w.From || o.Name == w.To {
						rim *= max(1, o.Capacity/s.Capacity)
					}
				}
			}
		}
	}
	return rim
}
