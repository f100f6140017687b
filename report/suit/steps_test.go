package suit

import (
	"slices"
	"strings"
	"testing"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/analysis/suit/joint"
	"gambeson/report/disk"
	"gambeson/report/words"

	"github.com/stretchr/testify/require"
)

// once is what is said, once, of how to note what is printed.
func once(what string) string {
	return " Note " + what + " in `logbook.toml` once it is printed: [the lines](SUIT.fit/details.md#lines-for-logbooktoml) are ready to copy."
}

// A part that is to be left as it is, since only a guess says what fits, is not also
// told to get the suit's scale.
func TestScalesAreSetOrLeft(t *testing.T) {
	sure := together.Part{Name: "greave.stl", Wanted: 100, Scale: 106, Risk: together.Risk{Level: together.Low}}
	risky := together.Part{Name: "boot.stl", Wanted: 100, Scale: 106, Risk: together.Risk{Level: together.High, Estimated: []string{"heel_girth"}}}
	taken := func(parts ...together.Part) string {
		s := Suit{Judged: together.Suit{Parts: parts}}
		s.Brief.Wearer.Measures = map[string]float64{"stature": 1710}
		return tapeStep(s, nil)
	}
	both := percentStep(together.Suit{Parts: []together.Part{sure, risky}}, nil)
	require.Contains(t, both, "Set the scales: 106 % for `greave.stl`. ")
	require.NotContains(t, both, "boot.stl")
	require.Equal(t, "Measure the **heel girth** and write it in `wearer.toml`: see [what to measure next](#what-to-measure-next). Until then leave `boot.stl` as it is: by the *estimate* the risk at the scale for the suit is **high**.", taken(sure, risky))
	helm, other := risky, risky
	helm.Name, helm.Risk.Estimated = "helm.stl", []string{"head_girth", "head_over_face_girth"}
	other.Name = "other-boot.stl"
	require.Regexp(t, "^Measure the .*heel girth.*, .*head girth.* and .*head over face girth.* Until then leave `boot.stl`, `helm.stl` and `other-boot.stl` as they are: by", taken(risky, helm, other))
	require.Empty(t, percentStep(together.Suit{Parts: []together.Part{risky}}, nil))
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

// Where one file stands under the names of both sides it is said at the top, and to
// mirror one comes before all that takes hours.
func TestCopiedPairIsMirroredFirst(t *testing.T) {
	judged := together.Suit{Pairs: []together.Pair{
		{Left: "greave-left.stl", Right: "greave-right.stl", Copied: true},
		{Left: "boot-left.stl", Right: "boot-right.stl"},
		{Left: "arm-left.stl", Right: "arm-right.stl", Copied: true},
	}}
	text := Suit{Judged: judged}.text(nil)
	warnings, rest, _ := strings.Cut(text[strings.Index(text, "## Warnings"):], "\n## ")
	require.Contains(t, warnings, "`greave-right.stl` is a copy of `greave-left.stl`, not its mirror image.")
	require.NotContains(t, text, "boot")
	require.Contains(t, rest, "1. Mirror one file of `greave-left.stl` and `greave-right.stl`, and of `arm-left.stl` and `arm-right.stl`: each two have one shape")
	require.Empty(t, mirrorStep(together.Suit{Pairs: judged.Pairs[1:2]}, nil))
}

// What is printed is not named among what to print; if it likely does not fit by now it
// is to be tried on. A piece that is gone is asked for.
func TestSuitOfPrintedParts(t *testing.T) {
	fits := func(name string) Row {
		return Row{Place: disk.Place{Part: name}, Findings: &analysis.Findings{Part: name, Percent: 100, Fit: &analysis.Fit{Verdict: "fits"}}}
	}
	rows := []Row{fits("a.stl"), fits("b.stl"), fits("c.stl"), fits("d.stl")}
	low := together.Risk{Level: together.Low, At: 100}
	s := together.Suit{Parts: []together.Part{
		{Name: "a.stl", Wanted: 100, Scale: 100, Risk: low},
		{Name: "b.stl", Wanted: 100, Scale: 100, Printed: 100, Risk: low},
		{Name: "c.stl", Wanted: 100, Scale: 112, Misprinted: 100, Risk: together.Risk{Level: together.Low, At: 112}},
		{Name: "d.stl", Wanted: 106, Scale: 112, Printed: 106, Risk: low},
	}}
	require.Equal(t, "Print [`a.stl`](a.stl.md): nothing that is known stands against it."+once("it"), printStep(Suit{Judged: s, Printed: map[string]Took{"b.stl": {}, "d.stl": {}}}, rows))
	rows[0].Findings.Fit.Helps = []analysis.Help{{Measure: "calf_girth", Cut: 0.8, SD: 0.6}}
	require.Equal(t, "Print [`a.stl`](a.stl.md) once you have measured the **calf girth**, as its report asks: the scale that fits is known to ± 2.2 % only."+once("it"),
		printStep(Suit{Judged: s, Printed: map[string]Took{"b.stl": {}, "d.stl": {}}}, rows))
	rows[0].Findings.Fit = &analysis.Fit{Verdict: "fits"}
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
		for i := range f.Bed.Pieces {
			f.Bed.Pieces[i].File = name + ".fit/pieces/" + words.Count(i+1) + ".stl"
		}
		return Row{Place: disk.Place{Part: name}, Findings: f}
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
	sure, more, ok := strings.Cut(step, ": nothing that is known stands against them.\n    - ")
	require.True(t, ok, step)
	require.Equal(t, "Print:\n\n    - [`cuirass.stl`](cuirass.stl.md) (all 4 files in [`pieces/`](cuirass.stl.fit/pieces)) and [`greave.stl`](greave.stl.md)", sure)
	require.Regexp(t, "^.`cuff.stl`..cuff.stl.md.: no test is worth its hours, though about 2 in 10 such prints do not fit.\n\n    Note each", more)
	require.Contains(t, more, "See the reports of [`boot.stl`](boot.stl.md), [`wide.stl`](wide.stl.md) and [`poor.stl`](poor.stl.md) for what is to be done before they are printed.")
	for _, other := range []string{"bar.stl", "tested.stl", "moved.stl"} { // other steps name them
		require.NotContains(t, step, other)
	}
}

// What keeps a part from being judged or printed as it is comes first in the suit too.
func TestSuitAsksToMendFilesFirst(t *testing.T) {
	row := func(name, code string) Row {
		return Row{Place: disk.Place{Part: name}, Findings: &analysis.Findings{Part: name, Warnings: []analysis.Warning{{Level: analysis.LevelWarning, Code: code}}}}
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

// A print that took other than was reckoned counts with what it took, and a part that has
// a panel taken off can be printed.
func TestSuitCountsWhatPrintsTook(t *testing.T) {
	row := func(name string) Row {
		f := &analysis.Findings{Part: name, Percent: 100, Print: &analysis.Print{Hours: 30, Grams: 400, Percent: 100}, Fit: &analysis.Fit{Verdict: "blocked", Smallest: 180, Rests: 95, Loosest: 110, Recommended: 102}}
		f.Fit.Entries = []analysis.Entry{{Measure: "heel_girth", Panel: &analysis.Panel{}}}
		f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "does-not-enter"}}
		return Row{Place: disk.Place{Part: name}, Findings: f}
	}
	rows := []Row{row("a.stl"), row("b.stl"), row("c.stl"), row("d.stl")}
	rows[1].Findings.Fit.Entries[0].Panel = nil
	var s Suit
	for _, r := range rows {
		s.Rows = append(s.Rows, r)
		s.Judged.Parts = append(s.Judged.Parts, together.Part{Name: r.Place.Part, Wanted: 100, Scale: 100, Risk: together.Risk{Level: together.Low, At: 100}})
	}
	s.Judged.Parts[2].Odd, s.Judged.Parts[3].Misprinted = true, 98
	step := printStep(s, rows)
	require.Equal(t, "Print [`a.stl`](a.stl.md): nothing that is known stands against it."+once("it")+" See the report of [`b.stl`](b.stl.md) for what is to be done before it is printed.", step)
	s.Printed = map[string]Took{"a.stl": {Hours: 11, Grams: 222}}
	rows[0].Findings.Printed = 100.2 // as good as 100
	text := s.text(nil)
	require.Contains(t, text, "| 11.0 h | 222 g |")
	require.Regexp(t, `printed +1 ■ 11\.0 h`, text)
	require.Contains(t, text, "101.0 h")

	// A print at another scale than what is to be printed tells of itself alone.
	rows[0].Findings.Printed, rows[0].Findings.Print.HoursSD = 95, 3
	text = s.text(nil)
	require.NotContains(t, text, "222 g")
	require.Contains(t, text, "| 30.0 h | 400 g |")
	require.Contains(t, text, "120.0 h ± 3.0 h, 1.6 kg, supports")
	require.Regexp(t, `printed +1 ■ 11\.0 h`, text)
	s.Printed["a.stl"] = Took{Grams: 222} // nobody noted the hours: those of 95 %
	require.Regexp(t, `printed +1 ■ 26\.4 h`, s.text(nil))
}

// A part whose own report asks for a test, which the suit has no band for, is printed:
// nothing else would name it. One whose band comes in a later load is named there.
func TestUntestedIsPrintedOrWaits(t *testing.T) {
	row := func(name string) Row {
		return Row{Place: disk.Place{Part: name}, Findings: &analysis.Findings{Part: name, Percent: 91, Fit: &analysis.Fit{Verdict: "fits"}, Testing: &analysis.Testing{WorthIt: true}}}
	}
	rows := []Row{row("bracer.stl"), row("greave.stl"), row("thigh.stl")}
	s := Suit{Judged: together.Suit{First: []together.Trial{{Part: "greave.stl"}}, Later: []string{"thigh.stl"}}}
	for _, r := range rows {
		s.Judged.Parts = append(s.Judged.Parts, together.Part{Name: r.Place.Part, Wanted: 91, Scale: 91, Risk: together.Risk{Level: together.Low, At: 91}})
	}
	require.Equal(t, []stage{ready, untried, untried}, []stage{stageOf(s, rows[0]), stageOf(s, rows[1]), stageOf(s, rows[2])})
	require.Equal(t, "Print [`bracer.stl`](bracer.stl.md): nothing that is known stands against it. The test that the report of [`bracer.stl`](bracer.stl.md) advises is for the best scale of that part alone: this one needs none."+once("it"), printStep(s, rows))
	require.Regexp(t, "^Print .one test band..#next-print.. Try it on. The band of .`thigh.stl`..thigh.stl.md. comes in a later load.$", loadStep(s.Judged, rows))
	s.Judged.Parts[1].Risk, s.Judged.Parts[1].Scale = together.Risk{Level: together.High, Estimated: []string{"calf_girth"}}, 97
	require.Regexp(t, "^Once the measures above are taken, print .one test band..#next-print., where this page still asks for it. Try it on.", loadStep(s.Judged, rows))
}

// What only straps hold is printed once its scale is set, after a tape; what only covers,
// as its report has it, is printed.
func TestPlatesArePrintedOnceSet(t *testing.T) {
	row := func(name, from, to string, scale float64) Row {
		f := &analysis.Findings{Part: name, Percent: scale, Region: &analysis.Region{Name: "lower_leg"}, Fit: &analysis.Fit{Verdict: "unknown"}}
		f.Warnings = []analysis.Warning{{Level: analysis.LevelNote, Code: "not-held"}}
		f.Cavities = []analysis.Cavity{{Centrelines: []analysis.Centreline{{From: from, To: to, Cup: to == "end", Stations: []analysis.Station{{Along: 10, InnerGirth: 280}}}}}}
		return Row{Place: disk.Place{Part: name}, Findings: f}
	}
	rows := []Row{row("open.stl", "A", "B", 112.5), row("unset.stl", "A", "B", 100), row("lid.stl", "A", "end", 100)}
	var s Suit
	for _, r := range rows {
		s.Judged.Parts = append(s.Judged.Parts, together.Part{Name: r.Place.Part, Wanted: r.Findings.Percent, Region: *r.Findings.Region, Risk: together.Risk{Level: together.Unknown}})
	}
	require.True(t, rows[2].Findings.OnlyCovers())
	require.Equal(t, "Print:\n\n    - [`lid.stl`](lid.stl.md): nothing that is known stands against it.\n    - [`open.stl`](open.stl.md) at the scale that is set, where a tape laid once more from rim to rim, as its report says, shows the same as the wall has.\n\n   "+once("each")+" See the report of [`unset.stl`](unset.stl.md) for what is to be done before it is printed.\n", printStep(s, rows))
}

// What was tried on and does not go with the rest is settled before anything of it is
// printed, by a tape where only an estimate is against it; of two try-ons that contradict
// each other the wrong one is deleted.
func TestOddTryonsAreSettledByATape(t *testing.T) {
	f := &analysis.Findings{Part: "forearm.stl", Percent: 100, Printed: 108.2, Region: &analysis.Region{Name: "forearm"}}
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "try-ons-odd"}}
	f.Fit = &analysis.Fit{Verdict: "blocked", Entries: []analysis.Entry{{Measure: "hand_over_thumb_girth", Source: "estimated"}}}
	f.Testing = &analysis.Testing{Tried: []analysis.Tried{{Station: "hand_over_thumb_girth", Percent: 108.2, Verdict: "tight", Counts: true, Odd: true}}}
	rows := []Row{{Place: disk.Place{Part: f.Part}, Findings: f}}
	s := together.Suit{Parts: []together.Part{{Name: f.Part, Wanted: 100, Scale: 105, Misprinted: 108.2, Odd: true}}}
	require.Empty(t, printedStep(s, rows), "it is to be settled first")
	whole := Suit{Judged: s}
	whole.Brief.Wearer.Measures = map[string]float64{"stature": 1710}
	steps := suitSteps(whole, rows)
	require.Regexp(t, `^Measure the \*\*hand over thumb girth\*\* and write it in .wearer.toml.`, steps[0], "before it is settled")
	require.Regexp(t, "^Settle what was tried on", steps[1])
	require.NotContains(t, settleStep(s, rows), "delete")

	f.Fit.Entries[0].Source = "given"
	f.Testing.Tried = append(f.Testing.Tried, analysis.Tried{Station: "hand_over_thumb_girth", Percent: 108.2, Verdict: "fits", Counts: true, Odd: true})
	require.Empty(t, tapeStep(whole, rows), "it is measured")
	require.Contains(t, settleStep(s, rows), "as of [`forearm.stl`](forearm.stl.md), delete the entry that was wrong from `logbook.toml`")
}

// When all is printed that is said, with what is still to be opened and tried on; and that
// a print does not fit the bed is no warning any more.
func TestAllPrintedIsSaid(t *testing.T) {
	row := func(name string) Row {
		f := &analysis.Findings{Part: name, Percent: 91, Printed: 91, Cavities: make([]analysis.Cavity, 1), Fit: &analysis.Fit{Verdict: "fits", Lead: "calf_girth"}}
		f.Cavities[0].Centrelines = []analysis.Centreline{{From: "A", To: "B"}}
		f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "bed-overflow", Text: "It does not fit."}}
		return Row{Place: disk.Place{Part: name}, Findings: f}
	}
	rows := []Row{row("shin.stl"), row("bracer.stl")}
	s := Suit{Rows: rows, Printed: map[string]Took{"shin.stl": {}, "bracer.stl": {}}}
	for _, r := range rows {
		s.Judged.Parts = append(s.Judged.Parts, together.Part{Name: r.Place.Part, Wanted: 91, Scale: 91, Printed: 91})
	}
	rows[0].Findings.Fit.Verdict, rows[0].Findings.Fit.Entries = "blocked", []analysis.Entry{{Measure: "heel_girth", Panel: &analysis.Panel{}}}
	rows[1].Findings.Testing = &analysis.Testing{Tried: []analysis.Tried{{Percent: 91, Verdict: "fits", Counts: true}}}
	text := s.text(nil)
	require.Contains(t, text, ". All parts are printed. Take off [`shin.stl`](shin.stl.md) the panel that its report has, to get in. Try [`shin.stl`](shin.stl.md) on over all the padding, and note what you find, `tight`, `fits` or `loose`, with `gambeson tried`, as in `gambeson tried shin.stl --station calf_girth --percent 91 --verdict fits`.")
	require.NotContains(t, text, "fit the bed")
	require.Contains(t, text, "2 parts: 2 without a warning")
	require.NotEmpty(t, rows[0].Findings.Warnings, "the report of the part has it still")

	rows[0].Findings.Testing = rows[1].Findings.Testing
	require.Contains(t, doneStep(s, rows), "What was tried on fits: nothing is left to print.")
	s.ToCome = []string{"new.stl"}
	require.Empty(t, doneStep(s, rows))
	s.ToCome = nil
	delete(s.Printed, "bracer.stl")
	require.Empty(t, doneStep(s, rows))
	require.Contains(t, s.text(nil), "fit the bed")
	s.Judged.Parts[1].Printed, s.Judged.Parts[1].Region, rows[1].Findings.Warnings = 0, analysis.Region{Name: "forearm"}, nil
	require.Contains(t, s.details(nil), "[[printed]]\npart = \"bracer.stl\"\npercent = 91\n```")
}

// A helm that is too loose closed at the scale it gets says so, and one that was set too
// large is overruled for that, as its own report has it.
func TestHelmThatIsTooLooseSaysSo(t *testing.T) {
	face := analysis.Entry{Measure: "head_over_face_girth", Opening: "A", Percent: 114.9, Halves: true}
	f := &analysis.Findings{Part: "helm.stl", Percent: 100, Fit: &analysis.Fit{Verdict: "blocked", Rests: 87, Roomiest: 116, Smallest: 114.9, Recommended: 120, Entries: []analysis.Entry{face}}}
	rows := []Row{{Place: disk.Place{Part: "helm.stl"}, Findings: f}}
	step := func(wanted, scale float64, opened bool) string {
		return percentStep(together.Suit{Parts: []together.Part{{Name: "helm.stl", Wanted: wanted, Scale: scale, Range: &together.Range{Smallest: 86, Opened: opened}, Risk: together.Risk{Level: together.Low}}}}, rows)
	}
	require.Contains(t, step(100, 120, false), " At 120 % [`helm.stl`](helm.stl.md) is too loose, and so large only for the head over face to pass its rim closed. In two halves 87 % is enough, as its report says.")
	require.NotContains(t, step(100, 115, false), "too loose")
	face.Passes, face.Halves, face.Percent = true, false, 117.1
	f.Percent, f.PercentSet, f.Fit.Verdict, f.Fit.Smallest, f.Fit.Recommended, f.Fit.Entries = 119, true, "loose", 117.1, 87.5, []analysis.Entry{face}
	said := step(119, 88, true)
	require.Contains(t, said, "At 88 % the body gets in only parted along its length in two halves (`halves = true`).")
	require.NotContains(t, said, "is too loose, and so large")
}

// A scale at which the body gets in only opened says so, also where the part stays closed
// at the one that is set; not where a try-on shows that it passes.
func TestScaleThatOpensAPartSaysSo(t *testing.T) {
	row := func(name string, e analysis.Entry) Row {
		e.Measure, e.Opening, e.Percent, e.Passes = "heel_girth", "A", 92.3, e.Panel == nil && !e.Halves
		return Row{Place: disk.Place{Part: name}, Findings: &analysis.Findings{Part: name, Percent: 93, Fit: &analysis.Fit{Recommended: 90, Rests: 84.8, Loosest: 93.2, Entries: []analysis.Entry{e}}}}
	}
	rows := []Row{row("closed.stl", analysis.Entry{}), row("panel.stl", analysis.Entry{Panel: &analysis.Panel{}}), row("halves.stl", analysis.Entry{Halves: true})}
	step := func(scale float64, of ...int) string {
		var s together.Suit
		for _, i := range of {
			s.Parts = append(s.Parts, together.Part{Name: rows[i].Place.Part, Wanted: 93.9, Scale: scale, Range: &together.Range{Opened: true}, Risk: together.Risk{Level: together.Low}})
		}
		return percentStep(s, rows)
	}
	require.Contains(t, step(91, 0), "91 % for [`closed.stl`](closed.stl.md). At 91 % the body gets in only opened, as its report then says. ")
	require.Contains(t, step(91, 1), "91 % for [`panel.stl`](panel.stl.md). At 91 % the body gets in only with the panel of its report off. ")
	require.NotContains(t, step(91, 1), "Take off")
	require.Contains(t, step(91, 2), ". At 91 % the body gets in only parted along its length in two halves (`halves = true`). ")
	require.Contains(t, step(91, 0, 1), ". At 91 % the body gets into [`panel.stl`](panel.stl.md) only with the panel of its report off and into [`closed.stl`](closed.stl.md) only opened, as its report then says. ")
	require.NotContains(t, step(92.5, 0, 1, 2), "gets in")
	require.NotContains(t, step(92.5, 0, 1, 2), "the panel")
	rows[0].Findings.Testing = &analysis.Testing{Tried: []analysis.Tried{{Station: "heel_girth", Percent: 90, Verdict: "fits", Counts: true}}}
	require.NotContains(t, step(91, 0), "gets in")
}

// A part that only its length is warned of, at a scale that the suit has for it, can be
// printed: nothing else would come of its report.
func TestTooLongIsPrintedWhereAccepted(t *testing.T) {
	f := &analysis.Findings{Part: "arm.stl", Percent: 146, Fit: &analysis.Fit{Verdict: "fits"}, Testing: &analysis.Testing{WorthIt: true}}
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "too-long"}}
	rows := []Row{{Place: disk.Place{Part: f.Part}, Findings: f}}
	s := Suit{Judged: together.Suit{Parts: []together.Part{{Name: f.Part, Wanted: 146, Scale: 146, Range: &together.Range{}, Risk: together.Risk{Level: together.Some, Unfit: 0.02}}}}}
	require.Regexp(t, "^Print .`arm.stl`..arm.stl.md., if you accept that its length does not fit, as its report warns: in girth nothing that is known stands against it. The test that the report of ", printStep(s, rows))
	f.Warnings = append(f.Warnings, analysis.Warning{Level: analysis.LevelWarning, Code: "mesh-open"})
	require.Regexp(t, "^See the report of", printStep(s, rows))
	f.Warnings = f.Warnings[:1]
	s.Judged.Parts[0].Risk.Unfit = 0.3
	require.Regexp(t, "^See the report of", printStep(s, rows))
}

// A part of which only the wall is warned of is not held up for good: it is to be
// thickened, or printed as it is. With anything else it waits for its report.
func TestThinWallIsPrintedWhereAccepted(t *testing.T) {
	f := &analysis.Findings{Part: "cup.stl", Percent: 104}
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "thin-wall"}}
	rows := []Row{{Place: disk.Place{Part: f.Part}, Findings: f}}
	s := Suit{Judged: together.Suit{Parts: []together.Part{{Name: f.Part}}}}
	require.Contains(t, printStep(s, rows), "Print [`cup.stl`](cup.stl.md) once its wall is thickened where its report warns, or as it is if it is thin only there.")
	require.Contains(t, printStep(s, rows), "the lines")
	f.Warnings = append(f.Warnings, analysis.Warning{Level: analysis.LevelWarning, Code: "mesh-open"})
	require.NotContains(t, printStep(s, rows), "Print")
}

// Parts of a joint that does not bend far enough to walk are not told to be printed
// beside nothing that stands against them: what to do first is a step before it. Once
// all that meets there is printed it is said no more.
func TestJointsAreSettledBeforeThePrint(t *testing.T) {
	row := func(name string) Row {
		return Row{Place: disk.Place{Part: name}, Findings: &analysis.Findings{Part: name, Percent: 100, Fit: &analysis.Fit{Verdict: "fits"}}}
	}
	rows := []Row{row("arm.stl"), row("greave.stl"), row("thigh.stl")}
	s := Suit{Rows: rows, Printed: map[string]Took{}}
	for _, r := range rows {
		s.Judged.Parts = append(s.Judged.Parts, together.Part{Name: r.Place.Part, Wanted: 100, Scale: 100, Range: &together.Range{}, Risk: together.Risk{Level: together.Low}})
	}
	s.Joints = []joint.Joint{{
		Name: "knee", Side: "right", Gap: 47, Upper: joint.Rim{Part: "thigh.stl", Region: "thigh"}, Lower: joint.Rim{Part: "greave.stl", Region: "lower_leg"},
		Bends: []joint.Bend{{Name: "bends", Touch: 45, Normal: 135, Share: 1.0 / 3, Side: "at the back", Needs: []joint.Need{{For: "to walk", Angle: 65}}, Cuts: []joint.Cut{{Need: joint.Need{For: "to walk", Angle: 65}, Part: "thigh.stl", Rim: "lower", Off: 13, Wide: 87}}}},
	}}
	require.Equal(t, "Before you print [`thigh.stl`](thigh.stl.md) and [`greave.stl`](greave.stl.md): the right knee bends only 45° of 135° before the rims touch, too little to walk. To walk (65°), cut 13 mm off the lower rim of the thigh shell at the back over 87 mm, running out to nothing. Cut first, or choose another scale.", meetStep(s, rows))
	text := printStep(s, rows)
	require.Contains(t, text, "- [`arm.stl`](arm.stl.md): nothing that is known stands against it.\n    - [`greave.stl`](greave.stl.md) and [`thigh.stl`](thigh.stl.md) once what hinders where they meet others is settled")
	s.Judged.Parts[2].Wanted = 95
	require.Empty(t, meetStep(s, rows), "its scale comes first")
	s.Judged.Parts[2].Wanted = 100
	one := s.Joints
	left := one[0]
	left.Side, left.Bends = "left", slices.Clone(left.Bends)
	left.Bends[0].Touch = 50
	s.Joints = []joint.Joint{one[0], left}
	require.Contains(t, meetStep(s, rows), "Settle where parts meet before you print them:\n\n    - [`thigh.stl`](thigh.stl.md) and [`greave.stl`](greave.stl.md): the right knee bends only 45°")
	s.Joints = one
	s.Printed["greave.stl"] = Took{}
	require.Contains(t, meetStep(s, rows), "Before you print [`thigh.stl`](thigh.stl.md): ")
	s.Printed["thigh.stl"] = Took{}
	require.Empty(t, meetStep(s, rows))
}

// Progress, step and report say the same of a part that has less ease than was asked for:
// it is printed where its report has nothing against it, else waits for what that asks.
func TestHighRiskIsPrintedWhereItsReportSaysSo(t *testing.T) {
	f := &analysis.Findings{Part: "boot.stl", Percent: 106, Fit: &analysis.Fit{Verdict: "fits", Chance: 0.66}}
	f.Testing = &analysis.Testing{Print: 106, Chance: 0.99, Odds: [][2]float64{{100, 0.99}, {110, 0.99}}}
	rows := []Row{{Place: disk.Place{Part: f.Part}, Findings: f}}
	s := Suit{Judged: together.Suit{Parts: []together.Part{{Name: f.Part, Wanted: 106, Scale: 106, Range: &together.Range{}, Risk: together.Risk{Level: together.High, Misfit: 0.4, Unfit: 0.335}}}}}
	require.Equal(t, ready, stageOf(s, rows[0]))
	require.Equal(t, "Print [`boot.stl`](boot.stl.md), though the risk is **high**: about 3 in 10 such prints have less than all the padding and ease that are asked for. A little less counts as fitting in its report, which asks for nothing before."+once("it"), printStep(s, rows))
	waits := func(why string) {
		t.Helper()
		require.Equal(t, warned, stageOf(s, rows[0]), why)
		require.Equal(t, "See the report of [`boot.stl`](boot.stl.md) for what is to be done before it is printed.", printStep(s, rows), why)
	}
	f.Testing.WorthIt = true
	waits("a test is worth it")
	f.Testing.WorthIt, f.Testing.Odds = false, [][2]float64{{100, 0.8}, {110, 0.8}}
	waits("nor is it sure by its report")
	f.Testing.Odds = [][2]float64{{100, 0.99}, {110, 0.99}}
	f.Fit.Helps = []analysis.Help{{Measure: "calf_girth", Cut: 0.8, SD: 0.6}}
	waits("its report asks for a measure")
	f.Fit.Helps, s.Judged.Parts[0].Risk.NoRoom = nil, true
	waits("the foot does not go in")
	f.Testing, s.Judged.Parts[0].Risk.NoRoom = nil, false
	waits("nothing is reckoned")
}

// A part that waits for a measure is not told to be opened either.
func TestWhatWaitsIsNotOpened(t *testing.T) {
	f := &analysis.Findings{Part: "gorget.stl", Percent: 100, Fit: &analysis.Fit{Verdict: "blocked", Rests: 101, Smallest: 180, Loosest: 110, Recommended: 105.5,
		Entries: []analysis.Entry{{Opening: "A", Measure: "head_over_face_girth", Halves: true, Percent: 180}}}}
	rows := []Row{{Place: disk.Place{Part: f.Part}, Findings: f}}
	p := together.Part{Name: f.Part, Wanted: 100, Scale: 100, Range: &together.Range{Smallest: 101, Loosest: 110, Opened: true}}
	require.Contains(t, percentStep(together.Suit{Parts: []together.Part{p}}, rows), "Part [`gorget.stl`](gorget.stl.md) along its length in two halves")
	p.Scale, p.Risk = 106, together.Risk{Level: together.High, Estimated: []string{"neck_base_girth"}}
	s := Suit{Judged: together.Suit{Parts: []together.Part{p}}}
	s.Brief.Wearer.Measures = map[string]float64{"stature": 1710}
	steps := suitSteps(s, rows)
	require.Regexp(t, "^Measure the .*neck base girth.* Until then leave .*gorget.stl.* as it is", steps[0])
	require.NotContains(t, strings.Join(steps, "\n"), "in two halves")
}

// A part that lies in two folders is said at once, as it would be printed twice; left and
// right alike are meant so.
func TestTheSamePartTwiceIsAStep(t *testing.T) {
	kin := func(earlier, later, kind string) analysis.Relation {
		return analysis.Relation{Earlier: earlier, Later: later, Kind: kind, Text: later + " is " + earlier}
	}
	pairs := []together.Pair{{Left: "left.stl", Right: "right.stl"}}
	all := []analysis.Relation{kin("legs/a.stl", "old/a.stl", "copy"), kin("left.stl", "right.stl", "copy"), kin("legs/a.stl", "b.stl", "rescaled")}
	require.Equal(t, "`legs/a.stl` and `old/a.stl` are the same part: keep one file, or both are printed.", twiceStep(all, pairs, nil))
	require.Contains(t, suitSteps(Suit{Kin: all, Judged: together.Suit{Pairs: pairs}}, nil), twiceStep(all, pairs, nil))
	all = append(all, kin("old/a.stl", "older/a.stl", "copy"))
	require.Equal(t, "`legs/a.stl`, `old/a.stl` and `older/a.stl` are the same part: keep one file, or all are printed.", twiceStep(all, pairs, nil))
	require.Empty(t, twiceStep(all[1:3], pairs, nil))
	for _, name := range []string{"c", "d", "e"} {
		all = append(all, kin(name+".stl", "old/"+name+".stl", "copy"))
	}
	require.Contains(t, twiceStep(all, pairs, nil), "4 parts lie in the folder more than once: [which they are](SUIT.fit/details.md#the-same-shape-twice).")
}

// Without a wearer the measures that settle the parts come first, each with how it is
// taken; what only covers waits with those beside it.
func TestNobodyIsMeasuredFirst(t *testing.T) {
	tube := analysis.Cavity{Centrelines: []analysis.Centreline{{From: "A", To: "B"}}}
	greave := &analysis.Findings{Part: "greave.stl", Percent: 100, Region: &analysis.Region{Name: "lower_leg"}, Cavities: []analysis.Cavity{tube}}
	plate := &analysis.Findings{Part: "plate.stl", Percent: 100, Region: &analysis.Region{Name: "torso"}}
	rows := []Row{{Place: disk.Place{Part: "greave.stl"}, Findings: greave}, {Place: disk.Place{Part: "plate.stl"}, Findings: plate}}
	s := Suit{Hows: map[string]string{"calf_girth": "thickest place of the lower leg"}, Rows: rows}
	for _, f := range []*analysis.Findings{greave, plate} {
		s.Judged.Parts = append(s.Judged.Parts, together.Part{Name: f.Part, Region: *f.Region, Wanted: 100})
	}
	steps := suitSteps(s, rows)
	require.Contains(t, steps[0], "Begin with the 3 measures under [what to measure next](#what-to-measure-next)")
	require.Equal(t, "Wait with [`plate.stl`](plate.stl.md) until the wearer is measured: it covers only, and goes at the scale of the parts beside it.", steps[len(steps)-1])
	require.Contains(t, s.text(nil), "| `calf_girth` | thickest place of the lower leg | decides on [`greave.stl`](greave.stl.md) |")
}
