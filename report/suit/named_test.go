package suit

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/disk"
	"gambeson/report/words"

	"github.com/stretchr/testify/require"
)

// randomRow is a part of a suit as it may come: printed or not, tried on or not, opened,
// open at the side, warned of.
func randomRow(r *rand.Rand, n int) (row Row, took bool) {
	chance := func(p float64) bool { return r.Float64() < p }
	places := []analysis.Region{
		{Name: "lower_leg", Side: "left"}, {Name: "lower_leg", Side: "right"}, {Name: "forearm", Side: "left"}, {Name: "forearm", Side: "right"},
		{Name: "thigh", Side: "left"}, {Name: "head"}, {Name: "torso"}, {Name: "shoulder", Side: "left"},
	}
	region := places[r.IntN(len(places))]
	name := fmt.Sprintf("%c-%s.stl", 'a'+n, region.Side+"-"+region.Name)
	f := &analysis.Findings{
		Part: name, Percent: []float64{100, 104, 112}[r.IntN(3)], Region: &region, Print: &analysis.Print{Hours: 1 + 30*r.Float64(), Grams: 100, Percent: 100},
		Bed: &analysis.Bed{Fits: true, Largest: analysis.Largest{AsIs: 90 + 60*r.Float64()}}, Mesh: &analysis.Mesh{Triangles: 1000 + n, Area: 1e5, Volume: 1e5, Closed: true},
	}
	if chance(0.1) {
		f.Region = &analysis.Region{}
	}
	way := analysis.Centreline{From: "A", To: "B"}
	for z := 0.0; z <= 200; z += 20 {
		way.Stations = append(way.Stations, analysis.Station{Along: z, InnerGirth: 314, Capacity: 314})
	}
	if chance(0.9) {
		f.Cavities = []analysis.Cavity{{Centrelines: []analysis.Centreline{way}}}
	}
	warn := func(level analysis.Level, codes ...string) {
		f.Warnings = append(f.Warnings, analysis.Warning{Level: level, Code: codes[r.IntN(len(codes))], Text: "It is so."})
	}
	if chance(0.3) {
		warn(analysis.LevelWarning, "mesh-open", "too-long", "too-short", "bed-overflow", "does-not-enter", "too-tight", "assembly-gone", "stands-in-way", "unit-unlikely", "solid-block", "no-wall", "pieces-clear", "parts-several", "try-ons-odd", "try-ons-disagree")
	}
	if chance(0.3) {
		f.Bed.Pieces = make([]analysis.Piece, 2)
	}
	for k := range r.IntN(3) {
		b := analysis.Band{File: fmt.Sprintf("%s.fit/bands/%d.stl", name, k), Station: float64(40 * k), Percent: f.Percent, Hours: 0.5 + 3*r.Float64(), Grams: 10, Height: 12}
		if chance(0.5) {
			b.Measure = "calf_girth"
		}
		f.Bands = append(f.Bands, b)
	}
	f.Fit = &analysis.Fit{Verdict: "unknown"}
	switch {
	case chance(0.15):
		warn(analysis.LevelNote, "not-held")
	case chance(0.9):
		lo := 90 + 20*r.Float64()
		f.Fit = &analysis.Fit{Verdict: []string{"fits", "tight", "loose", "blocked"}[r.IntN(4)], Smallest: lo, Rests: lo - 5*r.Float64(), Loosest: lo - 3 + 15*r.Float64(), Recommended: lo + 2, Lead: "calf_girth"}
		f.Fit.Sits = []analysis.Sit{{Measure: "calf_girth", Along: 40, Source: []string{"given", "estimated"}[r.IntN(2)]}}
		d := 6 * r.Float64()
		f.Fit.Interval = &[2]float64{lo + 2 - d, lo + 2 + d}
		if chance(0.5) {
			e := analysis.Entry{Measure: "heel_girth", Opening: "A", Percent: lo, Passes: lo <= f.Percent, Halves: chance(0.5), Source: "estimated"}
			if chance(0.5) {
				e.Panel = &analysis.Panel{Width: 30}
			}
			f.Fit.Entries = append(f.Fit.Entries, e)
		}
		if chance(0.2) {
			f.Fit.Helps = []analysis.Help{{Measure: "calf_girth", SD: d / 4, Cut: 0.5}}
		}
	}
	if chance(0.7) {
		f.Testing = &analysis.Testing{WorthIt: chance(0.5), Print: f.Fit.Recommended, Chance: 0.7 + 0.3*r.Float64(), TestHours: 1, Odds: [][2]float64{{85, 0.1}, {105, 0.9}, {125, 0.1}}}
		if f.Testing.WorthIt && len(f.Bands) > 0 {
			f.Testing.Next = &analysis.NextBand{Band: f.Bands[r.IntN(len(f.Bands))].File, Percent: f.Percent, Hours: 1}
		}
		for range r.IntN(3) {
			f.Testing.Tried = append(f.Testing.Tried, analysis.Tried{Station: "calf_girth", Percent: f.Percent, Verdict: []string{"fits", "tight", "loose"}[r.IntN(3)], Counts: chance(0.8), Odd: chance(0.2)})
		}
	}
	if took = chance(0.15); took {
		f.Printed = f.Percent
	}
	return Row{Place: disk.Place{Part: name}, Findings: f}, took
}

// Whatever a suit is of: each part that is not printed is named in some step, or with the
// bands to print or the measures to take that the steps lead to; and what waits for a band
// has one there, or is said to come later.
func TestEachPartIsNamedInAStep(t *testing.T) {
	const seed = 20
	r := rand.New(rand.NewPCG(seed, 0))
	stages := map[stage]int{}
	for suit := range 600 {
		s := Suit{Brief: analysis.DefaultBrief(), Printed: map[string]Took{}, Hows: map[string]string{}}
		s.Brief.Wearer.Measures = map[string]float64{"stature": 1800}
		var found []*analysis.Findings
		for n := range 1 + r.IntN(mostNamed) { // more are counted in some steps
			row, took := randomRow(r, n)
			s.Rows, found = append(s.Rows, row), append(found, row.Findings)
			if took {
				s.Printed[row.Place.Part] = Took{}
			}
		}
		s.Judged = together.Judge(found, s.Brief)
		text := s.text(nil)
		said := chapterText(text, "What to do next") + chapterText(text, "What to measure next")
		bands := chapterText(text, "Next print")
		for _, row := range s.Rows {
			at := stageOf(s, row)
			stages[at]++
			name := words.Code(row.Place.Part)
			if _, took := s.Printed[row.Place.Part]; !took {
				require.True(t, strings.Contains(said+bands, name), "seed %d, suit %d: %s (%s) is named nowhere:\n%s", seed, suit, name, stageNames[at], text)
			}
			if p, judged := s.Judged.Part(row.Place.Part); judged && p.Odd {
				rows := seenFrom(disk.SuitName, s.Rows)
				require.NotContains(t, printStep(s, rows)+printedStep(s.Judged, rows)+percentStep(s.Judged, rows), name, "suit %d", suit)
			}
			if at == untried && !slices.Contains(s.Judged.Later, row.Place.Part) {
				require.Contains(t, bands, name, "suit %d", suit)
			}
		}
	}
	for at := unclear; at <= printedStage; at++ {
		require.Greater(t, stages[at], 5, stageNames[at])
	}
}

// chapterText is the text of a chapter of a report, "" where it has none.
func chapterText(text, heading string) string {
	_, rest, ok := strings.Cut(text, "\n## "+heading+"\n")
	if !ok {
		return ""
	}
	chapter, _, _ := strings.Cut(rest, "\n## ")
	return chapter
}
