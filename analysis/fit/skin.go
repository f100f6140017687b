package fit

import (
	"cmp"
	"math"
	"slices"
)

// skin is the girth of the body along the limb: between places that are known by a
// straight line, and a little beyond them as at the last. A part that slides over the
// body has to have room for it everywhere, not only where a measure rests.
type skin struct {
	from  float64   // place of the first, mm along the limb
	girth []float64 // of the bare body, mm, skinStep apart
	need  []float64 // parallel to girth: what a part must hold there, no less than girth
	known []known
	wants Wants
}

// known is a girth of the bare body at its place along the limb.
type known struct {
	at, girth float64
	joint     bool // a part need not reach it
}

const (
	// skinStep is how far apart the bare body is looked at, mm.
	skinStep = 10.0
	// asAtTheLast is how far beyond the last place that is known the body is taken to be
	// no slimmer, mm (a guess: what follows is a joint, a hand or a jaw).
	asAtTheLast = 40.0
	// sway is how far from where a straight line has it a girth between two measures may
	// lie, mm: places are known to about a finger's breadth, and where it is thinnest a
	// limb stays so for about as far (a guess).
	sway = 20.0
	// fades is over how many mm beyond sway the ease that a measure asks for is asked for
	// no more (a guess).
	fades = 40.0
)

// at returns the bare body at a place, and what a part must hold there.
//
// Within sway of a measure all that it needs counts, so that a part gains nothing by
// ending just short of it. Further off the ease fades, and the padding stays, as without
// it nobody wears the part; both on a body as slim as it may be, since a line is too wide
// where a limb tapers fast. Towards what a part need not reach, mostly a joint, the line
// is wider still, as a limb is slimmest between its joint and its belly (below the knee, by
// some 30 mm, from memory): there only the bare body counts, and beyond the measures too.
func (s *skin) at(x float64) (girth, need float64) {
	next := slices.IndexFunc(s.known, func(k known) bool { return k.at >= x })
	switch next {
	case 0:
		return s.known[0].girth, s.known[0].girth
	case -1:
		last := s.known[len(s.known)-1].girth
		return last, last
	}
	a, b := s.known[next-1], s.known[next]
	slope := (b.girth - a.girth) / (b.at - a.at)
	near := min(x-a.at, b.at-x)
	girth = a.girth + slope*(x-a.at)
	if a.joint || b.joint {
		return girth, girth
	}
	share := 1 - min(1, max(0, near-sway)/fades)
	return girth, max(girth, girth-math.Abs(slope)*min(near, sway)+s.wants.Layer()+share*s.wants.Ease)
}

// skin lays out the body of a limb, a neck or a trunk between the places of the
// rests. Of a trunk nothing is known beyond them; of a foot, whose way bends, and of a
// head, where there is one place, nothing between.
func (s *Seat) skin(at []float64, body func(string) float64, w Wants) skin {
	r := s.Region
	limb := r.Limb == Leg || r.Limb == Arm
	if s.lead < 0 || r.Stay.By != ByRims || !limb && r.Limb != Trunk {
		return skin{}
	}
	out := skin{wants: w}
	for i, rest := range s.rests {
		if rest.Rim == NoRim {
			out.known = append(out.known, known{at[i], body(rest.Measure), rest.Spare})
		}
	}
	slices.SortFunc(out.known, func(a, b known) int { return cmp.Compare(a.at, b.at) })
	low, high := out.known[0].at, out.known[len(out.known)-1].at
	if limb || r.Name == "neck" {
		low, high = low-asAtTheLast, high+asAtTheLast
	}
	out.from = low
	for x := low; x <= high; x += skinStep {
		girth, need := out.at(x)
		out.girth, out.need = append(out.girth, girth), append(out.need, need)
	}
	return out
}

// Narrow is where a part has least room by need for the body between the places that are
// known; mm.
type Narrow struct {
	Along      float64 // along the main way, at the size of the part as it was measured
	Room, Skin float64 // of the part there, and of the bare body by a straight line
	Needed     float64 // with the padding and the ease that count there; Skin where none do
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
	n = Narrow{Room: math.Inf(1), Needed: 1}
	for k, need := range f.skin.need {
		x := first + float64(k)*step
		if !(x >= 0 && x <= long) {
			continue
		}
		if mm := room[int(x+0.5)]; mm > 0 && mm*n.Needed < n.Room*need {
			n, found = Narrow{Along: x, Room: mm, Skin: f.skin.girth[k], Needed: need}, true
		}
	}
	// A rim lies between two of those places, and is often where there is least room.
	for _, x := range [2]float64{0, long} {
		to := rim + s.Region.Stay.Sense*x*sc.length
		if to <= f.skin.known[0].at || to >= f.skin.known[len(f.skin.known)-1].at {
			continue
		}
		girth, need := f.skin.at(to)
		if need == girth { // far from a measure: no more than a line is asked for
			continue
		}
		if mm := room.at(x); mm > 0 && mm*n.Needed < n.Room*need {
			n, found = Narrow{Along: x, Room: mm, Skin: girth, Needed: need}, true
		}
	}
	n.Room *= sc.girth
	return n, found
}
