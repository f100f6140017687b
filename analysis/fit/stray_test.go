package fit

import (
	"math"
	"testing"

	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

// Pinned in a taper, the calf finds the same room in any body, and the ankle as
// much more or less as it lies higher or lower under the calf: the room changes
// by 2π·20/300 for each mm.
func TestStraysOfATaper(t *testing.T) {
	taper := shape.Taper{Rows: 2, Bottom: shape.Circle(50), Top: shape.Circle(70), Wall: 3, Height: 300}
	pin := 40.0
	w := wearer(t, map[string]float64{"stature": 1710, "calf_girth": 382, "ankle_girth": 222})
	a := judged(t, taper.Mesh(), "lower_leg", w, Wants{Padding: 5, Ease: 6, Loosest: 40}, &pin)
	height, _ := w.Of("calf_height")
	found := 0
	for _, s := range a.Seated {
		switch s.Measure {
		case "calf_girth":
			require.InDelta(t, 0, s.Strays, 0.02)
			found++
		case "ankle_girth":
			// The stature, a share of which the ankle's height is, was read.
			require.InEpsilon(t, 2*math.Pi*20/300*height.SD, s.Strays, 0.15, "calf %.0f ± %.1f mm high", height.Mean, height.SD)
			found++
		}
	}
	require.Equal(t, 2, found)
}
