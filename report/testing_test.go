package report

import (
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/report/disk"

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
	return d.text(disk.Place{Root: t.TempDir(), Part: "legs/greave-left.stl"}, pictures{}, nil)
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
