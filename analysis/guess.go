package analysis

import (
	"fmt"
	"math"

	"gambeson/analysis/fit/guess"

	"gonum.org/v1/gonum/spatial/r3"
)

// guessRegion sets what the part covers from its name, the path from the suit
// folder on, where suit.toml does not say it; the side alone where that is
// what suit.toml leaves out.
func (f *Findings) guessRegion(part string, brief *Brief) {
	f.Part, f.Region = part, &brief.Region
	r := f.Region
	pinned := r.Name != ""
	name, side, reason, ok := f.fromNames(part)
	if r.Side == "" && guess.HasSides(r.Name) {
		r.Side = side
	} else {
		side = ""
	}
	switch {
	case !pinned && ok:
		r.Name, r.Source, r.Reason = name, "name", reason
		f.noteGuess()
	case pinned && side != "":
		f.note("region-guessed", fmt.Sprintf("Taken for the %s one, because %s; write side = … in suit.toml if that is wrong.", side, reason))
	}
}

// guessByShape sets what the part covers from its cavities, where neither
// suit.toml nor its name says it. What the name says of the side holds.
func (f *Findings) guessByShape(brief *Brief) {
	f.Region = &brief.Region
	if f.Region.Name != "" {
		return
	}
	if _, detail := guess.Detail(f.Part); detail {
		return
	}
	region, reason, ok := guess.FromShape(f.hollow())
	if !ok {
		return
	}
	r := f.Region
	r.Name, r.Source, r.Reason = region, "shape", reason
	if !guess.HasSides(region) {
		r.Side = ""
	}
	if _, side, named, _ := guess.FromName(f.Part); side != "" && side == r.Side {
		r.Reason += ", and " + named
	}
	f.noteGuess()
}

// noteGuess says what the part was taken for and why.
func (f *Findings) noteGuess() {
	what := guess.WithArticle(f.Region.Name)
	if f.Region.Side != "" {
		what = "a " + f.Region.Side + " " + guess.Words(f.Region.Name)
	}
	f.note("region-guessed", fmt.Sprintf("Taken for %s, because %s; write region = … in suit.toml if that is wrong.", what, f.Region.Reason))
}

// noteUnit warns where the part has no size of its region in the unit that was
// taken, but would have it in another.
func (f *Findings) noteUnit() {
	name, reason, ok := guess.Unit(f.Region.Name, f.hollow(), f.Unit.Factor)
	if !ok {
		return
	}
	if factor := factorOf(name); factor > f.Unit.Factor {
		// A detail is small, and so is what suit.toml says the unit of.
		if _, detail := guess.Detail(f.Part); detail || f.Unit.Source == "config" {
			return
		}
	}
	f.Unit.Likely = name
	if f.Percent != 100 {
		reason = "at " + tenths(f.Percent) + " % " + reason
	}
	f.warn("unit-unlikely", fmt.Sprintf("One unit of the file was taken as one %s, but %s. Nothing was changed: write unit = %q for this part in suit.toml if that is what it was drawn in, and unit = %q if it is right as it is.",
		f.Unit.Name, reason, name, f.Unit.Name))
}

// factorOf returns how many mm a unit has.
func factorOf(name string) float64 {
	for _, u := range unitFactors {
		if u.name == name {
			return u.factor
		}
	}
	return 0
}

// hollow returns what a guess needs to know of the part at Percent: its largest
// cavity and the bounds of all.
func (f *Findings) hollow() guess.Part {
	var p guess.Part
	if f.Mesh != nil {
		p.Bounds = triple(r3.Scale(f.Percent/100, vec(f.Mesh.Bounds)))
		if f.Mesh.Closed && f.Mesh.Area > 0 {
			p.Thick = 2 * f.Mesh.Volume / f.Mesh.Area * f.Percent / 100
		}
	}
	if len(f.Cavities) == 0 {
		return p
	}
	for _, o := range f.Cavities[0].Openings {
		p.Openings = append(p.Openings, guess.Opening{Name: o.Name, Girth: o.Girth, Capacity: o.Capacity, Facing: vec(o.Facing)})
	}
	for _, l := range f.Cavities[0].Centrelines {
		if w, ok := l.way(); ok {
			p.Ways = append(p.Ways, w)
		}
	}
	return p
}

// way returns what a guess needs to know of the line; ok is false where it has
// no girth.
func (c Centreline) way() (w guess.Way, ok bool) {
	w = guess.Way{From: c.From, To: c.To, Length: c.Length, Bend: c.bend()}
	open := 0
	for _, s := range c.Stations {
		if s.Gap > 0 {
			open++
		}
	}
	w.Open = 2*open > len(c.Stations)
	w.Closed = c.To == "end" && !w.Open
	if !w.Open {
		tightest, widest := c.Ends()
		if tightest < 0 {
			return w, false
		}
		w.Tightest, w.Widest = c.Stations[tightest].InnerGirth, c.Stations[widest].InnerGirth
		return w, w.Tightest > 0
	}
	w.Tightest = math.Inf(1)
	for _, s := range c.Stations {
		round := s.round()
		w.Tightest, w.Widest = min(w.Tightest, round), max(w.Widest, round)
	}
	return w, w.Widest > 0
}

// bend returns by how many degrees the line turns, from its first fifth to its
// last.
func (c Centreline) bend() float64 {
	last := len(c.Stations) - 1
	if last < 2 {
		return 0
	}
	fifth := max(1, last/5)
	along := func(from, to int) r3.Vec {
		return r3.Sub(vec(c.Stations[to].Center), vec(c.Stations[from].Center))
	}
	first, end := along(0, fifth), along(last-fifth, last)
	return math.Atan2(r3.Norm(r3.Cross(first, end)), r3.Dot(first, end)) * 180 / math.Pi
}

// round returns the girth of what an open section goes round: the circle that
// has a chord as long as the gap, and as much round the other way as there is
// wall. With t half the angle of the wall, the gap is 2r·sin t and the wall
// 2r·t, and sin t/t falls from 1 to 0 as t goes from 0 to half a turn. Where the
// wall is less than a quarter of the circle it is too flat to tell: there the
// gap is taken as straight.
func (s Station) round() float64 {
	low, high := math.Pi/4, math.Pi
	if s.Gap <= 0 || s.Gap > s.InnerGirth*math.Sin(low)/low {
		return s.InnerGirth + s.Gap
	}
	for range 50 {
		if t := (low + high) / 2; math.Sin(t)/t > s.Gap/s.InnerGirth {
			low = t
		} else {
			high = t
		}
	}
	return s.InnerGirth * 2 * math.Pi / (low + high)
}

// RegionNamed is the region that a word of a file's name tells, as "shin" does lower_leg;
// false where it tells none.
func RegionNamed(word string) (region string, ok bool) {
	region, _, _, ok = guess.FromName(word)
	return region, ok && region != ""
}
