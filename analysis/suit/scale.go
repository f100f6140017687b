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
	for _, sure := range []float64{0.9, 0.8, 0.7, 0.6} {
		safe := j.fewestFor(limits{bed: by.bed, sure: sure})
		if len(safe.scales) == len(best.scales) && j.over(safe) <= j.over(best) {
			best, by.sure = safe, sure
			break
		}
	}
	if by.kept = j.kept(best); slices.Max(by.kept) > 0 {
		if kept := j.fewestFor(by); len(kept.scales) <= len(best.scales) && j.over(kept) <= j.over(best) {
			best = kept
		}
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
// little (a guess, as much as AsGood in tryon).
const stays = 0.02

// kept returns for each unit the scale that somebody set for all of its parts, or at which
// they were found to fit, where it is nearly as good as the best; 0 where none is.
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
			set = set && (p.Wanted != 100 || j.fitted(i)) && (at == 0 || math.Abs(scale-at) <= analysis.SameScale) && u.span.holds(scale)
			at = scale
			worse += j.misfit(i, p.Wanted) - j.misfit(i, j.scaleOf(best, i))
			n++
		}
		// Of a pair that wants two scales one side is always worse off: both together
		// count, or it goes back and forth.
		if set && worse <= stays*n {
			out[k] = at
		}
	}
	return out
}

// fitted reports whether a part, or the other of its pair, was tried on at the scale that
// its findings are for, and fits: then that is as good as set, be it the file's own.
func (j *judge) fitted(i int) bool {
	t := j.findings[i].Testing
	return t != nil && slices.ContainsFunc(t.Tried, func(e analysis.Tried) bool {
		return e.Fits() && j.onLike(i, e) && math.Abs(e.Percent-j.Parts[i].Wanted) <= analysis.SameScale
	})
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
			narrow(r.likely().times(j.drawn[i]))
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
// several.
func (j *judge) follow() {
	own := map[string]float64{}
	for _, p := range j.Parts {
		if n := p.Region.Name; p.Scale > 0 && n != "" && (own[n] == 0 || p.Scale < own[n]) {
			own[n] = p.Scale
		}
	}
	for i := range j.Parts {
		p := &j.Parts[i]
		if p.Scale > 0 || p.Stretch != nil || p.Region.Name == "" {
			continue
		}
		for _, region := range nearest(p.Region.Name) {
			if own[region] > 0 {
				p.Scale, p.Follows = own[region], true
				break
			}
		}
	}
}
