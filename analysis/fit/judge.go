package fit

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/fit/survey"
)

// Question is what is asked about a body and a part.
type Question struct {
	Wearer  Wearer
	Wants   Wants
	Seat    *Seat   // nil where nothing rests inside
	Entries []Entry // by the opening that the body enters by; nil where nothing must pass
	// Inside is the part's inside length from heel to toe, 0 where that is not
	// asked.
	Inside float64
}

// Seated is a girth where it rests.
type Seated struct {
	Measure  string
	Lead     bool
	Hole     bool // see Sit
	Body     survey.Value
	Needed   float64 // with padding, liner and the ease wanted
	Room     float64
	Ease     float64 // beyond padding and liner
	Spare    float64 // beyond the ease wanted as well
	Along    float64 // mm along its way
	From, To string
	// Strays is the standard deviation of Room by where the girth may rest, as
	// heights and lengths of the body are not known exactly either: what a band
	// cut at Along does not tell of.
	Strays float64
}

// Compared is a length of the part beside that of the body. Smallest and Largest
// are factors, 0 where there is no limit.
type Compared struct {
	Name              string
	Body              survey.Value
	Room              float64
	Smallest, Largest float64
}

// TwoWay is a scale round the part and another along it, factors.
type TwoWay struct{ Girth, Length float64 }

// Covers is the stretch of the limb under the part, with the places of the
// entry's rim and the other one, the room at both, and the standard deviation of
// the places.
type Covers struct {
	Limb Limb
	Span [2]float64
	Rims [2]float64
	SD   float64
}

// Answer is what a part and a body say together. Scales are factors of the size
// at which the part was measured.
type Answer struct {
	Seated  []Seated
	Lengths []Compared
	Range
	// Interval is where Recommended lies 9 times in 10, and SmallestInterval
	// where Smallest does, by what is known of the body; +Inf where no scale does.
	// Where a part is never loose, Recommended is the upper end of both. RestsInterval is
	// where Rests does.
	Interval, SmallestInterval, RestsInterval [2]float64
	Chance                                    float64 // that the part fits as it is
	TwoWay                                    *TwoWay
	Covers                                    *Covers
	// Bare is Rests where the body between its measures asks for that, 0 where a
	// measure does.
	Bare   float64
	Narrow *Narrow       // where the part as it is lacks room for the body between its measures; nil where it has it
	Missed []string      // measures that lack room as the part is and lie beyond its rims at Rests, a lesser scale
	Helps  []survey.Help // SD in factors of the scale
}

// asGood is how much larger, as a factor, a shell may have to be one way round than the
// other for its scale not to tell which way it was drawn for (a guess: some percent
// are the doubt of the body and of where it rests).
const asGood = 1.05

// Choose takes, of several seats, the one on which the part fits at the least
// scale: a shell is worn the way round that it was drawn for. Where that hardly differs, it
// is the one in which more of the body rests, and then the one that is shaped like
// the body. Where the leading measure is pinned does not count, as that is said of the way
// round chosen. It is nil of none.
func (q Question) Choose(seats []*Seat) *Seat {
	switch len(seats) {
	case 0:
		return nil
	case 1:
		return seats[0]
	}
	type choice struct {
		*Seat
		scale, spread float64
		inside        int
	}
	var tried []choice
	least := math.Inf(1)
	for _, s := range seats {
		free := *s
		free.rest = nil
		q.Seat = &free
		p := q.problem(q.Wearer.mean)
		r, _ := p.settle()
		c := choice{Seat: s, scale: cmp.Or(r.Rests, math.Inf(1))}
		if !math.IsInf(c.scale, 1) {
			c.inside, c.spread = p.likeness(c.scale)
		}
		tried = append(tried, c)
		least = min(least, c.scale)
	}
	if math.IsInf(least, 1) {
		return seats[0]
	}
	tried = slices.DeleteFunc(tried, func(c choice) bool { return c.scale > least*asGood })
	return slices.MinFunc(tried, func(a, b choice) int {
		return cmp.Or(cmp.Compare(b.inside, a.inside), cmp.Compare(a.spread, b.spread))
	}).Seat
}

// likeness returns how many girths rest inside at a scale, and how unlike the shell is
// there to the body: the most room by need of one of them over the least.
func (p *problem) likeness(f float64) (inside int, spread float64) {
	at := p.seat.best(p.figure, even(f))
	least, most := math.Inf(1), 0.0
	for i, r := range p.seat.rests {
		room, ok := p.seat.room(i, p.figure, even(f), at.rim)
		if !ok || r.Rim != NoRim || r.Spare {
			continue
		}
		inside++
		least, most = min(least, room/p.figure.need[i]), max(most, room/p.figure.need[i])
	}
	return inside, most / least
}

// Judge answers a question. Nobody is known, or nothing rests or passes: the
// zero Answer.
func (q Question) Judge() Answer {
	var a Answer
	if !q.Wearer.Known() {
		return a
	}
	mean := q.problem(q.Wearer.mean)
	a.Seated, a.Covers = q.seated(mean, 1)
	a.Narrow = q.narrow(mean)
	a.Lengths = q.compared()
	start := 1.0
	switch {
	case q.Seat != nil:
		if a.Range, start = mean.settle(); math.IsInf(start, 1) {
			return a
		}
	case len(q.Entries) > 0:
		a.Range = mean.rangeNear(start, 0)
	default:
		return a
	}
	if q.Seat != nil && !math.IsInf(a.Rests, 1) && q.Seat.best(mean.figure, even(a.Rests)).bare {
		a.Bare = a.Rests
	}
	a.Missed = q.missed(mean, a)
	// Of a shell that is bent, a scale along any one direction squeezes its sections.
	if length, differ := mean.conflict(a.Range); differ && (q.Seat == nil || !q.Seat.joined) {
		if two := mean.rangeNear(start, length); mean.worn(two) < mostScale {
			a.TwoWay = &TwoWay{Girth: mean.middle(two), Length: length}
		}
	}
	q.doubt(&a, start, mean.most)
	return a
}

// problem sets a body before the part.
func (q Question) problem(body func(string) float64) *problem {
	p := &problem{seat: q.Seat, wants: q.Wants}
	if q.Seat != nil {
		p.figure = q.Seat.figure(body, q.Wants)
	}
	for _, e := range q.Entries {
		if e.Throat <= 0 {
			p.entry = math.Inf(1)
			continue
		}
		p.entry = max(p.entry, (body(e.Measure)+q.Wants.entryLayer())/e.Throat)
	}
	for _, l := range q.lengths() {
		lo, hi := q.limits(l, body)
		p.lengths = append(p.lengths, limit{lo, hi})
	}
	return p
}

// lengths are those comparisons that the part has a length for.
func (q Question) lengths() []Length {
	if q.Seat == nil {
		return nil
	}
	of := q.Seat.Region.Lengths
	if q.Seat.joined {
		of = q.Seat.Region.Joined
	}
	return slices.DeleteFunc(slices.Clone(of), func(l Length) bool { return q.long(l) <= 0 })
}

// long is the part's own length for a comparison, mm.
func (q Question) long(l Length) float64 {
	if l.Foot {
		return q.Inside
	}
	return q.Seat.Main.Length
}

// limits returns the factors between which the part's length suits the body.
func (q Question) limits(l Length, body func(string) float64) (smallest, largest float64) {
	long, needed := q.long(l), l.Body.In(body)
	if l.Foot {
		needed += 2 * (q.Wants.Padding + q.Wants.Liner)
	}
	if l.Asked {
		smallest = (needed + l.Least) / long
	}
	return smallest, max(smallest, (needed+l.Most)/long)
}

func (q Question) compared() []Compared {
	var out []Compared
	for _, l := range q.lengths() {
		c := Compared{Name: l.Name, Room: q.long(l), Body: q.placed(l.Body)}
		c.Smallest, c.Largest = q.limits(l, q.Wearer.mean)
		out = append(out, c)
	}
	return out
}

// placed returns what is known of a place or stretch of the body.
func (q Question) placed(p Place) survey.Value {
	v := survey.Value{Mean: p.In(q.Wearer.mean), Given: true}
	for _, a := range p.terms {
		known, _ := q.Wearer.Of(a.measure)
		v.Given = v.Given && known.Given
		for _, b := range p.terms {
			v.SD += a.share * b.share * q.Wearer.body.Cov(a.measure, b.measure)
		}
	}
	v.SD = math.Sqrt(max(0, v.SD))
	return v
}

// narrow is where the part as it is has no room for the body between its measures, nil
// where it has.
func (q Question) narrow(p *problem) *Narrow {
	if q.Seat == nil {
		return nil
	}
	at := q.Seat.best(p.figure, even(1))
	if n, found := q.Seat.narrowest(p.figure, even(1), at.rim); found && n.Room < n.Needed {
		return &n
	}
	return nil
}

// missed are the measures that lack room in the part as it is and lie beyond its rims
// once it is so much smaller that all that rests inside has room.
func (q Question) missed(p *problem, a Answer) (names []string) {
	if a.Rests >= 1 || a.Rests == 0 {
		return nil
	}
	then, _ := q.seated(p, a.Rests)
	for _, s := range a.Seated {
		if s.Spare < 0 && !slices.ContainsFunc(then, func(t Seated) bool { return t.Measure == s.Measure }) {
			names = append(names, s.Measure)
		}
	}
	return names
}

// SeatedAt says where each girth would rest if the part were factor times its
// size. Along is the place in the part as it was measured, all else is at that
// size.
func (q Question) SeatedAt(factor float64) []Seated {
	out, _ := q.seated(q.problem(q.Wearer.mean), factor)
	return out
}

func (q Question) seated(p *problem, factor float64) ([]Seated, *Covers) {
	if q.Seat == nil {
		return nil, nil
	}
	s := q.Seat
	pose := s.best(p.figure, even(factor))
	var out []Seated
	for i, r := range s.rests {
		room, inside := s.room(i, p.figure, even(factor), pose.rim)
		if !inside || room == 0 {
			continue
		}
		body, _ := q.Wearer.Of(r.Measure)
		seat := Seated{
			Measure: r.Measure, Lead: r.Lead, Hole: r.Hole, Body: body, Needed: p.figure.need[i], Room: room,
			Ease: room - p.figure.bare[i], Spare: room - p.figure.need[i], From: r.way.From, To: r.way.To, Along: r.way.Length,
		}
		if r.Rim == NoRim {
			seat.Along = min(max(0, s.Region.Stay.Sense*(p.figure.at[i]-pose.rim)/factor), s.Main.Length)
		}
		out = append(out, seat)
	}
	var covers *Covers
	switch s.Region.Limb {
	case Leg, Trunk, Arm:
		rim := s.usual(p.figure, even(factor), pose)
		covers = &Covers{Limb: s.Region.Limb, Span: [2]float64{rim, rim + s.Region.Stay.Sense*s.Main.Length*factor}}
		covers.Rims = s.ends
		for _, r := range s.rests {
			if r.Lead {
				covers.SD = q.placed(r.At).SD
			}
		}
	}
	return out, covers
}

// draws is how many bodies the doubt is reckoned from, all as likely by what is
// known; the ends of an interval of 9 in 10 are then uncertain by a twentieth of
// a standard deviation in the mean (measured on six measures, 40 times).
const draws = 200

// doubt carries what is not known of the body through to the scale: the same
// question for many bodies that could be it. most is as in problem.
func (q Question) doubt(a *Answer, start, most float64) {
	names := q.Measures()
	var smallest, recommended, rest []float64
	fits, opened := 0, a.Opened()
	strays := newStrays(q.Seat, a.Recommended)
	slopes := q.slopes(names, start, opened)
	for _, row := range q.Wearer.body.Draws(names, draws, 1) {
		p := q.problem(func(m string) float64 { return row[slices.Index(names, m)] })
		p.opened, p.most, p.drawn = &opened, most, true
		rests, loosest := start, start // near to where they will be found
		if a.Rests > 0 && a.Loosest < mostScale {
			rests, loosest = a.Rests, max(a.Rests, a.Loosest)
			for i, s := range slopes {
				rests += s.rests * (row[i] - s.mean)
				loosest += s.loosest * (row[i] - s.mean)
			}
		}
		r := p.rangeFrom(rests, loosest, 0)
		smallest, rest = append(smallest, r.Smallest), append(rest, r.Rests)
		if r.Recommended == 0 {
			r.Recommended = math.Inf(1)
		}
		recommended = append(recommended, r.Recommended)
		if p.fits(opened) {
			fits++
		}
		strays.take(p.figure)
	}
	strays.tell(a.Seated)
	a.Chance = float64(fits) / float64(len(smallest))
	a.SmallestInterval = [2]float64{quantile(smallest, 0.05), quantile(smallest, 0.95)}
	a.RestsInterval = [2]float64{quantile(rest, 0.05), quantile(rest, 0.95)}
	a.Interval = [2]float64{quantile(recommended, 0.05), quantile(recommended, 0.95)}
	if a.Loosest == 0 && a.Recommended > 0 { // nothing is lost by being on the safe side
		if !opened {
			a.Interval = a.SmallestInterval
		}
		if high := a.Interval[1]; !math.IsInf(high, 1) {
			a.Recommended = max(a.Recommended, high)
		}
	}
	a.keepOff()
	a.Helps = q.helps(names, slopes)
}

// keepOff moves what is recommended off the very end where the girths begin to
// fit, where only the length, which would have it smaller still, puts it: at that
// end every other body of those that may be is too large. It goes to where 19 in
// 20 fit, but not past the middle.
func (a *Answer) keepOff() {
	high := a.SmallestInterval[1]
	atEnd := a.Recommended > 0 && a.Recommended < a.Smallest*(1+2*scaleFine)
	if !atEnd || a.Opened() || !(a.Loosest > a.Smallest) || math.IsInf(high, 1) {
		return
	}
	a.Recommended = max(a.Recommended, min(high, (a.Smallest+min(a.Loosest, mostScale))/2))
	a.Interval = a.SmallestInterval
}

// Measures lists all measures that the answer depends on.
func (q Question) Measures() []string {
	var out []string
	for _, e := range q.Entries {
		out = append(out, e.Measure)
	}
	if q.Seat != nil {
		for _, r := range q.Seat.rests {
			out = append(append(out, r.Measure), r.At.measures()...)
		}
		stay := q.Seat.Region.Stay
		out = append(append(out, stay.From.measures()...), stay.To.measures()...)
		for _, l := range q.lengths() {
			out = append(out, l.Body.measures()...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

const (
	matters   = 0.05 // share of the scale's variance below which a measure is not worth a name
	mostHelps = 5
)

// slope is by how much the scales rise with each mm of a measure, 0 where that
// cannot be told.
type slope struct{ mean, rests, worn, loosest float64 }

// slopes are taken over two standard deviations of each measure, in the order
// of names: where another girth takes over, it counts for its part.
func (q Question) slopes(names []string, start float64, opened bool) []slope {
	out := make([]slope, len(names))
	for i, m := range names {
		v, ok := q.Wearer.Of(m)
		out[i].mean = q.Wearer.mean(m)
		if !ok || v.SD == 0 {
			continue
		}
		at := func(off float64) (r Range, worn float64) {
			p := q.problem(func(name string) float64 {
				if name == m {
					return v.Mean + off
				}
				return q.Wearer.mean(name)
			})
			p.opened = &opened
			r = p.rangeNear(start, 0)
			return r, p.worn(r)
		}
		rise := func(below, above float64) float64 {
			if s := (above - below) / (2 * v.SD); !math.IsNaN(s) && !math.IsInf(s, 0) {
				return s
			}
			return 0
		}
		low, wornLow := at(-v.SD)
		high, wornHigh := at(v.SD)
		out[i].rests, out[i].loosest = rise(low.Rests, high.Rests), rise(low.Loosest, high.Loosest)
		out[i].worn = rise(wornLow, wornHigh)
	}
	return out
}

// helps ranks the few measures that were not given by how much each would settle
// the smallest scale (for what rests inside, where the part must be opened).
func (q Question) helps(names []string, slopes []slope) []survey.Help {
	target := map[string]float64{}
	for i, m := range names {
		if v, ok := q.Wearer.Of(m); ok && v.SD > 0 {
			target[m] = slopes[i].worn
		}
	}
	all, err := q.Wearer.body.Helps(target)
	if err != nil { // a measure that the survey has not: there is none in the table
		return nil
	}
	// A measure that decides nothing here may tell of one that does, but not as
	// well as that one itself.
	all = slices.DeleteFunc(all, func(h survey.Help) bool { return !(h.Cut >= matters) || !slices.Contains(names, h.Measure) })
	return all[:min(len(all), mostHelps)]
}
