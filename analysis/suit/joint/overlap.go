package joint

import (
	"cmp"
	"math"
	"slices"
)

// Overlap tells whether one of two closed parts that overlap along the limb goes into
// the other there, by their girths at the same heights. A section with a longer outline
// does not go into one whose inside is shorter, whatever the shapes of both (where they are
// convex); that a shorter one goes in holds as far as both are alike in shape.
type Overlap struct {
	Inner string `json:"inner"` // part that goes into the other, or lacks least to do so
	Outer string `json:"outer"`
	// Room is what is left between them all round where it is least; negative is
	// what it lacks. The thinnest wall counts, so that no more room is there.
	Room float64 `json:"room_mm"`
	// Lacks is what the other order lacks, likewise.
	Lacks float64 `json:"other_room_mm"`
	// Sure: it is so too where the places on the body are one standard deviation
	// off either way.
	Sure bool `json:"sure"`
}

// Neither reports whether it is known that neither part goes into the other.
func (o *Overlap) Neither() bool { return o != nil && o.Sure && o.Room < 0 }

// Goes reports whether it is known that one goes into the other.
func (o *Overlap) Goes() bool { return o != nil && o.Sure && o.Room >= 0 }

// girthAt is the inner girth of a closed part at a height, in the places of a kind.
type girthAt struct{ up, girth float64 }

const (
	// A boot's and a helm's places are counted along the way in: it is height while it
	// runs as it does at the rim, within this angle: a section is then longer by 1 in 100 at
	// most (the angle is a guess).
	straightWay = 10 * math.Pi / 180
	// The first section may lie this far from the rim, mm, and still speak for it (a guess).
	toRim = 15
	// Between sections that lie farther apart than this, mm, nothing is told (a guess).
	mostApart = 25
	// Heights at which girths are compared, mm apart: finer than sections lie.
	overlapStep = 2
)

// profile lists the girths of a part along its way, the lowest first; none where the
// way is not known. A section that is not closed has girth 0.
func (k kind) profile(w worn) []girthAt {
	from := ""
	for _, s := range w.Fit.Sits {
		if s.From != "" {
			from = s.From
			break
		}
	}
	long := math.Abs(w.covers.Span[1] - w.covers.Span[0])
	for _, c := range w.Cavities {
		for _, l := range c.Centrelines {
			along := w.Fit.Covers != nil
			all := l.Girths()
			if from == "" || l.From != from || len(all) < 2 || along && math.Abs(l.Length-long) > 0.05*long {
				continue
			}
			var out []girthAt
			for _, g := range all {
				at := g.Along
				if along {
					at *= long / l.Length
				} else if g.Turn > straightWay {
					break
				}
				out = append(out, girthAt{k.up(w.covers.Span[0] + math.Copysign(at, w.covers.Span[1]-w.covers.Span[0])), g.Girth})
			}
			if along && turnedRound(w.covers.Rims, out) {
				return nil
			}
			slices.SortStableFunc(out, func(a, b girthAt) int { return cmp.Compare(a.up, b.up) })
			return out
		}
	}
	return nil
}

// turnedRound reports whether girths, listed from the first rim on, go better with the
// rims the other way round: then it is not known which end is which.
func turnedRound(rims [2]float64, all []girthAt) bool {
	if rims[0] == 0 || rims[1] == 0 {
		return false
	}
	first, last := all[0].girth, all[len(all)-1].girth
	return math.Abs(first-rims[1])+math.Abs(last-rims[0]) < math.Abs(first-rims[0])+math.Abs(last-rims[1])
}

// girthOf is the girth of a profile at a height, between its sections; 0 where it has none.
func girthOf(all []girthAt, up float64) float64 {
	for i := 1; i < len(all); i++ {
		a, b := all[i-1], all[i]
		if up < a.up || up > b.up || b.up-a.up > mostApart || a.girth == 0 || b.girth == 0 {
			continue
		}
		if a.up == b.up {
			return b.girth
		}
		return a.girth + (up-a.up)/(b.up-a.up)*(b.girth-a.girth)
	}
	return 0
}

// overlap tells how two parts that overlap by a stretch of the limb go together there;
// nil where that is not known.
func (k kind) overlap(upper, lower worn, low, high, sd float64) *Overlap {
	above, below := k.profile(upper), k.profile(lower)
	if len(above) == 0 || len(below) == 0 {
		return nil
	}
	wall := func(w worn) float64 {
		if w.Wall == nil {
			return 0
		}
		return w.Wall.Thinnest
	}
	into := func(shift float64) (up, down float64, whole, ok bool) {
		up, down, whole = math.Inf(1), math.Inf(1), upper.Wall != nil && lower.Wall != nil
		for at := low; at <= high; at += overlapStep {
			a, b := girthOf(above, at+shift), girthOf(below, at)
			if a == 0 || b == 0 {
				if at > low+toRim+math.Abs(shift) && at < high-toRim-math.Abs(shift) {
					whole = false
				}
				continue
			}
			ok = true
			more := (a - b) / (2 * math.Pi)
			up, down = min(up, -more-wall(upper)), min(down, more-wall(lower))
		}
		return up, down, whole, ok
	}
	up, down, whole, ok := into(0)
	if !ok {
		return nil
	}
	o := &Overlap{Inner: upper.Part, Outer: lower.Part, Room: up, Lacks: down}
	if down > up {
		o = &Overlap{Inner: lower.Part, Outer: upper.Part, Room: down, Lacks: up}
	}
	o.Sure = o.Room < 0 || whole
	for _, shift := range []float64{-sd, sd} {
		up, down, whole, ok := into(shift)
		room := up
		if o.Inner == lower.Part {
			room = down
		}
		if o.Room < 0 {
			room = max(up, down)
		}
		o.Sure = o.Sure && ok && (room < 0) == (o.Room < 0) && (o.Room < 0 || whole)
	}
	return o
}

// wearing finds the part of that name on a side.
func wearing(all []worn, r Rim) (worn, bool) {
	at := slices.IndexFunc(all, func(w worn) bool { return w.Part == r.Part && w.Region.Name == r.Region })
	if at < 0 {
		return worn{}, false
	}
	return all[at], true
}

// laid fills in how the parts of a joint go together where they overlap by design.
func (k kind) laid(j *Joint, all []worn) {
	upper, one := wearing(all, j.Upper)
	lower, other := wearing(all, j.Lower)
	if j.Gap < 0 && k.laps && one && other {
		j.Overlap = k.overlap(upper, lower, k.up(j.Upper.At), k.up(j.Lower.At), j.SD)
	}
}
