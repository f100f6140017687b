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
func measures(region, measure string) bool { return slices.Contains(measuresIn(region), measure) }

// measuresIn names what rests or passes in a region, each once.
func measuresIn(region string) []string {
	r, _ := fit.Of(region)
	var out []string
	for _, s := range r.Sits {
		out = append(out, s.Measure)
	}
	for _, p := range r.Enters {
		if !slices.Contains(out, p.Measure) {
			out = append(out, p.Measure)
		}
	}
	return out
}

// Each of two needs of one measure has so much of its own, mm of girth: on two
// sides of the body what right and left differ by, less √2 (USAF 1967, calf: 4.6);
// on one side where in the part it rests (a guess).
const (
	otherSide = 4.6
	sameSide  = 2.0
)

// otherStation is the measure of a spot in another part.
type otherStation struct {
	part, side string
	tryon.Station
}

// otherAnswers gives what was found in other parts to the spots of the same
// measure. Needs of one measure are the same mm of girth, but for what lies
// between skin and shell in each, and whether it rests or passes.
func (f *Findings) otherAnswers(spots []spot, brief Brief) []Tried {
	var all []Tried
	for _, e := range brief.Tryons {
		if e.Other == nil {
			continue
		}
		region, known := fit.Of(e.Other.Region)
		if !known {
			continue
		}
		shell, passes := e.Other.Shell.on(region), !slices.ContainsFunc(region.Sits, func(s fit.Sit) bool { return s.Measure == e.Station })
		said := false
		for i := range spots {
			if s := &spots[i]; s.measure == e.Station {
				more := layers(shell, passes) - layers(*f.Fit.Shell, s.passes)
				s.learn(e, more, passes, e.Station == region.Lead() && !region.Roomy, shell)
				if !said {
					all = append(all, Tried{
						Part: e.Other.Part, Station: e.Station, Verdict: e.Verdict, Counts: true,
						Percent: 100 * (e.Capacity - more) / s.capacity,
					})
					said = true
				}
			}
		}
	}
	return all
}

// learn adds what was found in another part, in which the measure needs so much
// more.
func (s *spot) learn(e Tryon, more float64, passes, lead bool, shell Shell) {
	at := slices.IndexFunc(s.others, func(o otherStation) bool { return o.part == e.Other.Part })
	if at < 0 {
		o := otherStation{part: e.Other.Part, side: e.Other.Side, Station: s.body}
		o.Mean, o.Window, o.Answers = s.body.Mean+more, math.Inf(1), nil
		if s.passes && !passes { // what is preferred there is slack here
			o.Judge.Slack = math.Hypot(o.Judge.Slack, tryon.PreferredEase)
		}
		if lead && !passes {
			o.Window = shell.Loosest - shell.Ease
		}
		at, s.others = len(s.others), append(s.others, o)
	}
	o := &s.others[at]
	v := tryon.Verdict(e.Verdict)
	if v == tryon.Loose && math.IsInf(o.Window, 1) {
		v = tryon.Fits
	}
	o.Answers = append(o.Answers, tryon.Answer{Capacity: e.Capacity, Verdict: v})
}

// layers is what lies between the girth of the body and what it needs, mm.
func layers(s Shell, passes bool) float64 {
	if passes {
		return 2 * math.Pi * (s.EntryPadding + s.Liner)
	}
	return 2*math.Pi*(s.Padding+s.Liner) + s.Ease
}

// believe is what is known of a spot from its own try-ons and those of others,
// with each station as it is seen.
func (s spot) believe(as func(tryon.Station) tryon.Station) (*tryon.Belief, error) {
	stations, sides := []tryon.Station{as(s.body)}, []string{s.side}
	for _, o := range s.others {
		stations, sides = append(stations, as(o.Station)), append(sides, o.side)
	}
	if len(stations) == 1 {
		return tryon.Believe(stations[0])
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
		return nil, err
	}
	return beliefs[0], nil
}

// asFelt is a station with the ease that the wearer prefers as part of the need.
func (s spot) asFelt(o tryon.Station) tryon.Station {
	o.SD = math.Hypot(o.SD, s.prefers)
	return o
}

// felt is what is believed of the need as the wearer feels it.
func (s spot) felt() (*tryon.Belief, error) { return s.believe(s.asFelt) }

// settled is what is believed of the need by which the part is printed again:
// what is only preferred, which the answers hold as well, is slack there. So is
// what a band does not tell of: that the part itself may sit a little elsewhere.
func (s spot) settled() (*tryon.Belief, error) {
	return s.believe(func(o tryon.Station) tryon.Station {
		o.Judge.Slack = math.Hypot(o.Judge.Slack, math.Hypot(s.prefers, s.strays))
		o.SD = math.Hypot(o.SD, s.strays)
		return o
	})
}
