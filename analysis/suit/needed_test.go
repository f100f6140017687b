package suit

import (
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// What is kept of a part for the suit says the same of its tightest and widest
// place as the part itself, and has the places of its bands.
func TestNeededKeepsWhatASummarySays(t *testing.T) {
	f := &analysis.Findings{Bands: []analysis.Band{{Station: 77}}}
	girths := [][]float64{{400, 380, 360, 371, 390, 410}, {395, 372, 330, 340, 350, 352}}
	var ways []analysis.Centreline
	for _, g := range girths {
		way := analysis.Centreline{From: "A", To: "B", Length: 125}
		for i, girth := range g {
			way.Stations = append(way.Stations, analysis.Station{Along: 25 * float64(i), InnerGirth: girth, Cover: 360})
		}
		ways = append(ways, way)
	}
	f.Cavities = []analysis.Cavity{{Centrelines: ways}}
	n := Needed(f)
	for _, pick := range []func(*analysis.Findings) (analysis.Station, bool){(*analysis.Findings).Tightest, (*analysis.Findings).Widest} {
		got, ok := pick(n)
		want, _ := pick(f)
		require.True(t, ok)
		require.Equal(t, want, got)
	}
	for i, way := range n.Cavities[0].Centrelines {
		require.Len(t, way.Stations, 3, "way %d", i)
		require.Contains(t, way.Stations, analysis.Station{Along: 75, InnerGirth: girths[i][3], Cover: 360})
		require.Len(t, way.Girths(), 6)
		for k, g := range way.Girths() {
			require.Equal(t, girths[i][k], g.Girth)
			require.Equal(t, 25*float64(k), g.Along)
		}

	}
	require.Len(t, f.Cavities[0].Centrelines[0].Stations, 6, "the part itself was cut")
}
