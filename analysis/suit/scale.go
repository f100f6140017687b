package suit

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis"

	"gonum.org/v1/gonum/stat/distuv"
)

// Group is the parts that share a scale.
type Group struct {
	Scale float64
	Parts []string // in the order of Suit.Parts
	Over  []string // those of them that the bed does not take at this scale
	// Opened are those that the body gets into only by a panel or in halves,
	// Loose those that are too loose at every scale that is wide enough.
	Opened, Loose []string
}

// scale finds the fewest scales at which every part is likely enough to fit, and
// gives the parts theirs. Where as many scales also keep to the bed, those are taken, and of those the ones that are
// the surest for every part; where the bed asks for more scales, they are told
// beside.
func (j *judge) scale() {
	best := j.fewestFor(limits{})
	if best == nil {
		return
	}
	onBed := j.fewestFor(limits{bed: true})
	by := limits{}
	if better := j.over(onBed) < j.over(best); better && len(onBed.scales) == len(best.scales) {
		best, by.bed = onBed, true
	} else if better {
		j.OnBed = j.groups(onBed)
	}
	for _, sure := range sureness {
		safe := j.fewestFor(limits{bed: by.bed, sure: sure})
		if len(safe.scales) == len(best.scales) && j.over(safe) <= j.over(best) {
			best, by.sure = safe, sure
			break
		}
	}
	if by.kept = j.kept(best); slices.Max(by.kept) > 0 {
		best = j.keep(by)
	}
	j.Scales = j.groups(best)
	for i := range best.of {
		j.Parts[i].Scale = j.scaleOf(best, i)
	}
	for i, p := range j.Parts {
		if p.Printed > 0 {
			j.Parts[i].Scale = p.Printed
		}
	}
	j.follow()
}

// sureness are the chances tried in turn for limits.sure.
var sureness = []float64{0.9, 0.8, 0.7, 0.6}

// keep finds the fewest scales for the units that keep none, as sure as that many can be.
// What is kept stays though it makes a scale more: whoever set one would have to set, and
// perhaps to print, it anew with each thing that is learnt of another part.
func (j *judge) keep(by limits) *shared {
	by.sure = 0
	best := j.fewestFor(by)
	for _, by.sure = range sureness {
		if safe := j.fewestFor(by); len(safe.scales) == len(best.scales) && j.over(safe) <= j.over(best) {
			return safe
		}
	}
	return best
}

// limits say what more than fitting the body, and that likely enough, is asked
// of a scale.
type limits struct {
	bed bool // the bed takes the part, where it can at all
	// sure is the chance with which the part is to be wide enough and that with
	// which it is not to be too loose, as far as that leaves a scale; 0 where
	// what is likely enough will do.
	sure float64
	// kept are the scales that units keep, by their number; 0 where one is free.
	kept []float64
}

// stays is how much likelier a part may be to be printed again at the scale that is set
// than at another and still keep it: whoever set a scale is not told to set another for
// little (a guess, as much as what a part by itself is moved for: worthMoving in analysis).
const stays = 0.05

// kept returns for each unit the scale that somebody set for all of its parts, or at which
// they were found to fit, where it is nearly as good as the best, or where what was found
// there has nothing against it; 0 where none is.
func (j *judge) kept(best *shared) []float64 {
	out := make([]float64, len(j.units))
	for k, u := range j.units {
		at, worse, n, set := 0.0, 0.0, 0.0, true
		for _, i := range u.parts {
			p := &j.Parts[i]
			if p.Range == nil || p.Stretch != nil {
				continue
			}
			scale := p.Wanted * j.drawn[i]
			if p.Range.Loosest <= 0 && p.Wanted > oneSize*p.Range.Recommended && !j.fitted(i) {
				set = false // nothing makes it loose, but it is far larger than it has to be
			}
			set = set && j.chosen(i) && (!p.OverBed(p.Wanted) || p.OverBed(j.scaleOf(best, i))) && (at == 0 || math.Abs(scale-at) <= analysis.SameScale) && u.span.holds(scale)
			at = scale
			worse += j.misfit(i, p.Wanted) - j.misfit(i, j.scaleOf(best, i))
			n++
		}
		// Of a pair that wants two scales one side is always worse off: both together
		// count, or it goes back and forth.
		if set && (worse <= stays*n || j.foundGood(u) || j.stretchedWell(u)) {
			out[k] = at
		}
	}
	return out
}

// chosen reports whether somebody chose the scale that a part has: set it, rescaled the file
// along its axes to it, or found it to fit.
func (j *judge) chosen(i int) bool {
	f := j.findings[i]
	return f.Percent != 100 || f.PercentSet || f.Stretched || j.fitted(i)
}

// stretchedWell reports whether the files of a unit were rescaled along their axes, and fit
// so by all that is known: another scale for all of it would spoil what was just mended.
func (j *judge) stretchedWell(u unit) bool {
	return !slices.ContainsFunc(u.parts, func(i int) bool {
		f := j.findings[i]
		return !f.Stretched || f.Fit == nil || f.Fit.Verdict != "fits" || f.Fit.Chance < 1-mostMisfit
	})
}

// foundGood reports whether the parts of a unit were found to fit at the scale that is set,
// nothing else that was found speaks against that, and what no try-on has answered does not
// make it too likely that they are printed again: whoever did as told, and found that it
// fits, is not sent to another scale.
func (j *judge) foundGood(u unit) bool {
	found := false
	for _, i := range u.parts {
		f, p := j.findings[i], j.Parts[i]
		if p.Range == nil || p.Stretch != nil {
			continue
		}
		fits, against := f.FoundAt(p.Wanted, func(e analysis.Tried) bool { return j.onLike(i, e) })
		if against || j.misfit(i, p.Wanted) > mostMisfit {
			return false
		}
		found = found || fits
	}
	return found
}

// fitted reports whether a part, or the other of its pair, was tried on at the scale that
// its findings are for, and fits: then that is as good as set, be it the file's own.
func (j *judge) fitted(i int) bool {
	fits, _ := j.findings[i].FoundAt(j.Parts[i].Wanted, func(e analysis.Tried) bool { return j.onLike(i, e) })
	return fits
}

// onLike reports whether a try-on that tells of part i was found on that, or on one that
// has to keep its scale; else it was found where another part covers the same girth, and
// its percent is only worth as much.
func (j *judge) onLike(i int, e analysis.Tried) bool {
	return e.Part == "" || slices.ContainsFunc(j.units[j.unitOf[i]].parts, func(k int) bool { return j.Parts[k].Name == e.Part })
}

// misfit is the chance that a part is printed again at a scale.
func (j *judge) misfit(i int, scale float64) float64 {
	if r := j.Parts[i].Range; r.Shown == [2]float64{} {
		return r.misfit(scale)
	}
	return 1 - j.findings[i].Testing.ChanceAt(scale)
}

// spanOf returns the scales at which unit k keeps to the limits.
func (j *judge) spanOf(k int, l limits) span {
	u := j.units[k]
	s := u.span
	if l.kept != nil && l.kept[k] > 0 {
		return span{lo: l.kept[k], hi: l.kept[k], want: l.kept[k], weight: float64(len(u.parts))}
	}
	narrow := func(to span) {
		s.lo, s.hi = max(s.lo, min(to.lo, s.want)), min(s.hi, max(to.hi, s.want))
	}
	for _, i := range u.parts {
		if r := j.Parts[i].Range; r != nil && j.Parts[i].Stretch == nil {
			narrow(r.worth().times(j.drawn[i]))
		}
	}
	if l.bed {
		for _, i := range u.parts {
			if b := j.Parts[i].Bed * j.drawn[i]; b >= s.lo && j.Parts[i].Stretch == nil {
				s.hi = min(s.hi, b)
			}
		}
		s.want = s.clamp(s.want)
	}
	if l.sure > 0 {
		for _, i := range u.parts {
			if r := j.Parts[i].Range; r != nil && j.Parts[i].Stretch == nil {
				off := distuv.UnitNormal.Quantile(l.sure) * r.SD * j.drawn[i]
				narrow(span{lo: u.span.lo + off, hi: u.span.hi - off})
			}
		}
	}
	s.want = s.clamp(s.want)
	s.weight = float64(len(u.parts))
	return s
}

// shared is what each part wears, by its index.
type shared struct {
	scales []float64
	of     map[int]int
	kept   map[int]bool // those that keep the scale that is set
}

// fewestFor returns the fewest scales within limits for the units whose span is
// known, nil where there are none.
func (j *judge) fewestFor(l limits) *shared {
	var all []worn
	var wider []span
	var units []unit
	for k, u := range j.units {
		if u.known {
			all, units = append(all, worn{j.spanOf(k, l), j.region(u)}), append(units, u)
			wider = append(wider, j.spanOf(k, limits{bed: l.bed, kept: l.kept}))
		}
	}
	if len(all) == 0 {
		return nil
	}
	found := fewest(all)
	found.settle(all, wider)
	out := &shared{scales: found.scales, of: map[int]int{}, kept: map[int]bool{}}
	for k, u := range units {
		for _, i := range u.parts {
			if j.Parts[i].Stretch == nil {
				out.of[i] = found.of[k]
				out.kept[i] = j.Parts[i].Range != nil && l.kept != nil && l.kept[j.unitOf[i]] > 0
			}
		}
	}
	return out
}

// scaleOf is the scale that a part wears, of its own file; what is printed has its own.
func (j *judge) scaleOf(s *shared, i int) float64 {
	if printed := j.Parts[i].Printed; printed > 0 {
		return printed
	}
	if s.kept[i] {
		return j.Parts[i].Wanted
	}
	scale := s.scales[s.of[i]]
	if j.drawn[i] == 1 {
		return scale
	}
	return math.Round(10*scale/j.drawn[i]) / 10
}

// groups lists the parts by scale.
func (j *judge) groups(s *shared) []Group {
	var out []Group
	for i, p := range j.Parts {
		if _, in := s.of[i]; !in {
			continue
		}
		scale := j.scaleOf(s, i)
		at := slices.IndexFunc(out, func(g Group) bool { return g.Scale == scale })
		if at < 0 {
			at, out = len(out), append(out, Group{Scale: scale})
		}
		g := &out[at]
		g.Parts = append(g.Parts, p.Name)
		if p.OverBed(scale) {
			g.Over = append(g.Over, p.Name)
		}
		if p.Range != nil && p.Range.Opened {
			g.Opened = append(g.Opened, p.Name)
		}
		if p.Range != nil && p.Range.Point {
			g.Loose = append(g.Loose, p.Name)
		}
	}
	slices.SortStableFunc(out, func(a, b Group) int { return cmp.Compare(a.Scale, b.Scale) })
	return out
}

// over counts the parts that the bed does not take.
func (j *judge) over(s *shared) int {
	n := 0
	for i := range s.of {
		if j.Parts[i].OverBed(j.scaleOf(s, i)) {
			n++
		}
	}
	return n
}

// follow gives the parts without a range the scale of the nearest region that
// has one, so that the suit looks of one make; the lowest where its parts wear
// several, of its own side where the two differ. What is of one side, and no pair,
// follows that side, then what has none, then the other.
func (j *judge) follow() {
	own, sided := map[string]float64{}, map[[2]string]float64{}
	for _, p := range j.Parts {
		n, at := p.Region.Name, [2]string{p.Region.Name, p.Region.Side}
		if p.Scale <= 0 || n == "" {
			continue
		}
		if own[n] == 0 || p.Scale < own[n] {
			own[n] = p.Scale
		}
		if sided[at] == 0 || p.Scale < sided[at] {
			sided[at] = p.Scale
		}
	}
	for i := range j.Parts {
		p := &j.Parts[i]
		if p.Scale > 0 || p.Stretch != nil || p.Region.Name == "" {
			continue
		}
		regions := nearest(p.Region.Name)
		if p.Region.Side != "" && !j.bothSides(i) {
			for _, side := range []string{p.Region.Side, ""} {
				for _, region := range regions {
					if at := sided[[2]string{region, side}]; at > 0 && p.Scale <= 0 {
						p.Scale, p.Follows = at, true
					}
				}
			}
		}
		for _, region := range regions {
			if own[region] > 0 && p.Scale <= 0 {
				p.Scale, p.Follows = own[region], true
				if at := sided[[2]string{region, p.Region.Side}]; at > 0 && p.Region.Side != "" {
					p.Scale = at
				}
			}
		}
	}
	for i := range j.Parts {
		j.span(i)
	}
}

// span gives a cap that lies on a joint the least whole scale at which its rim reaches across,
// where the scale that it follows is less. One whose scale suit.toml sets is left narrower,
// as it may be meant only for the front.
func (j *judge) span(i int) {
	p, f := &j.Parts[i], j.findings[i]
	if p.Scale > 0 && !p.Follows || f == nil || f.PercentSet || f.Fit == nil || f.Fit.Cap == nil {
		return
	}
	if least := f.Fit.Cap.Least; p.Scale < least-analysis.SameScale {
		p.Scale, p.Follows, p.Spans = math.Ceil(least-analysis.SameScale), true, true
	}
}

// bothSides reports whether a part shares its scale with one of the other side: apart from
// that it would look odd.
func (j *judge) bothSides(i int) bool {
	return slices.ContainsFunc(j.units[j.unitOf[i]].parts, func(k int) bool {
		side := j.Parts[k].Region.Side
		return side != "" && side != j.Parts[i].Region.Side
	})
}
