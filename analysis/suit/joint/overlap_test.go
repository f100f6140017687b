package joint

import (
	"math"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// walled gives a part of the leg a wall and a way from its first rim to its second,
// girths of which lie on the straight line between the rims.
func walled(f *analysis.Findings, wall float64) *analysis.Findings {
	c := f.Fit.Covers
	long := math.Abs(c.Span[1] - c.Span[0])
	way := analysis.Centreline{From: "A", To: "B", Length: long}
	for k := range 41 {
		share := float64(k) / 40
		way.Stations = append(way.Stations, analysis.Station{
			Along: share * long, Normal: [3]float64{0, 0, 1}, Cover: 360, InnerGirth: c.Rims[0] + share*(c.Rims[1]-c.Rims[0]),
		})
	}
	f.Wall = &analysis.Wall{Thinnest: wall}
	f.Cavities = []analysis.Cavity{{Centrelines: []analysis.Centreline{way}}}
	f.Fit.Sits = []analysis.Sit{{Measure: "calf_girth", From: "A"}}
	return f
}

// Two cones on one leg, from the formula of each: whether one goes into the other is
// told where both are at one height, and not by rims that lie far apart.
func TestOverlapAtTheSameHeight(t *testing.T) {
	around := 2 * math.Pi
	ankle := func(greave, boot *analysis.Findings) Joint {
		return find(t, Between([]*analysis.Findings{greave, boot}, mira()), "ankle", "left")
	}
	parts := func(top, bottom, bootTop, bootBottom float64) (greave, boot *analysis.Findings) {
		return walled(part("greave.stl", "lower_leg", "left", "leg", 420, top, 110, bottom), 3),
			walled(part("boot.stl", "foot", "left", "leg", 270, bootTop, 30, bootBottom), 4)
	}
	// Tubes: nothing hangs on the places.
	for _, c := range []struct {
		wider         float64 // radius of the boot's inside less that of the greave's
		neither, goes bool
		inner         string
		room          float64
	}{
		{10, false, true, "greave.stl", 10 - 3}, {2, true, false, "greave.stl", 2 - 3},
		{-10, false, true, "boot.stl", 10 - 4}, {-3.9, true, false, "boot.stl", 3.9 - 4},
	} {
		j := ankle(parts(400, 400, 400+around*c.wider, 400+around*c.wider))
		o := j.Overlap
		require.NotNil(t, o)
		require.Equal(t, c.neither, o.Neither(), "%+v", c)
		require.Equal(t, c.goes, o.Goes(), "%+v", c)
		require.Equal(t, c.inner, o.Inner)
		near(t, "room", o.Room, c.room, 1e-6)
		near(t, "the other", o.Lacks, -math.Abs(c.wider)-7+(math.Abs(c.wider)-c.room), 1e-6)
	}
	// Both widen upward: their rims are 30 mm apart, and at one height they are alike.
	slope := around * 0.15 // of girth, mm a mm
	greave, boot := parts(300+310*slope, 300, 300+160*slope, 300-80*slope)
	j := ankle(greave, boot)
	near(t, "rims", j.Clear, 160*0.15, 1e-9)
	near(t, "gap", j.Gap, -160, 1e-9)
	require.True(t, j.Overlap.Neither(), "%+v", j.Overlap)
	near(t, "room", j.Overlap.Room, -3, 1e-6)
	// The boot is wider above and narrower below: neither way is right all along.
	greave, boot = parts(400, 400, 400+around*20, 400-around*20)
	j = ankle(greave, boot)
	require.True(t, j.Overlap.Neither())
	near(t, "room", j.Overlap.Room, 20*(1-2*160.0/240)-3, 1e-6) // at the greave's lower rim
	// It would not, or would, by less than the places are known to.
	greave, boot = parts(300+310*slope, 300, 300+160*slope+around*3.5, 300-80*slope+around*3.5)
	j = ankle(greave, boot)
	require.NotNil(t, j.Overlap)
	near(t, "room", j.Overlap.Room, 0.5, 1e-6)
	require.False(t, j.Overlap.Sure)
}

// Where the girths are not known at the same heights, nothing is said.
func TestNoOverlapWhereNothingIsKnown(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(f *analysis.Findings)
		known bool
	}{
		"as it is": {func(*analysis.Findings) {}, true},
		"open":     {func(f *analysis.Findings) { each(f, func(s *analysis.Station) { s.Gap = 60 }) }, false},
		"sparse": {func(f *analysis.Findings) {
			l := &f.Cavities[0].Centrelines[0]
			l.Stations = []analysis.Station{l.Stations[0], l.Stations[20], l.Stations[40]}
		}, false},
		"no way":       {func(f *analysis.Findings) { f.Cavities = nil }, false},
		"another way":  {func(f *analysis.Findings) { f.Fit.Sits[0].From = "C" }, false},
		"turned round": {func(f *analysis.Findings) { f.Fit.Covers.Rims = [2]float64{300, 410} }, false},
	} {
		greave := walled(part("greave.stl", "lower_leg", "left", "leg", 420, 410, 110, 300), 3)
		boot := walled(part("boot.stl", "foot", "left", "leg", 270, 330, 30, 330), 3)
		c.spoil(greave)
		j := find(t, Between([]*analysis.Findings{greave, boot}, mira()), "ankle", "left")
		require.Equal(t, c.known, j.Overlap != nil, name)
	}
}

func each(f *analysis.Findings, change func(s *analysis.Station)) {
	for i := range f.Cavities[0].Centrelines[0].Stations {
		change(&f.Cavities[0].Centrelines[0].Stations[i])
	}
}

// An angle that is said as the one that is asked for is enough.
func TestNeedsAreMetAsSaid(t *testing.T) {
	b := Bend{Needs: knee.needs, Touch: 64.6}
	require.Equal(t, []Need{{"to walk", 65}}, b.Met())
	require.False(t, b.Stopped())
	b.Touch = 64.4
	require.Empty(t, b.Met())
	require.True(t, b.Stopped())
}
