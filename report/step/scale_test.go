package step

import (
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/report/disk"

	"github.com/stretchr/testify/require"
)

// Whatever scales a report names, one line says which is the one to print at, or why there
// is none yet; and it alone says that SUIT.md may have another.
func TestOneScaleIsToBeSet(t *testing.T) {
	p := disk.Place{Part: "legs/greave-left.stl"}
	const beside = " Where [`SUIT.md`](../SUIT.md) has another scale or other tests for this part, do as that says: it looks at all parts together."
	trying := func(d *part) {
		d.Findings.Fit.Recommended = 101
		d.Findings.Bands = []analysis.Band{{File: "legs/greave-left.stl.fit/bands/1.stl", Percent: 102, Height: 12, Measure: "calf_girth"}}
		d.Findings.Testing = &analysis.Testing{WorthIt: true, Print: 100, Then: []analysis.After{{Verdict: "tight", Band: 105}, {Verdict: "fits", Print: 100}}}
	}
	for name, c := range map[string]struct {
		change func(d *part)
		want   string
	}{
		"as it lies":    {func(*part) {}, "**Scale to print at: 100 %**, as the file lies." + beside},
		"as set":        {func(d *part) { d.Findings.Percent = 107 }, "**Scale to print at: 107 %**, as `suit.toml` has it." + beside},
		"advised":       {func(d *part) { d.Findings.Fit.Verdict, d.Findings.Fit.Recommended = "tight", 109 }, "**Scale to print at: 109 %.**" + beside},
		"at least":      {func(d *part) { d.Findings.Fit.Verdict, d.Findings.Fit.Smallest = "tight", 104.21 }, "**Scale to print at: 104.3 % or more.**" + beside},
		"fits nowhere":  {func(d *part) { d.Findings.Fit.Verdict = "tight" }, "**Scale to print at:** none is known at which it fits." + beside},
		"a band first":  {trying, "**Scale to print at:** the test band tells. If it fits, **100 %**." + beside},
		"other unknown": {func(d *part) { d.Findings.Fit, d.Brief.Wearer.Measures = nil, nil }, "**Scale to print at:** not known before the body is measured."},
		"a tape before a band": {func(d *part) {
			trying(d)
			d.Findings.Fit.Helps = []analysis.Help{{Measure: "calf_girth", Cut: 0.75, SD: 1}}
		}, "**Scale to print at:** measure first. By the *estimate* it is **100 %**." + beside},
		"in doubt": {func(d *part) {
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "try-ons-odd"}}
		}, "**Scale to print at:** not settled, as what was tried on is in doubt."},
		"its unit first": {func(d *part) {
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "unit-unlikely"}}
		}, ""},
		"covers only, of nobody": {func(d *part) {
			d.Findings.Fit, d.Findings.Cavities, d.Brief.Wearer.Measures = nil, nil, nil
			d.Findings.Region = &analysis.Region{Name: "torso"}
		}, "**Scale to print at:** that of the parts beside it, which [`SUIT.md`](../SUIT.md) names once the body is measured."},
		"a cap that is too narrow": {func(d *part) {
			d.Findings.Cavities, d.Findings.Region = nil, &analysis.Region{Name: "knee"}
			d.Findings.Fit = &analysis.Fit{Verdict: "unknown", Cap: &analysis.Cap{Measure: "knee_girth", Needed: 134.5, Rim: 120, Least: 112.1}}
		}, "**Scale to print at: 112.1 % or more.**" + beside},
		"a cap that spans": {func(d *part) {
			d.Findings.Cavities, d.Findings.Region = nil, &analysis.Region{Name: "knee"}
			d.Findings.Fit = &analysis.Fit{Verdict: "unknown", Cap: &analysis.Cap{Measure: "knee_girth", Needed: 134.5, Rim: 140, Least: 96.1}}
		}, "**Scale to print at: 100 %**, as the file lies." + beside},
		"printed": {func(d *part) { d.Findings.Printed = 100 }, ""},
	} {
		d := worn(&analysis.Fit{Verdict: "fits"})
		d.Findings.Warnings = nil
		c.change(&d)
		require.Equal(t, c.want, Scale(&d.Findings, d.Brief, p), name)
		require.NotContains(t, strings.Join(d.steps(p), "\n"), "has another scale", name)
	}
}

// The measure that is missing is the first step, with where the tape runs, and what hangs
// on it says so: scales, halves, bands.
func TestTheTapeComesFirst(t *testing.T) {
	p := disk.Place{Part: "legs/greave-left.stl"}
	d := worn(&analysis.Fit{Verdict: "blocked", Rests: 101, Smallest: 180, Loosest: 110, Recommended: 105.5})
	d.Findings.Warnings = nil
	d.Hows = map[string]string{"heel_girth": "under the tip of the heel"}
	d.Findings.Fit.Entries = []analysis.Entry{{Opening: "A", Measure: "heel_girth", Halves: true, Percent: 180}}
	d.Findings.Fit.Helps = []analysis.Help{{Measure: "heel_girth", Cut: 0.75, SD: 1}}
	d.Findings.Bands = []analysis.Band{{File: "legs/greave-left.stl.fit/bands/1.stl", Percent: 102, Height: 12, Measure: "calf_girth"}}
	steps := d.steps(p)
	require.Len(t, steps, 3)
	require.Regexp(t, "^Measure the heel girth and write `heel_girth.* = …` .in mm. in `wearer.toml`. Where the tape runs: under the tip of the heel. ", steps[0])
	require.Regexp(t, "^After that, use the scale that this report then names, by the .estimate. 105.5 %, and part it along its length", steps[1])
	require.Regexp(t, "^After that, where this report still asks for it, print the test band .* do not scale it again in the printing program.", steps[2])
}

// What is to be printed is named: the file, its pieces, or where many of them lie; and
// what has its scale already is not to be scaled once more.
func TestWhatToPrintIsNamed(t *testing.T) {
	p := disk.Place{Part: "legs/greave-left.stl"}
	last := func(pieces int, change func(d *part)) string {
		d := worn(&analysis.Fit{Verdict: "fits"})
		d.Findings.Warnings = nil
		for range pieces {
			d.Findings.Bed.Pieces = append(d.Findings.Bed.Pieces, analysis.Piece{File: "legs/greave-left.stl.fit/pieces/lower.stl"})
		}
		change(&d)
		steps := d.steps(p)
		return steps[len(steps)-1]
	}
	as := func(*part) {}
	larger := func(d *part) { d.Findings.Fit.Verdict, d.Findings.Fit.Recommended = "tight", 107 }
	const each, folder = "[`pieces/lower.stl`](greave-left.stl.fit/pieces/lower.stl)", "[`pieces/`](greave-left.stl.fit/pieces)"
	require.Equal(t, "Print `greave-left.stl` at 100 %: nothing stands against it.", last(0, as))
	require.Equal(t, "Print `greave-left.stl` at 104 %, set in the printing program: nothing stands against it.", last(0, func(d *part) { d.Findings.Percent = 104 }))
	require.Equal(t, "Print it in pieces, "+each+" and "+each+".", last(2, as))
	require.Equal(t, "Print all 12 files in "+folder+".", last(12, as))
	require.Equal(t, "Then print all files that then lie in "+folder+", cut anew for 107 %. Do not scale them again in the printing program: they have their scale already.", last(2, larger))
	require.Equal(t, "Print it in pieces, "+each+" and "+each+". Do not scale them again in the printing program: they have their scale already.", last(2, func(d *part) { d.Findings.Percent = 104 }))
}
