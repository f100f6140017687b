package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/fit"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// narrowGreave is a lower leg through whose ankle no heel passes.
func narrowGreave(height, ankle float64) shape.Taper {
	return shape.Taper{Sides: 96, Rows: 12, Bottom: shape.Ellipse{A: ankle, B: ankle - 3}, Top: shape.Ellipse{A: 68, B: 65}, Wall: 3, Height: height}
}

// passing is a brief for a leg whose heel has to pass.
func passing(b *Brief) {
	leg(382)(b)
	b.Strapped, b.Printer.Height = false, 250
}

// A panel is taken off where the part fits the bed. Of one that has to be cut for the
// bed anyway halves are asked: a strip and a rest longer than the bed cannot be printed,
// and pieces that are whole rings do not let the heel pass.
func TestHalvesWhereTheBedCutsAnyway(t *testing.T) {
	numbers(t)
	low := examine(t, narrowGreave(240, 51).Mesh(), passing, nil)
	require.Equal(t, "blocked", low.Findings.Fit.Verdict)
	require.True(t, low.Findings.Bed.Fits)
	require.NotNil(t, low.Findings.Fit.Entries[0].Panel)
	require.NotNil(t, low.Panel)

	high := examine(t, narrowGreave(330, 47).Mesh(), passing, nil)
	f := &high.Findings
	require.True(t, f.OverBed())
	require.True(t, f.Fit.Opened())
	require.Nil(t, f.Fit.Entries[0].Panel)
	require.True(t, f.Fit.Entries[0].Halves)
	require.Nil(t, high.Panel)
	require.NotEmpty(t, f.Bed.Seams)
	require.Contains(t, f.warning("does-not-enter"), "larger than the bed")
	for _, b := range f.Bands { // what is opened needs no test of what passes
		require.False(t, b.Passes, b.File)
	}
}

// warning is the text of a warning, "" where there is none.
func (f *Findings) warning(code string) string {
	for _, w := range f.Warnings {
		if w.Code == code {
			return w.Text
		}
	}
	return ""
}

// A part that is to be opened stays at a scale at which it then fits, though another is
// recommended.
func TestOpenedPartKeepsAScaleThatFits(t *testing.T) {
	f := Findings{Percent: 108, Fit: &Fit{Verdict: "blocked", Rests: 101, Smallest: 180, Loosest: 110, Recommended: 105.5}}
	require.True(t, f.Fit.Opened())
	require.Zero(t, f.Advised())
	f.Percent = 100
	require.Equal(t, 105.5, f.Advised())
	f.Percent = 112
	require.Equal(t, 105.5, f.Advised())
}

// Where something stands in the way neither a panel nor halves are offered.
func TestNoPanelForABar(t *testing.T) {
	numbers(t)
	bar := shape.Offset(shape.Bar{X: 124, Y: 14, Z: 12}.Mesh(), r3.Vec{X: -62, Y: -7, Z: 110})
	f := examine(t, shape.Join(shape.Tube{Sides: 64, Radius: 60, Wall: 3, Height: 240}.Mesh(), bar), passing, nil).Findings
	require.True(t, f.has("stands-in-way"))
	for _, e := range f.Fit.Entries {
		require.True(t, e.Panel == nil && !e.Halves, "%+v", e)
	}
	require.NotContains(t, f.warning("does-not-enter"), "halves")
}

// A bar between two measures, beside a window where ways part, is said to stand in the
// way, and not that the part is for a giant.
func TestBarBetweenMeasures(t *testing.T) {
	f := Findings{Percent: 100, Fit: &Fit{Lead: "calf_girth", Narrow: &Narrow{Along: 187, Room: 44.6, Body: 303.7}}}
	a := fit.Answer{Seated: []fit.Seated{{Measure: "calf_girth", Lead: true, Needed: 400, Room: 420, Spare: 20, From: "A"}}, Narrow: &fit.Narrow{}}
	f.warnWear(a, Brief{})
	require.Contains(t, f.warning("stands-in-way"), "187.0 mm from opening A there is room for only 44.6 mm")
	require.Empty(t, f.warning("too-tight"))
	said := len(f.Warnings)
	f.warnWear(a, Brief{}) // as where its edges have told of it
	require.Len(t, f.Warnings, said, "once is enough")
	require.Empty(t, f.warning("too-tight"))
	f.Warnings, f.Fit.Narrow.Room = nil, 290
	f.warnWear(a, Brief{})
	require.Contains(t, f.warning("too-tight"), "290.0 mm, and the bare body there is about 303.7 mm")
}

// A short greave with a flared rim: the calf finds its room there, and the leg below
// it does not. That is too tight, and said with the place.
func TestNarrowBelowTheCalf(t *testing.T) {
	numbers(t)
	m := shape.Taper{Sides: 96, Rows: 12, Bottom: shape.Circle(36), Top: shape.Circle(83), Wall: 3, Height: 140}.Mesh()
	f := examine(t, m, leg(382), nil).Findings
	require.NotNil(t, f.Fit.Narrow)
	require.Equal(t, "tight", f.Fit.Verdict)
	require.Less(t, f.Fit.Narrow.Room, f.Fit.Narrow.Body)
	require.Contains(t, f.warning("too-tight"), "the bare body there is about")
	require.Greater(t, f.Fit.Rests, 100.0)
	require.Equal(t, f.Fit.Rests, f.Fit.Bare)
	require.NotNil(t, f.Testing)
	require.Greater(t, f.Testing.Print, f.Fit.Bare, "a band at the calf alone would ask for less")
	require.Less(t, f.Testing.ChanceAt(95), 0.1)

	even := examine(t, shape.Tube{Sides: 96, Radius: 68, Wall: 3, Height: 240}.Mesh(), leg(382), nil).Findings
	require.Zero(t, even.Fit.Bare)
	require.Nil(t, even.Fit.Narrow)
}

// A thigh shell, 640 round above and 430 below over 250 mm: the lower thigh lacks room
// as it is, and from a lesser scale on the shell ends above it, with less room yet for
// what is as thick there. It is not called fitting there. A long greave that a lesser
// scale keeps off a very thick knee is, and it is said why.
func TestTooShortForWhatLacksRoom(t *testing.T) {
	numbers(t)
	m := shape.Taper{Sides: 96, Rows: 12, Bottom: shape.Circle(430 / (2 * math.Pi)), Top: shape.Circle(640 / (2 * math.Pi)), Wall: 3, Height: 250}.Mesh()
	thigh := func(b *Brief) {
		leg(380)(b)
		b.Region.Name = "thigh"
		for key, mm := range map[string]float64{"stature": 1720, "knee_height": 480, "crotch_height": 780, "thigh_girth": 570, "lower_thigh_girth": 410, "knee_girth": 385} {
			b.Wearer.Measures[key] = mm
		}
	}
	f := examine(t, m, thigh, nil).Findings
	require.Equal(t, "tight", f.Fit.Verdict)
	require.Greater(t, f.Fit.Rests, 100.0)
	require.Empty(t, f.Fit.Missed)
	require.NotContains(t, f.warning("too-tight"), "At a lesser scale")
	f = examine(t, m.Scaled(0.98), thigh, nil).Findings
	require.Equal(t, "tight", f.Fit.Verdict)
	require.Empty(t, f.Fit.Missed)
	n := f.Fit.Narrow
	require.NotNil(t, n)
	require.False(t, n.Bare(), "%+v", n)
	require.InDelta(t, 430*0.98, n.Room, 1)
	require.InDelta(t, 410+10*math.Pi+f.Fit.Shell.Ease, n.Needed, 1)
	require.Contains(t, f.warning("too-tight"), "and with padding and ease it needs about")
	f = examine(t, m.Scaled(0.9), thigh, nil).Findings
	require.Equal(t, "tight", f.Fit.Verdict)
	require.Empty(t, f.Fit.Missed, "a larger one fits")

	knee := func(b *Brief) {
		leg(382)(b)
		b.Wearer.Measures["knee_girth"] = 600
	}
	f = examine(t, shape.Tube{Sides: 96, Radius: 95, Wall: 3, Height: 405}.Mesh(), knee, nil).Findings
	require.Equal(t, "tight", f.Fit.Verdict)
	require.Less(t, f.Fit.Rests, 100.0)
	require.Equal(t, []string{"knee_girth"}, f.Fit.Missed)
	require.Contains(t, f.warning("too-tight"), "it fits, as it is so short then that it does not reach the knee.")
}

// The body gets in by one opening, whichever lets all pass soonest; by one that never lets
// something pass it does not.
func TestGetsInByOneOpening(t *testing.T) {
	entry := func(opening string, percent float64) Entry { return Entry{Opening: opening, Percent: percent} }
	for _, c := range []struct {
		entries []Entry
		in      float64
	}{
		{nil, 0},
		{[]Entry{entry("A", 118)}, 118},
		{[]Entry{entry("A", 104), entry("A", 118)}, 118},
		{[]Entry{entry("A", 104), entry("A", 118), entry("B", 110)}, 110},
		{[]Entry{entry("A", 104), entry("A", 0), entry("B", 130)}, 130},
		{[]Entry{entry("A", 0)}, 0},
	} {
		f := Fit{Entries: c.entries}
		require.Equal(t, c.in, f.GetsIn())
		require.False(t, f.WornOpened(), "no scale is recommended")
		for _, scale := range []float64{90, 104, 110, 118, 130} {
			f.Recommended = scale
			// By one opening all pass, or there is nothing to pass.
			byOne := len(c.entries) == 0
			for _, by := range []string{"A", "B"} {
				some, all := false, true
				for _, e := range c.entries {
					if e.Opening == by {
						some, all = true, all && e.Percent > 0 && e.Percent <= scale
					}
				}
				byOne = byOne || some && all
			}
			require.Equal(t, !byOne, f.WornOpened(), "%v at %v", c.entries, scale)
		}
	}
}

// Open along its length is a part of which no station on some way is closed, by what its
// narrowest one leaves; a warning that a body does not get in says so, with the key for it.
func TestOpenAlong(t *testing.T) {
	way := func(gaps ...float64) (w Centreline) {
		for i, g := range gaps {
			w.Stations = append(w.Stations, Station{Along: 10 * float64(i), Gap: g})
		}
		return w
	}
	of := func(ways ...Centreline) Findings {
		return Findings{Fit: &Fit{Entries: []Entry{{Measure: "heel_girth", Opening: "A", Needed: 340, Throat: 260, Halves: true}}}, Cavities: []Cavity{{Centrelines: ways}}}
	}
	const key = "strapped = true says so"
	for _, c := range []struct {
		ways []Centreline
		want float64
	}{
		{nil, 0}, {[]Centreline{way(60)}, 0}, {[]Centreline{way(60, 49, 70)}, 49}, {[]Centreline{way(60, 0, 70)}, 0},
		{[]Centreline{way(60, 0, 70), way(30, 20)}, 20},
	} {
		f := of(c.ways...)
		require.Equal(t, c.want, f.OpenAlong(), "%v", c.ways)
		f.warnBlocked("A")
		if c.want > 0 {
			require.Contains(t, f.warning("does-not-enter"), key)
		} else {
			require.NotContains(t, f.warning("does-not-enter"), key)
		}
	}
	f := of(way(60, 49, 70))
	f.warnBlocked("A")
	require.Contains(t, f.warning("does-not-enter"), "It is open along its length, 49.0 mm at the least:")
}
