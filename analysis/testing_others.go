package analysis

import (
	"math"
	"slices"

	"gambeson/analysis/fit"
	"gambeson/analysis/fit/guess"
	"gambeson/analysis/tryon"
)

// OtherPart is a part of the suit in which a measure rests, or passes, that does
// so in the part asked about as well.
type OtherPart struct {
	Part   string `json:"part"`
	Region string `json:"region"`
	Side   string `json:"side"`
	Shell  Shell  `json:"shell"` // as asked for
}

// Concerned returns the part of another brief where what is found there of a
// measure tells of this one too, as far as suit.toml and the names of both say
// what they cover; else nil.
func (b Brief) Concerned(other Brief, measure string) *OtherPart {
	mine, _ := b.covers()
	region, side := other.covers()
	if measure == "" || !measures(mine, measure) || !measures(region, measure) {
		return nil
	}
	return &OtherPart{Part: other.Part, Region: region, Side: side, Shell: other.Shell}
}

// covers is the region and the side by what is asked, else by the name.
func (b Brief) covers() (region, side string) {
	name, named, _, _ := guess.FromName(b.Part)
	region, side = b.Region.Name, b.Region.Side
	if region == "" {
		region = name
	}
	if side == "" {
		side = named
	}
	return region, side
}

// measures says whether a measure rests or passes in a region.
func measures(region, measure string) bool {
	r, ok := fit.Of(region)
	return ok && (slices.ContainsFunc(r.Sits, func(s fit.Sit) bool { return s.Measure == measure }) ||
		slices.ContainsFunc(r.Enters, func(p fit.Passage) bool { return p.Measure == measure }))
}

// Each of two needs of one measure has so much of its own, mm of girth: on two
// sides of the body what right and left differ by, less √2 (USAF 1967, calf: 4.6);
// on one side where in the part it rests (a guess).
const (
	otherSide = 4.6
	sameSide  = 2.0
)

// otherStation is the deciding measure in another part.
type otherStation struct {
	part, side string
	tryon.Station
}

// otherAnswers gathers what was found of the deciding measure in other parts, by
// part. Needs of one measure are the same mm of girth, but for what lies between
// skin and shell in each.
func (f *Findings) otherAnswers(t *asking, brief Brief) {
	main := t.spots[t.main]
	t.side = brief.Region.Side
	for _, e := range brief.Tryons {
		o := e.Other
		if o == nil || e.Station != main.measure {
			continue
		}
		region, known := fit.Of(o.Region)
		if !known || main.passes && o.Region != brief.Region.Name {
			continue
		}
		shell := o.Shell.on(region)
		more := layers(shell, main.passes) - layers(*f.Fit.Shell, main.passes)
		at := slices.IndexFunc(t.others, func(s otherStation) bool { return s.part == o.Part })
		if at < 0 {
			s := otherStation{part: o.Part, side: o.Side, Station: t.q.Station()}
			s.Mean, s.Window, s.Answers = s.Mean+more, math.Inf(1), nil
			if main.measure == region.Lead() {
				s.Window = shell.Loosest - shell.Ease
			}
			at, t.others = len(t.others), append(t.others, s)
		}
		s := &t.others[at]
		v := tryon.Verdict(e.Verdict)
		if v == tryon.Loose && math.IsInf(s.Window, 1) {
			v = tryon.Fits
		}
		s.Answers = append(s.Answers, tryon.Answer{Capacity: e.Capacity, Verdict: v})
		t.tried = append(t.tried, Tried{
			Part: o.Part, Station: e.Station, Verdict: e.Verdict, Counts: true,
			Percent: 100 * (e.Capacity - more) / t.q.Capacity,
		})
	}
}

// layers is what lies between the girth of the body and what it needs, mm.
func layers(s Shell, passes bool) float64 {
	if passes {
		return 2 * math.Pi * (s.EntryPadding + s.Liner)
	}
	return 2*math.Pi*(s.Padding+s.Liner) + s.Ease
}

// plan answers the question by the try-ons of the part and of others.
func (t *asking) plan() (tryon.Plan, error) {
	stations, sides := []tryon.Station{t.q.Station()}, []string{t.side}
	for _, o := range t.others {
		stations, sides = append(stations, o.Station), append(sides, o.side)
	}
	if len(stations) == 1 {
		return t.q.Plan()
	}
	sd := stations[0].SD
	beliefs, err := tryon.Share(stations, func(i, j int) float64 {
		own := sameSide
		if sides[i] != sides[j] {
			own = otherSide
		}
		own = min(own, sd)
		return tryon.Correlation(math.Sqrt(sd*sd-own*own), own, own)
	})
	if err != nil {
		return tryon.Plan{}, err
	}
	return t.q.PlanBy(beliefs[0])
}
