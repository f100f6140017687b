package analysis

import (
	"fmt"
	"math"
	"slices"

	"gambeson/analysis/fit"
	"gambeson/analysis/tryon"
)

// spot is a place of the part where a girth rests or passes.
type spot struct {
	measure  string
	passes   bool
	capacity float64       // at 100 %
	body     tryon.Station // what is known of the need without what the wearer prefers
	prefers  float64       // mm
	give     float64       // mm less than the need that are still worn
	strays   float64       // mm at 100 %: what the body's place makes of the room
	bands    []Band        // that are cut there, all sheets
	from     []int         // of each answer, its place in what was tried
	side     string        // of the part
	others   []otherStation
	// near are the other spots of the part at which something was found.
	near []nearSpot
}

// What no measure of the body tells of a need: padding that is half a millimetre
// thicker or thinner than said (a guess; 2π of it is girth), and a print that
// comes out larger or smaller (0.25 to 0.78 % measured on PETG and ASA, Zisopol
// et al., PMC12986873).
const (
	paddingDoubt = 2 * math.Pi * 0.5 // mm
	printDoubt   = 0.005             // of the girth
)

// still is how much tighter than skin, padding and liner together a part is
// worn, mm of girth: flesh and foam give (a guess).
const still = 3.0

// spots are the places that decide whether the part fits, but for those that are
// passed by where the part is opened.
func (f *Findings) spots(side string) []spot {
	var out []spot
	add := func(s spot, needed, sd, room float64) {
		if room <= 0 || needed <= 0 || slices.ContainsFunc(out, func(o spot) bool { return o.measure == s.measure && o.passes == s.passes }) {
			return
		}
		s.capacity, s.side = 100*room/f.Percent, side
		s.body.Mean = needed
		s.body.SD = math.Sqrt(sd*sd + paddingDoubt*paddingDoubt + printDoubt*printDoubt*needed*needed)
		s.body.Judge = tryon.UsualJudge()
		for _, b := range f.Bands {
			if b.Measure == s.measure && b.Passes == s.passes && b.Hours > 0 {
				s.bands = append(s.bands, b)
			}
			if b.Measure == s.measure && b.Passes == s.passes && b.Capacity > 0 {
				s.capacity = 100 * b.Capacity / b.Percent // where it rests at that scale
			}
		}
		out = append(out, s)
	}
	for _, e := range f.Fit.Sits {
		if e.Hole {
			continue
		}
		s := spot{measure: e.Measure, prefers: tryon.PreferredEase, give: f.Fit.Shell.Ease + still, strays: 100 * e.Strays / f.Percent}
		s.body.Window = math.Inf(1)
		if e.Measure == f.Fit.Lead && f.Fit.Loosest > 0 {
			s.body.Window = f.Fit.Shell.Loosest - f.Fit.Shell.Ease
			s.body.Wide = callsLoose * s.body.Window
		}
		add(s, e.Needed, e.SD, e.Capacity)
	}
	for _, e := range f.Fit.Entries {
		if !f.Fit.Opened() {
			s := spot{measure: e.Measure, passes: true}
			s.body.Window = math.Inf(1)
			add(s, e.Needed, e.SD, e.Throat)
		}
	}
	return out
}

// scales are those of the fit, percent.
func (f *Fit) scales() fit.Range {
	r := fit.Range{Smallest: f.Smallest, Rests: f.Rests, Loosest: f.Loosest, Recommended: f.Recommended}
	if r.Smallest == 0 {
		r.Smallest = math.Inf(1)
	}
	return r
}

// Opened says that the part is to be opened, by a panel or in halves, for the body to
// get in: at a scale at which it need not be it is loose, or hardly not.
func (f *Fit) Opened() bool { return f.scales().Opened() }

// padded says that no scale suits all of what rests inside: it fits from one on at
// which the leading measure is loose, and gets padding there.
func (f *Fit) padded() bool { return f.Loosest > 0 && f.scales().Worn() > f.Loosest }

// percent is the scale at which it has a capacity.
func (s *spot) percent(mm float64) float64 { return 100 * mm / s.capacity }

// margin is how far a girth is within its limits at a scale, in standard
// deviations of what is known of it, its try-ons with it, and of the ease
// preferred. Where the part is padded there is no limit to how loose it is.
func (s *spot) margin(percent float64, padded bool) float64 {
	b, err := s.felt()
	if err != nil {
		return math.Inf(1)
	}
	within := s.capacity*percent/100 - b.Mean()
	if padded {
		return within / b.SD()
	}
	return min(within, s.body.Window-within) / b.SD()
}

// callsLoose is the standard deviation of the ease from which on a wearer calls a part
// loose, as a share of what lies between that and the ease asked for (a guess).
const callsLoose = 0.4

// onBand is how far from a band a try-on was that still tells of it: half of
// what a tape is wide (common practice, no source).
const onBand = 6.0

// at says whether a try-on was at the spot.
func (s *spot) at(e Tryon) bool {
	if e.Station != "" {
		return s.measure == e.Station
	}
	return slices.ContainsFunc(s.bands, func(b Band) bool { return math.Abs(b.Station-e.Along) <= onBand })
}

// answers gives each try-on of the part to its spot: of a girth that both passes
// and rests, where there is a band. Loose is only the girth by
// which the part counts as loose; at others it says that they are not tight.
func (f *Findings) answers(spots []spot, tryons []Tryon) []Tried {
	var all []Tried
	for _, e := range tryons {
		if e.Other != nil {
			continue
		}
		at := slices.IndexFunc(spots, func(s spot) bool { return s.at(e) && len(s.bands) > 0 })
		if at < 0 {
			at = slices.IndexFunc(spots, func(s spot) bool { return s.at(e) })
		}
		out := Tried{Station: e.Station, Percent: e.Percent, Verdict: e.Verdict, Counts: at >= 0}
		if out.Station == "" {
			out.Station = fmt.Sprintf("%.0f mm", e.Along)
		}
		if at >= 0 {
			s := &spots[at]
			if e.Capacity > 0 {
				out.Percent = 100 * e.Capacity / s.capacity
			}
			told := e.noted(out.Percent)
			var room float64
			if room, out.Padding = e.over(*f.Fit.Shell, s.passes, s.capacity*out.Percent/100); out.Padding != nil {
				out.Percent = s.percent(room)
			}
			if math.Abs(told-out.Percent) > SameScale {
				out.Noted = told
			}
			s.body.Answers = append(s.body.Answers, s.answer(room, e.Verdict))
			s.from = append(s.from, len(all))
		}
		all = append(all, out)
	}
	return all
}

// answered says whether anything was found at the spot, on this part or another.
func (s *spot) answered() bool { return len(s.body.Answers) > 0 || len(s.others) > 0 }

// complained says whether the wearer found the part, or that for the other side, tight or
// loose at the spot.
func (s *spot) complained() bool {
	return complaint(s.body.Answers) || slices.ContainsFunc(s.others, func(o otherStation) bool {
		return s.side != "" && o.side != "" && o.side != s.side && complaint(o.Answers)
	})
}

func complaint(answers []tryon.Answer) bool {
	return slices.ContainsFunc(answers, func(a tryon.Answer) bool { return a.Verdict != tryon.Fits })
}

// answer is what a verdict says at a spot.
func (s *spot) answer(capacity float64, verdict string) tryon.Answer {
	v := tryon.Verdict(verdict)
	if v == tryon.Loose && math.IsInf(s.body.Window, 1) {
		v = tryon.Fits
	}
	return tryon.Answer{Capacity: capacity, Verdict: v}
}
