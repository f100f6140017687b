package suit

import (
	"math"
	"slices"
)

// worn is a unit with a known span: what is to be given a scale.
type worn struct {
	span
	region string
}

// share is how the units share scales.
type share struct {
	scales []float64 // ascending
	of     []int     // index of each unit's scale
	regret regret
}

// regret is what is to be kept small, the first before the second, the second
// before the third: units that part from the scale that most of their region
// wears, joints whose two regions do not wear the same, and the sum over all
// parts of how far their scale is from the one that each would have.
type regret [3]float64

func (r regret) plus(s regret) regret { return regret{r[0] + s[0], r[1] + s[1], r[2] + s[2]} }

func (r regret) less(s regret) bool {
	for k := range r {
		if math.Abs(r[k]-s[k]) > tolerance {
			return r[k] < s[k]
		}
	}
	return false
}

// mostTries bounds how many sets of scales are looked at.
const mostTries = 20_000

// fewest returns the fewest scales that serve all units, and of those the ones
// of least regret. Each of the spans that lie apart holds exactly one of them,
// so that all sets of candidates, one from each, are tried.
func fewest(units []worn) share {
	units = ended(units)
	spans := make([]span, len(units))
	for i, u := range units {
		spans[i] = u.span
	}
	disjoint := apart(spans)
	var choices [][]float64
	for _, of := range [](func(worn) []float64){
		// All places where the regret has a kink.
		func(u worn) []float64 { return []float64{u.lo, u.hi, u.want} },
		// A scale moved up to the first end that it meets serves no fewer units,
		// so the first two regrets have their least here; the third not quite.
		func(u worn) []float64 { return []float64{u.hi} },
		nil, // one set, that serves all
	} {
		var tries int
		if choices, tries = candidates(units, spans, disjoint, of); tries <= mostTries {
			break
		}
	}
	best := share{}
	each(choices, func(scales []float64) {
		if s, ok := shareOut(units, scales); ok && (best.of == nil || s.regret.less(best.regret)) {
			best = s
			best.scales = slices.Clone(scales)
		}
	})
	return best
}

// ended gives the spans without an end one beyond which nothing is of interest.
func ended(units []worn) []worn {
	top := 0.0
	for _, u := range units {
		top = max(top, u.lo, u.want)
		if !math.IsInf(u.hi, 1) {
			top = max(top, u.hi)
		}
	}
	units = slices.Clone(units)
	for i := range units {
		units[i].hi = min(units[i].hi, top)
	}
	return units
}

// candidates lists, for each of the disjoint spans, the scales to try in it,
// and says how many sets they make.
func candidates(units []worn, spans []span, disjoint []int, of func(worn) []float64) (choices [][]float64, tries int) {
	tries = 1
	for _, d := range disjoint {
		list := []float64{spans[d].hi}
		if of != nil {
			for _, u := range units {
				for _, x := range of(u) {
					if spans[d].holds(x) {
						list = append(list, x)
					}
				}
			}
		}
		slices.Sort(list)
		list = slices.Compact(list)
		choices = append(choices, list)
		tries = min(tries*len(list), mostTries+1)
	}
	return choices, tries
}

// each calls do with every set of one scale from each list.
func each(choices [][]float64, do func(scales []float64)) {
	at := make([]int, len(choices))
	scales := make([]float64, len(choices))
	for {
		for k, i := range at {
			scales[k] = choices[k][i]
		}
		do(scales)
		k := 0
		for k < len(at) && at[k]+1 == len(choices[k]) {
			at[k] = 0
			k++
		}
		if k == len(at) {
			return
		}
		at[k]++
	}
}

// shareOut gives each unit the one of the scales that makes the least regret;
// ok is false where some unit is served by none. The joints make a tree of the
// regions, so the choice is made from its tips inwards: for each scale that a
// region might mostly wear, the least regret of all that hangs on it.
func shareOut(units []worn, scales []float64) (s share, ok bool) {
	s = share{of: make([]int, len(units))}
	regions := map[string][]int{}
	for i, u := range units {
		choice, r := u.nearest(scales, -1)
		if choice < 0 {
			return share{}, false
		}
		if u.region == "" || !jointed(u.region) {
			s.of[i], s.regret = choice, s.regret.plus(r)
			continue
		}
		regions[u.region] = append(regions[u.region], i)
	}
	least := map[string][]regret{} // by what a region mostly wears
	for _, a := range above {
		if regions[a.region] == nil {
			continue
		}
		table := slices.Grow(least[a.region], len(scales))[:len(scales)]
		for main := range scales {
			for _, i := range regions[a.region] {
				_, r := units[i].nearest(scales, main)
				table[main] = table[main].plus(r)
			}
		}
		least[a.region] = table
		if regions[a.meets] == nil {
			_, r := hang(table, -1)
			s.regret = s.regret.plus(r)
			continue
		}
		if least[a.meets] == nil {
			least[a.meets] = make([]regret, len(scales))
		}
		for main := range scales {
			_, r := hang(table, main)
			least[a.meets][main] = least[a.meets][main].plus(r)
		}
	}
	mains := map[string]int{}
	for _, a := range slices.Backward(above) {
		if regions[a.region] == nil {
			continue
		}
		meets, joined := mains[a.meets]
		if !joined {
			meets = -1
		}
		main, _ := hang(least[a.region], meets)
		mains[a.region] = main
		for _, i := range regions[a.region] {
			s.of[i], _ = units[i].nearest(scales, main)
		}
	}
	return s, true
}

// nearest returns which of the scales a unit wears in a region that mostly
// wears main (-1: no matter), -1 where none serves it.
func (u worn) nearest(scales []float64, main int) (choice int, least regret) {
	choice = -1
	for k, scale := range scales {
		if !u.holds(scale) {
			continue
		}
		r := regret{2: u.weight * math.Abs(scale-u.want)}
		if main >= 0 && k != main {
			r[0] = u.weight
		}
		if choice < 0 || r.less(least) {
			choice, least = k, r
		}
	}
	return choice, least
}

// hang returns what a region mostly wears that meets one that mostly wears
// main (-1: none), and the least regret.
func hang(table []regret, main int) (choice int, least regret) {
	for k, r := range table {
		if main >= 0 && k != main {
			r[1]++
		}
		if k == 0 || r.less(least) {
			choice, least = k, r
		}
	}
	return choice, least
}

func jointed(region string) bool {
	return slices.ContainsFunc(above, func(a struct{ region, meets string }) bool { return a.region == region })
}

// settle moves each scale to the middle of those that are as near as can be to
// what its parts would have, and on to a whole percent where one serves all of
// them, or to a half or a tenth. What one unit has for itself goes to halves, as in the
// reports of its parts. What is rounded to keeps to wider, the spans that must be kept,
// parallel to units.
func (s *share) settle(units []worn, wider []span) {
	for k := range s.scales {
		all := span{hi: math.Inf(1)}
		must := all
		var wants []float64
		sharing := 0
		for i, u := range units {
			if s.of[i] == k {
				sharing++
				all.lo, all.hi = max(all.lo, u.lo), min(all.hi, u.hi)
				must.lo, must.hi = max(must.lo, wider[i].lo), min(must.hi, wider[i].hi)
				for range int(u.weight) {
					wants = append(wants, u.want)
				}
			}
		}
		if n := len(wants); n > 0 {
			slices.Sort(wants)
			steps := []float64{1, 2, 10}
			if sharing == 1 {
				steps = steps[1:]
			}
			s.scales[k] = round(must, (all.clamp(wants[(n-1)/2])+all.clamp(wants[n/2]))/2, steps)
		}
	}
}

// round returns a short number near x in the span: one of the first of so many steps to a
// percent that has one, the last of which are tenths. Where the span holds none, the next
// tenth above, which is less than a tenth beyond it.
func round(s span, x float64, steps []float64) float64 {
	for _, unit := range steps {
		near := math.Round(x*unit) / unit
		for _, r := range []float64{near, near + 1/unit, near - 1/unit} {
			if r = math.Round(r*unit) / unit; s.holds(r) && math.Abs(r-x) <= 1/unit {
				return r
			}
		}
	}
	return math.Ceil(s.lo*10-1e-6) / 10
}
