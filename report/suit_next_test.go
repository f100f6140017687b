package report

import (
	"strings"
	"testing"

	"gambeson/analysis"
	together "gambeson/analysis/suit"

	"github.com/stretchr/testify/require"
)

// A part that is to be left as it is, since only a guess says what fits, is not also
// told to get the suit's scale.
func TestScalesAreSetOrLeft(t *testing.T) {
	sure := together.Part{Name: "greave.stl", Wanted: 100, Scale: 106, Risk: together.Risk{Level: together.Low}}
	risky := together.Part{Name: "boot.stl", Wanted: 100, Scale: 106, Risk: together.Risk{Level: together.High, Estimated: []string{"heel_girth"}}}
	both := percentStep(together.Suit{Parts: []together.Part{sure, risky}}, nil)
	require.Contains(t, both, "Set the scales: 106 % for `greave.stl`. ")
	require.Contains(t, both, " Leave `boot.stl` as it is until you have measured")
	alone := percentStep(together.Suit{Parts: []together.Part{risky}}, nil)
	require.Regexp(t, "^Leave `boot.stl` as it is", alone)
	require.NotContains(t, alone, "Set the scales")
	odd := sure
	odd.Odd = true
	require.Empty(t, percentStep(together.Suit{Parts: []together.Part{odd}}, nil), "what was tried on is to be settled first")
	risky.Scale = risky.Wanted
	require.Empty(t, percentStep(together.Suit{Parts: []together.Part{risky}}, nil))
}

// A table of suit.toml that holds for no part, since its name is mistyped, is said at
// the top; what names a part that is still to come is not.
func TestMisnamedIsAWarning(t *testing.T) {
	slip, later := `suit.toml:2:1: part.file: "legs/grieve.stl" matches no part; did you mean "legs/greave.stl"?`, `suit.toml:9:1: part.file: "boot.stl" matches no part`
	text := Suit{Misnamed: []string{slip}, Unmatched: []string{later}}.text(nil)
	warnings, rest, _ := strings.Cut(text[strings.Index(text, "## Warnings"):], "\n## ")
	require.Contains(t, warnings, "grieve.stl")
	require.Contains(t, warnings, "What stands there holds for no part.")
	require.NotContains(t, warnings+rest, "boot.stl")
	require.NotContains(t, Suit{Unmatched: []string{later}}.text(nil), "## Warnings")
}

// What is printed is not named among what to print; if it likely does not fit by now it
// is to be tried on. A piece that is gone is asked for.
func TestSuitOfPrintedParts(t *testing.T) {
	fits := func(name string) Row {
		return Row{Place: Place{Part: name}, Findings: &analysis.Findings{Part: name, Percent: 100, Fit: &analysis.Fit{Verdict: "fits"}}}
	}
	rows := []Row{fits("a.stl"), fits("b.stl"), fits("c.stl"), fits("d.stl")}
	low := together.Risk{Level: together.Low, At: 100}
	s := together.Suit{Parts: []together.Part{
		{Name: "a.stl", Wanted: 100, Scale: 100, Risk: low},
		{Name: "b.stl", Wanted: 100, Scale: 100, Printed: 100, Risk: low},
		{Name: "c.stl", Wanted: 100, Scale: 112, Misprinted: 100, Risk: together.Risk{Level: together.Low, At: 112}},
		{Name: "d.stl", Wanted: 106, Scale: 112, Printed: 106, Risk: low},
	}}
	require.Equal(t, "Print [`a.stl`](a.stl.md): nothing that is known stands against it.", printStep(Suit{Judged: s, Printed: map[string]Took{"b.stl": {}, "d.stl": {}}}, rows))
	require.Contains(t, printedStep(s, rows), "Try on [`c.stl`](c.stl.md), which is printed: by what is known now it likely does not fit.")
	require.Regexp(t, "^Set the scales: 112 % for .`c.stl`..c.stl.md.[.] [^;]*$", percentStep(s, rows), "what is printed is not rescaled")
	require.Equal(t, "106 %, printed", ofSuit(s.Parts[3]))
	rows[2].Findings.Printed = 100
	rows[2].Findings.Testing = &analysis.Testing{Tried: []analysis.Tried{{Counts: true, Verdict: "tight", Percent: 100}}}
	require.Contains(t, printedStep(s, rows), "Print [`c.stl`](c.stl.md) again at its new scale: the print was found not to fit.")

	rows[0].Findings.Assembly = &analysis.Assembly{Gone: []string{"toe.stl"}}
	rows[0].Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "assembly-gone"}}
	require.Contains(t, goneStep(rows), "Put `toe.stl` back, or say in `suit.toml` that the shell is whole without, as the report of [`a.stl`](a.stl.md) has it")
	require.Empty(t, goneStep(rows[1:]))
}

// Each part that waits for nothing else is named among what to print: in pieces or as it
// is, surely or less so; and each that is hindered, with its report.
func TestPrintStepLeavesNoPartOut(t *testing.T) {
	row := func(name string, pieces int, warnings ...string) Row {
		f := &analysis.Findings{Part: name, Percent: 100, Fit: &analysis.Fit{Verdict: "fits"}, Bed: &analysis.Bed{Pieces: make([]analysis.Piece, pieces)}}
		for _, code := range warnings {
			f.Warnings = append(f.Warnings, analysis.Warning{Level: analysis.LevelWarning, Code: code})
		}
		return Row{Place: Place{Part: name}, Findings: f}
	}
	some := func(unfit float64) together.Risk { return together.Risk{Level: together.Some, At: 100, Unfit: unfit} }
	rows := []Row{
		row("cuirass.stl", 4, "bed-overflow"), row("greave.stl", 0), row("boot.stl", 0, "too-long"), row("cuff.stl", 0), row("wide.stl", 0, "bed-overflow"),
		row("bar.stl", 0, "stands-in-way"), row("tested.stl", 0), row("moved.stl", 0), row("poor.stl", 0),
	}
	s := together.Suit{First: []together.Trial{{Part: "tested.stl", Moves: []string{"moved.stl"}}}}
	for _, r := range rows {
		s.Parts = append(s.Parts, together.Part{Name: r.Place.Part, Wanted: 100, Scale: 100, Risk: some(0)})
	}
	s.Parts[3].Risk, s.Parts[8].Risk = some(0.2), together.Risk{Level: together.High, At: 100, Unfit: 0.4}
	step := printStep(Suit{Judged: s}, rows)
	sure, more, ok := strings.Cut(step, ": nothing that is known stands against them. ")
	require.True(t, ok, step)
	require.Equal(t, "Print [`cuirass.stl`](cuirass.stl.md) (in 4 pieces) and [`greave.stl`](greave.stl.md)", sure)
	require.Contains(t, more, "Print [`cuff.stl`](cuff.stl.md): no test is worth its hours, though about 2 in 10 such prints do not fit. ")
	require.Contains(t, more, "See the reports of [`boot.stl`](boot.stl.md), [`wide.stl`](wide.stl.md) and [`poor.stl`](poor.stl.md) for what is to be done before they are printed.")
	for _, other := range []string{"bar.stl", "tested.stl", "moved.stl"} { // other steps name them
		require.NotContains(t, step, other)
	}
}

// What keeps a part from being judged or printed as it is comes first in the suit too.
func TestSuitAsksToMendFilesFirst(t *testing.T) {
	row := func(name, code string) Row {
		return Row{Place: Place{Part: name}, Findings: &analysis.Findings{Part: name, Warnings: []analysis.Warning{{Level: analysis.LevelWarning, Code: code}}}}
	}
	steps := suitSteps(Suit{}, []Row{
		row("bar.stl", "stands-in-way"), row("sheet.stl", "no-wall"), row("block.stl", "solid-block"),
		row("inch.stl", "unit-unlikely"), row("doll.stl", "size-unlikely"), row("arms.stl", "parts-several"), row("halves.stl", "pieces-clear"), row("tight.stl", "too-tight"), row("odd.stl", "try-ons-odd"),
	})
	require.Len(t, steps, 5)
	require.Contains(t, steps[2], "Move the pieces in [`halves.stl`](halves.stl.md) together, as its report says")
	require.Contains(t, steps[4], "Settle what was tried on of [`odd.stl`](odd.stl.md), as its report says")
	require.Contains(t, steps[0], "Settle what [`inch.stl`](inch.stl.md) and [`doll.stl`](doll.stl.md) cover or the unit of their files")
	require.Contains(t, steps[1], "Give each part in [`arms.stl`](arms.stl.md) a file of its own")
	require.Contains(t, steps[3], "Mend [`bar.stl`](bar.stl.md), [`sheet.stl`](sheet.stl.md) and [`block.stl`](block.stl.md)")
	for _, step := range steps {
		require.NotContains(t, step, "tight.stl")
	}
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
}

// What is tried on over all the padding, and what goes over it pressed, is told apart.
func TestNextPrintSaysHowToTryOn(t *testing.T) {
	says := func(passes ...bool) string {
		var s together.Suit
		for _, p := range passes {
			s.First = append(s.First, together.Trial{Part: "greave.stl", Band: analysis.Band{File: "band.stl", Percent: 104, Hours: 1, Grams: 10, Passes: p}})
		}
		var b page
		b.nextPrint(s, nil)
		return b.String()
	}
	require.Contains(t, says(false), "Try it on over all the padding, and note")
	require.Contains(t, says(true), "Try it on as on the way in, with the padding pressed: `tight` is what does not pass, and note")
	require.Contains(t, says(true, true), "Try them on as on the way in")
	require.Contains(t, says(true, false), "Try them on over all the padding (what only has to pass a band, as a heel or a hand, with it pressed), and note")
	require.Empty(t, says())
}
