package suit

import (
	"testing"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/disk"

	"github.com/stretchr/testify/require"
)

// beside is a suit of parts by what their own reports have, each at the scale that is set.
func beside(parts ...together.Part) (together.Suit, []Row) {
	s, rows := together.Suit{Parts: parts}, []Row(nil)
	for _, p := range parts {
		f := &analysis.Findings{Part: p.Name, Percent: p.Wanted, Fit: &analysis.Fit{Verdict: "fits"}}
		rows = append(rows, Row{Place: disk.Place{Part: p.Name}, Findings: f})
	}
	return s, rows
}

func fitting100to110(name string, wanted, scale float64) together.Part {
	return together.Part{Name: name, Wanted: wanted, Scale: scale, Range: &together.Range{Smallest: 100, Loosest: 110}, Risk: together.Risk{Level: together.Low}}
}

// Where the report of a part has another scale than the suit both stand in the table and
// the step says why; where they agree nothing is said of it.
func TestSuitSaysWhatTheReportHas(t *testing.T) {
	s, rows := beside(fitting100to110("a.stl", 100, 104), fitting100to110("b.stl", 104, 104))
	require.Equal(t, " (its report: 100 %)", ofReport(s.Parts[0], rows[0].Findings))
	require.Empty(t, ofReport(s.Parts[1], rows[1].Findings))
	step := percentStep(s, rows)
	require.Contains(t, step, "104 % for [`a.stl`](a.stl.md). A part's report may name another scale, as it looks at that part alone.")
	require.NotContains(t, step, "b.stl")
	// What the report advises itself is the suit's.
	rows[0].Findings.Fit = &analysis.Fit{Verdict: "tight", Recommended: 104, Smallest: 103}
	require.Empty(t, ofReport(s.Parts[0], rows[0].Findings))
	require.NotContains(t, percentStep(s, rows), "another scale")
	// What is set will do, though the report would have another for the part alone.
	rows[0].Findings.Fit = &analysis.Fit{Verdict: "fits", Recommended: 104, Smallest: 95}
	require.Equal(t, " (its report: 100 % will do)", ofReport(s.Parts[0], rows[0].Findings))
	rows[0].Findings.Fit.Recommended = 97
	require.Equal(t, " (its report: 97 %, and 100 % will do)", ofReport(s.Parts[0], rows[0].Findings))
	// What is printed, follows others or is to be stretched has no scale to compare.
	for _, p := range []together.Part{{Scale: 104, Printed: 104}, {Scale: 104, Follows: true, Risk: together.Risk{NoWay: true}}, {Scale: 104, Stretch: &analysis.TwoWay{}}, {}} {
		require.Empty(t, ofReport(p, &analysis.Findings{Percent: 100}))
	}
}

// A scale that suit.toml has is overruled in the open, with the reason.
func TestOverruledScalesAreSaid(t *testing.T) {
	part := func(wanted, scale float64, change func(p *together.Part, f *analysis.Findings)) string {
		s, rows := beside(fitting100to110("a.stl", wanted, scale))
		rows[0].Findings.PercentSet = true
		if change != nil {
			change(&s.Parts[0], rows[0].Findings)
		}
		return percentStep(s, rows)
	}
	const says = "This overrules what `suit.toml` has so far: "
	none := func(*together.Part, *analysis.Findings) {}
	for why, got := range map[string]string{
		"98 % for [`a.stl`](a.stl.md), as the body does not fit there.":            part(98, 104, none),
		"112 % for [`a.stl`](a.stl.md), as it is too loose or too long there.":     part(112, 104, none),
		"101 % for [`a.stl`](a.stl.md), as it is likelier to fit so.":              part(101, 104, none),
		"108 % for [`a.stl`](a.stl.md), as the bed takes it only smaller.":         part(108, 104, func(p *together.Part, _ *analysis.Findings) { p.Bed = 105 }),
		"108 % for [`a.stl`](a.stl.md), as it is larger there than it has to be.":  part(108, 104, func(p *together.Part, _ *analysis.Findings) { p.Range.Loosest = 0 }),
		"102 % for [`a.stl`](a.stl.md), as what was tried on speaks against that.": part(102, 104, func(_ *together.Part, f *analysis.Findings) { f.Testing = tightAt(103) }),
		"102 % for [`a.stl`](a.stl.md), as the pieces of a shell need one scale.": part(102, 104, func(_ *together.Part, f *analysis.Findings) {
			f.Warnings = []analysis.Warning{{Code: "assembly-scale"}}
		}),
		"100 % for [`a.stl`](a.stl.md), as it only covers and goes with the parts be": part(100, 104, func(p *together.Part, _ *analysis.Findings) { p.Follows, p.Risk.NoWay = true, true }),
	} {
		require.Contains(t, got, says+why)
	}
	require.NotContains(t, part(104, 104, none), says, "it is kept")
	require.NotContains(t, part(101, 104, func(_ *together.Part, f *analysis.Findings) { f.PercentSet = false }), says, "nobody set it")
}

func tightAt(percent float64) *analysis.Testing {
	return &analysis.Testing{Tried: []analysis.Tried{{Percent: percent, Verdict: "tight", Counts: true, Station: "calf_girth"}}}
}

// A band that the part's own report does not ask for says so, and a band that only the
// report asks for is said where the scale is to be set.
func TestTestsThatOnlyOneOfBothAsksFor(t *testing.T) {
	s, rows := beside(fitting100to110("a.stl", 104, 104))
	f := rows[0].Findings
	f.Testing = &analysis.Testing{Print: 103, Chance: 0.98}
	s.First = []together.Trial{{Part: "a.stl", Band: analysis.Band{Percent: 104, Hours: 1}}}
	var b page
	b.nextPrint(s, rows)
	require.Contains(t, b.String(), " Its report asks for none: at 103 %, likeliest for this part alone, it needs none. At 104 %, as set, one is worth its hours.")
	f.Testing.WorthIt = true
	b = page{}
	b.nextPrint(s, rows)
	require.NotContains(t, b.String(), "asks for none")

	s, rows = beside(fitting100to110("a.stl", 100, 104))
	rows[0].Findings.Testing = &analysis.Testing{WorthIt: true}
	require.Contains(t, percentStep(s, rows), " The test that the report of [`a.stl`](a.stl.md) advises is for the best scale of that part alone: this one needs none.")
	s.Measures = []together.Measure{{Name: "calf_girth", Parts: []string{"a.stl"}}}
	require.Contains(t, percentStep(s, rows), " advises is for the best scale of that part alone. Measure first, which may leave no need of it.")
	s, rows = beside(fitting100to110("a.stl", 100, 104))
	s.Later = []string{"a.stl"}
	rows[0].Findings.Testing = &analysis.Testing{WorthIt: true}
	require.NotContains(t, percentStep(s, rows), "advises")
}

// Files to be rescaled along their axes for both sides alike say so where their reports
// have other scales.
func TestSuitSaysOfStretchedFilesWhatTheReportHas(t *testing.T) {
	p := fitting100to110("boot.stl", 100, 0)
	p.Stretch = &analysis.TwoWay{Girth: 122.7, Axes: [3]float64{122.7, 113.9, 122.7}}
	s, rows := beside(p)
	own := *p.Stretch
	rows[0].Findings.Fit = &analysis.Fit{Verdict: "tight", TwoWay: &own}
	require.NotContains(t, percentStep(s, rows), "alone")
	own.Axes[0] = 123
	require.Contains(t, percentStep(s, rows), " No single scale makes both girth and length fit. The report of [`boot.stl`](boot.stl.md) has another scale, for that part alone: these serve both sides alike.")
}
