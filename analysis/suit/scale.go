package suit

import (
	"cmp"
	"slices"
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

// scale finds the fewest scales, gives the parts theirs, and looks whether
// other scales would keep more of them on the bed.
func (j *judge) scale() {
	all := j.fewestFor(func(u unit) span { return u.span })
	if all == nil {
		return
	}
	for i, at := range all.of {
		j.Parts[i].Scale = all.scales[at]
	}
	j.Scales = j.groups(*all)
	j.follow()
	bedded := j.fewestFor(func(u unit) span {
		cut := u.span
		for _, i := range u.parts {
			if b := j.Parts[i].Bed; b >= u.span.lo {
				cut.hi = min(cut.hi, b)
			}
		}
		cut.want = cut.clamp(cut.want)
		return cut
	})
	if groups := j.groups(*bedded); over(groups) < over(j.Scales) {
		j.OnBed = groups
	}
}

// shared is what each part wears, by its index.
type shared struct {
	scales []float64
	of     map[int]int
}

// fewestFor returns the fewest scales for the units whose span is known, nil
// where there are none.
func (j *judge) fewestFor(spanOf func(unit) span) *shared {
	var all []worn
	var units []unit
	for _, u := range j.units {
		if !u.known {
			continue
		}
		s := spanOf(u)
		s.weight = float64(len(u.parts))
		all, units = append(all, worn{s, j.region(u)}), append(units, u)
	}
	if len(all) == 0 {
		return nil
	}
	found := fewest(all)
	out := &shared{found.scales, map[int]int{}}
	for k, u := range units {
		for _, i := range u.parts {
			out.of[i] = found.of[k]
		}
	}
	return out
}

// groups lists the parts by scale.
func (j *judge) groups(s shared) []Group {
	var out []Group
	for k, scale := range s.scales {
		g := Group{Scale: scale}
		for i, p := range j.Parts {
			if at, in := s.of[i]; !in || at != k {
				continue
			}
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
		// Two scales may come out the same where they were rounded.
		if n := len(out); n > 0 && out[n-1].Scale == scale {
			out[n-1] = out[n-1].with(g)
			continue
		}
		out = append(out, g)
	}
	slices.SortStableFunc(out, func(a, b Group) int { return cmp.Compare(a.Scale, b.Scale) })
	return out
}

// with returns both groups as one.
func (g Group) with(h Group) Group {
	g.Parts = append(g.Parts, h.Parts...)
	g.Over = append(g.Over, h.Over...)
	g.Opened, g.Loose = append(g.Opened, h.Opened...), append(g.Loose, h.Loose...)
	return g
}

// over counts the parts that the bed does not take.
func over(groups []Group) int {
	n := 0
	for _, g := range groups {
		n += len(g.Over)
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
		if p.Scale > 0 || p.Region.Name == "" {
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
