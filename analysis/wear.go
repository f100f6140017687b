package analysis

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gambeson/analysis/cavity"
	"gambeson/analysis/fit"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// wear answers whether the body gets in, where it rests, and which scale fits
// it. Where suit.toml wants halves that no cut makes, the body has to pass as it
// would without: the brief it returns wants none then.
func (a *Answer) wear(cavities []cavity.Cavity, brief Brief) Brief {
	before, kept := a.Findings, a.Kept
	a.wearOnce(cavities, brief)
	if !brief.Halves || a.opened(brief) {
		return brief
	}
	a.Findings, a.Kept, a.asked, a.twoWay = before, kept, nil, nil
	a.Findings.warn(uncut, uncutText)
	brief.Halves = false
	a.wearOnce(cavities, brief)
	return brief
}

// wearOnce is wear with halves as the brief has them.
func (a *Answer) wearOnce(cavities []cavity.Cavity, brief Brief) {
	region, known := fit.Of(brief.Region.Name)
	if !known || len(cavities) == 0 {
		return
	}
	f := &a.Findings
	brief.Strapped = brief.Strapped || f.OnlyCovers() // nothing has to pass
	in := insideOf(cavities, a.Shown, region, brief)
	f.warnShut(cavities, a.Shown, region)
	a.Kept = &Kept{Inside: in.Pack(), Before: slices.Clone(f.Warnings)}
	j, ok := f.judge(in, brief, func(entries []fit.Entry, opening string, brief Brief) { a.openUp(entries, opening, brief) })
	if ok {
		a.asked = &j.question
		a.twoWay = j.answer.TwoWay
		f.warnWear(j.answer, j.brief)
	}
	a.Kept.wearEnds = len(f.Warnings)
}

// insideOf measures what any body meets inside a part, which is m.
func insideOf(cavities []cavity.Cavity, m *mesh.Mesh, region fit.Region, brief Brief) fit.Inside {
	in := fit.Look(cavities, region, brief.Enter, brief.Rest, brief.Halves || brief.Strapped)
	for _, s := range in.Seats {
		in.Lengths = append(in.Lengths, insideLength(m, s))
	}
	return in
}

// judged is a body's question to a part, and its answer.
type judged struct {
	question fit.Question
	answer   fit.Answer
	brief    Brief // with the region's own padding and ease
}

// judge asks for the wearer; ok is false where nothing is known of one. openUp,
// which may be nil, finds what must come off where the body does not get in.
func (f *Findings) judge(in fit.Inside, brief Brief, openUp func([]fit.Entry, string, Brief)) (j judged, ok bool) {
	brief.Shell = brief.Shell.on(in.Region)
	wearer, err := fit.Measure(brief.readings(), brief.Wearer.Sex, brief.Region.Side, brief.undersuit())
	if err != nil {
		f.warn("wearer-unusable", "The measures of the wearer cannot be used: "+err.Error()+".")
		return j, false
	}
	if !wearer.Known() {
		return j, false
	}
	f.Fit = &Fit{Verdict: "unknown", Lead: in.Region.Lead(), Shell: &brief.Shell}
	q := fit.Question{Wearer: wearer, Wants: brief.wants()}
	if !brief.Shell.Asked.Ease {
		q.Wants.LimbEase = in.Region.Usual.LimbEase
	}
	q.Seat = q.Choose(in.Seats)
	in.Passings = in.By(q.Seat)
	q.Entries = f.throughBest(f.enter(in, wearer, brief), brief, openUp)
	if q.Seat != nil {
		q.Inside = in.Lengths[slices.Index(in.Seats, q.Seat)]
	} else if len(in.Region.Sits) > 0 {
		f.note("not-held", "The part does not close round the body far enough to hold it: only straps do, so its girths decide nothing. What counts is the width from rim to rim.")
		f.describeCap(in.Region, wearer, q.Wants)
	}
	if q.Seat != nil && q.Seat.Joined() {
		f.note("round-joint", "The way through it is bent, as round an elbow or a knee, so it covers some of the limb on both sides of the joint. Its length was therefore compared with the whole limb alone. Where each girth rests was taken as in a straight shell: compare the places with your body.")
	}
	f.doubtMeasures(q, brief)
	j = judged{question: q, answer: q.Judge(), brief: brief}
	f.describeFit(j.answer)
	if f.Shut() {
		f.Fit.Verdict = "blocked"
	}
	return j, true
}

// throughBest returns what must pass by the best opening, and warns where it
// does not.
func (f *Findings) throughBest(entries []fit.Entry, brief Brief, openUp func([]fit.Entry, string, Brief)) []fit.Entry {
	best := bestOpening(entries)
	if len(entries) > 0 && best.factor > 1 {
		f.Fit.Verdict = "blocked"
		if openUp != nil {
			openUp(entries, best.name, brief)
		}
		f.warnBlocked(best.name)
	}
	return slices.DeleteFunc(entries, func(e fit.Entry) bool { return e.Opening != best.name })
}

// on returns what is wanted on a region: its own defaults where nobody asked for
// anything else. An ease that was asked for is never looser than loosest.
func (s Shell) on(r fit.Region) Shell {
	u := r.Usual
	if !s.Asked.Padding {
		s.Padding = u.Padding
		s.EntryPadding, s.Undersuit = min(s.EntryPadding, s.Padding), min(s.Undersuit, s.Padding)
	}
	switch {
	case !s.Asked.Ease && !s.Asked.Loosest:
		s.Ease, s.Loosest = u.Ease, max(u.Loosest, u.Ease)
	case !s.Asked.Ease:
		s.Ease = min(u.Ease, s.Loosest)
	case !s.Asked.Loosest:
		s.Loosest = s.Ease + max(0, u.Loosest-u.Ease)
	}
	return s
}

// readings are the wearer's measures, weight with them.
func (b Brief) readings() map[string]float64 {
	out := map[string]float64{}
	for name, mm := range b.Wearer.Measures {
		out[name] = mm
	}
	if b.Wearer.Weight > 0 {
		out["weight"] = b.Wearer.Weight
	}
	return out
}

// undersuit is the thickness of what lay under the tape, mm.
func (b Brief) undersuit() float64 {
	if b.Wearer.OverUndersuit {
		return b.Shell.Undersuit
	}
	return 0
}

func (b Brief) wants() fit.Wants {
	s := b.Shell
	return fit.Wants{Padding: s.Padding, EntryPadding: s.EntryPadding, Liner: s.Liner, Ease: s.Ease, Loosest: s.Loosest}
}

// source says whether a value was read by a tape.
func source(given bool) string {
	if given {
		return "measured"
	}
	return "estimated"
}

// describeFit puts the answer into the findings.
func (f *Findings) describeFit(a fit.Answer) {
	for _, s := range a.Seated {
		extra := max(0, s.Spare/(2*math.Pi))
		if s.Hole {
			extra = 0 // an arm hole is not padded out
		}
		f.Fit.Sits = append(f.Fit.Sits, Sit{
			Measure: s.Measure, Body: s.Body.Mean, Source: source(s.Body.Given), SD: s.Body.SD,
			Needed: s.Needed, Capacity: s.Room, Ease: s.Ease, Along: s.Along, From: s.From, To: s.To,
			Extra: extra, Strays: s.Strays, Hole: s.Hole,
		})
	}
	for _, l := range a.Lengths {
		f.Fit.Lengths = append(f.Fit.Lengths, Length{
			Measure: l.Name, Body: l.Body.Mean, Source: source(l.Body.Given), SD: l.Body.SD, Room: l.Room,
			Smallest: f.Percent * l.Smallest, Largest: f.Percent * l.Largest,
		})
	}
	if n := a.Narrow; n != nil {
		f.Fit.Narrow = &Narrow{Along: n.Along, Room: n.Room, Body: n.Skin, Needed: n.Needed}
	}
	if a.Covers != nil {
		f.Fit.Covers = &Covers{Limb: string(a.Covers.Limb), Span: a.Covers.Span, SD: a.Covers.SD, Rims: a.Covers.Rims}
	}
	f.Fit.Smallest = percentOf(f.Percent, a.Smallest)
	f.Fit.Rests = percentOf(f.Percent, a.Rests)
	if region, known := fit.Of(f.Region.Name); known && region.Roomy {
		f.Fit.Roomiest = fit.TooRoomy * f.Fit.Rests
	}
	f.Fit.Missed = a.Missed
	f.Fit.Bare = f.Percent * a.Bare
	f.Fit.Loosest = percentOf(f.Percent, a.Loosest)
	f.Fit.Chance = a.Chance
	f.Fit.SmallestInterval = interval(f.Percent, a.SmallestInterval)
	f.Fit.RestsInterval = interval(f.Percent, a.RestsInterval)
	if a.Recommended > 0 {
		f.Fit.Recommended = plain(f.Percent*a.Recommended, f.Percent*a.Worn(), f.Percent*a.Loosest)
		f.Fit.Interval = interval(f.Percent, a.Interval)
	}
	for _, h := range a.Helps {
		f.Fit.Helps = append(f.Fit.Helps, Help{Measure: h.Measure, Cut: h.Cut, SD: f.Percent * h.SD})
	}
	if f.Fit.Verdict == "unknown" {
		f.Fit.Verdict = f.worn(a)
	}
}

// interval is factors times percent; nil where there are none, or no end.
func interval(percent float64, factors [2]float64) *[2]float64 {
	if factors[0] <= 0 || math.IsInf(factors[1], 1) {
		return nil
	}
	return &[2]float64{percent * factors[0], percent * factors[1]}
}

// plain rounds a scale to half a percent, as one sets it, or less far where that
// would leave the range in which the part fits; highest 0 is no end.
func plain(percent, least, most float64) float64 {
	for _, parts := range []float64{2, 10} { // of a percent; divided, so that 100.3 is written so
		if p := math.Round(percent*parts) / parts; p >= least && (most == 0 || p <= most) {
			return p
		}
	}
	return math.Ceil(10*percent-1e-6) / 10
}

// A scale written with one decimal is no finer than this share of it.
const written = 5e-4

// verdict says how the part fits a body that is in it. As it is, a girth may lack
// room though all had it at some lesser scale, at which the part did not reach
// that girth.
func verdict(a fit.Answer) string {
	smallest := a.Smallest
	if a.Rests > 0 {
		smallest = a.Rests
	}
	switch {
	case len(a.Seated) == 0:
		return "unknown"
	case smallest > 1+written || a.Narrow != nil || slices.ContainsFunc(a.Seated, lacksRoom):
		return "tight"
	case a.Loosest > 0 && a.Loosest < 1-written:
		return "loose"
	}
	return "fits"
}

// worn is the verdict on a part that is on, also on one that nothing but its distance
// from what rests inside makes loose.
func (f *Findings) worn(a fit.Answer) string {
	v := verdict(a)
	if v == "fits" && f.TooRoomy() {
		return "loose"
	}
	return v
}

// lacksRoom says whether a girth has less than it needs where it rests, beyond
// what is written of a scale and of the place, so that the part is too tight; a hole is
// only cut wider.
func lacksRoom(s fit.Seated) bool { return !s.Hole && s.Spare < -2*written*s.Needed }

// insideLength is the length of a boot inside, from the heel's wall to the
// toe's, along the foot; 0 where the part is no boot.
func insideLength(m *mesh.Mesh, s *fit.Seat) float64 {
	if s.Region.Stay.By != fit.ByBend {
		return 0
	}
	along := s.Along()
	low, high := math.Inf(1), math.Inf(-1)
	for _, st := range s.Main.Stations {
		if r3.Dot(st.Normal, along)*sign(s.Main.Back) < math.Sqrt2/4 {
			continue // in the shaft
		}
		for _, p := range st.Void {
			x := r3.Dot(st.Section.Plane.Lift(p), along)
			low, high = min(low, x), max(high, x)
		}
	}
	last := s.Main.Stations[len(s.Main.Stations)-1]
	if x, ok := m.Ahead(last.Center, along); ok {
		high = max(high, r3.Dot(last.Center, along)+x)
	}
	if high <= low {
		return 0
	}
	return high - low
}

func sign(back bool) float64 {
	if back {
		return -1
	}
	return 1
}

// doubtMeasures doubts readings that do not go with the others, in the numbers that the
// wearer gave: over the undersuit where that was under the tape. One that cannot be right,
// and that the answer to q depends on, asks to be measured again before anything else.
func (f *Findings) doubtMeasures(q fit.Question, brief Brief) {
	used := q.Measures()
	for _, o := range q.Wearer.Odds() {
		name, _, _ := strings.Cut(o.Key, ".")
		given, ok := brief.Wearer.Measures[o.Key]
		if own, onSide := brief.Wearer.Measures[o.Key+"."+brief.Region.Side]; onSide {
			given, ok = own, true
		}
		if over := given - o.Read; ok {
			o.Read, o.Low, o.High = given, o.Low+over, o.High+over
		}
		unit := "mm"
		if o.Key == "weight" {
			unit = "kg"
		}
		text := fmt.Sprintf("The wearer's %s of %s %s hardly goes with the other measures, with which it would lie between %s and %s %s: measure it again",
			MeasureWords(o.Key), tenths(o.Read), unit, tenths(o.Low), tenths(o.High), unit)
		if o.Swapped != "" {
			text += fmt.Sprintf(". Was it exchanged with the %s", MeasureWords(o.Swapped)) + "? So they would go together"
		}
		if o.Wrong && slices.Contains(used, name) {
			f.warn("measure-odd", text+". The verdict rests on it.")
		} else {
			f.note("measure-odd", text+".")
		}
	}
}

// waylaid is the share of the bare body below which the room between two measures, both
// of which have theirs, is no shell's that was drawn for a body (a guess).
const waylaid = 0.5

// warnWear warns of a part that is too tight or too loose on the body.
func (f *Findings) warnWear(a fit.Answer, brief Brief) {
	switch s := tightestSit(f.Fit.Sits); f.worn(a) {
	case "tight":
		n := f.Fit.Narrow
		switch lacks := slices.ContainsFunc(a.Seated, lacksRoom); {
		case lacks:
			f.warn("too-tight", fmt.Sprintf("Too tight for the %s: with padding and %s mm of ease it needs %s mm and has %s mm.%s",
				bodyWords(s.Measure, s.Source, s.Body, s.SD), tenths(s.Needed-s.Capacity+s.Ease), tenths(s.Needed), tenths(s.Capacity), f.fitsFrom()))
		case n == nil:
			f.warn("too-tight", fmt.Sprintf("The %s finds no place inside: where it should rest lies beyond a rim, or where the part does not close round it.%s", MeasureWords(f.Fit.Lead), f.fitsFrom()))
		case n.Room < waylaid*n.Body && f.Says("stands-in-way"): // its edges told of it
		case n.Room < waylaid*n.Body:
			f.warn("stands-in-way", fmt.Sprintf("Something stands in the way inside, a bar, a rib or a strip: %s mm from opening %s there is room for only %s mm, less than half of what the bare body takes, and all its measures have room beside it. Take it out in a modelling program.",
				tenths(n.Along), a.Seated[0].From, tenths(n.Room)))
		case !n.Bare():
			f.warn("too-tight", fmt.Sprintf("Too tight between the places that are measured: %s mm in from opening %s it has %s mm, and with padding and ease it needs about %s mm, by what is measured next to there.%s",
				tenths(n.Along), a.Seated[0].From, tenths(n.Room), tenths(n.Needed), f.fitsFrom()))
		default:
			f.warn("too-tight", fmt.Sprintf("Too tight between the places that are measured: %s mm in from opening %s it has %s mm, and the bare body there is about %s mm, by a straight line from one measure to the next.%s",
				tenths(n.Along), a.Seated[0].From, tenths(n.Room), tenths(n.Body), f.fitsFrom()))
		}
	case "loose":
		if f.TooRoomy() {
			f.warnRoomy()
			break
		}
		for _, s := range f.Fit.Sits {
			if s.Measure == f.Fit.Lead {
				f.warn("too-loose", fmt.Sprintf("Too loose: the %s has %s mm of ease, and more than %s mm counts as loose. It fits %swith %s mm more padding there on each side.",
					bodyWords(s.Measure, s.Source, s.Body, s.SD), tenths(s.Ease), tenths(brief.Shell.Loosest), f.fitsUpTo(), tenths(s.Extra)))
				break
			}
		}
	}
	f.warnHoles()
	f.noteGap()
	f.warnLength(brief)
	f.warnSize()
	for _, s := range f.Fit.Sits {
		f.notePose(s)
	}
}

// warnRoomy warns of a part that nothing makes loose, such as a helm, where it stands too
// far off the body as it is set.
func (f *Findings) warnRoomy() {
	s, ok := f.Fit.LeadSit()
	if !ok {
		return
	}
	text := fmt.Sprintf("Too loose for the %s above about %s %%: it has %s mm of girth more than padding and ease take, about %s mm more on each side.",
		bodyWords(s.Measure, s.Source, s.Body, s.SD), floorTenths(f.Fit.Roomiest), tenths(s.Capacity-s.Needed), tenths(s.Extra))
	if in := f.Fit.GetsIn(); in > f.Fit.Rests {
		text += fmt.Sprintf(" Closed, the body gets in from %s %% on; once in, it has room from %s %% on.", ceilTenths(in), ceilTenths(f.Fit.Rests))
	} else {
		text += fmt.Sprintf(" It has room from %s %% on.", ceilTenths(f.Fit.Rests))
	}
	f.warn("too-loose", text)
}

// inDoubt is the doubt, as a share of a girth once closed, from which on it is told of (a
// guess: half of what two scales that are printed of one part are apart).
const inDoubt = 0.02

// noteGap says of a part that is open where its leading measure rests, if so, that the wall
// does not tell how far round it is there.
func (f *Findings) noteGap() {
	for _, s := range f.Fit.Sits {
		var t trial
		if s.Measure != f.Fit.Lead || !f.setOn(&t, s.From, s.To, s.Along) {
			continue
		}
		at := t.station
		if at.Closed == 0 || at.Doubt < inDoubt*at.Closed || at.Capacity > 0 && at.Capacity < at.Closed {
			continue
		}
		f.note("gap-in-doubt", fmt.Sprintf("Where the %s rests the shell is open, %s mm from rim to rim, and its wall does not tell surely how it would go on from one to the other: its room was taken for %s mm, and may be up to %s mm. As the lesser was taken, the scale may come out a little too large rather than too small. To be sure, try on a test band with all padding and measure across from rim to rim: printed at %s %%, it is too tight where that is more than %s mm.",
			MeasureWords(s.Measure), tenths(at.Gap), tenths(s.Capacity), tenths(s.Capacity*(1+at.Doubt/at.Closed)), inPercent(f.Percent), tenths(at.Gap)))
		return
	}
}

// warnLength warns of a part that is too short or too long for the body, and of
// a leading measure that is pinned beyond the part.
func (f *Findings) warnLength(brief Brief) {
	for _, l := range f.Fit.Lengths {
		name := strings.ReplaceAll(l.Measure, "_", " ")
		switch {
		case l.Smallest > f.Percent*(1+written):
			f.warn("too-short", fmt.Sprintf("Too short for the %s of %s mm: it needs %s mm inside and has %s mm. It is long enough from %s %% on.", name, tenths(l.Body), tenths(l.Room*l.Smallest/f.Percent), tenths(l.Room), ceilTenths(l.Smallest)))
		case l.Largest > 0 && l.Largest < f.Percent*(1-written):
			f.warn("too-long", fmt.Sprintf("Too long: it has %s mm where the body has %s mm (%s), and is not too long up to %s %%.", tenths(l.Room), tenths(l.Body), name, floorTenths(l.Largest)))
		}
	}
	if brief.Rest == nil || f.Fit.Covers == nil {
		return
	}
	if long := math.Abs(f.Fit.Covers.Span[0] - f.Fit.Covers.Span[1]); *brief.Rest > long {
		f.warn("rest-outside", fmt.Sprintf("suit.toml puts the %s %s mm in, but the part is only %s mm long: look at rest.", MeasureWords(f.Fit.Lead), tenths(*brief.Rest), tenths(long)))
	}
}

// A file is seldom drawn for a body smaller or larger than these, percent of
// the wearer (a guess: a child of seven against a tall man is 65 %, and downloads
// for dolls or giants are none for this wearer).
const (
	leastSize = 55.0
	mostSize  = 180.0
)

// warnSize doubts the region of a part that would fit only at an odd scale.
func (f *Findings) warnSize() {
	fits := f.Fit.Rests
	if fits == 0 || fits >= leastSize && fits <= mostSize {
		return
	}
	f.warn("size-unlikely", fmt.Sprintf("It would fit this wearer's %s only from %s %% on: is that what it covers? Look at region and unit in suit.toml before anything else.",
		strings.ReplaceAll(f.Region.Name, "_", " "), ceilTenths(fits)))
}

// fitsUpTo says up to which scale the part is not loose, where what rests inside
// still has room there.
func (f *Findings) fitsUpTo() string {
	if f.Fit.Loosest < f.Fit.Rests {
		return ""
	}
	return fmt.Sprintf("up to %s %%, or ", floorTenths(f.Fit.Loosest))
}

// fitsFrom says from which scale on what rests inside has room, and where that is a
// lesser one, at which the part does not reach all of it, what it does not.
func (f *Findings) fitsFrom() string {
	if f.Fit.Rests <= f.Percent {
		if short := f.Fit.TooShortFor(); short != "" {
			return fmt.Sprintf(" At a lesser scale, from %s %%, it fits, as it is so short then that it does not reach %s.", ceilTenths(f.Fit.Rests), short)
		}
		return ""
	}
	return fmt.Sprintf(" It fits from %s %% on.", ceilTenths(f.Fit.Rests))
}

// TooShortFor names the measures that the part does not reach at the scale from which
// on it has room, and lacks room for as it is: "the knee"; "" where there are none.
func (f *Fit) TooShortFor() string {
	var names []string
	for _, m := range f.Missed {
		names = append(names, "the "+MeasureWords(m))
	}
	return strings.Join(names, " and ")
}

// bodyWords names a measure; one that is estimated says so.
func bodyWords(measure, source string, mm, sd float64) string {
	if source == "estimated" {
		return fmt.Sprintf("%s (estimated at %s ± %s mm: measure it)", MeasureWords(measure), tenths(mm), tenths(sd))
	}
	return MeasureWords(measure)
}

// tightestSit is the sit that lacks the most, by its need, but for holes.
func tightestSit(sits []Sit) Sit {
	var worst Sit
	for _, s := range sits {
		if s.Hole {
			continue
		}
		if worst.Needed == 0 || s.Capacity/s.Needed < worst.Capacity/worst.Needed {
			worst = s
		}
	}
	return worst
}

// LeadSit is the sit that the part hangs on.
func (f *Fit) LeadSit() (Sit, bool) {
	for _, s := range f.Sits {
		if s.Measure == f.Lead {
			return s, true
		}
	}
	return Sit{}, false
}

// Doubt is the standard deviation of the scale that fits, in percent, by the
// help that takes a share of its variance away.
func (f *Fit) Doubt() float64 {
	h := f.Helps[0]
	return h.SD / math.Sqrt(max(1e-9, 1-h.Cut))
}
