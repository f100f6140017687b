package answer

import (
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// judged is a part with one way through it and what the body makes of it.
func judged(fit *analysis.Fit) *analysis.Findings {
	f, _ := sample.Greave()
	f.Fit, f.Percent = fit, 100
	return &f
}

func TestTheAnswerGivesTheNumberThatMatters(t *testing.T) {
	calf := analysis.Sit{Measure: "calf_girth", Needed: 413.1, Capacity: 390, Ease: -17.1}
	ankle := analysis.Sit{Measure: "ankle_girth", Needed: 250, Capacity: 290, Ease: 46}
	for name, c := range map[string]struct {
		fit  *analysis.Fit
		want string
	}{
		"tight":   {&analysis.Fit{Verdict: "tight", Sits: []analysis.Sit{ankle, calf}}, "**Too tight at 100 %:** the calf needs 413.1 mm inside and the part has 390.0 mm."},
		"fits":    {&analysis.Fit{Verdict: "fits", Sits: []analysis.Sit{ankle}}, "**Fits at 100 %:** the tightest measure, the ankle, has 40.0 mm to spare."},
		"loose":   {&analysis.Fit{Verdict: "loose", Lead: "ankle_girth", Sits: []analysis.Sit{calf, ankle}}, "**Too loose at 100 %:** the ankle has 46.0 mm of ease."},
		"narrow":  {&analysis.Fit{Verdict: "tight", Sits: []analysis.Sit{ankle}, Narrow: &analysis.Narrow{Along: 57, Room: 237.1, Body: 340}}, "**Too tight at 100 %:** 57 mm in, the part has 237.1 mm, and the bare body there is about 340.0 mm."},
		"padding": {&analysis.Fit{Verdict: "tight", Sits: []analysis.Sit{ankle}, Narrow: &analysis.Narrow{Along: 57, Room: 350, Body: 340, Needed: 371.4}}, "**Too tight at 100 %:** 57 mm in, the part has 350.0 mm, and with padding and ease the body there needs about 371.4 mm."},
		"both":    {&analysis.Fit{Verdict: "tight", Sits: []analysis.Sit{ankle, calf}, Narrow: &analysis.Narrow{Along: 57, Room: 237.1, Body: 340}}, "**Too tight at 100 %:** the calf needs 413.1 mm inside and the part has 390.0 mm."},
		"bare":    {&analysis.Fit{Verdict: "tight"}, "**Too tight at 100 %.**"},
		"blocked": {&analysis.Fit{Verdict: "blocked", Entries: []analysis.Entry{{Measure: "hand_girth", Passes: true}, {Measure: "heel_girth", Needed: 343.6, Throat: 311}}}, "**The body does not get in at 100 %:** the heel needs 343.6 mm and the narrowest place on its way has 311.0 mm."},
		"unknown": {&analysis.Fit{Verdict: "unknown"}, "**Inside at 100 % the girth is 290.0 mm at the tightest place, 0 mm from the lower end (low z),** and 390.0 mm at the widest."},
		"nobody":  {nil, "**Inside at 100 % the girth is 290.0 mm at the tightest place, 0 mm from the lower end (low z),** and 390.0 mm at the widest."},
	} {
		f := judged(c.fit)
		if got := Of(f); got != c.want {
			t.Errorf("%s: got  %s\nwant %s", name, got, c.want)
		}
	}
	f := judged(&analysis.Fit{Verdict: "fits", Sits: []analysis.Sit{ankle}})
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "assembly-scale"}}
	if got := Of(f); !strings.HasPrefix(got, "**Would fit at 100 %, if all pieces of its shell had that scale:**") || Verdict(f, "") == "fits" {
		t.Errorf("pieces at two scales: got %s, and %s in a table", got, Verdict(f, ""))
	}
	f = judged(nil)
	for i := range f.Cavities[0].Centrelines[0].Stations {
		f.Cavities[0].Centrelines[0].Stations[i].Gap = 60
	}
	if got := Of(f); !strings.HasPrefix(got, "**Open at the side, so no girth decides") || !strings.Contains(got, "the rims are 60.0 mm apart") {
		t.Errorf("open: got %s", got)
	}
}

// What was tried on decides the first line and the table, and says so where the advice
// goes against it.
func TestWhatWasTriedOnDecidesTheAnswer(t *testing.T) {
	f := &analysis.Findings{Percent: 100, Cavities: make([]analysis.Cavity, 1), Fit: &analysis.Fit{Verdict: "loose", Recommended: 94}}
	f.Testing = &analysis.Testing{Print: 100, Chance: 0.9, Odds: [][2]float64{{90, 0.9}, {110, 0.9}}, Tried: []analysis.Tried{{Percent: 98, Verdict: "fits", Counts: true}}}
	require.Equal(t, "**Likely fits at 100 %, as the try-ons show:** with a chance of 90 in 100, though by the measures alone it would be too loose.", Of(f))
	require.Equal(t, "fits, by the try-on at 98 %", Verdict(f, ""))
	f.Testing.Odds = [][2]float64{{90, 0.7}, {110, 0.7}}
	require.Contains(t, Of(f), "**Too loose at 100 %", "it is not likely enough")
	f.Fit.Verdict, f.Testing.Print, f.Testing.Chance = "fits", 105, 0.95
	f.Testing.Tried[0].Percent = 100
	require.Contains(t, Of(f), "**Better at 105 % than at 100 %, by all that is known, though it goes against what was tried on.** At 105 % it fits with a chance of 95 in 100, at 100 % of 70 in 100.")
	f.Testing.Tried[0].Percent = 103
	require.Contains(t, Of(f), ", as the try-ons show.** At 105 %")
}

// Two try-ons contradict each other where what is no larger was found looser.
func TestContradiction(t *testing.T) {
	for _, c := range []struct {
		first, then       string
		percent, afterOne float64
		want              bool
	}{
		{"tight", "fits", 97, 97, true}, {"tight", "fits", 97, 95, true}, {"tight", "fits", 97, 99, false}, {"fits", "tight", 97, 99, true},
		{"fits", "tight", 99, 97, false}, {"loose", "fits", 97, 99, true}, {"fits", "loose", 97, 95, true}, {"fits", "fits", 97, 95, false}, {"loose", "tight", 97, 97, true},
	} {
		f := &analysis.Findings{Testing: &analysis.Testing{Tried: []analysis.Tried{
			{Station: "calf_girth", Percent: c.percent, Verdict: c.first, Counts: true}, {Station: "heel_girth", Percent: 100, Verdict: "fits", Counts: true}, {Station: "calf_girth", Percent: c.afterOne, Verdict: c.then, Counts: true},
		}}}
		require.Equal(t, c.want, Contradiction(f) != "", "%v", c)
		f.Testing.Tried[0].Counts = false
		require.Empty(t, Contradiction(f))
	}
}

// Where what was tried on is to be settled first, no other scale is called better.
func TestNothingIsBetterBeforeItIsSettled(t *testing.T) {
	f := &analysis.Findings{Percent: 107, Cavities: []analysis.Cavity{{Centrelines: []analysis.Centreline{{From: "A", To: "B"}}}}, Fit: &analysis.Fit{Verdict: "loose", Recommended: 101},
		Testing: &analysis.Testing{Print: 101, Chance: 0.9, Odds: [][2]float64{{101, 0.9}, {107, 0.38}}, Tried: []analysis.Tried{{Station: "calf_girth", Percent: 107, Verdict: "tight", Counts: true}}}}
	require.Regexp(t, `^\*\*Better at 101 % than at 107 %`, Of(f))
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "try-ons-odd"}}
	require.Equal(t, "**Not settled at 107 %:** what was tried on is in doubt. By all that is known it fits with a chance of 38 in 100, at 101 % of 90 in 100.", Of(f))
}
