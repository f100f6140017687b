package fit

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/cavity"
	"gambeson/analysis/cavity/room"
	"gambeson/analysis/fit/survey"

	"gonum.org/v1/gonum/spatial/r3"
)

// Passing is a girth of the body's on one way in, whoever the body is.
type Passing struct {
	Opening, To string // where it goes in, and the other end of the way
	Measure     string
	Aspect      [2]float64
	Throat      float64 // least room on the way; 0 where some place has none
	Along       float64 // mm from the opening to the throat
	Way         Way
	At          int // index of the throat's station on the way
	End         int // number of stations on the way to where it rests

	open []bool // of each station of the way: nothing is held there
}

// Entry is one girth of a body on one way in.
type Entry struct {
	Passing
	Body   survey.Value // the girth itself
	Needed float64
}

// samePlace reports whether o says the same about the same place: ways that
// part further in share their first stretch.
func (p Passing) samePlace(o Passing) bool {
	const near = 15 // mm: three stations
	return p.Opening == o.Opening && p.Measure == o.Measure &&
		r3.Norm(r3.Sub(p.Way.Stations[p.At].Center, o.Way.Stations[o.At].Center)) < near
}

// Passes reports whether the throat has the room.
func (e Entry) Passes() bool { return e.Throat >= e.Needed }

// Factor returns by what the part must be scaled for this girth to pass; +Inf
// where no scale helps.
func (e Entry) Factor() float64 {
	if e.Throat <= 0 {
		return math.Inf(1)
	}
	return e.Needed / e.Throat
}

// Way is a line as the body goes it: Stations from the opening inward.
type Way struct {
	Cavity, Line int // which line of which cavity
	From, To     string
	Length       float64
	Stations     []cavity.Station
	Back         bool // the line itself runs the other way
}

// Along returns how far station i lies from the opening.
func (w Way) Along(i int) float64 { return w.along(w.Stations[i]) }

func (w Way) along(s cavity.Station) float64 {
	if w.Back {
		return w.Length - s.Along
	}
	return s.Along
}

// Passings measures the room of each girth that must pass on each way by which
// the region lets a body enter, in the order of the openings' names. enter names
// the opening to enter by, "" leaves it to the region.
func Passings(cavities []cavity.Cavity, r Region, enter string) []Passing {
	var out []Passing
	for _, w := range ways(cavities, r, enter) {
		open := r.agape(w.Stations)
		if sideways(w, open) || r.LaidOn(cavities[w.Cavity].Lines[w.Line]) {
			continue
		}
		for _, of := range r.Enters {
			if of.Facing && !w.opposite(cavities) {
				continue
			}
			p := Passing{Opening: w.From, To: w.To, Measure: of.Measure, Aspect: of.Aspect, Way: w, End: of.end(w), open: open}
			var ok bool
			if p.At, p.Throat, ok = throat(w.Stations[:p.End], open, p.Aspect); ok {
				p.Along = w.Along(p.At)
				if !slices.ContainsFunc(out, p.samePlace) {
					out = append(out, p)
				}
			}
		}
	}
	return out
}

// Entries compares a body with each girth that must pass. A girth of which nothing is known
// is left out.
func Entries(passings []Passing, wearer Wearer, wants Wants) []Entry {
	var out []Entry
	for _, p := range passings {
		if girth, known := wearer.Of(p.Measure); known {
			out = append(out, Entry{Passing: p, Body: girth, Needed: girth.Mean + wants.entryLayer()})
		}
	}
	return out
}

// slender is the width of a cavity's widest entry, against that of the widest of all,
// below which the body part does not go there: the rings of a gauntlet's fingers are
// cavities of their own, a third as wide as its cuff (a guess).
const slender = 0.35

// widestEntry is the width of the widest entry of some cavities.
func widestEntry(cavities ...cavity.Cavity) (width float64) {
	for _, c := range cavities {
		for _, o := range c.Openings {
			if o.Entry {
				width = max(width, o.Width)
			}
		}
	}
	return width
}

// ways lists the ways in that a region allows.
func ways(cavities []cavity.Cavity, r Region, enter string) []Way {
	var out []Way
	widest := widestEntry(cavities...)
	for ci, c := range cavities {
		if enter == "" && widestEntry(c) < slender*widest {
			continue
		}
		var beside []string
		if enter == "" {
			beside = windows(c, r)
		}
		past := func(opening string) bool { return r.tube() && slices.Contains(beside, opening) }
		for _, o := range c.Openings {
			if !allowed(c, o, r, enter, beside) {
				continue
			}
			for li, l := range c.Lines {
				if len(l.Stations) == 0 || past(l.From) || past(l.To) {
					continue
				}
				w := Way{Cavity: ci, Line: li, From: l.From, To: l.To, Length: l.Length, Stations: l.Stations}
				if l.To == o.Name {
					w = w.turned()
				}
				if w.From == o.Name {
					out = append(out, w)
				}
			}
		}
	}
	return out
}

// allowed says whether the body may enter by o: the opening that is pinned, any
// entry where the region allows it, else the roomiest one. By none of those
// beside its ways, which windows lists, is it entered.
func allowed(c cavity.Cavity, o cavity.Opening, r Region, enter string, beside []string) bool {
	if enter != "" {
		return o.Name == enter
	}
	if !o.Entry {
		return false
	}
	if r.AnyEnd {
		return true
	}
	if waist, is := skirted(c, r); is {
		return o.Name == waist
	}
	if cuff, is := cuffed(c, r); is {
		return o.Name == cuff
	}
	if slices.Contains(beside, o.Name) {
		return false
	}
	return !slices.ContainsFunc(c.Openings, func(other cavity.Opening) bool {
		return other.Entry && size(other) > size(o) && !slices.Contains(beside, other.Name)
	})
}

// windows lists the openings of a shell for a limb or the trunk that lie in its wall,
// beside a way between two others: windows, cut-outs and armholes, however large. The
// body goes in by an end, and a limb out by the other.
func windows(c cavity.Cavity, r Region) (beside []string) {
	lines := slices.Clone(c.Lines)
	switch {
	case r.tube():
		slices.SortStableFunc(lines, func(a, b cavity.Line) int { return cmp.Compare(b.Length, a.Length) })
	case r.Name == "torso":
		// From arm to arm a way goes past the neck.
		lines = slices.DeleteFunc(lines, func(l cavity.Line) bool { return !lengthwise(c, l) })
	default:
		return nil
	}
	for _, l := range lines {
		// A way from a window may go past an end of the shell.
		if l.To == cavity.End || slices.Contains(beside, l.From) || slices.Contains(beside, l.To) {
			continue
		}
		for _, o := range c.Openings {
			if o.Entry && l.Passes(&o) && !slices.Contains(beside, o.Name) {
				beside = append(beside, o.Name)
			}
		}
	}
	return beside
}

// skirt is how wide one end of a hip ring without legs is at most, as a share of the
// other, to be its waist and the other a hem (a guess: hips that taper down to the thighs
// are less so).
const skirt = 0.8

// skirted names the opening that is the waist of hips that hang down as a skirt; is is
// false where they are none. The body has to come in by it: it hangs by its waist.
func skirted(c cavity.Cavity, r Region) (waist string, is bool) {
	var ends []cavity.Opening
	for _, o := range c.Openings {
		if o.Entry {
			ends = append(ends, o)
		}
	}
	if r.Name != "hips" || len(ends) != 2 {
		return "", false
	}
	if size(ends[0]) > size(ends[1]) {
		ends[0], ends[1] = ends[1], ends[0]
	}
	return ends[0].Name, size(ends[0]) < skirt*size(ends[1])
}

// Of a gauntlet that is open at the fingers the end that is about as wide as the other, and
// rounder, is the cuff: a wrist is hardly wider than deep, and a hand is a slab. wideCuff is
// how wide it has to be at least, as a share of the other end, and rounder by how much the
// ratio of its axes is greater (guesses: minor to major axis is 0.75 to 0.9 at a cuff, 0.4 to
// 0.55 over knuckles).
const (
	wideCuff = 0.7
	rounder  = 0.15
)

// cuffed names the opening that is the cuff of a shell for a hand that is open at both ends;
// is is false where none is, or size alone tells.
func cuffed(c cavity.Cavity, r Region) (cuff string, is bool) {
	if r.Name != "hand" {
		return "", false
	}
	for _, l := range c.Lines {
		if l.To == cavity.End || len(l.Stations) == 0 || !entryOf(c, l.From) || !entryOf(c, l.To) {
			continue
		}
		first, last := l.Stations[0], l.Stations[len(l.Stations)-1]
		if first.Ellipse == nil || last.Ellipse == nil {
			continue
		}
		if a, b := first.Capacity, last.Capacity; min(a, b) < wideCuff*max(a, b) {
			continue
		}
		a, b := first.Ellipse.Minor/first.Ellipse.Major, last.Ellipse.Minor/last.Ellipse.Major
		switch {
		case a > b+rounder:
			return l.From, true
		case b > a+rounder:
			return l.To, true
		}
	}
	return "", false
}

// lengthwise reports whether a line goes from the widest entry of a shell to the one that
// faces away from it most.
func lengthwise(c cavity.Cavity, l cavity.Line) bool {
	if len(c.Openings) == 0 {
		return false
	}
	width := func(o cavity.Opening) float64 {
		if !o.Entry {
			return 0
		}
		return o.Width
	}
	widest := slices.MaxFunc(c.Openings, func(a, b cavity.Opening) int { return cmp.Compare(width(a), width(b)) })
	w := Way{From: widest.Name, To: l.To}
	if l.To == widest.Name {
		w.To = l.From
	} else if l.From != widest.Name {
		return false
	}
	return w.opposite([]cavity.Cavity{c})
}

// size is the room at an opening, and at one whose rim is open what is round it: an ellipse
// may hang out of it, or not be held.
func size(o cavity.Opening) float64 {
	if o.Gap > 0 {
		return o.Girth + o.Gap
	}
	return cmp.Or(o.Capacity, o.Girth)
}

// opposite says whether the way leads to the opening that faces away most from
// the one it starts at: from a torso's waist to its neck, not to an arm.
func (w Way) opposite(cavities []cavity.Cavity) bool {
	openings := cavities[w.Cavity].Openings
	from := slices.IndexFunc(openings, func(o cavity.Opening) bool { return o.Name == w.From })
	if from < 0 {
		return w.To == cavity.End
	}
	best, least := "", math.Inf(1)
	for i, o := range openings {
		if i != from && o.Entry {
			if d := r3.Dot(o.Facing, openings[from].Facing); d < least {
				best, least = o.Name, d
			}
		}
	}
	return w.To == best || w.To == cavity.End
}

// end returns how many stations of w lie on the way to the place of rest.
func (p Passage) end(w Way) int {
	switch p.Until {
	case Bend:
		return bend(w)
	case Widest:
		return w.widest(p.Deep)
	}
	return len(w.Stations)
}

// bends is the turn of a way, in radians, from which on it counts as bent: a
// foot stands at a right angle to the leg, a pointed one at half of it.
const bends = math.Pi / 4

// bend returns the number of stations up to the place where the way has made
// half of its whole turn, that place with them; all of them where it is straight.
func bend(w Way) int {
	at, bent := w.bend()
	if !bent {
		return len(w.Stations)
	}
	for i := range w.Stations {
		if w.Along(i) >= at {
			return i + 1
		}
	}
	return len(w.Stations)
}

// bend returns how far along the way it has made half of its whole turn; its
// length where it is straight.
func (w Way) bend() (along float64, bent bool) {
	turned := make([]float64, len(w.Stations))
	for i := 1; i < len(turned); i++ {
		turned[i] = turned[i-1] + angle(w.Stations[i-1].Normal, w.Stations[i].Normal)
	}
	half := turned[len(turned)-1] / 2
	if 2*half < bends {
		return w.Length, false
	}
	i := slices.IndexFunc(turned, func(t float64) bool { return t >= half })
	share := (half - turned[i-1]) / (turned[i] - turned[i-1])
	return w.Along(i-1) + share*(w.Along(i)-w.Along(i-1)), true
}

// hooks returns by how much the last part of the way turns off the first, radians: the
// lesser of what its sections and what their middles tell. Sections lie aslant at slanted
// rims, and the middles of open ones aside.
func (w Way) hooks() float64 {
	st := w.Stations
	last := len(st) - 1
	if last < 2*aside {
		return 0
	}
	first, then := st[last/3], st[last-last/3]
	out := angle(r3.Sub(first.Center, st[0].Center), r3.Sub(st[last].Center, then.Center))
	normals := angle(st[last/6].Normal, st[last-last/6].Normal)
	return min(out, normals)
}

// angle returns the angle between two directions in radians, by the form that
// is exact for small ones.
func angle(a, b r3.Vec) float64 { return math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)) }

// widest returns how many stations there are up to the one of most room, on a stretch
// of as much room up to its end: a belt goes all the way over the hips. Where that is
// a rim that flares, as of a cuff, a skirt or a neck guard, it is the one of most room
// behind the narrow place, if that has at least a share deep of it.
func (w Way) widest(deep float64) int {
	end, _ := w.restBehind(deep)
	return end
}

// restBehind is widest, with the station of least room of the narrow place where what
// enters rests behind one, −1 where it does not.
func (w Way) restBehind(deep float64) (end, neck int) {
	most, at := 0.0, 0
	for i, s := range w.Stations {
		most = max(most, s.Capacity)
		if s.Capacity >= (1-level)*most {
			at = i
		}
	}
	if w.Along(at) > flare*w.Length {
		return at + 1, -1
	}
	narrow, behind, second := math.Inf(1), 0.0, -1
	throat := -1 // the narrowest so far
	for i := at + 1; i < len(w.Stations); i++ {
		if w.Stations[i].Gap > 0 {
			continue // across armholes there is more room than round the body
		}
		room := w.Stations[i].Capacity
		if room < narrow {
			narrow, throat = room, i
		}
		if room >= (1-level)*behind && room >= deep*most && room >= (1+necked)*narrow {
			behind, second, neck = max(behind, room), i, throat
		}
	}
	if second >= 0 {
		return second + 1, neck
	}
	return at + 1, -1
}

const (
	// flare is the share of a way within which its widest place counts as the rim's (a
	// guess).
	flare = 0.2
	// necked is how much wider than a narrow place, as a share, one behind it must be to
	// be told from it (a guess).
	necked = 0.03
)

// level is the share by which rooms may differ and still count as equally tight:
// twice and a half what the search leaves open, so that on a stretch that is even
// the place does not depend on the last bits of sums.
const level = 5e-4

// throat returns the station of least room for an aspect, and that room; ok is
// false where there is none that a body passes. One that stands open is none, nor one with
// a gap that holds nothing: the body comes in by its side. On a stretch that is equally tight it is the
// middle, where a band shows most of it; of several such stretches the first, where
// the body comes upon it. Stations are looked at from the most likely
// one on, until none can be as tight: an ellipse of any aspect holds one of the
// aspect asked for, which bounds the room from below.
func throat(stations []cavity.Station, open []bool, aspect [2]float64) (at int, least float64, ok bool) {
	order := make([]int, len(stations))
	atLeast, rooms, closed := make([]float64, len(stations)), make([]float64, len(stations)), make([]float64, len(stations))
	for i, s := range stations {
		closed[i] = s.Closed()
		order[i], atLeast[i], rooms[i] = i, min(lower(s, aspect), closed[i]), math.Inf(1)
		switch {
		case open[i] || s.Gap > 0 && s.Ellipse == nil && gapes(&s):
			atLeast[i] = math.Inf(1)
		case s.Gap > 0 && s.Ellipse == nil: // the search ended outside
			atLeast[i] = closed[i]
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(atLeast[i], atLeast[j]) })
	least = math.Inf(1)
	for _, i := range order {
		enough := least * (1 + level)
		if atLeast[i] > enough || math.IsInf(atLeast[i], 1) {
			break
		}
		r, _ := stations[i].RoomUpto(aspect, math.Nextafter(enough, math.Inf(1)))
		rooms[i] = max(atLeast[i], min(r.Girth, closed[i]))
		least = min(least, rooms[i])
	}
	if math.IsInf(least, 1) {
		return 0, least, false
	}
	tight := func(room float64) bool { return room <= least*(1+level) }
	first := slices.IndexFunc(rooms, tight)
	last := first
	for last+1 < len(rooms) && tight(rooms[last+1]) {
		last++
	}
	return (first + last) / 2, least, true
}

// upper returns a girth that surely has no room at s with that aspect: a little
// more than the greatest of any aspect that stations are measured with.
func upper(s cavity.Station, aspect [2]float64) float64 {
	if s.Ellipse == nil || aspect[0] < room.Any[0] || aspect[1] > room.Any[1] {
		return math.Inf(1)
	}
	return s.Capacity * (1 + 1e-2) // the search has been seen to miss half as much
}

// lower returns a girth that surely has room at s with that aspect: that of an
// ellipse inside the one of greatest girth.
func lower(s cavity.Station, aspect [2]float64) float64 {
	if s.Ellipse == nil {
		return 0
	}
	major, minor := s.Ellipse.Major, s.Ellipse.Minor
	switch has := minor / major; {
	case has > aspect[1]:
		minor = major * aspect[1]
	case has < aspect[0]:
		major = minor / aspect[0]
	}
	return room.Girth(major, minor) * (1 - 1e-3) // the search itself is no finer
}
