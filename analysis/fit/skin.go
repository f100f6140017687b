package fit

import (
	"cmp"
	"math"
	"slices"
)

// skin is the girth of the bare body along the limb: between places that are known by a
// straight line, and a little beyond them as at the last. A part that slides over the
// body has to have room for it everywhere, not only where a measure rests.
type skin struct {
	from  float64   // place of the first, mm along the limb
	girth []float64 // mm, skinStep apart
}

const (
	// skinStep is how far apart the bare body is looked at, mm.
	skinStep = 10.0
	// asAtTheLast is how far beyond the last place that is known the body is taken to be
	// no slimmer, mm (a guess: what follows is a joint, a hand or a jaw).
	asAtTheLast = 40.0
)

// skin lays out the bare body of a limb, a neck or a trunk between the places of the
// rests. Of a trunk nothing is known beyond them; of a foot, whose way bends, and of a
// head, where there is one place, nothing between.
func (s *Seat) skin(at []float64, body func(string) float64) skin {
	r := s.Region
	limb := r.Limb == Leg || r.Limb == Arm
	if s.lead < 0 || r.Stay.By != ByRims || !limb && r.Limb != Trunk {
		return skin{}
	}
	type place struct{ at, girth float64 }
	var known []place
	for i, rest := range s.rests {
		if rest.Rim == NoRim {
			known = append(known, place{at[i], body(rest.Measure)})
		}
	}
	slices.SortFunc(known, func(a, b place) int { return cmp.Compare(a.at, b.at) })
	first, last := known[0], known[len(known)-1]
	low, high := first.at, last.at
	if limb || r.Name == "neck" {
		low, high = low-asAtTheLast, high+asAtTheLast
	}
	out := skin{from: low}
	next := 0
	for x := low; x <= high; x += skinStep {
		for next < len(known) && known[next].at < x {
			next++
		}
		switch {
		case next == 0:
			out.girth = append(out.girth, first.girth)
		case next == len(known):
			out.girth = append(out.girth, last.girth)
		default:
			a, b := known[next-1], known[next]
			out.girth = append(out.girth, a.girth+(b.girth-a.girth)*(x-a.at)/(b.at-a.at))
		}
	}
	return out
}

// Narrow is where a part has least room for the bare body between the places that are
// known; mm.
type Narrow struct {
	Along      float64 // along the main way, at the size of the part as it was measured
	Room, Skin float64 // of the part there, and of the bare body by a straight line
}

// narrowest returns that place with the entry's rim at a place on the limb; found is
// false where no such place lies inside.
func (s *Seat) narrowest(f figure, sc scale, rim float64) (n Narrow, found bool) {
	if len(f.skin.girth) == 0 {
		return n, false
	}
	room := s.rests[s.lead].rooms
	long := min(s.Main.Length, float64(len(room)-1))
	first := s.Region.Stay.Sense * (f.skin.from - rim) / sc.length
	step := s.Region.Stay.Sense * skinStep / sc.length
	n = Narrow{Room: math.Inf(1), Skin: 1}
	for k, skin := range f.skin.girth {
		x := first + float64(k)*step
		if !(x >= 0 && x <= long) {
			continue
		}
		if mm := room[int(x+0.5)]; mm > 0 && mm*n.Skin < n.Room*skin {
			n, found = Narrow{Along: x, Room: mm, Skin: skin}, true
		}
	}
	n.Room *= sc.girth
	return n, found
}
