package suit

import (
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

func TestTotals(t *testing.T) {
	part := func(hours, grams float64, shell string) *analysis.Findings {
		f := &analysis.Findings{
			Print: &analysis.Print{Hours: hours, HoursSD: hours / 10, Grams: grams, GramsSD: grams / 20},
			Bands: []analysis.Band{{Hours: 0.5, Grams: 10}, {Hours: 1, Grams: 20}},
		}
		if shell != "" {
			f.Assembly = &analysis.Assembly{Name: shell}
		}
		return f
	}
	for _, c := range []struct {
		parts []*analysis.Findings
		want  string
	}{
		{nil, ""},
		{[]*analysis.Findings{{}}, ""},
		{[]*analysis.Findings{part(10, 200, "")},
			"All parts, at the suit's scale where they have one: 10.0 h ± 1.0 h, 200 g ± 10 g, supports not counted. All test bands: 1.5 h, 30 g. These are *estimates*."},
		{[]*analysis.Findings{part(10, 200, ""), part(202, 3200, "")},
			"All parts, at the suit's scale where they have one: 212.0 h ± 21.2 h, 3.4 kg ± 0.2 kg, supports not counted. All test bands: 3.0 h, 60 g. These are *estimates*."},
		// Bands of a shell in two files are the same bands.
		{[]*analysis.Findings{part(10, 200, "helm"), part(20, 300, "helm")},
			"All parts, at the suit's scale where they have one: 30.0 h ± 3.0 h, 500 g ± 25 g, supports not counted. All test bands: 1.5 h, 30 g. These are *estimates*."},
		{[]*analysis.Findings{part(10, 200, ""), {}},
			"The parts whose cost is known, at the suit's scale where they have one: 10.0 h ± 1.0 h, 200 g ± 10 g, supports not counted. All test bands: 1.5 h, 30 g. These are *estimates*."},
	} {
		var all totals
		for _, f := range c.parts {
			all.add(f, 100, Took{})
		}
		if got := all.words(); got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}

// The tests of both sides of a pair count once, what they save twice; a part
// that needs no test adds nothing.
func TestTotalsOfTests(t *testing.T) {
	part := func(region, side string, worth bool) *analysis.Findings {
		return &analysis.Findings{
			Print: &analysis.Print{Hours: 10}, Region: &analysis.Region{Name: region, Side: side},
			Testing: &analysis.Testing{WorthIt: worth, TestHours: 1.5, Reprints: 2},
		}
	}
	for _, c := range []struct {
		parts []*analysis.Findings
		want  string
	}{
		{[]*analysis.Findings{part("head", "", false)}, " By the reports no test is worth its hours."},
		{[]*analysis.Findings{part("lower_leg", "left", true), part("lower_leg", "right", true), part("head", "", false)},
			" The tests that the reports advise take 1.5 h on average, against 30.0 h of real prints, and save 4.0 h of prints done again. What one shows of a left part tells of the right one."},
		{[]*analysis.Findings{part("torso", "", true), part("hips", "", true)},
			" The tests that the reports advise take 3.0 h on average, against 20.0 h of real prints, and save 4.0 h of prints done again."},
	} {
		var all totals
		for _, f := range c.parts {
			all.add(f, 100, Took{})
		}
		if got := all.testWords(); got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}

// A part counts with what it takes at the scale that the suit has for it, and its
// doubt grows with it.
func TestTotalsAtTheSuitsScale(t *testing.T) {
	f := &analysis.Findings{Print: &analysis.Print{Hours: 10, HoursSD: 1, Grams: 200, GramsSD: 10, Percent: 100,
		Advised: &analysis.PrintAt{Percent: 110, Hours: 13, Grams: 240}}}
	var all totals
	all.add(f, 110, Took{})
	if got, want := all.words(), "All parts, at the suit's scale where they have one: 13.0 h ± 1.3 h, 240 g ± 12 g, supports not counted. These are *estimates*."; got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	all.add(f, 110, Took{Hours: 9, Grams: 100}) // noted: sure
	if got, want := all.words(), "All parts, at the suit's scale where they have one: 22.0 h ± 1.3 h, 340 g ± 12 g, supports not counted. These are *estimates*."; got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// No test is said to be worth its hours where none is to be printed alone.
func TestNoTestIsNotSaidBesideOne(t *testing.T) {
	sums := totals{parts: 1, judged: 1}
	require.Contains(t, sums.words(), "By the reports no test is worth its hours.")
	sums.load = true
	require.NotContains(t, sums.words(), "no test")
}
