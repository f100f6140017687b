package suit

import (
	"fmt"
	"strings"
	"testing"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/disk"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// shellOf is a part of the Copper Heron that was compared with Mira: it fits
// from smallest to loosest percent, and the middle of them is known to ± doubt,
// 9 in 10.
func shellOf(name, region, side string, smallest, loosest, doubt float64) *analysis.Findings {
	best := (smallest + loosest) / 2
	f := &analysis.Findings{
		Schema: analysis.Schema, Part: name, Percent: 100,
		Region: &analysis.Region{Name: region, Side: side, Source: "name"},
		Mesh:   &analysis.Mesh{Format: "stl-binary", Triangles: 4000 + len(name), Bounds: [3]float64{120, 130, 320}, Area: 240000, Volume: 350000, Closed: true},
		Bed:    &analysis.Bed{Fits: true, Largest: analysis.Largest{AsIs: 108, Turned: 121}, Placement: analysis.Placement{Kind: "as-is", Size: [3]float64{120, 130, 320}}},
		Cavities: []analysis.Cavity{{Centrelines: []analysis.Centreline{
			{From: "A", To: "B", Length: 320, Stations: sample.Stations(320, func(z float64) float64 { return 330 + z/4 })},
		}}},
		Fit: &analysis.Fit{
			Verdict: "fits", Smallest: smallest, Loosest: loosest, Recommended: best,
			Interval: &[2]float64{best - doubt, best + doubt},
		},
		Print: &analysis.Print{Percent: 100, Hours: 18, Grams: 260, Metres: 87},
	}
	if smallest > 100 {
		f.Fit.Verdict = "tight"
	}
	return f
}

// heron is the Copper Heron: legs that want more than the trunk, a gorget that
// has to be opened, a breastplate that only covers, hips that the bed does not
// take.
func heron() []*analysis.Findings {
	left := shellOf("legs/greave-left.stl", "lower_leg", "left", 103.2, 114, 4)
	right := shellOf("kit.zip/legs/greave-right.stl", "lower_leg", "right", 102.6, 113.4, 4)
	right.Mesh.Triangles = left.Mesh.Triangles
	for _, f := range []*analysis.Findings{left, right} {
		f.Fit.Helps = []analysis.Help{{Measure: "heel_girth", Cut: 0.9, SD: 0.77}, {Measure: "ankle_girth", Cut: 0.05, SD: 2.37}}
		f.Fit.Sits = []analysis.Sit{
			{Measure: "calf_girth", Body: 382, Source: "measured", Needed: 419, Capacity: 390, Ease: -23, Along: 230, From: "A"},
			{Measure: "ankle_girth", Body: 222, Source: "estimated", SD: 8, Needed: 259, Capacity: 300, Ease: 47, Along: 40, From: "A"},
		}
		f.Bands = []analysis.Band{{File: strings.Replace(f.Part, ".zip/", ".zip.fit/", 1) + ".fit/bands/230mm.stl", Station: 230, Percent: 100, Height: 12, Arcs: 1, Hours: 0.9, Grams: 8}}
	}
	boot := shellOf("legs/boot-left.stl", "foot", "left", 104.4, 112, 5)
	boot.Fit.Helps = []analysis.Help{{Measure: "heel_girth", Cut: 0.7, SD: 1.66}, {Measure: "instep_girth", Cut: 0.5, SD: 2.15}}
	boot.Bands = []analysis.Band{{File: "legs/boot-left.stl.fit/bands/150mm.stl", Station: 150, Percent: 100, Height: 12, Arcs: 1, Hours: 0.8, Grams: 7}}
	boot.Fit.Sits = []analysis.Sit{{Measure: "instep_girth", Body: 245, Source: "estimated", SD: 9, Needed: 282, Capacity: 291, Ease: 15, Along: 150, From: "A"}}
	boot.Fit.Entries = []analysis.Entry{{Opening: "A", To: "B", Measure: "heel_girth", Needed: 343, Throat: 330, Percent: 104}}
	twin := shellOf("legs/sock.stl", "foot", "right", 104.4, 112, 5)
	twin.Fit.Helps, twin.Fit.Sits, twin.Fit.Entries, twin.Mesh = boot.Fit.Helps, boot.Fit.Sits, boot.Fit.Entries, boot.Mesh
	hips := shellOf("body/hips.stl", "hips", "", 95.5, 101.5, 1)
	hips.Bed = &analysis.Bed{Fits: false, Largest: analysis.Largest{AsIs: 80, Turned: 93}, Placement: analysis.Placement{Kind: "turned"}, Over: [3]float64{20, 0, 0}}
	hips.Fit.Chance = 0.93
	hips.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "bed-overflow", Text: "Does not fit the bed."}}
	torso := shellOf("body/torso.3mf", "torso", "", 96.5, 104, 1)
	torso.Fit.Chance = 0.97
	torso.Bed = &analysis.Bed{Largest: analysis.Largest{AsIs: 99.4}, Over: [3]float64{0, 0, 2}}
	torso.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "bed-overflow", Text: "Does not fit the bed."}}
	gorget := shellOf("body/gorget.stl", "neck", "", 163, 109, 1)
	gorget.Fit.Verdict, gorget.Fit.Recommended, gorget.Fit.Rests = "blocked", 103.6, 98.1
	gorget.Fit.Interval = &[2]float64{102.6, 104.6}
	gorget.Fit.Sits = []analysis.Sit{{Measure: "neck_girth", Body: 334, Source: "measured", Needed: 371, Capacity: 378, Ease: 13, Along: 20, From: "A"}}
	gorget.Fit.Entries = []analysis.Entry{{Opening: "A", To: "B", Measure: "head_over_face_girth", Needed: 640, Throat: 392, Percent: 163, Halves: true}}
	plate := shellOf("body/breastplate.stl", "torso", "", 0, 0, 0)
	plate.Cavities, plate.Fit = nil, nil
	return []*analysis.Findings{left, right, boot, twin, hips, torso, gorget, plate}
}

func heronSuit(parts []*analysis.Findings) Suit {
	brief := analysis.DefaultBrief()
	brief.Wearer.Measures = map[string]float64{"calf_girth": 382}
	s := Suit{Wearer: "Mira", Brief: brief, Judged: together.Judge(parts, brief)}
	for _, f := range parts {
		p := disk.Place{Part: f.Part}
		if archive, member, in := strings.Cut(f.Part, ".zip/"); in {
			p = disk.Place{Part: archive + ".zip", Member: member}
		}
		s.Rows = append(s.Rows, Row{Place: p, Findings: f})
	}
	return s
}

func TestSuitOfManyScalesReadsAsAccepted(t *testing.T) {
	root := sample.Folder(t)
	require.NoError(t, Write(root, heronSuit(heron())))
	sample.Golden(t, "suit_heron.md", sample.ReadFile(t, root, "SUIT.md"))
	sample.Golden(t, "suit_heron_details.md", sample.ReadFile(t, root, disk.DetailsReport))
}

func TestSuitOfOneScaleReadsAsAccepted(t *testing.T) {
	root := sample.Folder(t)
	legs := heron()[:4]
	for _, boot := range legs[2:] {
		boot.Fit.Smallest, boot.Bed.Largest = 101, analysis.Largest{AsIs: 102.4}
	}
	legs[3].Print, legs[3].Mesh = nil, nil // not a twin by its shape
	require.NoError(t, Write(root, heronSuit(legs)))
	sample.Golden(t, "suit_legs.md", sample.ReadFile(t, root, "SUIT.md"))
}

// Many warnings push what to do next out of sight: the answer leads there.
func TestAnswerLeadsToTheSteps(t *testing.T) {
	parts := heron()
	first := func() string {
		text := heronSuit(parts).text(nil)
		return strings.SplitN(text, "\n\n", 3)[1]
	}
	require.NotContains(t, first(), "#what-to-do-next")
	for _, f := range parts {
		f.Warnings = append(f.Warnings, analysis.Warning{Level: analysis.LevelWarning, Code: "bed-overflow", Text: "Does not fit the bed."})
	}
	require.Contains(t, first(), "[What to do next](#what-to-do-next)")
}

// A part that is to wait for a measure, as the estimate makes its scale a high
// risk, is not among the lines to copy.
func TestNoLinesForWhatWaitsForAMeasure(t *testing.T) {
	s := heronSuit(heron())
	for i := range s.Judged.Parts {
		if p := &s.Judged.Parts[i]; p.Name == "legs/boot-left.stl" {
			p.Risk.Level, p.Risk.Estimated = together.High, []string{"heel_girth"}
		}
	}
	var b page
	b.lines(s.Judged, seenFrom(disk.DetailsReport, s.Rows))
	require.NotContains(t, b.String(), "file = \"legs/boot-left.stl\"")
	require.Contains(t, b.String(), "file = \"legs/greave-left.stl\"")
	require.Contains(t, b.String(), "boot-left.stl.md) waits for a measure")
}

// A part that is opened is halved, or has a panel taken off; one that the body gets
// into closed has neither, whatever its entries say at another scale.
func TestToOpen(t *testing.T) {
	row := func(name string, e analysis.Entry) Row {
		e.Opening, e.Percent = "A", 150
		return Row{Place: disk.Place{Part: name}, Findings: &analysis.Findings{Percent: 100, Fit: &analysis.Fit{Recommended: 100, Rests: 95, Loosest: 110, Entries: []analysis.Entry{e}}}}
	}
	rows := []Row{row("halved.stl", analysis.Entry{Halves: true}), row("panelled.stl", analysis.Entry{Panel: &analysis.Panel{}}), row("closed.stl", analysis.Entry{Halves: true}), row("front.stl", analysis.Entry{Halves: true})}
	rows[3].Findings.Assembly = &analysis.Assembly{Name: "greave", Along: true}
	s := together.Suit{Parts: []together.Part{
		{Name: "halved.stl", Range: &together.Range{Opened: true}}, {Name: "panelled.stl", Range: &together.Range{Opened: true}},
		{Name: "closed.stl", Range: &together.Range{}}, {Name: "covers.stl"}, {Name: "front.stl", Range: &together.Range{Opened: true}},
	}}
	require.Equal(t, openings{halves: []string{"halved.stl"}, unglued: []string{"front.stl"}, panel: []string{"panelled.stl"}}, toOpen(s, rows))
	step := percentStep(s, rows)
	require.Contains(t, step, "Part [`halved.stl`](halved.stl.md) along its length in two halves, with `halves = true`: closed, the body gets in only at scales that are too large ([lines for `suit.toml`]")
	require.Contains(t, step, "Join the pieces [`front.stl`](front.stl.md) by straps in place of glue, with `strapped = true`")
	require.Contains(t, step, "Take off [`panelled.stl`](panelled.stl.md) the panel that its report has, to get in.")
}

// While files are to come, the first line says how many, and the first step that the
// others are of only some of them.
func TestSuitSaysWhatIsToCome(t *testing.T) {
	s := heronSuit(heron())
	line := func() string { return strings.Split(s.text(nil), "\n")[2] }
	for n := range 34 {
		s.ToCome = append(s.ToCome, fmt.Sprintf("legs/new-%d.stl", n))
	}
	s.Watched = true
	require.Equal(t, "**8 parts so far, 34 files still to be looked into: 6 without a warning, 2 with one.**", line())
	require.Contains(t, s.text(nil), "1. Wait until the other 34 files are looked into: what follows is of the 8 parts so far alone, and may change. One that is not whole yet, as while it is copied, is waited for, ten minutes at most. `gambeson status` and this folder say what it lacks.\n2. ")
	s.ToCome = s.ToCome[:2]
	require.Contains(t, s.text(nil), "1. Wait until `legs/new-0.stl` and `legs/new-1.stl` are looked into: what follows is")
	s.ToCome, s.Watched = s.ToCome[:1], false
	require.Equal(t, "**8 parts so far, 1 file not looked into yet: 6 without a warning, 2 with one.**", line())
	require.Contains(t, s.text(nil), "1. Have `legs/new-0.stl` looked into, with `gambeson check` and this folder: what follows is")
	s = Suit{Brief: s.Brief, ToCome: []string{"a.stl", "b.stl"}, Watched: true}
	require.Equal(t, "**2 files are being looked into, none is done yet.**", line())
	s.Watched = false
	require.Equal(t, "**2 files not looked into yet.**", line())
}

// Files of formats that are not read are named, those of one kind in one line.
func TestSuitNamesForeignFiles(t *testing.T) {
	s := Suit{Foreign: []string{"a.ply", "b.step", "c.glb", "d.dae", "e.ply", "f.ply", "kit.rar", "set.7z"}}
	require.Contains(t, s.text(nil), "## Not looked into\n\nThese formats are not read.\n\n- `a.ply`, `b.step`, `c.glb`, `d.dae` and 2 more: save them as STL, 3MF or OBJ in a modelling program.\n- `kit.rar` and `set.7z`: unpack them; of archives only ZIP is read.\n")
	require.NotContains(t, Suit{}.text(nil), "Not looked into")
}
