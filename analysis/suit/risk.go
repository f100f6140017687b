package suit

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis"

	"gonum.org/v1/gonum/stat/distuv"
)

// Level is a risk in a word.
type Level string

// The levels of risk. The bounds follow the words of the reports: what holds 9
// times in 10 is sure enough; more than one misfit in three is not (a guess).
const (
	Low     Level = "low"
	Some    Level = "some"
	High    Level = "high"
	Unknown Level = "unknown" // nothing is known of the body there

	LowBelow = 0.1 // chance of a misfit
	highFrom = 1.0 / 3
)

// Risk is how likely the print of a part is wrong, and why.
type Risk struct {
	Level Level
	// At is the scale that it is judged at: the suit's, or the one wanted where
	// no range is known.
	At     float64
	Misfit float64 // chance, 0–1, that the print is of no use
	Unfit  float64 // of that, the chance that it does not fit the body: all that a test tells of
	Cost   float64 // of one print: h, or mm³ of material (Suit.ByVolume)
	// The reasons. What is known of the body is one where it leaves more than a
	// low risk.
	Estimated []string // measures that decide there and are only estimated
	Uncertain bool     // the scale that fits is not known well enough
	TooSmall  bool     // At is below the smallest scale
	TooLarge  bool     // At is above the loosest
	TooShort  bool     // for a length of the body, at At
	TooLong   bool
	NoRoom    bool // for a length of the body itself
	Blocked   bool // solid where the body goes
	OpenMesh  bool
	OverBed   bool // at At
	Opened    bool // it must be opened to get in
	NoWay     bool // nothing goes through: it only covers
}

// Stake is what a wrong print of a part would cost, or of all parts that share
// a fate: a pair, the pieces of a shell.
type Stake struct {
	Parts  []string
	Misfit float64 // chance of the likelier of them
	Cost   float64 // of printing them all: h, or mm³ (Suit.ByVolume)
}

// doubt is the chance that a print is spoilt by a mesh that is open, by being
// parted for the bed or by being too long or a little too short, which can often be
// cut off, padded or worn: a guess, to rank by.
const doubt = 0.1

// weigh judges the risk of every part and ranks parts and pairs by what a
// wrong print is expected to cost.
func (j *judge) weigh() {
	j.costs()
	for i := range j.Parts {
		j.Parts[i].Risk = j.risk(j.Parts[i], j.findings[i])
		j.Parts[i].Risk.Cost = j.cost[i]
	}
	for _, u := range j.units {
		var s Stake
		for _, i := range u.parts {
			if r := j.Parts[i].Risk; r.Level != Unknown && r.Misfit > 0 {
				s.Parts = append(s.Parts, j.Parts[i].Name)
				s.Misfit = max(s.Misfit, r.Misfit)
				s.Cost += r.Cost
			}
		}
		if s.Parts != nil {
			j.Stakes = append(j.Stakes, s)
		}
	}
	slices.SortStableFunc(j.Stakes, func(a, b Stake) int { return cmp.Compare(b.Misfit*b.Cost, a.Misfit*a.Cost) })
}

// costs says what each part costs to print: hours where those of all parts and
// bands are known, else its material.
func (j *judge) costs() {
	for _, f := range j.findings {
		if f.Print == nil || f.Print.Hours <= 0 ||
			slices.ContainsFunc(f.Bands, func(b analysis.Band) bool { return b.Hours <= 0 }) {
			j.ByVolume = true
		}
	}
	for i, f := range j.findings {
		cost, scale := 0.0, j.Parts[i].Planned()
		if j.ByVolume {
			cost = j.material(f, scale/100)
		} else {
			cost = f.Print.At(scale).Hours
		}
		j.cost = append(j.cost, cost)
	}
}

// material returns the volume of a part in mm³ at a factor. That of a mesh
// that is not closed is not defined; its sheet is taken to be printed with the
// printer's walls.
func (j *judge) material(f *analysis.Findings, factor float64) float64 {
	switch m := f.Mesh; {
	case m == nil:
		return 0
	case m.Closed:
		return math.Abs(m.Volume) * factor * factor * factor
	default:
		return m.Area * factor * factor * float64(j.brief.Printer.Walls) * j.brief.Printer.Nozzle
	}
}

func (j *judge) risk(p Part, f *analysis.Findings) Risk {
	r := Risk{At: p.Planned(), NoWay: f.OnlyCovers(), Opened: p.Range != nil && p.Range.Opened}
	r.OverBed = p.OverBed(r.At)
	if p.Stretch != nil {
		r.OverBed = !p.Stretch.Fits
	} else {
		r.lengths(f.Fit, f.Percent)
	}
	for _, w := range f.Warnings {
		switch w.Code {
		case "mesh-open":
			r.OpenMesh = w.Level == analysis.LevelWarning
		case "solid-block":
			r.Blocked = true
		}
	}
	misfit, known := r.chance(p, f)
	if !known {
		r.Level = Unknown
		return r
	}
	r.Unfit = misfit
	if misfit > LowBelow {
		r.blame(p, f)
	}
	fits := 1 - misfit
	for _, d := range []bool{r.OpenMesh, r.OverBed, r.TooLong, r.TooShort} {
		if d {
			fits *= 1 - doubt
		}
	}
	r.Misfit = 1 - fits
	switch {
	case r.Misfit >= highFrom:
		r.Level = High
	case r.Misfit >= LowBelow-tolerance:
		r.Level = Some
	default:
		r.Level = Low
	}
	return r
}

// lengths says whether the part is too short or too long for the body.
// percent is the scale that the findings are for.
func (r *Risk) lengths(fit *analysis.Fit, percent float64) {
	if fit == nil {
		return
	}
	for _, l := range fit.Lengths {
		r.TooShort = r.TooShort || r.At < l.Smallest-analysis.SameScale
		r.NoRoom = r.NoRoom || l.Smallest > 0 && l.Room*r.At/percent < l.Body
		r.TooLong = r.TooLong || l.Largest > 0 && r.At > l.Largest+analysis.SameScale
	}
}

// blame says what about the body makes the risk.
func (r *Risk) blame(p Part, f *analysis.Findings) {
	switch {
	case p.Range == nil:
	case p.Stretch != nil: // the range is of the shape before it
		r.Uncertain = true
	default:
		s := p.Range.span()
		r.TooSmall = r.At < s.lo-tolerance
		r.TooLarge = r.At > s.hi+tolerance && !p.Range.Point
		r.Uncertain = p.Range.SD > 0
	}
	r.Estimated = estimated(f.Fit)
}

// estimated names the measures that rest or pass in a part, were not given and
// tell noticeably; where there is none, the one that tells most, such as the
// place where a girth rests.
func estimated(fit *analysis.Fit) []string {
	if fit == nil {
		return nil
	}
	var out []string
	for _, h := range fit.Helps {
		there := slices.ContainsFunc(fit.Sits, func(s analysis.Sit) bool { return s.Measure == h.Measure }) ||
			slices.ContainsFunc(fit.Entries, func(e analysis.Entry) bool { return e.Measure == h.Measure })
		if there && h.Cut >= noticeable {
			out = append(out, h.Measure)
		}
	}
	if len(out) == 0 && len(fit.Helps) > 0 {
		return []string{fit.Helps[0].Measure}
	}
	return out
}

// unfit is the chance that a part does not fit at a scale that it does not have yet, as
// Fit.Chance will have it once that is set: by where its least scale may lie, and without
// what its length allows, which is told apart. Interval, by which misfit goes, is of what is
// recommended, which hardly moves between two ends; whoever set it as told would read of
// another risk. What is loose is so by the leading measure alone, which is often known
// better than the one that asks for most.
func (r *Range) unfit(f *analysis.Findings, at float64) float64 {
	fit := f.Fit
	least := fit.SmallestInterval
	if r.Opened {
		least = fit.RestsInterval
	}
	sd := analysis.Spread(least)
	if sd == 0 || r.Point {
		return r.misfit(at)
	}
	loose, looseSD := 0.0, sd
	if s, ok := fit.LeadSit(); ok && s.SD > 0 && s.Capacity > 0 {
		looseSD = s.SD / s.Capacity * f.Percent
	}
	if fit.Loosest > 0 {
		loose = distuv.UnitNormal.CDF((at - fit.Loosest) / looseSD)
	}
	return min(1, distuv.UnitNormal.CDF(((least[0]+least[1])/2-at)/sd)+loose)
}

// chance returns the chance of a misfit at r.At by what is known of the body;
// known is false where nothing is.
func (r Risk) chance(p Part, f *analysis.Findings) (misfit float64, known bool) {
	fit := f.Fit
	switch {
	case r.Blocked || r.NoRoom:
		return 1, true
	case r.NoWay:
		return 0, true
	case p.Stretch != nil && p.Stretch.Chance > 0: // it is another shape then than what the range is of
		return 1 - p.Stretch.Chance, true
	case p.Range != nil && p.Range.Shown != [2]float64{}:
		return 1 - f.Testing.ChanceAt(r.At), true
	case fit != nil && (fit.Chance > 0 || fit.SmallestInterval != nil) && math.Abs(r.At-p.Wanted) < analysis.SameScale:
		return 1 - fit.Chance, true
	case p.Range != nil:
		return p.Range.unfit(f, r.At), true
	case fit == nil:
		return 0, false
	}
	switch fit.Verdict {
	case "tight", "loose", "blocked":
		return 1, true
	case "fits":
		return 0, true
	}
	return 0, false
}
