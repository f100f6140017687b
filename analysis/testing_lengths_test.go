package analysis

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// What was found tight is advised larger, but no further beyond what suits the length of
// the body than it must: each scale's chance is that of the girths alone times what it is
// worth by its length, and none that is worth nothing is advised, whether tried or not.
func TestTriedTightIsNotMadeTooLong(t *testing.T) {
	numbers(t)
	drawn, room := greaveTube()
	change := func(tryons ...Tryon) func(*Brief) {
		return func(b *Brief) { leg(room - 2*math.Pi*5 - 10)(b); b.Tryons = tryons }
	}
	a := examine(t, drawn.Mesh(), change(), nil)
	tight := Tryon{Station: "calf_girth", Percent: a.Findings.Fit.Recommended, Verdict: "tight"}
	a.Findings.Fit.Lengths = nil
	free := map[bool]*Testing{false: a.tested(change()).Testing, true: a.tested(change(tight)).Testing}
	smallest := a.Findings.Fit.Smallest
	require.Greater(t, free[true].Print, smallest+4)

	limit := smallest + 1
	a.Findings.Fit.Lengths = []Length{{Measure: "knee to ankle", Largest: limit}}
	for _, tryons := range [][]Tryon{nil, {tight}} {
		was := free[tryons != nil]
		got := a.tested(change(tryons...)).Testing
		require.LessOrEqual(t, got.Print, 1.05*limit)
		require.Less(t, got.Print, was.Print)
		require.NotEmpty(t, was.Odds)
		chance := map[float64]float64{}
		for _, o := range was.Odds {
			chance[o[0]] = o[1]
		}
		n := 0
		for _, o := range got.Odds {
			if before, ok := chance[o[0]]; ok {
				n++
				require.InDelta(t, before*min(1, max(0, 1-(o[0]/limit-1)/0.05)), o[1], 1e-6, "%g %%", o[0])
			}
		}
		require.Greater(t, n, 5)
	}

	// Where no scale that is wide enough is short enough, the girths decide.
	a.Findings.Fit.Lengths = []Length{{Measure: "knee to ankle", Largest: smallest - 0.1}}
	require.Empty(t, a.Findings.Fit.HeededLengths())
	require.Equal(t, free[true].Print, a.tested(change(tight)).Testing.Print)

	// Too short is as bad as too long.
	short := Length{Smallest: 100, Largest: 110}
	require.Equal(t, 1.0, short.worth(105))
	require.InDelta(t, 0.5, short.worth(97.5), 1e-9)
	require.InDelta(t, 0.5, short.worth(112.75), 1e-9)
	require.Zero(t, short.worth(94))
}
