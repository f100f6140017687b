package suit

import (
	"fmt"
	"slices"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// What has no room in the next bed load comes later, and what that load tells of does not.
func TestBandsThatComeLater(t *testing.T) {
	var parts []*analysis.Findings
	for i, region := range []string{"head", "torso", "thigh", "lower_leg", "forearm"} {
		f := doubtful(part(fmt.Sprint(region, ".stl"), region, "", 90, 96), 8)
		f.Bands = []analysis.Band{{File: region + "-band.stl", Station: 100, Percent: 93, Hours: 1 + float64(i), Height: 12}}
		parts = append(parts, f)
	}
	brief := analysis.DefaultBrief()
	brief.Printer.Bed = [2]float64{400, 400}
	s := Judge(parts, brief)
	require.Len(t, s.First, mostTrials)
	require.Len(t, s.Later, 2)
	for _, f := range parts {
		require.NotEqual(t, s.Tested(f.Part), slices.Contains(s.Later, f.Part), f.Part)
	}
}

// A measure that a try-on does not go with stays among those to take.
func TestWhatIsOddIsStillMeasured(t *testing.T) {
	f := doubtful(part("forearm.stl", "forearm", "", 95, 109), 6)
	f.Fit.Helps = []analysis.Help{{Measure: "hand_over_thumb_girth", Cut: 0.8, SD: 1.5}}
	f.Testing = &analysis.Testing{Settled: true, Print: 105, Chance: 0.99, Odds: [][2]float64{{100, 0.9}, {105, 0.99}, {110, 0.9}}, Tried: []analysis.Tried{{Station: "hand_over_thumb_girth", Percent: 105, Verdict: "fits", Counts: true}}}
	require.True(t, f.SettledByTrying())
	require.Empty(t, judged(f).Measures)
	f.Warnings = append(f.Warnings, analysis.Warning{Level: analysis.LevelWarning, Code: "try-ons-odd"})
	require.Len(t, judged(f).Measures, 1)
}
