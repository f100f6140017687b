package analysis

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The tape advises a scale only where what is set does not fit; a try-on also where
// the tape has nothing against it, but not for a chance that is hardly better.
func TestAdvised(t *testing.T) {
	odds := [][2]float64{{100, 0.05}, {104, 0.45}, {108, 0.9}, {110, 0.97}, {112, 0.9}, {116, 0.3}}
	tried := func(counts bool) *Testing {
		return &Testing{Print: 110, Chance: 0.97, Odds: odds, Tried: []Tried{{Percent: 104, Verdict: "tight", Counts: counts}}}
	}
	boot := func(recommended float64) Findings {
		return Findings{Percent: 100, Fit: &Fit{Verdict: "fits", Recommended: recommended, Lengths: []Length{{Smallest: 104.5, Largest: 110}}},
			Warnings: []Warning{{Level: LevelWarning, Code: "too-short"}}}
	}
	for name, c := range map[string]struct {
		f    Findings
		want float64
	}{
		"too short, and another is not":       {boot(106), 106},
		"too short, as the best is too":       {boot(103), 0},
		"too short, and the best is too long": {boot(112), 0},
		"nothing known":                       {Findings{Percent: 100}, 0},
		"fits by the tape":                    {Findings{Percent: 103, Fit: &Fit{Verdict: "fits", Recommended: 104.5}}, 0},
		"too tight by the tape":               {Findings{Percent: 100, Fit: &Fit{Verdict: "tight", Recommended: 104.5}}, 104.5},
		"no scale is not too loose":           {Findings{Percent: 100, Fit: &Fit{Verdict: "tight", Smallest: 106}}, 106},
		"what is set is the best":             {Findings{Percent: 104.48, Fit: &Fit{Verdict: "tight", Recommended: 104.5}}, 0},
		"tried, against the tape":             {Findings{Percent: 103, Fit: &Fit{Verdict: "fits", Recommended: 104.5}, Testing: tried(true)}, 110},
		"tried, and set so":                   {Findings{Percent: 110, Fit: &Fit{Verdict: "loose", Recommended: 104.5}, Testing: tried(true)}, 0},
		"tried, and nearly as good":           {Findings{Percent: 109, Fit: &Fit{Verdict: "loose", Recommended: 104.5}, Testing: tried(true)}, 0},
		"tried, but it tells of nothing":      {Findings{Percent: 103, Fit: &Fit{Verdict: "fits", Recommended: 104.5}, Testing: tried(false)}, 0},
		"tried, and no scale is likely":       {Findings{Percent: 100, Fit: &Fit{Verdict: "blocked", Recommended: 133}, Testing: &Testing{Print: 132, Tried: tried(true).Tried, Odds: [][2]float64{{100, 0}, {132, 0}}}}, 132},
		"tests without a try-on":              {Findings{Percent: 100, Fit: &Fit{Verdict: "tight", Recommended: 104.5}, Testing: &Testing{Print: 110, Chance: 0.9, Odds: odds}}, 104.5},
	} {
		require.Equal(t, c.want, c.f.Advised(), name)
	}

	set := Findings{Percent: 103, Fit: &Fit{Verdict: "fits", Recommended: 104.5}, Testing: tried(true)}
	better, ok := set.Surpassed()
	require.True(t, ok)
	require.Equal(t, 110.0, better)
	set.Fit.Verdict = "blocked"
	_, ok = set.Surpassed()
	require.False(t, ok)

	// What fits on this very part stays, whatever the other side says; else that counts.
	across := Tried{Station: "calf_girth", Part: "right.stl", Across: true, Percent: 100, Verdict: "tight", Counts: true}
	sides := Findings{Percent: 100, Fit: &Fit{Verdict: "fits", Recommended: 102.5}, Testing: &Testing{
		Print: 102.5, Chance: 0.99, Odds: [][2]float64{{99, 0.5}, {100, 0.82}, {102.5, 0.99}},
		Tried: []Tried{{Station: "calf_girth", Percent: 100, Verdict: "fits", Counts: true}, across},
	}}
	require.Zero(t, sides.Advised())
	require.True(t, sides.Felt())
	sides.Testing.Tried = append(sides.Testing.Tried, Tried{Station: "knee_girth", Percent: 100, Verdict: "tight", Counts: true})
	require.Equal(t, 102.5, sides.Advised(), "it is tight elsewhere")
	onBoth := across
	onBoth.Verdict, sides.Testing.Tried = "fits", []Tried{across}
	require.Equal(t, 102.5, sides.Advised(), "this one was never on")
	sides.Testing.Tried = []Tried{onBoth}
	require.Zero(t, sides.Advised())
	sides.Testing.Tried = append(sides.Testing.Tried, across)
	require.Equal(t, 102.5, sides.Advised())

	of := tried(true)
	for percent, want := range map[float64]float64{90: 0.05, 100: 0.05, 102: 0.25, 110: 0.97, 111: 0.935, 120: 0.3} {
		require.InDelta(t, want, of.ChanceAt(percent), 1e-12, percent)
	}
	require.Zero(t, (&Testing{}).ChanceAt(100))
	least, most := of.Span()
	require.Equal(t, [2]float64{108, 112}, [2]float64{least, most})
	unlikely := &Testing{Print: 104, Chance: 0.4, Odds: odds}
	least, most = unlikely.Span()
	require.Equal(t, [2]float64{104, 104}, [2]float64{least, most})
}
