package step

import (
	"slices"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/report/disk"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// bootPart is a boot with all that later findings bring.
func bootPart() (d part) {
	d.Findings, d.Brief = sample.Boot()
	return d
}

// worn is a part with one way through it and what the body makes of it.
func worn(fit *analysis.Fit) part {
	var d part
	d.Findings, d.Brief = sample.Greave()
	d.Findings.Fit, d.Findings.Percent, d.Findings.Bands = fit, 100, nil
	d.Findings.Bed = &analysis.Bed{Fits: true, Largest: analysis.Largest{AsIs: 110}, Placement: analysis.Placement{Kind: "as-is"}}
	return d
}

// helm is the fit of a helm whose head needs 87 % and whose face 114.9 % of the rim.
func helm(verdict string, face analysis.Entry) *analysis.Fit {
	face.Opening = "A"
	return &analysis.Fit{Verdict: verdict, Rests: 87, Roomiest: 116, Smallest: 117.1, Recommended: 87.5, Entries: []analysis.Entry{face}}
}

func TestStepsFollowFromTheFindings(t *testing.T) {
	p := disk.Place{Part: "legs/greave-left.stl"}
	steps := func(change func(d *part)) string {
		d := worn(&analysis.Fit{Verdict: "fits"})
		d.Findings.Warnings = nil
		change(&d)
		all := d.steps(p)
		if len(all) == 0 || len(all) > mostSteps {
			t.Errorf("%d steps", len(all))
		}
		return strings.Join(all, "\n")
	}
	heel := analysis.Entry{Opening: "A", Measure: "heel_girth"}
	for name, c := range map[string]struct {
		change func(d *part)
		want   []string
		not    []string
	}{
		"all is well": {func(*part) {}, []string{"Print `greave-left.stl` at 100 %"}, []string{"Measure", "Use ", "bed"}},
		"set":         {func(d *part) { d.Brief.PercentSet = true }, []string{"Print `greave-left.stl` at 100 %"}, []string{"has for it"}},
		"thin": {func(d *part) {
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "thin-wall"}}
		}, []string{"Settle what is warned of, or accept it; then print `greave-left.stl` at 100 %."}, []string{"nothing stands"}},
		"no wearer": {func(d *part) {
			d.Findings.Fit, d.Brief.Wearer.Measures = nil, nil
			d.Hows = map[string]string{"calf_girth": "thickest place of the lower leg"}
		}, []string{"Measure with a tape, on the skin or over one thin layer", "\n   - `calf_girth = …` thickest place of the lower leg\n   - `ankle_girth = …`\n   - `heel_girth = …`\n\n   This report is then written again"}, []string{"Print `"}},
		"no region":     {func(d *part) { d.Findings.Fit, d.Findings.Region = nil, nil }, []string{"`suit.toml`", "region"}, nil},
		"other scale":   {func(d *part) { d.Findings.Fit.Verdict, d.Findings.Fit.Recommended = "tight", 107.04 }, []string{"Use 107 %. Add at the end of `suit.toml`:", "   file = \"legs/greave-left.stl\"\n   percent = 107\n"}, []string{"more than the bed"}},
		"scale and bed": {func(d *part) { d.Findings.Fit.Verdict, d.Findings.Fit.Recommended = "tight", 115 }, []string{"Use 115 %", "That is more than the bed takes in one piece."}, nil},
		"same scale":    {func(d *part) { d.Findings.Fit.Verdict, d.Findings.Fit.Recommended = "loose", 100.04 }, []string{"Print `greave-left.stl` at 100 %"}, []string{"Use "}},
		"band that nothing passes": {func(d *part) {
			e := heel
			e.Percent = 180
			d.Findings.Fit.Entries = []analysis.Entry{e}
			d.Findings.Bands = []analysis.Band{{File: "legs/greave-left.stl.fit/bands/1.stl", Station: 7, Percent: 107, Height: 12, Arcs: 1}}
		}, []string{"Cut it open at one side before you try it on"}, nil},
		"band that the body passes": {func(d *part) {
			e := heel
			e.Percent, e.Passes = 106, true
			d.Findings.Fit.Entries = []analysis.Entry{e}
			d.Findings.Bands = []analysis.Band{{File: "legs/greave-left.stl.fit/bands/1.stl", Station: 7, Percent: 107, Height: 12, Arcs: 1}}
		}, []string{") and try it on."}, []string{"Cut it"}},
		"band for what passes": {func(d *part) {
			d.Findings.Bands = []analysis.Band{{File: "legs/greave-left.stl.fit/bands/1.stl", Station: 7, Percent: 107, Height: 12, Arcs: 1, Measure: "heel_girth", Passes: true}}
		}, []string{"try it on as on the way in, with the padding pressed: `tight` is what does not pass."}, nil},
		"band of halves": {func(d *part) {
			d.Brief.Halves = true
			d.Findings.Bands = []analysis.Band{{File: "legs/greave-left.stl.fit/bands/1.stl", Station: 7, Percent: 107, Height: 12, Arcs: 1}}
		}, []string{"Cut it through at both sides"}, nil},
		"printed":                  {func(d *part) { d.Findings.Printed = 100 }, []string{"It is printed at 100 %, says `logbook.toml`: nothing is left to print."}, []string{"rint `", "Use "}},
		"printed at another scale": {func(d *part) { d.Findings.Printed = 104 }, []string{"It is printed at 104 %", "this report is of 100 %", "percent = 104\n"}, []string{"rint `"}},
		"printed, and tight by now": {func(d *part) {
			d.Findings.Printed, d.Findings.Fit = 100, &analysis.Fit{Verdict: "tight", Lead: "calf_girth", Rests: 104, Smallest: 104, Loosest: 112, Recommended: 107}
		}, []string{"by what is known now that does not fit: try it on before you print it again", "`gambeson tried legs/greave-left.stl --station calf_girth --percent 100 --verdict fits`", "Use 107 %"}, []string{"nothing is left"}},
		"printed, and found tight": {func(d *part) {
			d.Findings.Printed, d.Findings.Fit = 100, &analysis.Fit{Verdict: "tight", Lead: "calf_girth", Rests: 104, Smallest: 104, Loosest: 112, Recommended: 107}
			d.Findings.Testing = &analysis.Testing{Print: 107, Chance: 0.9, Odds: [][2]float64{{100, 0.1}, {107, 0.9}}, Tried: []analysis.Tried{{Verdict: "tight", Percent: 100, Counts: true}}}
		}, []string{"was found tight: what follows is for the next print", "Use 107 %"}, []string{"nothing is left", "try it on before"}},
		"printed, and found to fit against the tape": {func(d *part) {
			d.Findings.Printed, d.Findings.Fit = 100, &analysis.Fit{Verdict: "tight", Lead: "calf_girth", Rests: 104, Smallest: 104, Loosest: 112, Recommended: 107}
			d.Findings.Testing = &analysis.Testing{Print: 107, Chance: 0.9, Odds: [][2]float64{{100, 0.4}, {107, 0.9}}, Tried: []analysis.Tried{{Verdict: "fits", Percent: 100, Counts: true}}}
		}, []string{"nothing is left to print"}, []string{"Use 107"}},
		"try-ons disagree": {func(d *part) {
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "try-ons-odd"}}
		}, []string{"Settle what was tried on"}, nil},
		"printed, to be opened": {func(d *part) {
			d.Findings.Printed = 100
			d.Findings.Fit = &analysis.Fit{Verdict: "blocked", Rests: 95, Smallest: 140, Loosest: 105, Recommended: 100}
			e := heel
			e.Panel = &analysis.Panel{To: 100, Width: 30}
			d.Findings.Fit.Entries = []analysis.Entry{e}
		}, []string{"It is printed at 100 %, says `logbook.toml`.", "ake a panel off"}, []string{"rint `"}},
		"rescaled, and its percent left": {func(d *part) {
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "percent-twice"}}
		}, []string{"The file has the scale already: add at the end", "percent = 100\n"}, []string{"Print"}},
		"a piece is gone": {func(d *part) {
			d.Findings.Assembly = &analysis.Assembly{Gone: []string{"legs/toe.stl"}}
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "assembly-gone"}}
		}, []string{"Put `legs/toe.stl` back into the folder"}, nil},
		"no test is worth it": {func(d *part) {
			d.Findings.Fit = &analysis.Fit{Verdict: "tight", Recommended: 107}
			d.Findings.Testing = &analysis.Testing{}
			d.Findings.Bands = []analysis.Band{{File: "legs/greave-left.stl.fit/bands/1.stl", Station: 7, Percent: 107, Height: 12, Arcs: 1}}
		}, []string{"Use 107 %", "Then print `greave-left.stl` at 107 %, set in the printing program."}, []string{"test band ["}},
		"no scale is likely": {func(d *part) {
			d.Findings.Fit = &analysis.Fit{Verdict: "tight", Recommended: 107}
			d.Findings.Testing = &analysis.Testing{Print: 107, Chance: 0.2}
		}, []string{"Use 107 %", "Do not print it yet: the best scale, 107 %, fits with a chance of only 20 in 100"}, []string{"Then print"}},
		"fits as it is set": {func(d *part) { d.Findings.Fit.Recommended = 107 }, []string{"Print `greave-left.stl` at 100 %: nothing stands against it."}, []string{"Use "}},
		"unit first": {func(d *part) {
			d.Findings.Fit = nil
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "unit-unlikely"}}
		}, []string{"Say what unit"}, []string{"Print", "Most likely"}},
		"a likely unit": {func(d *part) {
			d.Findings.Fit = nil
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "unit-unlikely"}}
			d.Findings.Unit = &analysis.Unit{Name: "millimetre", Factor: 1, Likely: "inch"}
		}, []string{"Say what unit", "Most likely it is the inch; if the millimetre is right", "   file = \"legs/greave-left.stl\"\n   unit = \"inch\"\n"}, []string{"Print"}},
		"least scale": {func(d *part) { d.Findings.Fit.Verdict, d.Findings.Fit.Smallest = "tight", 104.21 }, []string{"Use 104.3 % or more. ", "Add at the end", "percent = 104.3\n"}, nil},
		"tried on": {func(d *part) {
			d.Findings.Fit.Recommended = 104.5
			d.Findings.Testing = &analysis.Testing{Print: 110, Chance: 0.97, Odds: [][2]float64{{100, 0.05}, {110, 0.97}}, Tried: []analysis.Tried{{Verdict: "tight", Counts: true}}}
		}, []string{"Use 110 %, as the try-ons show. ", "percent = 110\n"}, []string{"104.5"}},
		"halves": {func(d *part) {
			heel.Halves = true
			d.Findings.Fit.Entries = []analysis.Entry{heel}
		}, []string{"Part it along its length in two halves"}, nil},
		"arm hole": {func(d *part) {
			d.Findings.Fit.Sits = []analysis.Sit{{Measure: "armscye_girth", Hole: true, To: "B", Needed: 520, Capacity: 440}}
		}, []string{"Cut the rim of the hole at opening B back by about 13 mm all round"}, nil},
		"estimate": {func(d *part) {
			d.Findings.Fit.Helps = []analysis.Help{{Measure: "knee_girth", Cut: 0.75, SD: 1}}
		}, []string{"Measure the knee girth", "`knee_girth = …`", "The scale is then known about 2 times as closely."}, nil},
		"estimate that matters little": {func(d *part) {
			d.Findings.Fit.Helps = []analysis.Help{{Measure: "knee_girth", Cut: 0.1, SD: 1}}
		}, nil, []string{"Measure the knee"}},
		"opened anyway": {func(d *part) {
			d.Findings.Fit = &analysis.Fit{Verdict: "blocked", Rests: 101, Smallest: 180, Loosest: 110, Recommended: 105.5}
			e := heel
			e.Halves, e.Percent = true, 180
			d.Findings.Fit.Entries = []analysis.Entry{e}
		}, []string{"Use 105.5 %", "and part it along its length in two halves", "percent = 105.5\n   halves = true\n"}, []string{"Or keep"}},
		"too loose closed, and halves are better": {func(d *part) {
			d.Findings.Fit = helm("loose", analysis.Entry{Measure: "head_over_face_girth", Percent: 117.1, Passes: true})
			d.Findings.Percent = 119
		}, []string{"Use 87.5 %", "Closed, the head over face does not pass at that scale.", "percent = 87.5\n   halves = true\n"}, []string{"At 119 % it is too loose"}},
		"opened anyway, and open along its length": {func(d *part) {
			d.Findings.Fit = &analysis.Fit{Verdict: "blocked", Rests: 101, Smallest: 180, Loosest: 110, Recommended: 105.5}
			e := heel
			e.Halves, e.Percent = true, 180
			d.Findings.Fit.Entries = []analysis.Entry{e}
			way := analysis.Centreline{Stations: []analysis.Station{{Along: 0, Gap: 60}, {Along: 10, Gap: 49.2}}}
			d.Findings.Cavities = []analysis.Cavity{{Centrelines: []analysis.Centreline{way}}}
		}, []string{"halves = true\n   ```\n\n   It is open along its length, 49.2 mm wide at the least.", "write `strapped = true` in place of `halves = true`"}, nil},
		"too tight for a panel to help": {func(d *part) {
			d.Findings.Fit = &analysis.Fit{Verdict: "blocked", Rests: 106, Smallest: 108, Loosest: 118, Recommended: 113}
			e := heel
			e.Percent, e.Panel = 108, &analysis.Panel{To: 100, Width: 30}
			d.Findings.Fit.Entries = []analysis.Entry{e}
		}, []string{"Use 113 %"}, []string{"panel"}},
		"solid": {func(d *part) {
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "solid-block"}}
		}, []string{"Hollow the part"}, nil},
		"too large": {func(d *part) { d.Findings.Bed.Fits, d.Findings.Bed.Largest.AsIs = false, 97.27 }, []string{"at 97.2 % at most"}, nil},
		"too large and tight": {func(d *part) {
			d.Findings.Bed.Fits, d.Findings.Fit.Verdict = false, "tight"
		}, []string{"part it in two"}, []string{"at most"}},
		"band is never crowded out": {func(d *part) {
			*d = bootPart()
			d.Findings.Fit.TwoWay = nil
			d.Findings.Bands = []analysis.Band{{File: "legs/greave-left.stl.fit/bands/1.stl", Station: 240, Percent: 107.04, Height: 12, Measure: "instep_girth"}}
		}, []string{"Print the test band [`bands/1.stl`](greave-left.stl.fit/bands/1.stl)", "gambeson tried legs/greave-left.stl --station instep_girth --percent 107 --verdict fits"}, nil},
		"no band before the file is rescaled": {func(d *part) {
			*d = bootPart()
			d.Findings.Bands = []analysis.Band{{File: "legs/greave-left.stl.fit/bands/1.stl", Station: 240, Percent: 107.04, Height: 12, Measure: "instep_girth"}}
		}, []string{"escale the file itself"}, []string{"Print the test band", "print it"}},
		"too long, and that is accepted": {func(d *part) {
			*d = bootPart()
			d.Findings.Fit.Verdict, d.Findings.Percent = "fits", 115.8
			d.Findings.Fit.Recommended, d.Findings.Fit.Entries, d.Findings.Testing = 115.8, nil, nil
		}, []string{"rint "}, []string{"escale the file itself"}},
		"held by straps only": {func(d *part) {
			d.Findings.Warnings, d.Findings.Percent = []analysis.Warning{{Level: analysis.LevelNote, Code: "not-held"}}, 100
		}, []string{"Lay a tape over all the padding", "the wall has "}, []string{"rint it"}},
		"held by straps only, and set": {func(d *part) {
			d.Findings.Warnings, d.Findings.Percent = []analysis.Warning{{Level: analysis.LevelNote, Code: "not-held"}}, 112.5
		}, []string{"Lay the tape once more over all the padding", "at 112.5 %, as set, the wall has ", "shows the same, print `greave-left.stl` at 112.5 %, set in the printing program; else"}, []string{"Lay a tape", "Print `", "nothing stands against"}},
		"held by straps only, and set as it lies": {func(d *part) {
			d.Findings.Warnings, d.Findings.Percent, d.Findings.PercentSet = []analysis.Warning{{Level: analysis.LevelNote, Code: "not-held"}}, 100, true
		}, []string{"Lay the tape once more over all the padding", "at 100 %, as set"}, []string{"Lay a tape"}},
		"a band before pieces": {func(d *part) {
			d.Findings.Bed = &analysis.Bed{Pieces: []analysis.Piece{{File: "legs/greave-left.stl.fit/pieces/1-of-2-lower.stl"}, {File: "legs/greave-left.stl.fit/pieces/2-of-2-upper.stl"}}}
			d.Findings.Testing = &analysis.Testing{WorthIt: true}
			d.Findings.Bands = []analysis.Band{{File: "legs/greave-left.stl.fit/bands/1.stl", Station: 240, Percent: 100, Height: 12, Measure: "calf_girth"}}
		}, []string{"Print the test band", "Then print all files in [`pieces/`](greave-left.stl.fit/pieces), 2 pieces now. They are cut anew where another scale is set."}, []string{"1-of-2-lower"}},
		"a cup for the knee": {func(d *part) {
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelNote, Code: "not-held"}}
			d.Findings.Region = &analysis.Region{Name: "lower_leg"}
			d.Findings.Cavities[0].Centrelines = slices.Clone(d.Findings.Cavities[0].Centrelines[:1])
			d.Findings.Cavities[0].Centrelines[0].To, d.Findings.Cavities[0].Centrelines[0].Cup = "end", true
		}, nil, []string{"Lay a tape"}},
		"a cap narrower than the knee": {func(d *part) {
			d.Findings.Fit = &analysis.Fit{Verdict: "unknown", Cap: &analysis.Cap{Measure: "knee_girth", Needed: 134.5, Rim: 120, Least: 112.1}}
		}, []string{"Use 112.1 % or more, unless it is only to lie on the front: at 100 % its rim is 120.0 mm wide inside, the narrower way, and the knee with its padding about 134.5 mm. Add at the end", "percent = 112.1\n"}, nil},
		"a cap as wide as the knee": {func(d *part) {
			d.Findings.Fit = &analysis.Fit{Verdict: "unknown", Cap: &analysis.Cap{Measure: "knee_girth", Needed: 134.5, Rim: 140, Least: 96.1}}
		}, nil, []string{"or more"}},
		"a bar": {func(d *part) {
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "stands-in-way", Text: "Something stands in the way inside."}}
		}, []string{"take out in a modelling program what stands in the way there"}, []string{"Print", "shuts"}},
		"shut": {func(d *part) {
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "stands-in-way", Text: "It is shut at its far end, 240.0 mm from opening A."}}
		}, []string{"Take away in a modelling program what shuts it at its far end"}, []string{"Print", "girths along"}},
		"no wall": {func(d *part) {
			d.Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "no-wall"}}
		}, []string{"Give it a wall"}, []string{"Use ", "Print"}},
	} {
		got := steps(c.change)
		for _, want := range c.want {
			if !strings.Contains(got, want) {
				t.Errorf("%s: %q is not in\n%s", name, want, got)
			}
		}
		for _, not := range c.not {
			if strings.Contains(got, not) {
				t.Errorf("%s: %q is in\n%s", name, not, got)
			}
		}
	}
}

// Where length and girth ask for two scales, one for all is only what one may do
// instead, and how much too long the part then is is said.
func TestTwoScalesGoBeforeOneForAll(t *testing.T) {
	d := bootPart()
	f := &d.Findings
	f.Percent, f.Fit.Recommended, f.Fit.Helps = 100, 119.5, nil
	f.Fit.Lengths = []analysis.Length{{Measure: "foot_length", Body: 256, Room: 258, Smallest: 107, Largest: 114.7}}
	steps := d.steps(disk.Place{Root: "/suit", Part: "legs/boot-left.stl"})
	first := slices.IndexFunc(steps, func(s string) bool { return strings.HasPrefix(s, "Rescale the file itself to ") })
	then := slices.IndexFunc(steps, func(s string) bool {
		return strings.HasPrefix(s, "Or accept that it is too long: 308.3 mm inside, where the body has 256.0 mm. In a boot that makes one stumble. Then use 119.5 %")
	})
	require.GreaterOrEqual(t, first, 0, "%v", steps)
	require.Equal(t, first+1, then, "%v", steps)
	f.Fit.Lengths[0].Largest = 120
	require.Contains(t, strings.Join(d.steps(disk.Place{Root: "/suit", Part: "legs/boot-left.stl"}), "\n"), "\nOr use 119.5 %")
	f.Fit.TwoWay = nil
	require.NotContains(t, strings.Join(d.steps(disk.Place{Root: "/suit", Part: "legs/boot-left.stl"}), "\n"), "Or ")
}

func TestOddTryonsAreSettledByATapeFirst(t *testing.T) {
	f := &analysis.Findings{Part: "forearm.stl", Percent: 100, Printed: 108.2, Region: &analysis.Region{Name: "forearm"}}
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "try-ons-odd"}}
	f.Fit = &analysis.Fit{Verdict: "blocked", Entries: []analysis.Entry{{Measure: "hand_over_thumb_girth", Source: "estimated"}}}
	f.Testing = &analysis.Testing{Tried: []analysis.Tried{{Station: "hand_over_thumb_girth", Percent: 108.2, Verdict: "tight", Counts: true, Odd: true}}}
	f.Printed = 0
	hows := map[string]string{"hand_over_thumb_girth": "thumb laid against the little finger"}
	steps := Next(f, analysis.Brief{}, hows, disk.Place{Part: f.Part})
	require.Len(t, steps, 2)
	require.Regexp(t, "^Measure the hand over thumb girth and write `hand_over_thumb_girth = …` .in mm. in `wearer.toml`. Where the tape runs: thumb laid against the little finger. Only then", steps[0])
	require.Regexp(t, "^Settle what was tried on", steps[1])
	require.NotContains(t, oddStep(f), "delete")

	f.Fit.Entries[0].Source = "given"
	f.Testing.Tried = append(f.Testing.Tried, analysis.Tried{Station: "hand_over_thumb_girth", Percent: 108.2, Verdict: "fits", Counts: true, Odd: true})
	require.Contains(t, oddStep(f), "The logbook has `tight` at 108.2 % and, after it, `fits` at 108.2 % at the hand over thumb: delete the entry that was wrong")
}

// Nobody is offered to accept a boot that is half a foot too long.
func TestFarTooLongIsNotOffered(t *testing.T) {
	d := bootPart()
	f := &d.Findings
	f.Percent, f.Fit.Recommended, f.Fit.Helps = 100, 119.5, nil
	f.Fit.Lengths = []analysis.Length{{Measure: "foot_length", Body: 233, Room: 266, Smallest: 93.6, Largest: 101}}
	require.NotContains(t, strings.Join(d.steps(disk.Place{Root: "/suit", Part: "legs/boot-left.stl"}), "\n"), "accept")
}

// Why no band is asked for is said of the scale that it holds for.
func TestNoBandIsOfOneScale(t *testing.T) {
	p := disk.Place{Root: "/suit", Part: "legs/greave-left.stl"}
	said := func(change func(d *part)) string {
		d := part{Findings: analysis.Findings{Part: p.Part, Percent: 97.5, PercentSet: true, Fit: &analysis.Fit{Verdict: "fits"}}}
		d.Brief.PercentSet = true
		d.Findings.Testing = &analysis.Testing{Print: 96.5, Chance: 0.98, Odds: [][2]float64{{96.5, 0.98}, {97.5, 0.9}}}
		change(&d)
		return d.needless()
	}
	require.Equal(t, "It fits with a chance of 90 in 100. To be surer, set 96.5 %: there it is 98 in 100, and no test band is worth its hours.", said(func(*part) {}))
	plain := "A test band would cost more hours than it saves."
	require.Equal(t, plain, said(func(d *part) { d.Findings.Testing.Print = 97.5 }))
	require.Equal(t, plain, said(func(d *part) { d.Findings.Testing.Odds[1][1] = 0.98 }), "it fits as well there")
	require.Equal(t, plain, said(func(d *part) { d.Findings.Testing.Odds[1][1] = 0.997 }), "it fits better as it is set")
}
