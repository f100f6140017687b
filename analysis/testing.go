package analysis

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gambeson/analysis/tryon"

	"gonum.org/v1/gonum/stat/distuv"
)

// Tryon is what the wearer found when a band of the part, or the part, was tried
// on.
type Tryon struct {
	Station string  `json:"station"` // measure that rests there, "" where Along says it
	Along   float64 `json:"along"`   // mm along the way in, where Station is ""
	Percent float64 `json:"percent"` // scale that was tried
	Verdict string  `json:"verdict"` // tight, fits or loose
	// Capacity is the room there was, mm; 0 where nobody noted it: then Percent is
	// that of the file as it lies now.
	Capacity float64 `json:"capacity_mm"`
	// Padding lay under it where the body rests, and EntryPadding where it only passes, mm
	// on each side; nil where nobody noted it: then as much as there is now.
	Padding      *float64 `json:"padding_mm,omitempty"`
	EntryPadding *float64 `json:"entry_padding_mm,omitempty"`
	// Other is the part that it was found on where that is not the part asked
	// about, nil where it is.
	Other *OtherPart `json:"other,omitempty"`
}

// Testing says whether a band is worth its hours before the part is printed.
type Testing struct {
	WorthIt bool `json:"worth_it"`
	// Saved are the hours of the printer that the advice saves on average against
	// printing the part, and that of the other side, at once. A test may be worth it
	// though it saves none: a part in vain costs more than its hours.
	Saved float64 `json:"expected_hours_saved"`
	// TestHours are those of the bands that the advice prints on average, and
	// Reprints the hours of prints of the part done again that it saves on average
	// against printing the part at once at the recommended scale.
	TestHours float64 `json:"expected_test_hours"`
	Reprints  float64 `json:"expected_reprint_hours_saved"`
	// Next is the band to print and try on, nil where none is worth it.
	Next *NextBand `json:"next,omitempty"`
	// Print is the scale to print the part at by what is known now, Chance that it
	// fits then, and Settled that no more is asked.
	Print   float64 `json:"print_percent"`
	Chance  float64 `json:"chance"`
	Settled bool    `json:"settled"`
	// Odds is the chance that the part fits at many scales by what is known now:
	// percent and chance, the smallest scale first.
	Odds [][2]float64 `json:"odds,omitempty"`
	// Bands is how many are printed on average if the advice is followed.
	Bands float64 `json:"bands"`
	// Then says what each answer to the next band leads to.
	Then []After `json:"then,omitempty"`
	// Ways are the ways to go on with the hours of each, the best last.
	Ways []Way `json:"ways,omitempty"`
	// Measure is what is asked about, the girth nearest to its limits for what is
	// known of it; Passes: on its way in, else where it rests.
	Measure string `json:"measure,omitempty"`
	Passes  bool   `json:"passes,omitempty"`
	// Smallest is the least scale that fits it by all that is known, and SD its
	// standard deviation, both percent.
	Smallest float64 `json:"smallest_percent"`
	SD       float64 `json:"sd_percent"`
	// Stake is what a part that does not fit is taken to cost, hours: its print and
	// what goes with it, twice where it has another side.
	Stake float64 `json:"stake_hours"`
	// Limits are those of each girth that rests or passes.
	Limits []Limit `json:"limits,omitempty"`
	// Tried is what was found so far.
	Tried []Tried `json:"tried,omitempty"`
	// Text says the advice in one sentence.
	Text string `json:"text"`
}

// Limit says between which scales a girth has room and is not loose, by all that is known:
// percent, of which SD is the standard deviation.
type Limit struct {
	Measure  string  `json:"measure"`
	Passes   bool    `json:"passes,omitempty"`
	Smallest float64 `json:"smallest_percent"` // with the ease wanted
	Worn     float64 `json:"worn_percent"`     // with what gives: below it is printed again
	Loosest  float64 `json:"loosest_percent,omitempty"`
	SD       float64 `json:"sd_percent"`
}

// Off is the chance that the girth does not fit at a scale; worn: as far as the part is
// printed again for it, else with the ease wanted.
func (l Limit) Off(percent float64, worn bool) float64 {
	d := distuv.Normal{Sigma: max(l.SD, SameScale)}
	least := l.Smallest
	if worn {
		least = l.Worn
	}
	off := d.CDF(least - percent)
	if l.Loosest > 0 {
		off += d.CDF(percent - l.Loosest)
	}
	return min(1, off)
}

// NextBand is the band to print next.
type NextBand struct {
	Band string `json:"band"` // its file, relative to the suit folder
	// With are the other sheets of its arcs, tried on together with it.
	With    []string `json:"with,omitempty"`
	Percent float64  `json:"percent"`
	Hours   float64  `json:"hours"` // of all of them
}

// After is what follows one answer: a band at Band percent or, where that is 0,
// the part at Print percent, which then fits with Chance.
type After struct {
	Verdict string  `json:"verdict"`
	Likely  float64 `json:"likely"` // 0–1
	Band    float64 `json:"band_percent,omitempty"`
	Print   float64 `json:"print_percent"`
	Chance  float64 `json:"chance"`
}

// Way is one way to go on: "as recommended" and "at once" print the part,
// "ladder" prints bands at Percents until it is settled, "best" follows the
// advice. Hours are averages.
type Way struct {
	Kind      string    `json:"kind"`
	Percents  []float64 `json:"percents,omitempty"`
	TestHours float64   `json:"test_hours"`
	Again     float64   `json:"again"` // chance that the part is printed again
	Hours     float64   `json:"hours"` // of tests, and of prints done again
}

// Tried is one try-on as it was understood.
type Tried struct {
	Part    string `json:"part,omitempty"` // that it was found on, "" where that is this one
	Station string `json:"station"`
	// Percent is the scale of the file as it lies now at which there is the same room for
	// the body, over the padding that there is now.
	Percent float64 `json:"percent"`
	// Noted is the scale of the file that was tried, where that is another; else 0.
	Noted   float64 `json:"noted_percent,omitempty"`
	Verdict string  `json:"verdict"`
	Counts  bool    `json:"counts"` // it says something of the scale
	Odd     bool    `json:"odd"`    // it does not go with what else is known
	// Differs is by how much the girth was measured larger on the side of Part than on this
	// one, mm: what was found there counts for a girth that is so much larger.
	Differs float64 `json:"differs_mm,omitempty"`
	// Across: Part covers the same region on the other side of the body, where the girth is
	// not known to be another.
	Across bool `json:"across,omitempty"`
	// Padding is what it was tried over and what it's reckoned for, mm on each side; nil
	// where these are the same.
	Padding *[2]float64 `json:"padding_mm,omitempty"`
}

// Fits reports whether it was found to fit, as far as it says anything and goes with the
// rest.
func (e Tried) Fits() bool { return e.Counts && !e.Odd && e.Verdict == string(tryon.Fits) }

// testing weighs bands against the real print. It cuts the bands anew where the
// advice is another scale than the one that they have.
func (a *Answer) testing(brief Brief, workers int) {
	f := &a.Findings
	f.warnStray(brief)
	t, ok := f.weigh(brief)
	if !ok {
		return
	}
	if next := f.Testing.Next; next != nil && next.Percent != t.set()[0].Percent {
		a.cutBandsAt(brief, next.Percent, workers)
		a.countBands(brief, workers)
		f.Testing.Next = f.nextBand(t.spots[t.main], next.Percent)
	}
	f.doubtTryons(t)
	f.heedTryons()
}

// Weigh weighs test bands against the real print anew, by the fit, the bands and
// the hours that the findings have and by the try-ons of a brief. Where the
// advice is another scale than that of the bands, its hours are those of the band at
// that scale (see asBand). Without a fit, bands or hours it does nothing.
func (f *Findings) Weigh(brief Brief) {
	if f.Region != nil {
		brief.Region = *f.Region
	}
	f.Testing = nil
	f.Warnings = slices.DeleteFunc(slices.Clone(f.Warnings), IsOdd)
	if t, ok := f.weigh(brief); ok {
		f.doubtTryons(t)
	}
}

// oddTryons are the codes of the warnings that try-ons do not go together or with the
// rest, and are to be settled before anything more is printed.
var oddTryons = []string{"try-ons-odd", "try-ons-disagree"}

// IsOdd reports whether a warning is one of these.
func IsOdd(w Warning) bool { return slices.Contains(oddTryons, w.Code) }

// Unsettled reports whether try-ons do not go together or with the rest.
func (f *Findings) Unsettled() bool { return f.Says(oddTryons...) }

// weigh puts the advice into the findings; ok is false where nothing can be
// asked.
func (f *Findings) weigh(brief Brief) (t asking, ok bool) {
	t, ok, err := f.question(brief)
	if err != nil {
		f.note("no-plan", "Whether a test band is worth its hours could not be reckoned: "+err.Error()+".")
	}
	if !ok {
		return t, false
	}
	f.Testing = t.told(t.plan, f.Print.Hours)
	f.Testing.Limits = t.limits(f.Fit.padded())
	if t.plan.Next > 0 {
		f.Testing.Next = f.nextBand(t.spots[t.main], t.plan.Next)
		f.Testing.Next.Hours = t.plan.BandHours
	}
	return t, true
}

// asking is the question about one part, and what it was made from.
type asking struct {
	q     tryon.Question
	spots []spot
	main  int // of spots, the one asked about
	tried []Tried
	plan  tryon.Plan
	side  string
}

// sides is how many parts are printed at the scale that is sought: what is
// printed for the other side of the body has the same, and a band tells of both.
func (t *asking) sides() float64 {
	if t.side != "" {
		return 2
	}
	return 1
}

// leastSaved are hours below which none are said to be saved.
const leastSaved = 0.1

// set are the bands that are tried on together: all sheets of the one.
func (t *asking) set() []Band { return t.spots[t.main].bands }

const (
	// inVain is what a part that does not fit costs, in hours of its print: the
	// print itself, and five times that for its filament, the work that went into
	// it before it was tried on, and the suit that waits (a guess; with it few
	// enough parts are printed in vain, which BenchmarkSuit counts).
	inVain = 6
	// opening is the share of that where the body does not get in: a finished part
	// is not printed again but sawn open, and the strip hinged (a guess).
	opening = 0.25
)

// question puts the fit into the terms of bands. It asks about the girth of
// which a band saves most, else about the one that is nearest to its limits for
// what is known of it, and takes the others as they are. ok is false where
// nothing can be asked.
func (f *Findings) question(brief Brief) (t asking, ok bool, err error) {
	if f.Fit == nil || f.Fit.Shell == nil || f.Print == nil || !(f.Fit.Recommended > 0) {
		return t, false, nil
	}
	t.spots = f.spots(brief.Region.Side)
	t.tried = f.answers(t.spots, brief.Tryons)
	t.tried = append(t.tried, f.otherAnswers(t.spots, brief)...)
	if err := meet(t.spots, brief); err != nil {
		return t, false, err
	}
	t.side = brief.Region.Side
	stake := inVain * t.sides() * f.Print.Hours
	recommended := f.Fit.Recommended
	if f.holdsTo(brief) {
		recommended = f.Percent
	}
	padded := f.Fit.padded()
	t.main = -1
	for i, s := range t.spots {
		if len(s.bands) == 0 {
			continue
		}
		q := s.question(recommended, stake)
		q.Told = f.Fit.Loosest + 2*q.SD // so that it is seen to fall
		if err := t.others(&q, i); err != nil {
			return t, false, err
		}
		f.barely(&q)
		f.atLength(&q)
		b, err := s.felt()
		if err != nil {
			return t, false, err
		}
		p, err := q.PlanBy(b)
		if err != nil {
			return t, false, err
		}
		better := t.main >= 0 && p.Saved > t.plan.Saved
		nearer := t.main >= 0 && p.Saved == t.plan.Saved && s.margin(recommended, padded) < t.spots[t.main].margin(recommended, padded)
		if t.main < 0 || better || nearer {
			t.main, t.q, t.plan = i, q, p
		}
	}
	return t, t.main >= 0, nil
}

// barely adds to a question that the bare body has to have room between its measures,
// too, which no band at one of them tells of: as surely as the least scale is known.
func (f *Findings) barely(q *tryon.Question) {
	bare := f.Fit.Bare
	if bare == 0 {
		return
	}
	sd := Spread(f.Fit.SmallestInterval)
	q.Upto = max(q.Upto, bare+2*sd)
	others := q.Others
	q.Others = func(percent float64) float64 {
		has := 1.0
		if percent < bare+4*sd {
			has = distuv.Normal{Mu: bare, Sigma: max(sd, SameScale)}.CDF(percent)
		}
		return has * others(percent)
	}
}

// NineInTen is half the width of the interval that holds a normal 9 times in 10, in
// standard deviations.
var NineInTen = distuv.UnitNormal.Quantile(0.95)

// Spread is the standard deviation of what lies in an interval 9 times in 10; 0 for nil.
func Spread(interval *[2]float64) float64 {
	if interval == nil {
		return 0
	}
	return max(0, interval[1]-interval[0]) / (2 * NineInTen)
}

// question asks about the spot, of a part that costs so much in vain.
func (s *spot) question(recommended, stake float64) tryon.Question {
	hours := 0.0
	for _, b := range s.bands {
		hours += b.Hours
	}
	return tryon.Question{
		Capacity: s.capacity, Smallest: s.percent(s.body.Mean), SD: s.percent(s.body.SD), Window: s.percent(s.body.Window),
		Prefers: s.percent(s.prefers), Strays: s.percent(s.strays), Give: s.percent(s.give), Recommended: recommended,
		BandHours: func(p float64) float64 { return hours * asBand(p/s.bands[0].Percent) },
		PartHours: stake, Gate: s.passes, Opening: opening, Tryons: s.body.Answers, Judge: s.body.Judge,
		Complained: s.complained(),
	}
}

// limits are those of all girths; of a padded part none is loose.
func (t *asking) limits(padded bool) (out []Limit) {
	for _, s := range t.spots {
		b, give, err := s.settledOrFelt()
		if err != nil {
			continue
		}
		l := Limit{Measure: s.measure, Passes: s.passes, Smallest: s.percent(b.Mean()), Worn: s.percent(b.Mean() - give), SD: s.percent(b.SD())}
		if !padded && !math.IsInf(s.body.Window, 1) {
			l.Loosest = s.percent(b.Mean() + s.body.Window)
		}
		out = append(out, l)
	}
	return out
}

// settledOrFelt is what is believed of a need, and what less than it is still worn: whoever
// said tight there is not told that it gives.
func (s *spot) settledOrFelt() (b *tryon.Belief, give float64, err error) {
	if s.complained() {
		b, err = s.felt()
		return b, 0, err
	}
	b, err = s.settled()
	return b, s.give, err
}

// asBand is how many times the hours and the filament of a band one of another scale
// takes: its height stays, and so it grows as its length and its wall do.
func asBand(scale float64) float64 { return scale * scale }

// neighbour is a spot that is not asked about, with what is believed of it.
type neighbour struct {
	spot
	*tryon.Belief
}

// others puts into a question what is known of all spots but the one it is about.
func (t *asking) others(q *tryon.Question, but int) error {
	var rest, pass []neighbour
	lead := -1 // of rest, where the part may be loose
	for i, s := range t.spots {
		if i == but {
			continue
		}
		b, give, err := s.settledOrFelt()
		s.give = give
		switch {
		case err != nil:
			return err
		case s.passes:
			pass = append(pass, neighbour{s, b})
			continue
		case !math.IsInf(s.body.Window, 1):
			lead = len(rest)
		}
		rest = append(rest, neighbour{s, b})
		q.Upto = max(q.Upto, s.percent(b.Quantile(oftenEnough)))
	}
	q.Others = func(percent float64) float64 { return roomy(rest, percent) }
	q.Passes = func(percent float64) float64 { return roomy(pass, percent) }
	if lead < 0 {
		return nil
	}
	l := rest[lead]
	besides := slices.Delete(slices.Clone(rest), lead, lead+1)
	q.Lead = &tryon.Lead{
		Window:  l.percent(l.body.Window),
		Besides: func(percent float64) float64 { return roomy(besides, percent) },
	}
	for i := range likelyLeads {
		need := l.Quantile((float64(i) + 0.5) / likelyLeads)
		q.Lead.Loosest = append(q.Lead.Loosest, l.percent(need+l.body.Window))
	}
	return nil
}

// likelyLeads are the likely bodies by which it is told how loose the leading
// measure is.
const likelyLeads = 20

// oftenEnough is the share of likely bodies whose need a scale is looked at for.
const oftenEnough = 0.98

// roomy is the chance that all spots have room at a scale.
func roomy(spots []neighbour, percent float64) float64 {
	chance := 1.0
	for _, n := range spots {
		chance *= n.Roomy(n.capacity*percent/100, n.give)
	}
	return chance
}

// told puts a plan into the findings, for a part of so many hours. What it saves
// is said in hours of the printer alone: what else a part in vain costs decides,
// but nobody can check it.
func (t *asking) told(p tryon.Plan, hours float64) *Testing {
	first, best := p.Options[0], p.Options[len(p.Options)-1]
	reprints := (first.Reprint - best.Reprint) * hours
	p.Lost, p.Saved = (1-p.Chance)*hours, 0
	if p.Next > 0 {
		p.Saved = t.sides()*reprints - best.TestHours
	}
	text := p.Sentence("part", MeasureWords(t.spots[t.main].measure))
	if p.Next > 0 && p.Saved < leastSaved {
		text = fmt.Sprintf("Print the %s band at %s %% first (%s h): it takes about as many hours as it saves, but of 100 such parts it brings those that are printed in vain from %.0f down to %.0f.",
			MeasureWords(t.spots[t.main].measure), inPercent(p.Next), tenths(p.BandHours), 100*first.Reprint, 100*best.Reprint)
	}
	out := &Testing{
		WorthIt: p.Next > 0, Saved: p.Saved, Print: p.Print, Chance: p.Chance, Settled: p.Settled, Bands: p.Bands,
		Smallest: p.Smallest, SD: p.SD, Stake: t.q.PartHours, Tried: t.tried, Text: text,
		TestHours: best.TestHours, Reprints: reprints,
		Measure: t.spots[t.main].measure, Passes: t.spots[t.main].passes,
	}
	for _, o := range p.Fits {
		out.Odds = append(out.Odds, [2]float64{o.Percent, o.Chance})
	}
	for _, b := range p.Then {
		out.Then = append(out.Then, After{Verdict: string(b.Verdict), Likely: b.Likely, Band: b.Band, Print: b.Print, Chance: b.Chance})
	}
	for _, o := range p.Options {
		out.Ways = append(out.Ways, Way{Kind: string(o.Kind), Percents: o.Percents, TestHours: o.TestHours, Again: o.Reprint, Hours: o.Hours})
	}
	return out
}

// nextBand names the files that are tried on together; the first band of all
// where none is cut at the spot any more.
func (f *Findings) nextBand(s spot, percent float64) *NextBand {
	n := &NextBand{Percent: percent}
	for _, b := range f.Bands {
		if b.Measure != s.measure || b.Passes != s.passes {
			continue
		}
		n.Hours += b.Hours
		if n.Band == "" {
			n.Band = b.File
		} else {
			n.With = append(n.With, b.File)
		}
	}
	return n
}

// warnStray names try-ons at places that the part has not.
func (f *Findings) warnStray(brief Brief) {
	places := measuresIn(brief.Region.Name)
	var has []string
	for _, name := range places {
		has = append(has, MeasureWords(name))
	}
	for _, e := range brief.Tryons {
		if e.Other == nil && e.Station != "" && len(places) > 0 && !slices.Contains(places, e.Station) {
			f.warn("tryon-astray", fmt.Sprintf("logbook.toml has a try-on of this part at the %s (%s at %s %%), which a part for this region of the body has not, so it says nothing: correct its station. Here there are: %s.",
				MeasureWords(e.Station), e.Verdict, inPercent(e.Percent), strings.Join(has, ", ")))
		}
	}
}

// doubtTryons says which try-ons do not go together or with the measures.
func (f *Findings) doubtTryons(t asking) {
	for _, s := range t.spots {
		f.doubt(s.seen(s.body, true), s.from)
	}
	if f.Unsettled() {
		return
	}
	for i, s := range t.spots {
		if i == t.main || s.passes {
			f.noteUnheeded(s.from, !s.passes)
		}
	}
}

// Against reports whether the scale to print at goes against what was found at another,
// the first percent: no larger than what was tight, or larger than what was loose.
func Against(print, percent float64, verdict string) bool {
	return verdict == string(tryon.Tight) && print <= percent+SameScale || verdict == string(tryon.Loose) && print > percent+SameScale
}

// noteUnheeded says which try-ons the advice goes against: they are likelier to be
// slips than the body to be so unlike what is known of it. from is the place of each
// try-on at a station in what was tried; loose, whether it counts as such there.
func (f *Findings) noteUnheeded(from []int, loose bool) {
	for _, i := range from {
		e := &f.Testing.Tried[i]
		if !Against(f.Testing.Print, e.Percent, e.Verdict) || e.Verdict == string(tryon.Loose) && !loose {
			continue
		}
		e.Odd = true
		or := "a measure is wrong. Measure the body there, put the band on again, and correct what is wrong in wearer.toml or logbook.toml"
		if f.guessed(e.Station) {
			or = "the body is not as was estimated, for nobody measured it there. Measure it and write it in wearer.toml, put the band on again, and delete from logbook.toml what was a slip"
		}
		f.warn("try-ons-odd", fmt.Sprintf("At %s it was found %s at the %s, and yet by all else that is known %s %% fits: that was a slip, or %s.",
			inPercent(e.Told())+" %"+e.Over(), e.Verdict, MeasureWords(e.Station), inPercent(f.Testing.Print), or))
	}
}

// guessed reports whether a measure of the wearer was only estimated.
func (f *Findings) guessed(measure string) bool {
	return slices.ContainsFunc(f.Fit.Sits, func(s Sit) bool { return s.Measure == measure && s.Source == "estimated" }) ||
		slices.ContainsFunc(f.Fit.Entries, func(e Entry) bool { return e.Measure == measure && e.Source == "estimated" })
}

// doubt says it of one station; from is the place of each answer in what was
// tried.
func (f *Findings) doubt(station tryon.Station, from []int) {
	d, err := tryon.Doubts(station)
	if err != nil || !d.Contradicts() {
		return
	}
	said := func(i int) string {
		e := f.Testing.Tried[from[i]]
		return fmt.Sprintf("%s at %s %%%s (%s)", e.Verdict, inPercent(e.Told()), e.Over(), MeasureWords(e.Station))
	}
	odd := append([]int{}, d.Odd...)
	for _, p := range d.Pairs {
		odd = append(odd, p[0], p[1])
		text := fmt.Sprintf("Two try-ons cannot both be right: %s and %s. Put both on again, with the same padding, and correct the logbook.", said(p[0]), said(p[1]))
		if !slices.ContainsFunc(f.Warnings, func(w Warning) bool { return w.Text == text }) { // noted twice, it is said once
			f.warn("try-ons-disagree", text)
		}
	}
	for _, i := range odd {
		f.Testing.Tried[from[i]].Odd = true
	}
	if len(d.Pairs) > 0 {
		return
	}
	var words []string
	again := "Measure again"
	for i := range from {
		words = append(words, said(i))
		if f.guessed(f.Testing.Tried[from[i]].Station) {
			again = "The " + MeasureWords(f.Testing.Tried[from[i]].Station) + " was only estimated: measure it"
		}
	}
	f.warn("try-ons-odd", fmt.Sprintf("What was found hardly goes with the measures of the wearer: %s. Only about %.0f in 100 answers are as unlikely as these. %s, and put the band on again.",
		strings.Join(words, ", "), math.Max(1, 100*d.Rare), again))
}
