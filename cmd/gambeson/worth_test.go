package main

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/fit"
	"gambeson/analysis/fit/survey"
	"gambeson/analysis/mesh"
	"gambeson/config"

	"github.com/stretchr/testify/require"
)

var chatty = os.Getenv("TABLE") != ""

// rack is the demo suit, looked into once, to be put on by many.
type rack struct {
	asked *config.Folder
	parts []*hanger
}

// hanger is one part of it that a body rests in.
type hanger struct {
	name   string
	brief  analysis.Brief // with the region and side that were found
	answer *analysis.Answer
	bench  analysis.Bench
	seats  []*fit.Seat
	region fit.Region
}

// layRack examines the demo suit.
func layRack(t testing.TB) *rack {
	t.Helper()
	dir := layDemo(t)
	r := &rack{}
	var err error
	r.asked, err = config.Load(dir)
	require.NoError(t, err)
	loaded := demoParts(t, dir)
	for _, name := range slices.Sorted(maps.Keys(loaded)) {
		if h := hang(t, name, loaded[name], r.asked.Brief(name)); h != nil {
			r.parts = append(r.parts, h)
		}
	}
	return r
}

// hang examines one part; nil where nothing that a girth decides rests in it.
func hang(t testing.TB, name string, l *mesh.Loaded, brief analysis.Brief) *hanger {
	t.Helper()
	answer, err := analysis.Examine(t.Context(), l, brief, nil, 2)
	require.NoError(t, err)
	f := answer.Findings
	region, known := fit.Of(f.Region.Name)
	if !known || f.Fit == nil || f.Print == nil || !(f.Fit.Recommended > 0) {
		return nil
	}
	in, ok := answer.Kept.Inside.Unpack()
	require.True(t, ok)
	h := &hanger{name: name, brief: brief, answer: answer, region: region, seats: in.Seats}
	if len(h.seats) == 0 {
		return nil
	}
	return h
}

// wearing is one body before the suit, with what nobody knows of it.
type wearing struct {
	body    map[string]float64
	said    map[string]float64 // of which the tape tells
	prefers float64            // mm of girth beyond the ease asked for
	random  *rand.Rand
}

// says is what it finds where a measure has a room: once in twenty not what it
// felt.
func (w wearing) says(room, tight, loose float64) string {
	verdicts := []string{"tight", "fits", "loose"}
	k := 1
	switch {
	case room < tight:
		k = 0
	case room > loose:
		k = 2
	}
	if w.random.Float64() < 0.05 {
		k = (k + 1 + w.random.IntN(2)) % 3
	}
	return verdicts[k]
}

// skin is what lies between the girth and the shell, mm of girth.
func skin(s *analysis.Shell, passes bool) float64 {
	if passes {
		return 2 * math.Pi * (s.EntryPadding + s.Liner)
	}
	return 2 * math.Pi * (s.Padding + s.Liner)
}

// again reports whether the part is printed again after it was printed at a
// scale: by its ease at the leading measure, where that truly rests.
func (h *hanger) again(t testing.TB, w wearing, s *analysis.Shell, percent float64) bool {
	q := fit.Question{Wearer: measured(t, w.said), Wants: fit.Wants{
		Padding: s.Padding, EntryPadding: s.EntryPadding, Liner: s.Liner, Ease: s.Ease, Loosest: s.Loosest,
	}}
	q.Seat = q.Choose(h.seats) // the way round that the report says
	q.Wearer = measured(t, w.body)
	for _, at := range q.SeatedAt(percent / 100) {
		if at.Lead {
			if chatty {
				fmt.Printf("EASE %s %.1f at %.1f\n", h.name, at.Ease, percent)
			}
			return at.Ease < -3 || !h.region.Roomy && at.Ease > s.Loosest
		}
	}
	if chatty {
		fmt.Println("NOREACH", h.name, percent)
	}
	return true // it does not reach where it should rest
}

// read is what a tape tells of half of the measures: with an error of 4.6 mm at a
// leg and 6.6 mm at an arm (USAF 1967, right against left), elsewhere of what
// ISO 20685 allows in the mean, which is what the program takes as well.
func read(body map[string]float64, random *rand.Rand) map[string]float64 {
	half := someOf(body, random)
	for _, m := range survey.Measures() {
		if _, given := half[m.Name]; !given {
			continue
		}
		sd := m.Tape
		switch m.Name {
		case "calf_girth", "knee_girth", "ankle_girth", "lower_thigh_girth":
			sd = 4.6
		case "upper_arm_girth", "elbow_girth", "forearm_girth":
			sd = 6.6
		}
		half[m.Name] += sd * random.NormFloat64()
	}
	return half
}

// spent is what became of the prints of one part.
type spent struct{ prints, tests, again, lost, hours float64 }

func (s *spent) count(tests float64, again bool, hours float64) {
	s.prints++
	s.tests += tests
	s.hours += hours
	if again {
		s.again++
		s.lost += hours
	}
}

func (s *spent) add(o spent) {
	s.prints += o.prints
	s.tests += o.tests
	s.again += o.again
	s.lost += o.lost
	s.hours += o.hours
}

// The ways to go on that are compared.
const (
	noTests = iota
	allThree
	oneByOne
	ourPlan
	waysToGo
)

var wayNames = [waysToGo]string{"no-tests", "three-chunks", "chunk-by-chunk", "plan"}

// worn lets one person have the whole suit in each of the ways.
func (r *rack) worn(t testing.TB, p person, seed uint64, by map[string]*[waysToGo]spent) {
	random := rand.New(rand.NewPCG(seed, 6))
	w := wearing{body: p.body, prefers: 8 * random.NormFloat64(), random: random}
	asked := *r.asked
	w.said = read(p.body, random)
	asked.Wearer.Measures = w.said
	asked.Wearer.Weight = 0
	asked.Logbook.Tryons = nil
	for _, h := range r.parts {
		f, ok := h.answer.On(asked.Brief(h.name), &h.bench, 2)
		if !ok || !(f.Fit.Recommended > 0) {
			continue
		}
		shell, hours := f.Fit.Shell, f.Print.Hours
		tally := by[h.name]
		start := f.Fit.Recommended
		tally[noTests].count(0, h.again(t, w, shell, start), hours)
		tally[allThree].count(h.chunks(w, &f, start, true, &start, hours), h.again(t, w, shell, start), hours)
		start = f.Fit.Recommended
		tally[oneByOne].count(h.chunks(w, &f, start, false, &start, hours), h.again(t, w, shell, start), hours)
		if chatty {
			fmt.Printf("FIT %s %.1f..%.1f..%.1f chance %.3f smallest int %v; %s\n", h.name, f.Fit.Smallest, f.Fit.Recommended, f.Fit.Loosest, f.Testing.Chance, f.Fit.SmallestInterval, f.Testing.Text)
			for _, s := range f.Fit.Sits {
				fmt.Printf("   %s %.0f ± %.1f truly %.0f (%s) needed %.0f has %.0f\n", s.Measure, s.Body, s.SD, w.body[s.Measure], s.Source, s.Needed, s.Capacity)
			}
			for _, s := range f.Fit.Entries {
				fmt.Printf("   in %s %.0f ± %.1f truly %.0f (%s) needed %.0f has %.0f\n", s.Measure, s.Body, s.SD, w.body[s.Measure], s.Source, s.Needed, s.Throat)
			}
		}
		tests, percent := h.tested(w, &f, &asked)
		tally[ourPlan].count(tests, h.again(t, w, shell, percent), hours)
	}
}

// chunks are three percents, each a quarter of the part with the leading measure
// in it: at 95, 100 and 105 % of the recommended scale. All are printed, or one
// after the other until one fits. It sets the scale of the real print and returns
// the hours.
func (h *hanger) chunks(w wearing, f *analysis.Findings, start float64, all bool, percent *float64, hours float64) float64 {
	at := slices.IndexFunc(f.Fit.Sits, func(s analysis.Sit) bool { return s.Measure == f.Fit.Lead })
	if at < 0 {
		return 0
	}
	room, girth := f.Fit.Sits[at].Capacity/f.Percent, w.body[f.Fit.Lead]+skin(f.Fit.Shell, false)
	loosest := math.Inf(1)
	if !h.region.Roomy {
		loosest = girth + f.Fit.Shell.Loosest
	}
	says := func(factor float64) string {
		return w.says(room*start*factor, girth+f.Fit.Shell.Ease+w.prefers, loosest)
	}
	first := says(1)
	if all {
		low, high := says(0.95), says(1.05)
		*percent = start * (1 + 0.05*float64(tells(low)+tells(first)+tells(high))/3*1.5)
		switch {
		case first == "fits":
			*percent = start
		case first == "tight" && high == "fits", low == "tight" && first == "tight" && high == "tight":
			*percent = 1.05 * start
		case first == "loose" && low == "fits", low == "loose" && first == "loose" && high == "loose":
			*percent = 0.95 * start
		}
		return 3 * hours / 4
	}
	if first == "fits" {
		return hours / 4
	}
	*percent = start * (1 + 0.05*float64(tells(first)))
	if second := says(*percent / start); tells(second) == -tells(first) {
		*percent = (*percent + start) / 2
	}
	return 2 * hours / 4
}

// tells is which way to go after an answer.
func tells(verdict string) int {
	return map[string]int{"tight": 1, "fits": 0, "loose": -1}[verdict]
}

// tested follows the report's advice: it returns the hours of all bands and the
// scale of the real print.
func (h *hanger) tested(w wearing, f *analysis.Findings, asked *config.Folder) (hours, percent float64) {
	for range 12 {
		if f.Testing == nil {
			return hours, f.Fit.Recommended
		}
		next := f.Testing.Next
		if next == nil {
			break
		}
		hours += next.Hours
		b := f.Bands[slices.IndexFunc(f.Bands, func(b analysis.Band) bool { return b.File == next.Band })]
		room := b.Capacity * next.Percent / b.Percent
		girth := w.body[b.Measure] + skin(f.Fit.Shell, b.Passes)
		tight, loose := girth, math.Inf(1)
		if !b.Passes {
			tight += f.Fit.Shell.Ease + w.prefers
			if b.Measure == f.Fit.Lead && !h.region.Roomy {
				loose = girth + f.Fit.Shell.Loosest
			}
		}
		asked.Logbook.Tryons = append(asked.Logbook.Tryons, config.Tryon{
			Part: h.name, Station: b.Measure, Percent: next.Percent, Verdict: w.says(room, tight, loose), Capacity: math.Round(100*room) / 100,
		})
		f.Weigh(asked.Brief(h.name))
	}
	return hours, f.Testing.Print
}

// compare lets so many people have the suit.
func (r *rack) compare(t testing.TB, people []person) (by map[string]*[waysToGo]spent, sum [waysToGo]spent) {
	by = map[string]*[waysToGo]spent{}
	for _, h := range r.parts {
		by[h.name] = &[waysToGo]spent{}
	}
	for i, p := range people {
		r.worn(t, p, uint64(i), by)
	}
	for _, ways := range by {
		for k := range ways {
			sum[k].add(ways[k])
		}
	}
	return by, sum
}

// table says what became of each part and of all, as hours for each suit.
func table(by map[string]*[waysToGo]spent, sum [waysToGo]spent, suits int) string {
	out := fmt.Sprintf("%-28s", "")
	for _, name := range wayNames {
		out += fmt.Sprintf(" | %-28s", name)
	}
	line := func(name string, ways *[waysToGo]spent) {
		out += fmt.Sprintf("\n%-28s", name)
		for _, s := range ways {
			out += fmt.Sprintf(" | tests %5.2f h, again %4.1f %%", s.tests/float64(suits), 100*s.again/max(1, s.prints))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(by)) {
		line(name, by[name])
	}
	line("all", &sum)
	for k, s := range sum {
		out += fmt.Sprintf("\n%s: a suit takes %.1f h of tests, %.1f h of prints, %.1f h of prints done again", wayNames[k], s.tests/float64(suits), s.hours/float64(suits), s.lost/float64(suits))
	}
	return out
}

// BenchmarkSuit lets 500 people of whom nothing was learnt have the demo suit:
// with ease and looseness as usual for each part, about which the wearer's own
// ease lies, and with 6 mm of ease and 40 mm as loose everywhere.
func BenchmarkSuit(b *testing.B) {
	r, people := layRack(b), heldOut(b, 500)
	for _, everywhere := range []bool{false, true} {
		name := "usual-ease"
		if everywhere {
			name = "6-mm-of-ease-everywhere"
			r.asked.Suit.Shell.Ease, r.asked.Suit.Shell.Loosest = 6, 40
			r.asked.Suit.Shell.Asked.Ease, r.asked.Suit.Shell.Asked.Loosest = true, true
		}
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				by, sum := r.compare(b, people)
				if out := os.Getenv("TABLE"); out != "" {
					os.WriteFile(out+name, []byte(table(by, sum, len(people))), 0o666)
				}
				b.Log("\n" + table(by, sum, len(people)))
				for k, s := range sum {
					b.ReportMetric(s.tests/float64(len(people)), "test-h/suit-"+wayNames[k])
					b.ReportMetric(100*s.again/s.prints, "%again-"+wayNames[k])
					b.ReportMetric(s.lost/float64(len(people)), "lost-h/suit-"+wayNames[k])
				}
			}
		})
	}
}
