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
		var pads *[2]float64
		e.Capacity, pads = e.over(shell, passes, e.Capacity)
		said := false
		// A tape that was laid round both sides tells them apart: what the smaller finds
		// loose does not make the larger smaller.
		larger := brief.differs(e.Station, brief.Region.Side, e.Other.Side)
		for i := range spots {
			if s := &spots[i]; s.measure == e.Station {
				more := layers(shell, passes) - layers(*f.Fit.Shell, s.passes)
				s.learn(e, more+larger, passes, e.Station == region.Lead() && !region.Roomy, shell)
				if !said {
					all = append(all, Tried{
						Part: e.Other.Part, Station: e.Station, Verdict: e.Verdict, Counts: true,
						Percent: 100 * (e.Capacity - more) / s.capacity, Differs: larger, Padding: pads,
						Across: e.Other.Region == brief.Region.Name && e.Other.Side != brief.Region.Side && larger == 0,
					})
					said = true
				}
			}
		}
	}
	return all
}

// learn adds what was found in another part, in which the measure needs so much
// more, or is so much larger.
func (s *spot) learn(e Tryon, more float64, passes, lead bool, shell Shell) {
	at := slices.IndexFunc(s.others, func(o otherStation) bool { return o.part == e.Other.Part })
	if at < 0 {
		o := otherStation{part: e.Other.Part, side: e.Other.Side, Station: s.body}
		o.Mean, o.Window, o.Wide, o.Answers = s.body.Mean+more, math.Inf(1), 0, nil
		if s.passes && !passes { // what is preferred there is slack here
			o.Judge.Slack = math.Hypot(o.Judge.Slack, tryon.PreferredEase)
		}
		if lead && !passes {
			o.Window = shell.Loosest - shell.Ease
			o.Wide = callsLoose * o.Window
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

// differs is by how much a girth was measured larger on another side of the body than on
// this one, mm; 0 where not both were given, or it is one side.
func (b Brief) differs(measure, side, other string) float64 {
	if side == "" || other == "" || side == other {
		return 0
	}
	here, known := b.Wearer.Measure(measure, side)
	there, too := b.Wearer.Measure(measure, other)
	if !known || !too {
		return 0
	}
	return there - here
}

// layers is what lies between the girth of the body and what it needs, mm.
func layers(s Shell, passes bool) float64 {
	if passes {
		return 2 * math.Pi * (s.EntryPadding + s.Liner)
	}
	return 2*math.Pi*(s.Padding+s.Liner) + s.Ease
}

// alike is the correlation of two stations of one measure, each known to sd: 0 is
// the part's own, n the nth other.
func (s *spot) alike(sd float64, a, b int) float64 {
	side := func(at int) string {
		if at == 0 {
			return s.side
		}
		return s.others[at-1].side
	}
	own := sameSide
	if side(a) != side(b) {
		own = otherSide
	}
	common := moves(sd, own)
	return tryon.Correlation(common, min(own, sd), min(own, sd))
}

// moves is the standard deviation of what moves a need known to sd and those of
// the same measure in other parts alike.
func (s *spot) moves(sd float64) float64 {
	if len(s.others) == 0 {
		return sd
	}
	return moves(sd, otherSide)
}

func moves(sd, own float64) float64 { return math.Sqrt(max(0, sd*sd-own*own)) }
