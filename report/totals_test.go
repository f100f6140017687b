package report

import (
	"testing"

	"gambeson/analysis"
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
			"All parts: 10.0 h ± 1.0 h, 200 g ± 10 g, supports not counted. All test bands: 1.5 h, 30 g. These are *estimates*."},
		{[]*analysis.Findings{part(10, 200, ""), part(202, 3200, "")},
			"All parts: 212.0 h ± 21.2 h, 3.4 kg ± 0.2 kg, supports not counted. All test bands: 3.0 h, 60 g. These are *estimates*."},
		// Bands of a shell in two files are the same bands.
		{[]*analysis.Findings{part(10, 200, "helm"), part(20, 300, "helm")},
			"All parts: 30.0 h ± 3.0 h, 500 g ± 25 g, supports not counted. All test bands: 1.5 h, 30 g. These are *estimates*."},
		{[]*analysis.Findings{part(10, 200, ""), {}},
			"The parts whose cost is known: 10.0 h ± 1.0 h, 200 g ± 10 g, supports not counted. All test bands: 1.5 h, 30 g. These are *estimates*."},
	} {
		var all totals
		for _, f := range c.parts {
			all.add(f)
		}
		if got := all.words(); got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}
