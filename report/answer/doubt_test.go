package answer

import (
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// While the unit, the region or the file itself is in doubt the report begins with that, and
// has neither a verdict on body and bed nor warnings that hang on the size.
func TestDoubtGoesBeforeEveryVerdict(t *testing.T) {
	for code, want := range map[string]string{
		"unit-unlikely": "**The unit of the file is in doubt:** with one unit taken as one millimetre its longest side is 9.3 mm.",
		"size-unlikely": "**Its size fits nobody:** it would fit only at 312.5 %.",
		"parts-several": "**The file holds 2 parts.**",
	} {
		f := judged(&analysis.Fit{Verdict: "blocked", Rests: 312.41})
		f.Percent, f.Unit.Name, f.Mesh.Bounds = 50, "millimetre", [3]float64{4.4, 3.8, 18.6}
		f.Bed, f.Singles = &analysis.Bed{}, make([]analysis.Single, 2)
		f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: code, Text: "Why."}}
		for _, other := range ofSize {
			f.Warnings = append(f.Warnings, analysis.Warning{Level: analysis.LevelWarning, Code: other, Text: other})
		}
		f.Warnings = append(f.Warnings, analysis.Warning{Level: analysis.LevelWarning, Code: "mesh-open", Text: "Open."})
		require.Contains(t, Of(f), want)
		require.NotContains(t, Of(f), "get in")
		require.NotContains(t, Verdict(f, " at 50 %"), "get in")
		require.Empty(t, BedAnswer(f))
		besides := Besides(f)
		require.Len(t, besides, 2, code)
		require.Equal(t, "**Warning:** The surface has holes.", besides[1])

		f.Warnings = f.Warnings[1:]
		require.Contains(t, Of(f), "**The body does not get in")
		require.NotEmpty(t, BedAnswer(f))
	}
}
