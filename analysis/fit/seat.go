package fit

import (
	"math"
	"slices"

	"gambeson/analysis/cavity"
	"gambeson/analysis/cavity/room"

	"gonum.org/v1/gonum/spatial/r3"
)

// Seat is the inside of a part as the girths meet it that rest there.
type Seat struct {
	Region Region
	Main   Way // from the opening by which the body enters
	rests  []rest
	bend   float64    // mm along Main to its bend
	ends   [2]float64 // room at both ends of Main
	rest   *float64
	neck   float64 // mm along Main to the narrow place that the leading measure rests behind, 0 where there is none
	joined bool    // it goes round a joint
	lead   int     // of rests, the leading one where it rests along Main; −1 where none does
}

// rest is one sit of the region with the room that it finds.
type rest struct {
	Sit
	way   Way
	rooms rooms   // along the way, of a sit that slides
	rim   float64 // room at the far end of the way, of one that rests there
}

// Seats measures the room that each sit of a region finds inside a part. enter
// names the opening that the body enters by, "" leaves it to the region; pin is
// how far from the entry's rim the leading measure rests, in mm on the body and
// so the same at any scale, nil where it may slide. There is none where there is
// no way for a body, or where the part holds nothing: a half shell that only
// straps keep on. A shell of a limb or the trunk whose ends are about as wide as each
// other may be worn either way round: then there are two.
func Seats(cavities []cavity.Cavity, r Region, enter string, pin *float64) []*Seat {
	if len(r.Sits) == 0 {
		return nil
	}
	var out []*Seat
	for _, from := range waysIn(cavities, r, enter) {
		if s := newSeat(cavities, r, from, pin); s != nil {
			out = append(out, s)
		}
	}
	return out
}

// newSeat measures the rooms along the ways from one opening; nil where they
// hold nothing.
func newSeat(cavities []cavity.Cavity, r Region, all []Way, pin *float64) *Seat {
	main := all[0]
	for _, w := range all {
		if w.opposite(cavities) {
			main = w
			break
		}
	}
	ends := main.From == cavity.End || main.To == cavity.End
	line := cavities[main.Cavity].Lines[main.Line]
	if !r.holds(main.Stations) || ends && (r.Lid(Cup(line)) || r.LaidOn(line)) {
		return nil
	}
	s := &Seat{Region: r, Main: main, rest: pin, lead: -1}
	s.bend, _ = main.bend()
	s.joined = len(r.Joined) > 0 && main.hooks() >= bends
	s.ends = main.rims()
	along := map[[2]float64]rooms{}
	for _, sit := range r.Sits {
		if sit.Rim == NoRim {
			if _, have := along[sit.Aspect]; !have {
				along[sit.Aspect] = roomsAlong(main, cavities[main.Cavity].Openings, sit.Aspect)
			}
			s.rests = append(s.rests, rest{Sit: sit, way: main, rooms: along[sit.Aspect]})
			continue
		}
		for _, w := range all {
			if (sit.Rim == FarRim) == w.opposite(cavities) || sit.Rim == SideRims && isLeg(r) {
				if room, held := roomAtEnd(w, cavities[w.Cavity].Openings, sit.Aspect); held {
					s.rests = append(s.rests, rest{Sit: sit, way: w, rim: room})
				}
			}
		}
	}
	s.lead = s.leading()
	s.neck = s.behind()
	return s
}

// behind is how far in the narrow place is that the leading measure rests behind, mm; 0
// where there is none.
func (s *Seat) behind() float64 {
	if !s.Region.Necked || s.lead < 0 {
		return 0
	}
	for _, p := range s.Region.Enters {
		if p.Until != Widest {
			continue
		}
		if _, neck := s.Main.restBehind(p.Deep); neck >= 0 {
			return s.Main.Along(neck)
		}
	}
	return 0
}

// leading is the place of the leading rest among those along the main way, −1 where it
// is at a rim.
func (s *Seat) leading() int {
	return slices.IndexFunc(s.rests, func(r rest) bool { return r.Lead && r.Rim == NoRim })
}

// Joined reports whether the shell is bent so far that it goes round an elbow or a knee: of
// its length only a part lies along the region.
func (s *Seat) Joined() bool { return s.joined }

// isLeg: both legs of hips face away from the waist, none of them sideways.
func isLeg(r Region) bool { return r.Stay.Sense < 0 }

// alike is how wide the other end of a shell must be, as a share of its wider end, for
// the shell to be tried on the other way round: a cuff flares a little beyond the elbow's
// end, and a shell for the trunk may taper to the waist (a guess).
const alike = 0.85

// waysIn lists the ways from each opening by which the body may enter: the
// largest, which comes first, and on a limb or the trunk the other end where it is
// about as large. Where no opening is one to enter by, the longest line serves.
func waysIn(cavities []cavity.Cavity, r Region, enter string) [][]Way {
	var out [][]Way
	all := ways(cavities, r, enter)
	if len(all) > 0 {
		first := all[0]
		all = slices.DeleteFunc(all, func(w Way) bool {
			return w.Cavity != first.Cavity || w.From != first.From || w.To != cavity.End && !entryOf(cavities[w.Cavity], w.To)
		})
	}
	if len(all) == 0 {
		if w, ok := longest(cavities); ok {
			all = []Way{w}
		}
	}
	if len(all) == 0 {
		return nil
	}
	out = append(out, all)
	if w := all[0]; len(all) == 1 && enter == "" && turns(r) {
		if rims := w.rims(); rims[1] >= alike*rims[0] {
			out = append(out, []Way{w.turned()})
		}
	}
	return out
}

// rims returns the room at the first and the last station of a way: what the capacity is
// there, and where it is open, no more than once it is closed, though the ellipse hangs out.
func (w Way) rims() (out [2]float64) {
	for i, s := range [2]cavity.Station{w.Stations[0], w.Stations[len(w.Stations)-1]} {
		out[i] = s.Capacity
		if s.Gap == 0 {
			continue
		}
		if out[i] == 0 && !gapes(&s) { // the search ended outside
			out[i] = math.Inf(1)
		}
		out[i] = min(out[i], s.Closed())
	}
	return out
}

// turns says whether a shell of a region may be worn either way round: one of a limb, or
// of the trunk that goes from the waist to the arms.
func turns(r Region) bool {
	return (r.Limb == Leg || r.Limb == Arm) && r.Name != "hand" || r.Name == "torso"
}

// turned is the way from its other end.
func (w Way) turned() Way {
	w.From, w.To, w.Back = w.To, w.From, !w.Back
	w.Stations = slices.Clone(w.Stations)
	slices.Reverse(w.Stations)
	return w
}

// longest returns the longest line as a way.
func longest(cavities []cavity.Cavity) (best Way, ok bool) {
	for ci, c := range cavities {
		for li, l := range c.Lines {
			if l.Length > best.Length && len(l.Stations) > 0 {
				best = Way{Cavity: ci, Line: li, From: l.From, To: l.To, Length: l.Length, Stations: l.Stations}
			}
		}
	}
	return best, best.Length > 0
}

// entryOf says whether a body part fits the opening of a name.
func entryOf(c cavity.Cavity, name string) bool {
	return slices.ContainsFunc(c.Openings, func(o cavity.Opening) bool { return o.Name == name && o.Entry })
}

// heldShare is the share of stations that must hold the leading girth for the
// part to count as closing round the body.
const heldShare = 0.8

// strapped is the gap, as a share of the wall's length, from which on straps hold a shell
// and its girth holds nothing. A round wall over an angle θ has the gap 2·sin(θ/2)/θ: 2/π
// for a half one, and this at 253°. A greave of 430 mm, 0.95 as
// deep as wide and cut open in steps of 10°, has the room of the closed one to 1 % from 260°
// on, 4 % more at 250° and some 14 % more at 220°: the greatest ellipse hangs out of the
// gap, and the shell is no wider for that.
const strapped = 0.365

// halfRound is the same for a wall that goes no more than half of the way round: that of
// 186°. Nearer to 180° what a section holds comes and goes with the rounding of the shell's
// vertices.
const halfRound = 0.61

// gapes reports whether the wall goes no more than half of the way round there, so that
// nothing has to pass.
func gapes(s *cavity.Station) bool { return s.Gap > 0 && s.Gap >= halfRound*s.InnerGirth }

// Gapes reports whether the wall leaves so wide a gap there that a body is held by straps
// alone and comes in from the side. What an open face leaves of a helm hangs on its dome.
func (r Region) Gapes(s *cavity.Station) bool {
	if r.Name == "head" {
		return gapes(s)
	}
	return s.Gap > 0 && s.Gap >= strapped*s.InnerGirth
}

// ringed is the gap, as a share of the wall's length, up to which a stretch of a shell
// surely closes round the body: half of what straps hold (a guess), far from where what a
// section of an open plate leaves comes and goes.
const ringed = strapped / 2

// rings reports whether the shell closes round the body on a stretch of two stations or
// more. What it leaves open elsewhere then lets nobody in by the side: not the armholes of
// a shell for the trunk, nor the open back of a greave that is closed at the ankle.
func rings(stations []cavity.Station) bool {
	run := 0
	for i := range stations {
		if s := &stations[i]; s.InnerGirth > 0 && s.Gap <= ringed*s.InnerGirth {
			if run++; run == 2 {
				return true
			}
		} else {
			run = 0
		}
	}
	return false
}

// agape returns the places along the stations at which nothing is held: where the wall gapes
// for the region, or, in a shell that closes round the body elsewhere, where one gap alone
// leaves no more than half of it.
func (r Region) agape(stations []cavity.Station) []bool {
	out := make([]bool, len(stations))
	whole := rings(stations)
	for i := range stations {
		s := &stations[i]
		if whole {
			out[i] = len(s.Gaps) > 0 && slices.Max(s.Gaps) >= halfRound*s.InnerGirth
		} else {
			out[i] = r.Gapes(s)
		}
	}
	return out
}

// sideways reports whether the body comes in from the side along a way with such places
// agape.
func sideways(w Way, open []bool) bool {
	n := 0
	for _, is := range open {
		if is {
			n++
		}
	}
	return float64(n) > (1-heldShare)*float64(len(open)) && !rings(w.Stations)
}

// holds reports whether the part closes round the body along these stations.
func (r Region) holds(stations []cavity.Station) bool {
	n := 0
	open := r.agape(stations)
	for i := range stations {
		if !open[i] && roomOf(&stations[i], r.lead().Aspect) > 0 {
			n++
		}
	}
	return n > 0 && float64(n) >= heldShare*float64(len(stations))
}

// roomOf returns the girth of the greatest ellipse of an aspect at a station, 0
// where none is held, and no more than the girth of the section once closed: an ellipse
// may hang out of a gap.
func roomOf(s *cavity.Station, aspect [2]float64) float64 {
	girth := greatest(s, aspect)
	if s.Gap > 0 {
		return min(girth, s.Closed())
	}
	return girth
}

// greatest returns the girth of the greatest ellipse of an aspect. Where the greatest of
// any aspect has that aspect, it is that one.
func greatest(s *cavity.Station, aspect [2]float64) float64 {
	if s.Ellipse != nil {
		if has := s.Ellipse.Minor / s.Ellipse.Major; has >= aspect[0] && has <= aspect[1] {
			return s.Capacity
		}
	}
	r, _ := s.Room(aspect) // where none of any aspect is held, a rounder one may be
	return r.Girth
}

// roomsOf is the room at each station of a way, 0 where none is held. A section that
// runs out over the rim of a part that is closed further in is open on one side, and an
// ellipse may bulge out there; the body has no more room than within the rim, but for
// what the shell widens up to there by the wall that it has.
func roomsOf(w Way, openings []cavity.Opening, aspect [2]float64) []float64 {
	st := w.Stations
	out := make([]float64, len(st))
	for i := range st {
		out[i] = roomOf(&st[i], aspect)
	}
	for i, long := range slanted(st) {
		out[i] /= long
	}
	w.held(out)
	w.closeSlits(out)
	atEnd := func(name string, order func(k int) int, past func(k int) float64) {
		k := 0
		for k < len(st) && st[order(k)].Gap > 0 {
			k++
		}
		if k == 0 || k == len(st) || st[order(k)].Capacity == 0 {
			return
		}
		whole := order(k)
		most, deepest := out[whole], float64(atRim)
		if n := slices.IndexFunc(openings, func(o cavity.Opening) bool { return o.Name == name }); n >= 0 {
			lean := between(openings[n].Facing, heading(st, whole))
			switch {
			case lean < slant:
				most *= max(1, openings[n].Capacity/st[whole].Capacity)
			case lean < steepest: // the rim's own plane is longer than the limb is round
				deepest += st[whole].Capacity / math.Pi * math.Tan(lean)
			}
		}
		if past(k) > deepest {
			return // open along its side
		}
		for ; k > 0; k-- {
			i := order(k - 1)
			out[i] = min(out[i], max(most, out[whole]*wider(&st[i], &st[whole])))
		}
	}
	last := len(st) - 1
	atEnd(w.From, func(k int) int { return k }, func(k int) float64 { return w.Along(k) })
	atEnd(w.To, func(k int) int { return last - k }, func(k int) float64 { return w.Length - w.Along(last-k) })
	return out
}

// wider is how many times as wide the shell is at a station as at a whole one further in;
// 0 where that cannot be told, as of a section that lies aslant.
func wider(s, whole *cavity.Station) float64 {
	if between(s.Normal, whole.Normal) > slant {
		return 0
	}
	return s.Wider(whole)
}

// held gives a station at which the search for the greatest ellipse ended outside, though
// the wall goes more than half of the way round, the room of those beside it: no more than
// the section has once closed.
func (w Way) held(rooms []float64) {
	st := w.Stations
	for i := 1; i+1 < len(st); i++ {
		if rooms[i] > 0 || st[i].InnerGirth == 0 || gapes(&st[i]) {
			continue
		}
		end := i + 1
		for end < len(st)-1 && end-i < mostUnheld && rooms[end] == 0 {
			end++
		}
		if before := rooms[i-1]; before > 0 && rooms[end] > 0 {
			share := (st[i].Along - st[i-1].Along) / (st[end].Along - st[i-1].Along)
			rooms[i] = min(before+(rooms[end]-before)*share, st[i].Closed())
		}
	}
}

// mostUnheld is how many stations side by side may have no room of their own for that (a
// guess: where nothing is held, it is nowhere near).
const mostUnheld = 3

// lowSlit is how high a slit may be, as a share of how wide the shell is there, for a body
// not to bulge out of it: an eye slit, not an open face (a guess).
const lowSlit = 0.5

// closeSlits gives stations at a slit no more room than the shell would have there if it
// closed as it does above and below: of what it is round then, the share that is room there.
// An ellipse of an aspect that is asked for is greater where it hangs out of a slit.
func (w Way) closeSlits(rooms []float64) {
	st := w.Stations
	for first := 1; first < len(st); first++ {
		if st[first].Gap == 0 || st[first-1].Gap > 0 || rooms[first-1] == 0 {
			continue
		}
		end := first
		for end < len(st) && st[end].Gap > 0 {
			end++
		}
		if end == len(st) || rooms[end] == 0 {
			return
		}
		before, behind := &st[first-1], &st[end]
		if high := math.Abs(behind.Along - before.Along); high <= lowSlit*max(before.InnerGirth, behind.InnerGirth)/math.Pi {
			from, to := rooms[first-1]/before.InnerGirth, rooms[end]/behind.InnerGirth
			for i := first; i < end; i++ {
				share := from + (to-from)*math.Abs(st[i].Along-before.Along)/high
				rooms[i] = min(rooms[i], share*st[i].Closed())
			}
		}
		first = end
	}
}

// slant is the angle, radians, from which on a section lies aslant of the way that the
// middles of the sections go: a section square to its way lies off by a few degrees.
const slant = 8 * math.Pi / 180

// aside is how many stations to each side tell where the middles of sections go: that
// of one at a rim may lie off by a voxel.
const aside = 4

// slanted returns, for each station, how many times the girth of a section is longer
// than what is square to the limb. It is more than 1 only at a rim that is cut at a
// slant: the way turns to leave through it, the middles of its sections do not, and
// the limb goes as they do.
func slanted(st []cavity.Station) []float64 {
	out := make([]float64, len(st))
	for i := range out {
		out[i] = 1
	}
	for _, step := range [2]int{1, -1} {
		i := 0
		if step < 0 {
			i = len(st) - 1
		}
		for ; i >= 0 && i < len(st); i += step {
			angle := between(heading(st, i), st[i].Normal)
			if angle < slant {
				break
			}
			out[i] = room.Girth(1/math.Cos(min(angle, steepest)), 1) / room.Girth(1, 1)
		}
	}
	return out
}

// heading is where the middles of the sections go about station i. Where that is whole,
// those tell that are whole too, a little further off if need be: of one that is open the
// middle lies aside.
func heading(st []cavity.Station, i int) r3.Vec {
	from, to := max(i-aside, 0), min(i+aside, len(st)-1)
	if st[i].Gap == 0 {
		if first, last := wholeFrom(st, i, -1), wholeFrom(st, i, 1); first < last {
			from, to = first, last
		}
	}
	return r3.Sub(st[to].Center, st[from].Center)
}

// wholeFrom returns the last of the next few whole stations from i on, one way or the
// other; i itself where there is none.
func wholeFrom(st []cavity.Station, i, step int) int {
	last, found := i, 0
	for k := i + step; k >= 0 && k < len(st) && found < aside && (k-i)*step <= 3*aside; k += step {
		if st[k].Gap == 0 {
			last = k
			found++
		}
	}
	return last
}

// between is the angle between two lines, radians; 0 where one has no direction.
func between(a, b r3.Vec) float64 {
	if n := r3.Norm(a) * r3.Norm(b); n > 0 {
		return math.Acos(min(1, math.Abs(r3.Dot(a, b))/n))
	}
	return 0
}

// steepest is the slant beyond which a rim is none across the way.
const steepest = math.Pi / 3

// roomAtEnd is the room at the last station of a way that holds any.
func roomAtEnd(w Way, openings []cavity.Opening, aspect [2]float64) (float64, bool) {
	room := roomsOf(w, openings, aspect)
	for i := len(room) - 1; i >= 0 && w.Length-w.Along(i) < atRim; i-- {
		if room[i] > 0 {
			return room[i], true
		}
	}
	return 0, false
}

// atRim is how far from an opening a station still counts as its rim, mm: three
// stations.
const atRim = 15

// rooms is the room along a way on an even grid of a millimetre, 0 where none
// is held.
type rooms []float64

func roomsAlong(w Way, openings []cavity.Opening, aspect [2]float64) rooms {
	n := int(math.Ceil(w.Length)) + 1
	out := make(rooms, n)
	at, room := make([]float64, len(w.Stations)), roomsOf(w, openings, aspect)
	for i := range w.Stations {
		at[i] = w.Along(i)
	}
	next := 0
	for k := range out {
		x := float64(k)
		for next < len(at) && at[next] < x {
			next++
		}
		switch {
		case next == 0:
			out[k] = room[0]
		case next == len(at):
			out[k] = room[len(at)-1]
		case room[next-1] > 0 && room[next] > 0:
			t := (x - at[next-1]) / (at[next] - at[next-1])
			out[k] = room[next-1] + t*(room[next]-room[next-1])
		}
	}
	return out
}

// at returns the room at a place, mm along the way.
func (r rooms) at(x float64) float64 {
	last := len(r) - 1
	switch k := int(x); {
	case x <= 0:
		return r[0]
	case k >= last:
		return r[last]
	case r[k] == 0 || r[k+1] == 0:
		return 0
	default:
		return r[k] + (x-float64(k))*(r[k+1]-r[k])
	}
}

// figure is a body as a seat meets it: for each rest the place along the limb
// and the girth that it needs, and the range of the part's place.
type figure struct {
	at       []float64
	bare     []float64 // the girth with padding and liner
	need     []float64 // and with the ease wanted
	from, to float64
	top      float64 // clearance that padding and liner take at a deep end
	skin     skin
}

// figure takes the measures of a body.
func (s *Seat) figure(body func(string) float64, w Wants) figure {
	f := figure{at: make([]float64, len(s.rests)), bare: make([]float64, len(s.rests)), need: make([]float64, len(s.rests)), top: w.Padding + w.Liner}
	for i, r := range s.rests {
		f.at[i] = r.At.In(body)
		f.bare[i] = body(r.Measure) + w.Layer()
		f.need[i] = f.bare[i] + w.ease(r.Sit)
	}
	f.from, f.to = s.Region.Stay.From.In(body), s.Region.Stay.To.In(body)
	f.skin = s.skin(f.at, body, w)
	return f
}

// scale is a scale round the part and along it.
type scale struct{ girth, length float64 }

func even(f float64) scale { return scale{f, f} }

// span returns between which places on the limb the rim of the entry may lie.
func (s *Seat) span(f figure, sc scale) (low, high float64) {
	sense, long := s.Region.Stay.Sense, s.Main.Length*sc.length
	if s.rest != nil {
		for i := range s.rests {
			if s.rests[i].Lead {
				at := f.at[i] - sense**s.rest
				return at, at
			}
		}
	}
	switch s.Region.Stay.By {
	case ByEnd:
		low, high = f.from+f.top-long, f.to+f.top-long
	case ByBend:
		low, high = f.from-s.bend*sc.length, f.to-s.bend*sc.length
	default:
		low, high = f.from, f.to-long
		if sense < 0 {
			low, high = f.from+long, f.to
		}
		if s.neck > 0 {
			high = min(high, max(low, f.at[s.lead]-sense*s.neck*sc.length))
		}
		if low > high { // longer than it should be: it sticks out at both ends
			low = (low + high) / 2
			high = low
		}
	}
	return low, high
}

// pose is how a body sits in the part, as far as it slides: what rests at the
// rims of other openings finds the same room wherever it sits.
type pose struct {
	rim   float64 // place of the entry's rim on the limb
	score int     // of the girths that should be inside
	ratio float64 // room by need where that is least; +Inf where nothing is inside
	bare  bool    // that is by the body between the measures
}

const (
	slideStep  = 4.0 // mm between two places that are tried
	leadScore  = 10  // a part is nothing without its leading girth inside
	overTheRim = 2.0 // mm: a girth so little past a rim is still inside
)

// best slides the body along the part: as many girths inside as can be, and of
// those places the one with the most room by need. Besides an even row of places
// it tries those at which a girth comes in by a rim, so that none is missed that
// is inside only just.
func (s *Seat) best(f figure, sc scale) pose {
	low, high := s.span(f, sc)
	n := int(math.Ceil((high - low) / slideStep))
	step := (high - low) / float64(max(1, n))
	best := s.pose(f, sc, low, worst)
	for i := 1; i <= n; i++ {
		best = better(best, s.pose(f, sc, low+float64(i)*step, best))
	}
	const within = 1e-6 // mm, past the rounding of a place
	for i := range s.rests {
		if r := &s.rests[i]; r.Spare || r.Rim != NoRim {
			continue
		}
		for _, x := range [2]float64{within - overTheRim, s.Main.Length*sc.length + overTheRim - within} {
			if to := f.at[i] - s.Region.Stay.Sense*x; to >= low && to <= high {
				best = better(best, s.pose(f, sc, to, best))
			}
		}
	}
	for step > 0.2 { // finer round the best
		step /= 2
		mid := best.rim
		for _, to := range [2]float64{mid - step, mid + step} {
			if to >= low && to <= high {
				best = better(best, s.pose(f, sc, to, best))
			}
		}
	}
	return best
}

// usual is where the part is worn: of all places that are as good as the body
// needs (or, where none is, as the best), the middle.
func (s *Seat) usual(f figure, sc scale, best pose) float64 {
	low, high := s.span(f, sc)
	enough := min(best.ratio, 1) * (1 - 1e-9)
	first, last := best.rim, best.rim
	n := int(math.Ceil((high - low) / slideStep))
	for i := 0; i <= n; i++ {
		rim := low + float64(i)*(high-low)/float64(max(1, n))
		if p := s.pose(f, sc, rim, pose{score: best.score - 1}); p.score == best.score && p.ratio >= enough {
			first, last = min(first, rim), max(last, rim)
		}
	}
	return (first + last) / 2
}

func better(a, b pose) pose {
	if b.score > a.score || b.score == a.score && b.ratio > a.ratio {
		return b
	}
	return a
}

// worst is worse than any place.
var worst = pose{score: -1}

// pose measures one place. Of one that is no better than another already by what rests
// there, the body between is not looked at: it only makes it worse.
func (s *Seat) pose(f figure, sc scale, rim float64, than pose) pose {
	p := pose{rim: rim, ratio: math.Inf(1)}
	for i := range s.rests {
		r := &s.rests[i]
		if r.Rim != NoRim {
			continue
		}
		room, inside := s.room(i, f, sc, rim)
		if !inside || room == 0 {
			continue
		}
		if !r.Spare {
			p.score++
			if r.Lead {
				p.score += leadScore
			}
		}
		if ratio := room / f.need[i]; ratio < p.ratio {
			p.ratio = ratio
		}
	}
	if better(than, p) == than {
		return p
	}
	const rounding = 1e-9 // at a measure the body between asks for the same
	if n, found := s.narrowest(f, sc, rim); found && n.Room/n.Needed < p.ratio*(1-rounding) {
		p.ratio, p.bare = n.Room/n.Needed, true
	}
	return p
}

// leastFor is a scale below which the leading girth surely lacks room.
func (s *Seat) leastFor(f figure) float64 {
	for i := range s.rests {
		if r := &s.rests[i]; r.Lead && r.Rim == NoRim {
			return f.need[i] / slices.Max(r.rooms)
		}
	}
	return 0
}

// ratioAtRims is room by need where that is least at the rims of other openings, but for
// holes that can be cut wider; +Inf where nothing rests there.
func (s *Seat) ratioAtRims(f figure, sc scale) float64 {
	least := math.Inf(1)
	for i := range s.rests {
		if r := &s.rests[i]; r.Rim != NoRim && !r.Hole {
			least = min(least, r.rim*sc.girth/f.need[i])
		}
	}
	return least
}

// room returns what a rest finds with the entry's rim at a place; inside is
// false where it lies beyond the part.
func (s *Seat) room(i int, f figure, sc scale, rim float64) (mm float64, inside bool) {
	r := &s.rests[i]
	if r.Rim != NoRim {
		return r.rim * sc.girth, true
	}
	x := s.Region.Stay.Sense * (f.at[i] - rim)
	if x < -overTheRim || x > s.Main.Length*sc.length+overTheRim {
		return 0, false
	}
	return r.rooms.at(x/sc.length) * sc.girth, true
}

// upright is how far, in radians, a foot may point off the right angle to the
// shaft and still count as standing flat (a guess: the heel of a shoe lifts it by
// less).
const upright = math.Pi / 6

// Along is the direction of the part's length in the mesh: from rim to rim, or
// where a boot's foot points, which is square to the shaft where the foot stands
// flat.
func (s *Seat) Along() r3.Vec {
	st := s.Main.Stations
	last := st[len(st)-1].Center
	if s.Region.Stay.By != ByBend {
		return direction(r3.Sub(last, st[0].Center), st[0].Normal)
	}
	at := slices.IndexFunc(st, func(c cavity.Station) bool { return s.Main.along(c) >= s.bend })
	shaft := direction(r3.Sub(st[min(max(1, at/2), len(st)-1)].Center, st[0].Center), st[0].Normal)
	toe := direction(r3.Sub(last, st[max(0, at)].Center), shaft)
	flat := r3.Sub(toe, r3.Scale(r3.Dot(toe, shaft), shaft))
	if r3.Norm(flat) > math.Cos(upright) {
		return r3.Unit(flat)
	}
	return toe
}

// direction is the unit vector of v, or of another where v has no length.
func direction(v, otherwise r3.Vec) r3.Vec {
	if r3.Norm(v) == 0 {
		return r3.Unit(otherwise)
	}
	return r3.Unit(v)
}
