package analysis

import (
	"fmt"
	"math"
	"path"
	"slices"
	"testing"

	"gambeson/analysis/shape"
	"gambeson/analysis/tryon"

	"github.com/stretchr/testify/require"
)

// greaveTube is a lower leg as a tube, with the room of its polygon, mm.
func greaveTube() (shape.Tube, float64) {
	const radius = 66.0
	return shape.Tube{Radius: radius, Wall: 3, Height: 300}, 2 * math.Pi * radius * math.Cos(math.Pi/128)
}

// unmeasured is a leg of which the calf is estimated from the stature.
func unmeasured(tryons ...Tryon) func(*Brief) {
	return func(b *Brief) {
		leg(0)(b)
		b.Wearer.Measures = map[string]float64{"stature": 1710}
		b.Tryons = tryons
	}
}

// tested asks again about a part that was examined, with other try-ons.
func (a *Answer) tested(change func(*Brief)) Findings {
	brief := DefaultBrief()
	change(&brief)
	again := *a
	again.Findings.Warnings = slices.Clone(a.Findings.Warnings)
	again.testing(brief, 2)
	return again.Findings
}

// A calf that is only estimated, and a print of a day: a band first, cut at the
// scale that is advised, and its file among those written.
func TestBandFirstWhereMuchIsUnknown(t *testing.T) {
	numbers(t)
	drawn, room := greaveTube()
	a := examine(t, drawn.Mesh(), unmeasured(), nil)
	f, test := a.Findings, a.Findings.Testing
	require.NotNil(t, test)
	require.True(t, test.WorthIt, "%+v", test)
	at := slices.IndexFunc(f.Bands, func(b Band) bool { return b.File == test.Next.Band })
	require.GreaterOrEqual(t, at, 0)
	require.Equal(t, test.Next.Percent, f.Bands[at].Percent)
	require.Contains(t, path.Base(test.Next.Band), tenths(test.Next.Percent)[:3])
	require.Greater(t, test.Saved, 0.0)
	require.Contains(t, test.Text, "Print the calf band at ")
	best := test.Ways[len(test.Ways)-1]
	for _, w := range test.Ways {
		require.InDelta(t, w.Hours, w.TestHours+w.Again*test.Stake, 1e-9)
		require.LessOrEqual(t, best.Hours, w.Hours+1e-9)
	}
	require.InDelta(t, 100*f.Fit.Sits[0].Needed/room, test.Smallest, 0.3)

	// Tight at the advised scale: the belief rises, and the next scale with it.
	// The same said in mm of a file that was since made another size is the same.
	tight := Tryon{Station: "calf_girth", Percent: test.Next.Percent, Verdict: "tight"}
	after := a.tested(unmeasured(tight)).Testing
	require.Greater(t, after.Smallest, test.Smallest)
	require.Less(t, after.SD, test.SD)
	tight.Percent, tight.Capacity = 50, room*test.Next.Percent/100
	again := a.tested(unmeasured(tight)).Testing
	require.InDelta(t, after.Smallest, again.Smallest, 0.1)
	for _, b := range test.Then {
		if b.Verdict == "tight" {
			require.InDelta(t, b.Print, after.Print, 2)
		}
	}
}

// A calf that was measured, in the middle of its range: no test.
func TestNoBandWhereAllIsKnown(t *testing.T) {
	numbers(t)
	drawn, room := greaveTube()
	f := examine(t, drawn.Mesh(), leg(room-2*math.Pi*5-22), nil).Findings
	require.NotNil(t, f.Testing)
	require.False(t, f.Testing.WorthIt)
	require.True(t, f.Testing.Settled)
	require.Nil(t, f.Testing.Next)
	require.InDelta(t, f.Fit.Recommended, f.Testing.Print, 0.01)
	require.NotEmpty(t, f.Bands) // still offered
}

// Try-ons that exclude each other are named, and stay in the list; one that only
// goes against the measures says so.
func TestTryonsThatDisagree(t *testing.T) {
	numbers(t)
	drawn, room := greaveTube()
	calf := room - 2*math.Pi*5 - 22
	change := func(tryons ...Tryon) func(*Brief) {
		return func(b *Brief) { leg(calf)(b); b.Tryons = tryons }
	}
	a := examine(t, drawn.Mesh(), change(), nil)
	f := a.tested(change(
		Tryon{Station: "calf_girth", Percent: 104, Verdict: "tight"},
		Tryon{Station: "calf_girth", Percent: 100, Verdict: "fits"},
	))
	require.True(t, f.has("try-ons-disagree"), "%v", f.Warnings)
	require.Len(t, f.Testing.Tried, 2)
	require.True(t, f.Testing.Tried[0].Odd && f.Testing.Tried[1].Odd)

	twice := Tryon{Station: "calf_girth", Percent: 100, Verdict: "fits"}
	f = a.tested(change(Tryon{Station: "calf_girth", Percent: 104, Verdict: "tight"}, twice, twice))
	n := 0
	for _, w := range f.Warnings {
		if w.Code == "try-ons-disagree" {
			n++
		}
	}
	require.Equal(t, 1, n, "what was noted twice is said once: %v", f.Warnings)

	f = a.tested(change(Tryon{Station: "calf_girth", Percent: 108, Verdict: "tight"}))
	require.True(t, f.has("try-ons-odd"), "%v", f.Warnings)
	require.True(t, f.Testing.Tried[0].Odd)

	f = a.tested(change(Tryon{Station: "calf_girth", Percent: 100, Verdict: "fits"}))
	require.False(t, f.has("try-ons-odd") || f.has("try-ons-disagree"))
	require.False(t, f.Testing.Tried[0].Odd)
}

// Between a scale that was found tight and one that was found loose lies the advice; a
// try-on that it goes against, as the body would have to be odd, is named.
func TestAdviceLiesBetweenTryons(t *testing.T) {
	numbers(t)
	drawn, _ := greaveTube()
	a := examine(t, drawn.Mesh(), unmeasured(), nil)
	by := a.Findings.Testing
	at := func(sds float64, verdict string) Tryon {
		return Tryon{Station: "calf_girth", Percent: by.Smallest + sds*by.SD, Verdict: verdict}
	}
	f := a.tested(unmeasured(at(-3, "tight"), at(-2.2, "loose")))
	require.Greater(t, f.Testing.Print, by.Smallest-by.SD)
	require.False(t, f.Testing.Tried[0].Odd)
	require.True(t, f.Testing.Tried[1].Odd)
	require.True(t, f.has("try-ons-odd"), "%v", f.Warnings)

	// The other way round: tight where all else says that it is far too large.
	f = a.tested(unmeasured(at(3.6, "tight"), at(3, "fits"), at(0.5, "fits"), at(1, "fits")))
	require.Less(t, f.Testing.Print, by.Smallest+3.6*by.SD)
	require.True(t, f.Testing.Tried[0].Odd)
	require.True(t, f.has("try-ons-odd") || f.has("try-ons-disagree"), "%v", f.Warnings)

	// Tight, and loose at what is little larger: between the two.
	tight, loose := at(-1.1, "tight"), at(-0.2, "loose")
	f = a.tested(unmeasured(tight, loose))
	require.False(t, f.has("try-ons-odd") || f.has("try-ons-disagree"), "%v", f.Warnings)
	require.Greater(t, f.Testing.Print, tight.Percent)
	require.Less(t, f.Testing.Print, loose.Percent)
}

// Each answer goes to its own girth; loose only by the leading one. Away from all
// of them a try-on says nothing. What the heel found limits the scale without
// moving what is believed of the calf.
func TestAnswersOfSeveralStations(t *testing.T) {
	shell := DefaultBrief().Shell
	f := Findings{Percent: 100, Print: &Print{Hours: 20}, Fit: &Fit{
		Lead: "calf_girth", Shell: &shell, Smallest: 100, Loosest: 108.5, Recommended: 104,
		Sits:    []Sit{{Measure: "calf_girth", Needed: 400, SD: 15, Capacity: 400}, {Measure: "ankle_girth", Needed: 250, SD: 4, Capacity: 290}},
		Entries: []Entry{{Measure: "heel_girth", Needed: 340, SD: 4, Throat: 345}},
	}, Bands: []Band{{Measure: "calf_girth", Station: 150, Percent: 104, Hours: 1}, {Measure: "heel_girth", Passes: true, Station: 290, Percent: 104, Hours: 1}}}
	for _, c := range []struct {
		tryon Tryon
		want  string
	}{
		{Tryon{Station: "calf_girth", Percent: 100, Verdict: "loose"}, "calf_girth 400 loose"},
		{Tryon{Station: "calf_girth", Percent: 7, Capacity: 420, Verdict: "fits"}, "calf_girth 420 fits"},
		{Tryon{Station: "ankle_girth", Percent: 110, Verdict: "loose"}, "ankle_girth 319 fits"},
		{Tryon{Along: 148, Percent: 103, Verdict: "loose"}, "calf_girth 412 loose"},
		{Tryon{Along: 292, Percent: 100, Verdict: "tight"}, "heel_girth 345 tight"},
		{Tryon{Along: 60, Percent: 100, Verdict: "tight"}, ""},
		{Tryon{Station: "knee_girth", Percent: 100, Verdict: "tight"}, ""},
	} {
		spots := f.spots("")
		tried := f.answers(spots, []Tryon{c.tryon})
		got := ""
		for _, s := range spots {
			for _, a := range s.body.Answers {
				got += fmt.Sprintf("%s %.0f %s", s.measure, a.Capacity, a.Verdict)
			}
		}
		require.Equal(t, c.want, got, "%+v", c.tryon)
		require.Equal(t, c.want != "", tried[0].Counts)
	}
	plan := func(tryons ...Tryon) tryon.Plan {
		ask, ok, err := f.question(Brief{Tryons: tryons})
		require.NoError(t, err)
		require.True(t, ok)
		require.Equal(t, "calf_girth", ask.spots[ask.main].measure)
		return ask.plan
	}
	none, heel := plan(), plan(Tryon{Station: "heel_girth", Percent: 102, Verdict: "tight"})
	require.InDelta(t, none.Smallest, heel.Smallest, 1e-9)
	require.InDelta(t, none.Chance, heel.Chance, 1e-9) // it is opened, not printed again
	require.Less(t, none.Lost, heel.Lost)
}

// What one calf found tells of the other, and of nothing that no calf rests in.
func TestOtherPartsTell(t *testing.T) {
	mine, other := DefaultBrief(), DefaultBrief()
	mine.Part, other.Part = "legs/greave-left.stl", "legs/greave-right.stl"
	require.Equal(t, &OtherPart{Part: "legs/greave-right.stl", Region: "lower_leg", Side: "right", Shell: other.Shell}, mine.Concerned(other, "calf_girth"))
	require.Nil(t, mine.Concerned(other, "chest_girth"))
	require.Nil(t, mine.Concerned(other, ""))
	other.Part = "helm.stl"
	require.Nil(t, mine.Concerned(other, "calf_girth"))

	ask := func(tryons ...Tryon) *Testing {
		f := Findings{Percent: 100, Print: &Print{Hours: 20}, Fit: &Fit{
			Lead: "calf_girth", Smallest: 100, Loosest: 108.5, Recommended: 104.5,
			Shell: &mine.Shell, Sits: []Sit{{Measure: "calf_girth", Needed: 400, SD: 14, Capacity: 400}},
		}, Bands: []Band{{File: "bands/a.stl", Measure: "calf_girth", Station: 150, Percent: 104.5, Hours: 1}}}
		b := mine
		b.Region, b.Tryons = Region{Name: "lower_leg", Side: "left"}, tryons
		q, ok, err := f.question(b)
		require.NoError(t, err)
		require.True(t, ok)
		return q.told(q.plan, 20)
	}
	found := func(side string, padding float64, at string, mm float64) Tryon {
		o := &OtherPart{Part: "legs/other.stl", Region: "lower_leg", Side: side, Shell: mine.Shell}
		o.Shell.Padding, o.Shell.Asked.Padding = padding, true
		return Tryon{Station: at, Verdict: "tight", Capacity: mm, Other: o}
	}
	mine.Shell.Asked.Padding = true
	none := ask()
	same, right := ask(found("left", 5, "calf_girth", 410)), ask(found("right", 5, "calf_girth", 410))
	own := ask(Tryon{Station: "calf_girth", Verdict: "tight", Capacity: 410, Percent: 100})
	if !(none.Smallest < right.Smallest && right.Smallest < same.Smallest && same.Smallest < own.Smallest) {
		t.Errorf("it begins to fit at %v; after a tight try-on on the right %v, on the left %v, on itself %v", none.Smallest, right.Smallest, same.Smallest, own.Smallest)
	}
	// A shell with 2 mm more padding needs 4π mm more: the same answer there.
	more := ask(found("right", 7, "calf_girth", 410+4*math.Pi))
	require.InDelta(t, right.Smallest, more.Smallest, 1e-6)
	require.InDelta(t, 102.5, more.Tried[0].Percent, 1e-9)
	require.Equal(t, "legs/other.stl", more.Tried[0].Part)
	require.InDelta(t, none.Smallest, ask(found("right", 5, "ankle_girth", 410)).Smallest, 1e-9)
}

// A calf of 20 mm more moves percent, hours and belief as reckoned by hand: a
// tube of room c at 100 % needs 20 mm more, which is 100·20/c percent more, at
// both ends of its range; a ring is as long as its scale, and of the same height
// and wall but for that wall, which is scaled as well.
func TestLargerCalfMovesPercentHoursAndBelief(t *testing.T) {
	numbers(t)
	drawn, room := greaveTube()
	calf := room - 2*math.Pi*5 - 22
	small, large := examine(t, drawn.Mesh(), leg(calf), nil).Findings, examine(t, drawn.Mesh(), leg(calf+20), nil).Findings
	by := 100 * 20 / room
	require.InDelta(t, by, large.Fit.Smallest-small.Fit.Smallest, 0.02)
	require.InDelta(t, by, large.Fit.Loosest-small.Fit.Loosest, 0.02)
	require.InDelta(t, by, large.Fit.Recommended-small.Fit.Recommended, 0.55) // in halves of a percent
	require.InDelta(t, by, large.Testing.Smallest-small.Testing.Smallest, 0.1)
	require.InDelta(t, by, large.Testing.Print-small.Testing.Print, 0.55)
	at := func(f Findings) Band {
		return f.Bands[slices.IndexFunc(f.Bands, func(b Band) bool { return b.Measure == "calf_girth" })]
	}
	less, more := at(small), at(large)
	require.InDelta(t, by, more.Percent-less.Percent, 0.55)
	require.InDelta(t, room*more.Percent/100, more.Capacity, 0.005*room)
	ratio := more.Percent / less.Percent
	if got := more.Hours / less.Hours; got < 1 || got > ratio*ratio {
		t.Errorf("a band at %g %% takes %.3f of the hours of one at %g %%, want between 1 and %.3f", more.Percent, got, less.Percent, ratio*ratio)
	}
	// Tight at the scale that was right for the smaller calf: expected of the
	// larger one, and odd of the smaller one.
	tight := Tryon{Station: "calf_girth", Percent: small.Fit.Smallest + 1, Verdict: "tight"}
	a, b := examine(t, drawn.Mesh(), func(b *Brief) { leg(calf)(b); b.Tryons = []Tryon{tight} }, nil).Findings, examine(t, drawn.Mesh(), func(b *Brief) { leg(calf + 20)(b); b.Tryons = []Tryon{tight} }, nil).Findings
	if moved, still := a.Testing.Smallest-small.Testing.Smallest, b.Testing.Smallest-large.Testing.Smallest; moved < 0.5 || math.Abs(still) > moved/2 {
		t.Errorf("a tight band moves the belief of the smaller calf by %.2f %%, of the larger by %.2f %%", moved, still)
	}
}

// What another wearer is answered without the mesh is what an examination
// answers, but for bands cut nearby.
func TestAnotherWearer(t *testing.T) {
	numbers(t)
	drawn, room := greaveTube()
	calf := room - 2*math.Pi*5 - 22
	a := examine(t, drawn.Mesh(), leg(calf), nil)
	brief := DefaultBrief()
	leg(calf + 20)(&brief)
	brief.Wearer.Measures = map[string]float64{"stature": 1710}
	want := examine(t, drawn.Mesh(), unmeasured(), nil).Findings
	got, ok := a.On(brief, &Bench{}, 2)
	require.True(t, ok)
	require.Equal(t, want.Fit.Sits, got.Fit.Sits)
	require.InDelta(t, want.Fit.Recommended, got.Fit.Recommended, 1e-9)
	require.InDelta(t, want.Testing.Chance, got.Testing.Chance, 1e-9)
	require.InDelta(t, want.Testing.Next.Percent, got.Testing.Next.Percent, 1e-9)
	require.InEpsilon(t, want.Testing.Next.Hours, got.Testing.Next.Hours, 0.05)
	_, ok = new(Answer).On(brief, &Bench{}, 1)
	require.False(t, ok)
}

// A try-on at a place that the part has not is named; one on another part is
// not.
func TestTryonAstray(t *testing.T) {
	numbers(t)
	drawn, _ := greaveTube()
	a := examine(t, drawn.Mesh(), leg(360), nil)
	f := a.tested(func(b *Brief) {
		leg(360)(b)
		b.Tryons = []Tryon{{Station: "chest_girth", Percent: 104, Verdict: "tight"}}
	})
	require.True(t, f.has("tryon-astray"), "%v", f.Warnings)
	require.False(t, f.Testing.Tried[0].Counts)
	require.Contains(t, f.Places(), "calf_girth")
	require.NotContains(t, f.Places(), "chest_girth")
	f = a.tested(func(b *Brief) {
		leg(360)(b)
		b.Tryons = []Tryon{{Station: "ankle_girth", Percent: 104, Verdict: "fits"}}
	})
	require.False(t, f.has("tryon-astray"))
}

// Nobody is told to print at the very scale that was found tight: the heel that does not
// pass a band, by the tape with room to spare, is to be settled first.
func TestTightAtTheAdvisedScaleIsSettledFirst(t *testing.T) {
	numbers(t)
	drawn, room := greaveTube()
	calf := room - 2*math.Pi*5 - 22
	at := func(tryons ...Tryon) func(*Brief) {
		return func(b *Brief) {
			leg(calf)(b)
			b.Strapped, b.Tryons = false, tryons
		}
	}
	a := examine(t, drawn.Mesh(), at(), nil)
	require.False(t, a.Findings.Unsettled())
	for _, station := range []string{"heel_girth", "calf_girth"} {
		f := a.tested(at(Tryon{Station: station, Percent: 100, Verdict: "tight"}))
		require.True(t, f.Testing.Tried[0].Counts, station)
		require.True(t, f.Unsettled() || f.Testing.Print > 100.1, "%s: print at %v: %v", station, f.Testing.Print, f.Warnings)
	}
	f := a.tested(at(Tryon{Station: "heel_girth", Percent: 100, Verdict: "tight"}))
	require.Contains(t, f.warning("try-ons-odd"), "tight at 100 % (heel)")
	require.False(t, func() bool {
		f := a.tested(at(Tryon{Station: "heel_girth", Percent: 100, Verdict: "loose"}))
		return f.Unsettled()
	}(), "a heel that passes easily is as it should be")

	// Weighed anew, as after a try-on that was just noted, it is said as well, and no
	// longer once it is corrected.
	weighed := a.Findings
	brief := DefaultBrief()
	at(Tryon{Station: "heel_girth", Percent: 100, Verdict: "tight"})(&brief)
	weighed.Weigh(brief)
	require.True(t, weighed.Unsettled())
	at()(&brief)
	weighed.Weigh(brief)
	require.False(t, weighed.Unsettled())
	require.Equal(t, a.Findings.Warnings, weighed.Warnings)
}

// What was felt counts for more than what the tape or an estimate says: between a tight
// and a fitting band the part is neither too tight nor too loose.
func TestWhatWasFeltOverrulesTheTape(t *testing.T) {
	numbers(t)
	drawn, _ := greaveTube()
	small := drawn.Mesh().Scaled(0.93)
	a := examine(t, small, unmeasured(), nil)
	require.Equal(t, "tight", a.Findings.Fit.Verdict)
	require.False(t, a.Findings.Felt())
	require.NotEmpty(t, a.Findings.warning("too-tight"))
	f := a.tested(unmeasured(Tryon{Station: "calf_girth", Percent: 92, Verdict: "tight"}, Tryon{Station: "calf_girth", Percent: 98, Verdict: "fits"}, Tryon{Station: "calf_girth", Percent: 101, Verdict: "fits"}))
	require.Zero(t, f.Advised())
	require.True(t, f.Felt(), "chance %v: %v", f.Testing.ChanceAt(100), f.Warnings)
	require.False(t, f.Warned(), "%v", f.Warnings)
	require.True(t, f.Says("too-tight"), "it is still said in a note")
}

// A complaint on one side is one on the other: nobody is told there that less ease than
// asked for is worn.
func TestComplaintOfTheOtherSideCounts(t *testing.T) {
	shell := DefaultBrief().Shell
	ask := func(side string, verdict string) *Testing {
		f := Findings{Percent: 100, Print: &Print{Hours: 20}, Fit: &Fit{
			Lead: "calf_girth", Smallest: 100, Loosest: 108.5, Recommended: 104.5,
			Shell: &shell, Sits: []Sit{{Measure: "calf_girth", Needed: 400, SD: 3, Capacity: 400}},
		}, Bands: []Band{{File: "bands/a.stl", Measure: "calf_girth", Station: 150, Percent: 104.5, Hours: 1}}}
		b := DefaultBrief()
		b.Region = Region{Name: "lower_leg", Side: "left"}
		b.Tryons = []Tryon{{Station: "calf_girth", Verdict: verdict, Capacity: 401, Other: &OtherPart{Part: "other.stl", Region: "lower_leg", Side: side, Shell: shell}}}
		q, ok, err := f.question(b)
		require.NoError(t, err)
		require.True(t, ok)
		return q.told(q.plan, 20)
	}
	same, other := ask("left", "tight"), ask("right", "tight")
	require.Less(t, other.ChanceAt(99), 0.3, "too tight, as it was felt")
	require.Greater(t, same.ChanceAt(99), other.ChanceAt(99)+0.2, "of another part of that side only the need is learnt")
	require.Greater(t, ask("right", "fits").ChanceAt(99), 0.8)
}

// By hand: what was tried on overrules the measures where it is likely and settled, and
// advice goes against a try-on at what was tight or smaller, and at what is larger than loose.
func TestFeltAndAgainst(t *testing.T) {
	felt := func(chance float64, warnings ...string) bool {
		f := Findings{Percent: 100, Fit: &Fit{Verdict: "loose", Recommended: 94}, Testing: &Testing{
			Print: 100, Chance: chance, Odds: [][2]float64{{90, chance}, {110, chance}}, Tried: []Tried{{Percent: 98, Verdict: "fits", Counts: true}},
		}}
		for _, code := range warnings {
			f.Warnings = append(f.Warnings, Warning{Level: LevelWarning, Code: code})
		}
		return f.Felt()
	}
	require.True(t, felt(0.85))
	require.False(t, felt(0.75))
	require.False(t, felt(0.85, "try-ons-odd"))
	for _, c := range []struct {
		print   float64
		verdict string
		want    bool
	}{{100, "tight", true}, {99, "tight", true}, {100.2, "tight", false}, {100, "loose", false}, {100.2, "loose", true}, {99, "loose", false}, {90, "fits", false}} {
		require.Equal(t, c.want, Against(c.print, 100, c.verdict), "%+v", c)
	}
}
