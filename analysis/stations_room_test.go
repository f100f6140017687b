package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/cavity"

	"github.com/stretchr/testify/require"
)

// A try-on at a place is noted with the room that a body has there: no more than the
// section is round once closed, as for a measure that rests there.
func TestRoomAtAnOpenPlace(t *testing.T) {
	f := Findings{Cavities: []Cavity{{Centrelines: []Centreline{{Stations: []Station{
		{Along: 10, InnerGirth: 500, Gap: 120, Capacity: 710, Closed: 640},
		{Along: 20, InnerGirth: 620, Capacity: 600},
		{Along: 30, InnerGirth: 480, Gap: 130, Closed: 630},
		{Along: 40, InnerGirth: 520, Gap: 90, Capacity: 590, Closed: 640},
	}}}}}}
	for along, want := range map[float64]float64{0: 640, 12: 640, 20: 600, 31: 480, 100: 590} {
		require.Equal(t, want, f.RoomAt("", along), "%g mm", along)
	}
}

// By hand: of a round wall of 270° with radius r the gap is r·√2.
func TestStationsSayTheirClosedGirth(t *testing.T) {
	open := describeStation(cavity.Station{InnerGirth: 1.5 * math.Pi * 70, Gap: 70 * math.Sqrt2, Gaps: []float64{70 * math.Sqrt2}})
	require.InEpsilon(t, 2*math.Pi*70, open.Closed, 1e-9)
	require.Zero(t, describeStation(cavity.Station{InnerGirth: 400}).Closed)
}
