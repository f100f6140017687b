package analysis

import (
	"fmt"
	"math"
	"strings"

	"gambeson/analysis/fit"
	"gambeson/analysis/tryon"
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
	// Other is the part that it was found on where that is not the part asked
	// about, nil where it is.
	Other *OtherPart `json:"other,omitempty"`
}

// Testing says whether a band is worth its hours before the part is printed.
type Testing struct {
	WorthIt bool    `json:"worth_it"`
	Saved   float64 `json:"expected_hours_saved"` // against printing the part at once
	// Next is the band to print and try on, nil where none is worth it.
	Next *NextBand `json:"next,omitempty"`
	// Print is the scale to print the part at by what is known now, Chance that it
	// fits then, and Settled that no more is asked.
	Print   float64 `json:"print_percent"`
	Chance  float64 `json:"chance"`
	Settled bool    `json:"settled"`
	// Bands is how many are printed on average if the advice is followed.
	Bands float64 `json:"bands"`
	// Then says what each answer to the next band leads to.
	Then []After `json:"then,omitempty"`
	// Ways are the ways to go on with the hours of each, the best last.
	Ways []Way `json:"ways,omitempty"`
	// Smallest is the least scale that fits by all that is known, and SD its
	// standard deviation, both percent.
	Smallest float64 `json:"smallest_percent"`
	SD       float64 `json:"sd_percent"`
	// Tried is what was found so far.
	Tried []Tried `json:"tried,omitempty"`
	// Text says the advice in one sentence.
	Text string `json:"text"`
}

// NextBand is the band to print next.
type NextBand struct {
	Band string `json:"band"` // its file, relative to the suit folder
	// With are further files that are tried on together with it: other sheets of
	// its arcs, and the band by which the part counts as loose.
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
	Part    string  `json:"part,omitempty"` // that it was found on, "" where that is this one
	Station string  `json:"station"`
	Percent float64 `json:"percent"` // of the file as it lies now
	Verdict string  `json:"verdict"`
	Counts  bool    `json:"counts"` // it says something of the scale
	Odd     bool    `json:"odd"`    // it does not go with what else is known
}

// testing weighs bands against the real print. It cuts the bands anew where the
// advice is another scale than the one that they have.
func (a *Answer) testing(brief Brief, workers int) {
	f := &a.Findings
	t, ok := f.question(brief)
	if !ok {
		return
	}
	plan, err := t.plan()
	if err != nil {
		f.note("no-plan", "Whether a test band is worth its hours could not be reckoned: "+err.Error()+".")
		return
	}
	f.Testing = t.told(plan)
	if plan.Next > 0 {
		if plan.Next != t.set[0].Percent {
			a.cutBandsAt(brief, plan.Next)
			a.countBands(brief, workers)
			t.set = f.bandSet(t.opened)
		}
		f.Testing.Next = nextBand(t.set, plan.Next)
	}
	f.doubtTryons(t)
}

// asking is the question about one part, and what it was made from.
type asking struct {
	q      tryon.Question
	set    []Band // that are tried on together, the deciding one first
	opened bool
	tried  []Tried
	from   []int // of each answer, its place in tried
	side   string
	others []otherStation
}

// A normal quantity lies 9 times in 10 within so many standard deviations to
// each side.
const nineInTen = 1.6448536269514722

// still is how much tighter than skin, padding and liner together a part is
// worn, mm of girth: flesh and foam give (a guess).
const still = 3.0

// question puts the fit into the terms of bands; ok is false where nothing can
// be asked.
func (f *Findings) question(brief Brief) (t asking, ok bool) {
	if f.Fit == nil || f.Print == nil || f.Fit.SmallestInterval == nil {
		return t, false
	}
	worn, interval := f.Fit.Smallest, *f.Fit.SmallestInterval
	mean := (interval[0] + interval[1]) / 2
	r := fit.Range{Smallest: f.Fit.Smallest, Rests: f.Fit.Rests, Loosest: f.Fit.Loosest}
	if t.opened = r.Opened(); t.opened && f.Fit.Interval != nil {
		worn, interval = r.Rests, *f.Fit.Interval
		mean = worn
	}
	if t.set = f.bandSet(t.opened); len(t.set) == 0 || !(worn > 0) || math.IsInf(mean, 0) {
		return t, false
	}
	main, hours := t.set[0], 0.0
	for _, b := range t.set {
		if b.Hours <= 0 {
			return t, false
		}
		hours += b.Hours
	}
	capacity := f.RoomAt(main.Measure, 0) * 100 / f.Percent
	percent := func(mm float64) float64 { return 100 * mm / capacity }
	t.q = tryon.Question{
		Capacity: capacity, Smallest: mean, SD: (interval[1] - interval[0]) / (2 * nineInTen), Window: math.Inf(1),
		Recommended: f.Fit.Recommended, PartHours: f.Print.Hours,
		BandHours: func(p float64) float64 { return hours * p / main.Percent }, // as its length
		Judge:     tryon.UsualJudge(),
	}
	if !main.Passes {
		t.q.Prefers, t.q.Give = percent(tryon.PreferredEase), percent(f.Fit.Shell.Ease+still)
	}
	if f.Fit.Loosest > worn {
		t.q.Window = f.Fit.Loosest - worn
	}
	if brief.PercentSet {
		t.q.Recommended = f.Percent
	}
	f.answers(&t, brief.Tryons)
	f.otherAnswers(&t, brief)
	return t, true
}

// bandSet are the bands that decide the fit and are tried on together: the most
// telling one for what must pass or rest, and the one by which the part counts as
// loose.
func (f *Findings) bandSet(opened bool) []Band {
	var main, lead []Band
	for _, b := range f.Bands {
		switch {
		case b.Measure == "" || f.RoomAt(b.Measure, 0) <= 0 || opened && b.Passes:
		case len(main) == 0, b.Station == main[0].Station && b.From == main[0].From && b.To == main[0].To:
			main = append(main, b)
		case b.Measure == f.Fit.Lead && !b.Passes && f.Fit.Loosest > 0 && main[0].Measure != f.Fit.Lead:
			lead = append(lead, b)
		}
	}
	return append(main, lead...)
}

// onBand is how far from a band a try-on was that still tells of it: half of
// what a tape is wide (common practice, no source).
const onBand = 6.0

// answers understands the try-ons: at one of the bands of the set each says what
// it says, elsewhere only that the part is tight. What was found at one scale is
// one answer of the part, tight where anything is, loose only by the leading
// measure.
func (f *Findings) answers(t *asking, tryons []Tryon) {
	for _, e := range tryons {
		if e.Other != nil {
			continue
		}
		measure := e.Station
		if measure == "" {
			for _, b := range t.set {
				if math.Abs(b.Station-e.Along) <= onBand {
					measure = b.Measure
				}
			}
		}
		percent := e.Percent
		if room := f.RoomAt(measure, e.Along); e.Capacity > 0 && room > 0 {
			percent = f.Percent * e.Capacity / room
		}
		onSet := false
		for _, b := range t.set {
			onSet = onSet || b.Measure == measure
		}
		out := Tried{Station: e.Station, Percent: percent, Verdict: e.Verdict, Counts: onSet || e.Verdict == string(tryon.Tight)}
		if out.Station == "" {
			out.Station = fmt.Sprintf("%.0f mm", e.Along)
		}
		t.tried = append(t.tried, out)
		if out.Counts {
			verdict := tryon.Verdict(e.Verdict)
			if verdict == tryon.Loose && measure != f.Fit.Lead {
				verdict = tryon.Fits
			}
			t.answer(verdict, len(t.tried)-1)
		}
	}
}

// sameScale is how near two scales in percent are one.
const sameScale = 0.25

// answer adds what was found as an answer, or joins it with one at the same scale
// and another station.
func (t *asking) answer(v tryon.Verdict, from int) {
	found := t.tried[from]
	for i, a := range t.q.Tryons {
		before := t.tried[t.from[i]]
		if math.Abs(before.Percent-found.Percent) <= sameScale && before.Station != found.Station {
			if v == tryon.Tight || a.Verdict == tryon.Fits {
				t.q.Tryons[i].Verdict = v
			}
			return
		}
	}
	t.q.Tryons = append(t.q.Tryons, tryon.Answer{Capacity: t.q.Capacity * found.Percent / 100, Verdict: v})
	t.from = append(t.from, from)
}

// told puts a plan into the findings.
func (t *asking) told(p tryon.Plan) *Testing {
	out := &Testing{
		WorthIt: p.Next > 0, Saved: p.Saved, Print: p.Print, Chance: p.Chance, Settled: p.Settled, Bands: p.Bands,
		Smallest: p.Smallest, SD: p.SD, Tried: t.tried, Text: p.Sentence("part", measureWords(t.set[0].Measure)),
	}
	for _, b := range p.Then {
		out.Then = append(out.Then, After{Verdict: string(b.Verdict), Likely: b.Likely, Band: b.Band, Print: b.Print, Chance: b.Chance})
	}
	for _, o := range p.Options {
		out.Ways = append(out.Ways, Way{Kind: string(o.Kind), Percents: o.Percents, TestHours: o.TestHours, Again: o.Reprint, Hours: o.Hours})
	}
	return out
}

// nextBand names the files that are tried on together.
func nextBand(set []Band, percent float64) *NextBand {
	if len(set) == 0 {
		return nil
	}
	n := &NextBand{Band: set[0].File, Percent: percent}
	for i, b := range set {
		n.Hours += b.Hours
		if i > 0 {
			n.With = append(n.With, b.File)
		}
	}
	return n
}

// doubtTryons says which try-ons do not go together or with the measures.
func (f *Findings) doubtTryons(t asking) {
	d, err := tryon.Doubts(t.q.Station())
	if err != nil || !d.Contradicts() {
		return
	}
	said := func(i int) string {
		e := t.tried[t.from[i]]
		return fmt.Sprintf("%s at %s %% (%s)", e.Verdict, strings.TrimSuffix(tenths(e.Percent), ".0"), measureWords(e.Station))
	}
	odd := append([]int{}, d.Odd...)
	for _, p := range d.Pairs {
		odd = append(odd, p[0], p[1])
		f.warn("try-ons-disagree", fmt.Sprintf("Two try-ons cannot both be right: %s and %s. Put both on again, with the same padding, and correct the logbook.", said(p[0]), said(p[1])))
	}
	for _, i := range odd {
		f.Testing.Tried[t.from[i]].Odd = true
	}
	if len(d.Pairs) > 0 {
		return
	}
	var words []string
	for i := range t.from {
		words = append(words, said(i))
	}
	f.warn("try-ons-odd", fmt.Sprintf("What was found, %s, hardly goes with the measures of the wearer: answers as unlikely as these come %.0f times in 100. Measure again, and put the band on again.",
		strings.Join(words, ", "), math.Max(1, 100*d.Rare)))
}
