package analysis

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Round holes of radius 60 and 64 where 70 is needed are cut back by 10 at most; in a part
// a fifth larger they have their room, in one an eighth larger by less than a cut.
func TestTightHoles(t *testing.T) {
	round := func(radius float64) float64 { return 2 * math.Pi * radius }
	f := Findings{Percent: 100, Fit: &Fit{Sits: []Sit{
		{Measure: "chest_girth", Needed: round(170), Capacity: round(160)},
		{Measure: "armscye_girth", Hole: true, To: "B", Source: "measured", Needed: round(70), Capacity: round(64)},
		{Measure: "armscye_girth", Hole: true, To: "C", Source: "measured", Needed: round(70), Capacity: round(60)},
	}}}
	holes, back := f.TightHoles(100)
	require.Len(t, holes, 2)
	require.InDelta(t, 10, back, 1e-9)
	holes, back = f.TightHoles(110)
	require.Len(t, holes, 1)
	require.InDelta(t, 4, back, 1e-9)
	for _, percent := range []float64{115.1, 120} {
		holes, _ = f.TightHoles(percent)
		require.Empty(t, holes, "%g %%", percent)
	}
	f.warnHoles()
	require.Len(t, f.Warnings, 1)
	require.Contains(t, f.Warnings[0].Text, "The holes at openings B and C are too small for the arm hole: with padding and ease that needs 439.8 mm, and has 377.0 mm. Cut their rims back by about 10 mm all round.")
}
