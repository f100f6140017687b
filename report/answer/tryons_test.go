package answer

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// Worth naming are the three measures at most that narrow the range of 9 in 10 by a
// quarter of a percent: the doubt that a help leaves is that of all without its share.
func TestWorthMeasuring(t *testing.T) {
	of := func(doubt float64, cuts ...float64) *analysis.Findings {
		f := &analysis.Findings{Fit: &analysis.Fit{}}
		for _, c := range cuts {
			f.Fit.Helps = append(f.Fit.Helps, analysis.Help{Cut: c, SD: doubt * math.Sqrt(1-c)})
		}
		return f
	}
	require.InDelta(t, 3, of(3, 0.36).Fit.Doubt(), 1e-12)
	require.Empty(t, Worth(&analysis.Findings{}))
	require.Empty(t, Worth(of(3)))
	require.Len(t, Worth(of(3, 0.6, 0.5, 0.4, 0.3)), 3)
	// 9 in 10 of a normal belief lie within 1.645 standard deviations: of a doubt of 1 %
	// what leaves 0.848 % narrows it by 0.25 %.
	require.Len(t, Worth(of(1, 1-0.847*0.847)), 1)
	require.Empty(t, Worth(of(1, 1-0.849*0.849)))
}

// A measure is written with the side where the other one is.
func TestKeyOfAMeasure(t *testing.T) {
	f := &analysis.Findings{Region: &analysis.Region{Side: "left"}}
	with := func(keys ...string) analysis.Wearer {
		w := analysis.Wearer{Measures: map[string]float64{}}
		for _, k := range keys {
			w.Measures[k] = 300
		}
		return w
	}
	require.Equal(t, "calf_girth", KeyOf(f, with(), "calf_girth"))
	require.Equal(t, "calf_girth", KeyOf(f, with("calf_girth", "heel_girth.right"), "calf_girth"))
	require.Equal(t, "calf_girth.left", KeyOf(f, with("calf_girth.right"), "calf_girth"))
	f.Region.Side = ""
	require.Equal(t, "calf_girth", KeyOf(f, with("calf_girth.right"), "calf_girth"))
}

// A band is noted by its measure, but where that both passes and rests, or there is none.
func TestStationOfABand(t *testing.T) {
	f := &analysis.Findings{}
	band := analysis.Band{Station: 71.6, Measure: "heel_girth"}
	require.Equal(t, "72", Station(f, band), "no body")
	f.Fit = &analysis.Fit{Sits: []analysis.Sit{{Measure: "heel_girth"}}}
	require.Equal(t, "heel_girth", Station(f, band))
	band.Passes = true
	require.Equal(t, "72", Station(f, band))
	f.Fit.Sits[0].Measure = "ankle_girth"
	require.Equal(t, "heel_girth", Station(f, band))
	require.Equal(t, "72", Station(f, analysis.Band{Station: 71.6}))
	require.Empty(t, Over(false))
	require.Contains(t, Over(true), "pressed")
}

// Odd is a guess only where the measure was estimated, once for all its try-ons.
func TestOddGuesses(t *testing.T) {
	f := &analysis.Findings{
		Testing: &analysis.Testing{Tried: []analysis.Tried{
			{Station: "calf_girth", Odd: true}, {Station: "calf_girth", Odd: true}, {Station: "ankle_girth", Odd: true},
			{Station: "heel_girth"}, {Station: "hand_girth", Odd: true}, {Station: "120", Odd: true},
		}},
		Fit: &analysis.Fit{
			Sits:    []analysis.Sit{{Measure: "calf_girth", Source: "estimated"}, {Measure: "ankle_girth", Source: "measured"}},
			Entries: []analysis.Entry{{Measure: "heel_girth", Source: "estimated"}, {Measure: "hand_girth", Source: "estimated"}},
		},
	}
	require.Equal(t, []string{"calf_girth", "hand_girth"}, OddGuesses(f))
	f.Fit = nil
	require.Empty(t, OddGuesses(f))
	require.Empty(t, OddGuesses(&analysis.Findings{}))
}

// The scale that is needed is that of what rests where the part is opened, and nothing
// where it is not known; a plate's is set by asking for one, or another than 100.
func TestNeededAndSet(t *testing.T) {
	f := &analysis.Findings{Percent: 100}
	require.Zero(t, Needed(f))
	f.Fit = &analysis.Fit{Smallest: 120, Rests: 103, Recommended: 125, Entries: []analysis.Entry{{Opening: "A", Percent: 118}}}
	require.Equal(t, 120.0, Needed(f))
	f.Fit.Recommended = 105
	require.Equal(t, 103.0, Needed(f), "it is worn opened")

	plate := &analysis.Findings{Percent: 100, Warnings: []analysis.Warning{{Level: analysis.LevelNote, Code: "not-held"}}}
	plate.Cavities = []analysis.Cavity{{Centrelines: []analysis.Centreline{{Stations: []analysis.Station{{InnerGirth: 300, Gap: 90}}}}}}
	require.True(t, plate.IsPlate())
	require.False(t, PlateSet(plate))
	plate.Percent = 100.04
	require.False(t, PlateSet(plate), "it reads as 100 %")
	plate.Percent = 100.06
	require.True(t, PlateSet(plate))
	plate.Percent, plate.PercentSet = 100, true
	require.True(t, PlateSet(plate), "somebody asked for it")
	plate.Warnings = nil
	require.False(t, PlateSet(plate), "it is none")
}

// A panel that reaches the other end takes the whole length.
func TestHowFarAPanelReaches(t *testing.T) {
	f := &analysis.Findings{Cavities: []analysis.Cavity{{Centrelines: []analysis.Centreline{{From: "A", To: "B", Length: 240}}}}}
	e := analysis.Entry{Opening: "A", To: "B", Panel: &analysis.Panel{To: 120}}
	require.Equal(t, "down to 120 mm", DownTo(f, e))
	e.Panel.To = 240
	require.Equal(t, "over its whole length", DownTo(f, e))
	require.True(t, LedTo("B", f.Ways()))
	require.False(t, LedTo("C", f.Ways()))
	require.False(t, LedTo("A", nil))
}

func TestWhatBeginsToFit(t *testing.T) {
	require.Equal(t, "the part begins to fit", BeginsToFit(&analysis.Testing{}))
	require.Equal(t, "the heel begins to get in", BeginsToFit(&analysis.Testing{Measure: "heel_girth", Passes: true}))
	require.Equal(t, "the calf begins to sit well", BeginsToFit(&analysis.Testing{Measure: "calf_girth"}))
}

// Two sides that are alike cannot be tight and fit in what has one size, or the less room:
// that is said, of girths that nobody measured to differ.
func TestSidesDisagree(t *testing.T) {
	for _, c := range []struct {
		own, other string
		at, across float64
		want       bool
	}{
		{"fits", "tight", 100, 100, true}, {"tight", "fits", 100, 100, true}, {"fits", "tight", 100, 104, true}, {"tight", "fits", 104, 100, true},
		{"fits", "tight", 104, 100, false}, {"tight", "fits", 100, 104, false}, {"fits", "fits", 100, 100, false}, {"loose", "tight", 100, 101, true}, {"loose", "fits", 104, 100, false},
	} {
		f := &analysis.Findings{Percent: 100, Testing: &analysis.Testing{Tried: []analysis.Tried{
			{Station: "calf_girth", Percent: c.at, Verdict: c.own, Counts: true},
			{Station: "calf_girth", Percent: c.across, Verdict: c.other, Counts: true, Part: "right.stl", Across: true},
		}}}
		_, _, found := SidesDisagree(f)
		require.Equal(t, c.want, found, "%v", c)
		require.Equal(t, c.want, strings.Contains(Of(f), "**The two sides disagree.** At the calf this part was found `"+c.own+"` at "), "%v", c)
		for _, change := range []func(*analysis.Tried){
			func(e *analysis.Tried) { e.Across = false }, func(e *analysis.Tried) { e.Counts = false }, func(e *analysis.Tried) { e.Station = "knee_girth" },
		} {
			g := *f.Testing
			g.Tried = slices.Clone(g.Tried)
			change(&g.Tried[1])
			_, _, found := SidesDisagree(&analysis.Findings{Testing: &g})
			require.False(t, found, "%v", c)
		}
	}
}
