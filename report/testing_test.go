package report

import (
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/report/disk"
	"gambeson/report/drawing"

	"github.com/stretchr/testify/require"
)

// tested is the greave with advice to test.
func tested() Document {
	d := greave()
	d.Findings.Testing = &analysis.Testing{
		WorthIt: true, Saved: 6.44, Print: 106.5, Chance: 0.55, Smallest: 102.53, SD: 7.08,
		Next: &analysis.NextBand{Band: "legs/greave-left.stl.fit/bands/265mm.stl", Percent: 105, Hours: 1.2},
		Text: "Print the calf band at 105 % first (1.2 h): that saves 6.4 h on average against printing the part at once.",
		Then: []analysis.After{
			{Verdict: "tight", Likely: 0.36, Band: 110, Print: 112, Chance: 0.79},
			{Verdict: "fits", Likely: 0.42, Print: 104, Chance: 0.907},
		},
		Ways: []analysis.Way{
			{Kind: "as recommended", Percents: []float64{106.5}, Again: 0.451, Hours: 10.17},
			{Kind: "ladder", Percents: []float64{100, 105, 110}, TestHours: 2.8, Again: 0.066, Hours: 4.28},
			{Kind: "best", TestHours: 2.1, Again: 0.002, Hours: 3.66},
		},
		Tried: []analysis.Tried{
			{Station: "calf_girth", Percent: 107, Verdict: "tight", Counts: true, Odd: true},
			{Station: "knee_girth", Percent: 107, Verdict: "fits"},
		},
	}
	return d
}

func page1(t *testing.T, d Document) string {
	t.Helper()
	return d.text(disk.Place{Root: t.TempDir(), Part: "legs/greave-left.stl"}, drawing.Pictures{}, nil)
}

func TestTestingChapter(t *testing.T) {
	text := page1(t, tested())
	for _, want := range []string{
		"## Is a test worth it\n\n**Print the calf band at 105 % first (1.2 h): that saves 6.4 h on average against printing the part at once.**",
		"| `tight` | 36 in 100 | try a band at 110 % |",
		"| `fits` | 42 in 100 | print the part at 104 %: it fits 91 in 100 |",
		"| bands at 100 %, 105 % and 110 %, until one settles it | 2.8 h | 7 in 100 | 4.3 h |",
		"| the advice above | 2.1 h | less than 1 in 100 | 3.7 h |",
		"| calf girth | 107 % | `tight` | does not go with the rest: put it on again |",
		"| knee girth | 107 % | `fits` | says nothing: no girth that decides is there |",
		"begins to fit at 102.5 % ± 7.1 %",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text[strings.Index(text, "## Is a test"):])
		}
	}
	if step := "Print the test band [bands/265mm.stl]"; !strings.Contains(text, step) && !strings.Contains(text, "265mm.stl) first") {
		t.Errorf("the step does not name the advised band:\n%s", text[:1500])
	}
}

// Where no band is worth it, none is asked for among the steps, and the advice
// says so.
func TestNoTestIsNoStep(t *testing.T) {
	d := tested()
	test := d.Findings.Testing
	test.WorthIt, test.Next, test.Then, test.Text = false, nil, nil, "No test is needed: at 100 % the part, once on, fits with a chance of more than 99 %."
	text := page1(t, d)
	require.Contains(t, text, "**No test is needed: at 100 % the part, once on, fits with a chance of more than 99 %.**")
	require.NotContains(t, text, "Print the test band")
	require.NotContains(t, text, "the advice above")
	d.Findings.Testing = nil
	text = page1(t, d)
	require.NotContains(t, text, "Is a test worth it")
	require.Contains(t, text, "Print the test band")
}

// An answer after which the advice would go against it asks to measure again.
func TestAnswerAgainstTheAdviceIsMeasuredAgain(t *testing.T) {
	after := func(verdict string, print float64) string {
		var b page
		b.afterwards(&analysis.Testing{Next: &analysis.NextBand{Percent: 108}, Then: []analysis.After{{Verdict: verdict, Likely: 0.1, Print: print, Chance: 0.9}}})
		return b.String()
	}
	require.Contains(t, after("tight", 104), "measure there again: by all else that is known 104 % fits")
	require.Contains(t, after("tight", 110), "print the part at 110 %")
	require.Contains(t, after("loose", 104), "print the part at 104 %")
	require.Contains(t, after("loose", 110), "measure there again")
}

// A try-on of the other side says by how much the tape tells the two apart.
func TestTriedOnTheOtherSideSaysHowMuchItDiffers(t *testing.T) {
	said := func(differs float64) string {
		var b page
		b.tried(&analysis.Testing{Tried: []analysis.Tried{{Part: "left.stl", Station: "calf_girth", Percent: 112, Verdict: "fits", Counts: true, Differs: differs}}})
		return b.String()
	}
	require.NotContains(t, said(0), "by the tape")
	require.Contains(t, said(-38), "the girth there is 38.0 mm smaller by the tape")
	require.Contains(t, said(12), "12.0 mm larger")
}

// A scale at which a band fitted, and which is not the one to print at, is said beside it.
func TestFittedElsewhereIsSaid(t *testing.T) {
	tried := func(print float64, at ...float64) string {
		out := &analysis.Testing{Print: print, Odds: [][2]float64{{90, 0.5}, {110, 0.9}}}
		for _, p := range at {
			out.Tried = append(out.Tried, analysis.Tried{Percent: p, Verdict: "fits", Counts: true})
		}
		return fittedElsewhere(out)
	}
	require.Empty(t, tried(101))
	require.Equal(t, "; at 105 %, where a band was found to fit, of 80 in 100", tried(101, 110, 105))
	require.Empty(t, tried(101, 105, 101))
	loose := &analysis.Testing{Print: 101, Tried: []analysis.Tried{{Percent: 105, Verdict: "loose", Counts: true}, {Percent: 104, Verdict: "fits", Counts: true, Odd: true}, {Percent: 104, Verdict: "fits", Counts: true, Part: "other.stl"}}}
	require.Empty(t, fittedElsewhere(loose))
	noted := &analysis.Testing{Print: 101, Odds: loose.Odds, Tried: []analysis.Tried{{Percent: 102.4, Noted: 103, Verdict: "fits", Counts: true}}}
	require.Contains(t, fittedElsewhere(noted), "at 103 %, where a band was found to fit")
	noted.Tried[0].Padding = &[2]float64{5, 12}
	require.Empty(t, fittedElsewhere(noted), "over other padding it did not fit at that scale")
}

// A try-on over other padding than there is now says so, and stands at the scale at which
// it was noted.
func TestTriedOverOtherPaddingSaysSo(t *testing.T) {
	said := func(e analysis.Tried) string {
		var b page
		e.Station, e.Verdict, e.Counts = "calf_girth", "fits", true
		b.tried(&analysis.Testing{Tried: []analysis.Tried{e}})
		return b.String()
	}
	require.NotContains(t, said(analysis.Tried{Percent: 102.4, Noted: 103}), "padding")
	require.Contains(t, said(analysis.Tried{Percent: 102.4, Noted: 103}), "| 103 % |")
	moved := analysis.Tried{Percent: 116.3, Noted: 103, Padding: &[2]float64{5, 12}}
	require.Contains(t, said(moved), "| 103 % | `fits` | tried over 5 mm of padding, reckoned for 12 mm, as at 116.3 % |")
	moved.Odd = true
	require.Contains(t, said(moved), "put it on again; tried over 5 mm of padding")
	moved = analysis.Tried{Part: "left.stl", Percent: 112, Padding: &[2]float64{5, 12}}
	require.Contains(t, said(moved), "| 112 % | `fits` | on `left.stl`, in the scale of this part; tried over 5 mm of padding, reckoned for 12 mm |")
}

// A limit by the length stands among the scales where it is nearer than those of the girths,
// and only there.
func TestLengthsStandAmongTheScalesWhereTheyTellMore(t *testing.T) {
	said := func(smallest, largest float64) string {
		var b page
		f := &analysis.Findings{Percent: 100, Fit: &analysis.Fit{Verdict: "fits", Smallest: 98, Rests: 98, Loosest: 110, Recommended: 104}}
		f.Fit.Lengths = []analysis.Length{{Measure: "foot_length", Smallest: smallest, Largest: largest}}
		b.scale(f, analysis.DefaultBrief())
		return b.String()
	}
	require.Contains(t, said(99, 107), "| too short below | 99 % | foot length |\n| too long above | 107 % | foot length |")
	require.NotContains(t, said(97, 111), "too short")
	require.NotContains(t, said(97, 111), "too long")
	require.NotContains(t, said(90, 97), "too long", "the girths decide")
}

// What the tape alone would have is no longer recommended once something was tried on, and
// the other side is said to count whether there is one or not.
func TestTheTapesScaleIsNotRecommendedAgainstATryOn(t *testing.T) {
	d := tested()
	d.Findings.Fit.Recommended, d.Findings.Testing.Stake = 106.5, 240
	d.Findings.Print = &analysis.Print{Hours: 20}
	d.Findings.Region = &analysis.Region{Name: "lower_leg", Side: "left"}
	text := page1(t, d)
	require.Contains(t, text, "| the part at once at 106.5 %, as by the tape alone |")
	require.Contains(t, text, "is counted as 240.0 h lost (*a guess*). Its print takes 20.0 h,")
	require.Contains(t, text, "Half of that is for the other side, as most suits have one")
	d.Findings.Testing.Tried[0].Counts, d.Findings.Region.Side = false, ""
	text = page1(t, d)
	require.Contains(t, text, "| the part at once at the recommended 106.5 % |")
	require.NotContains(t, text, "other side, as most")
}

// Before a doubt is settled, or a measure taken that tells more, no test is asked for
// without saying so.
func TestNoTestGoesBeforeATape(t *testing.T) {
	d := triedBefore()
	text := page1(t, d)
	require.Contains(t, text, "**First settle what was tried on:** until then nothing is to be printed.")
	require.NotContains(t, text, ", try it on with all the padding")
	d.Findings.Warnings, d.Findings.Testing.Tried = nil, nil
	require.Contains(t, page1(t, d), "\n**A test saves 3.1 h: print the band at 103 % first.** Print [")
	d.Findings.Fit.Helps = []analysis.Help{{Measure: "calf_girth", Cut: 0.75, SD: 0.5}}
	d.Findings.Fit.Recommended = 102
	require.Contains(t, page1(t, d), "**First measure, as the steps above say:** that may leave no need of a test. Without that: **A test saves 3.1 h: print the band at 103 % first.**")
}

// The middle of what fits is called recommended only where it is to be set.
func TestOnlyWhatIsToBeSetIsRecommended(t *testing.T) {
	d := fittingGreave()
	require.Contains(t, page1(t, d), "| the middle of what fits | 102 % |")
	d.Findings.Fit.Verdict = "tight"
	require.Contains(t, page1(t, d), "| recommended for this part alone | 102 % |")
}
