package suit

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis"
	"gambeson/analysis/bed"

	"gonum.org/v1/gonum/spatial/r2"
)

// Trial is a test band to print before the part it was cut from.
type Trial struct {
	Part    string
	Band    analysis.Band
	Measure string   // that rests or passes where it was cut, "" where none does
	Moves   []string // other parts that its result tells about
	Cost    float64  // h, or mm² of its wall (Suit.ByVolume)
	worth   float64  // what it saves of wrong prints, in the unit of Part costs
	across  float64  // mm that it takes on the bed each way
}

const (
	// mostTrials keeps the advice short.
	mostTrials = 3
	// halfTold is how much a band tells about another part that the same measure
	// rests in: the body's girth is then known, but not the room in that part (a
	// guess). About the other parts of a unit it tells all: left and right of a
	// body differ by no more than a tape errs.
	halfTold = 0.5
	// worthwhile is the least risk that a band is printed for.
	worthwhile = LowBelow
	// bandGap is kept between bands on the bed, and twoWalls is what a band is
	// wider than its inside, mm (common practice, no source).
	bandGap  = 5.0
	twoWalls = 10.0
	// near is how far a place on a part may be from a station or a sit and still
	// mean the same: half of what a tape is wide (common practice, no source).
	near = 6.0
	// leastAnswered is the share of a part's doubt below which a band at one of its girths
	// cannot answer it (a guess).
	leastAnswered = 0.25
)

// first picks the bands that save most for what they cost, one for each unit,
// together on one bed. A band counts for what of the doubt it can answer, and not at all
// where that is little. A unit that a chosen band tells all about needs none, nor does a
// place where a tape is asked for first. Of a part whose report names a band it is that one.
// Parts whose bands are as much worth it and have no room in this load come later.
func (j *judge) first() {
	var all []Trial
	for i, p := range j.Parts {
		if p.Risk.Level == Unknown || p.Risk.Unfit < worthwhile || p.Risk.Blocked || p.Stretch != nil || p.Printed > 0 || p.Odd || j.findings[i].Says("no-wall") || j.needsNoTest(i) {
			continue
		}
		asked := j.findings[i].Testing
		for _, b := range j.findings[i].Bands {
			if asked != nil && asked.Next != nil && b.File != asked.Next.Band {
				continue
			}
			// Found to fit at the scale that is set, it is asked about there alone.
			if math.Abs(b.Percent-p.Wanted) > analysis.HalfStep && p.Scale == p.Wanted && j.foundGood(j.units[j.unitOf[i]]) {
				continue
			}
			if t := j.trial(i, b); t.Cost > 0 && !j.answered(i, t) && !j.taped(t) {
				all = append(all, t)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b Trial) int {
		return cmp.Or(cmp.Compare(b.worth/b.Cost, a.worth/a.Cost), cmp.Compare(b.worth, a.worth))
	})
	told, worth := map[int]bool{}, map[int]bool{} // units
	var noRoom [][2]float64                       // bands that have none beside those of First: across and height
	for _, t := range all {
		i := j.index(t.Part)
		u, size := j.unitOf[i], [2]float64{t.across, t.Band.Height}
		worth[u] = true
		if len(j.First) == mostTrials || told[u] || slices.Contains(noRoom, size) {
			continue
		}
		if !j.oneLoad(append(slices.Clip(j.First), t)) {
			noRoom = append(noRoom, size)
			continue
		}
		t.Moves = j.moved(i, t.Measure) // of those chosen alone: of thousands of bands it would be long
		j.First = append(j.First, t)
		told[u] = true
	}
	j.named = namesIn(j.Suit)
	for i, p := range j.Parts {
		if u := j.unitOf[i]; worth[u] && !told[u] && p.Printed == 0 && !j.Tested(p.Name) {
			j.Later = append(j.Later, p.Name)
		}
	}
}

// taped reports whether a tape is asked for where a band would be tried on: it costs
// nothing, and mostly leaves no need of the band.
func (j *judge) taped(band Trial) bool {
	return band.Measure != "" && slices.ContainsFunc(j.Measures, func(m Measure) bool { return m.Name == band.Measure && slices.Contains(m.Parts, band.Part) })
}

// answered reports whether a band like this one, of part i or the other of its pair, was
// tried on there already: putting it on again costs nothing.
func (j *judge) answered(i int, band Trial) bool {
	t := j.findings[i].Testing
	return t != nil && slices.ContainsFunc(t.Tried, func(e analysis.Tried) bool {
		return e.Counts && j.onLike(i, e) && e.Station == band.Measure && math.Abs(e.Percent-band.Band.Percent) <= analysis.HalfStep
	})
}

// needsNoTest says that a part's own advice is to print it untested, and at the
// scale that the suit has for it, or at one that try-ons show to be as good.
func (j *judge) needsNoTest(i int) bool {
	t, p := j.findings[i].Testing, j.Parts[i]
	if t == nil || t.Next != nil {
		return false
	}
	shown := p.Range != nil && p.Scale >= p.Range.Shown[0] && p.Scale <= p.Range.Shown[1]
	return shown || math.Abs(t.Print-p.Scale) <= analysis.HalfStep
}

// expected is what a print of a part that does not fit the body is expected to cost.
func (j *judge) expected(i int) float64 { return j.Parts[i].Risk.Unfit * j.cost[i] }

// trial says what printing a band would bring, but for what it Moves.
func (j *judge) trial(i int, b analysis.Band) Trial {
	f := j.findings[i]
	tells := j.tells(i, b)
	t := Trial{Part: f.Part, Band: b, Measure: answers(f, b), worth: tells * j.expected(i)}
	if tells == 0 {
		return t // as what costs nothing: there is none
	}
	for k := range j.Parts {
		if share := j.moves(i, k, t.Measure); share > 0 {
			t.worth += share * tells * j.expected(k)
		}
	}
	girth := 0.0
	if s, ok := stationAt(f, b.Station); ok {
		girth = s.InnerGirth
		t.across = (s.InnerGirth + s.Gap) / math.Pi
		if s.Ellipse != nil {
			t.across = max(t.across, s.Ellipse[0])
		}
		t.across += twoWalls
	}
	t.Cost = b.Hours
	if j.ByVolume {
		t.Cost = girth * b.Height
	}
	return t
}

// moves is how much of what a band of part i tells about it holds for part k: 0 to 1.
func (j *judge) moves(i, k int, measure string) float64 {
	switch {
	case k == i, j.parted(i, k): // whose girths the tape tells apart
	case j.unitOf[k] == j.unitOf[i]:
		return 1
	case measure != "" && rests(j.findings[k], measure):
		return halfTold
	}
	return 0
}

// moved names the other parts that a band of part i tells about.
func (j *judge) moved(i int, measure string) (names []string) {
	for k, p := range j.Parts {
		if j.moves(i, k, measure) > 0 {
			names = append(names, p.Name)
		}
	}
	return names
}

// tells is the share of the doubt about part i, at the scale of the suit, that a band of it
// can answer: that it is too loose at the forearm a ring for the hand does not tell. 1 where
// nothing is known of the girths, or where the part's own report asks for that band.
func (j *judge) tells(i int, b analysis.Band) float64 {
	t := j.findings[i].Testing
	if t == nil || t.Next != nil {
		return 1
	}
	p := j.Parts[i]
	worn := p.Range != nil && p.Range.Shown != [2]float64{}
	all, its := 0.0, -1.0
	for _, l := range t.Limits {
		off := l.Off(p.Planned(), worn)
		all += off
		if l.Measure == b.Measure && l.Passes == b.Passes {
			its = off
		}
	}
	switch {
	case its < 0 || all < tolerance:
		return 1
	case its < leastAnswered*all:
		return 0
	}
	return its / all
}

// answers names the measure that a band answers for.
func answers(f *analysis.Findings, b analysis.Band) string {
	if b.Measure != "" {
		return b.Measure
	}
	return restsAt(f, b.Station)
}

// restsAt names the measure that rests where a band is cut. With several ways
// through the part a distance does not tell the place.
func restsAt(f *analysis.Findings, station float64) string {
	ways := 0
	for _, c := range f.Cavities {
		ways += len(c.Centrelines)
	}
	if f.Fit == nil || ways != 1 {
		return ""
	}
	best, least := "", near
	for _, s := range f.Fit.Sits {
		if d := math.Abs(s.Along - station); d <= least {
			best, least = s.Measure, d
		}
	}
	return best
}

// rests reports whether a measure rests in a part.
func rests(f *analysis.Findings, measure string) bool {
	return f.Fit != nil && slices.ContainsFunc(f.Fit.Sits, func(s analysis.Sit) bool { return s.Measure == measure })
}

// stationAt returns the station nearest to a place along the ways.
func stationAt(f *analysis.Findings, along float64) (best analysis.Station, ok bool) {
	for _, c := range f.Cavities {
		for _, w := range c.Centrelines {
			for _, s := range w.Stations {
				if !ok || math.Abs(s.Along-along) < math.Abs(best.Along-along) {
					best, ok = s, true
				}
			}
		}
	}
	return best, ok
}

// oneLoad reports whether the bands lie on one bed together. A band that is
// too wide for the bed by itself is one of several arcs and lies flat in less;
// it is let alone on the bed.
func (j *judge) oneLoad(trials []Trial) bool {
	if len(trials) == 1 {
		return true
	}
	var items []bed.Footprint
	for _, t := range trials {
		a := t.across
		items = append(items, bed.Footprint{Corners: []r2.Vec{{}, {X: a}, {X: a, Y: a}, {Y: a}}, Height: t.Band.Height})
	}
	loads, left := bed.Loads(items, j.volume(), bandGap)
	return len(loads) == 1 && len(left) == 0
}

// volume is what the printer can print on, without the strips: a band has room
// beside them.
func (j *judge) volume() bed.Volume {
	p := j.brief.Printer
	v := bed.Volume{Height: p.Height}
	if p.Diameter > 0 {
		v.Diameter = p.Diameter - 2*p.Margin
		return v
	}
	v.Width, v.Depth = p.Bed[0]-2*p.Margin, p.Bed[1]-2*p.Margin
	return v
}
