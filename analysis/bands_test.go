package analysis

import (
	"math"
	"path"
	"strings"
	"testing"

	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// innerGirth is the length of the wall's inside half way up a band.
func innerGirth(a *Answer, i int) float64 {
	m := a.Bands[i]
	for _, c := range section.Cut(m, section.Plane{Point: r3.Vec{Z: m.Bounds().Max.Z / 2}, Normal: r3.Vec{Z: 1}}).Chains {
		if c.Area() < 0 {
			return c.Length()
		}
	}
	return 0
}

// length is that of a run of points.
func (l Polyline) length() (sum float64) {
	for i := range l.Points {
		if i+1 < len(l.Points) || l.Closed {
			sum += r2.Norm(r2.Sub(l.Points[(i+1)%len(l.Points)], l.Points[i]))
		}
	}
	return sum
}

// ease is what is wanted of it where the body in an outline rests.
func ease(a *Answer, o Outline) float64 {
	if o.Body.Passes {
		return 0
	}
	return a.Findings.Fit.Shell.Ease
}

// Where a heel passes hardly and a calf rests hardly there are two bands, at the
// scale that is recommended or, where one is wanted, at that; each is as wide
// inside as the part is there at that scale (perimeter of the ellipse).
func TestBandsAtTheThroatAndAtTheSit(t *testing.T) {
	numbers(t)
	drawn := shape.Taper{Sides: 128, Rows: 6, Bottom: shape.Circle(53), Top: shape.Circle(64), Wall: 3, Height: 300}
	ask := func(b *Brief) {
		leg(370)(b)
		b.Strapped, b.Part = false, "legs/greave-left.stl"
	}
	for _, wanted := range []float64{0, 100, 103} {
		a := examine(t, drawn.Mesh(), func(b *Brief) {
			if ask(b); wanted > 0 {
				b.Percent, b.PercentSet = wanted, true
			}
		}, nil)
		f := a.Findings
		percent := wanted
		if wanted == 0 {
			percent = math.Round(2*f.Fit.Recommended) / 2
			require.Greater(t, percent, 100.5)
		}
		passes, rests := false, false
		for i, b := range f.Bands {
			along := b.Station
			if f.Cavities[0].Centrelines[0].Stations[0].Center[2] > drawn.Height/2 {
				along = f.Cavities[0].Centrelines[0].Length - along
			}
			here := drawn.At(along*100/f.Percent).Girth() * percent / 100
			// A band near a rim moves inward by up to half its height.
			along = min(max(along, 6), drawn.Height-6)
			want := drawn.At(along*100/f.Percent).Girth() * percent / 100
			if got := innerGirth(a, i); math.Abs(got/want-1) > 0.004 {
				t.Errorf("wanted %g %%: the band at %.0f mm is %.1f mm inside, want %.1f", wanted, b.Station, got, want)
			}
			// What is drawn of the place is the band, round the body as it is.
			o := a.Outlines[i]
			void := Polyline{Points: o.Void, Closed: true}
			if got := void.length(); o.Percent != percent || math.Abs(got/here-1) > 0.004 {
				t.Errorf("wanted %g %%: drawn %.1f mm inside at %g %%, the place has %.1f", wanted, got, o.Percent, here)
			}
			if room := o.Room.Major / 2; math.Abs(2*math.Pi*room/here-1) > 0.004 || math.Abs(o.Body.Has/here-1) > 0.004 {
				t.Errorf("wanted %g %%: the room drawn is of radius %.1f mm, %.1f mm round; want %.1f round", wanted, room, o.Body.Has, here)
			}
			if skin := math.Pi * o.Body.Skin.Major; math.Abs(skin/(o.Body.Needed-2*math.Pi*o.Body.Padding-ease(a, o))-1) > 0.002 {
				t.Errorf("wanted %g %%: the body drawn is %.1f mm round, needs %.1f", wanted, skin, o.Body.Needed)
			}
			if b.Percent != percent || b.Notches != i+1 || b.From == "" || !strings.Contains(b.Text, "GREAVE-LEFT") || !strings.HasSuffix(b.Text, plainPercent(percent)+"%") {
				t.Errorf("wanted %g %%: %+v", wanted, b)
			}
			if suffix := "-at-" + plainPercent(percent) + "-percent.stl"; (percent != 100) != strings.HasSuffix(b.File, suffix) {
				t.Errorf("wanted %g %%: %s", wanted, b.File)
			}
			passes = passes || b.Passes && b.Measure == "heel_girth" && strings.Contains(b.Reason, "the heel has the least room on its way in")
			rests = rests || !b.Passes && b.Measure == "calf_girth" && strings.Contains(b.Reason, "where the calf rests")
		}
		if len(f.Bands) > 3 || !passes || !rests {
			t.Errorf("wanted %g %%: %+v", wanted, f.Bands)
		}
	}
}

func plainPercent(x float64) string { return strings.TrimSuffix(tenths(x), ".0") }

// A part with two places that matter, for the hips and for a thigh, has a band
// at each.
func TestHipsHaveABandForTheThigh(t *testing.T) {
	numbers(t)
	m := shape.Hips{
		Sides: 64,
		Waist: shape.EllipseOfGirth(930, 0.74), Seat: shape.EllipseOfGirth(1048, 0.73), Leg: shape.EllipseOfGirth(620, 0.95), Wall: 4,
		Height: 290, Band: 30, SeatZ: 150, Drop: 45, Legs: 35, Apart: 112,
	}.Mesh()
	f := examine(t, m, func(b *Brief) {
		b.Region = Region{Name: "hips", Source: "config"}
		b.Strapped, b.Percent, b.PercentSet = true, 100, true
		b.Wearer.Measures = map[string]float64{"stature": 1710, "hip_girth": 990, "waist_girth": 800, "thigh_girth": 560}
	}, nil).Findings
	measures := map[string]int{}
	for _, b := range f.Bands {
		measures[b.Measure]++
		if b.Arcs < 2 && b.Measure == "hip_girth" {
			t.Errorf("380 mm across on a bed of 220 mm: %+v", b)
		}
	}
	if measures["hip_girth"] != 1 || measures["thigh_girth"] != 1 {
		t.Errorf("%v, sits %+v", measures, f.Fit.Sits)
	}
}

// Of which nothing more is known has one band, where it is tightest.
func TestOneBandWithoutABody(t *testing.T) {
	f := examine(t, shape.Taper{Sides: 64, Bottom: shape.Circle(50), Top: shape.Circle(40), Wall: 3, Height: 120}.Mesh(), nil, nil).Findings
	require.Len(t, f.Bands, 1)
	tightest, _ := f.Tightest()
	if b := f.Bands[0]; b.Station != tightest.Along || b.From == "" || b.Measure != "" || b.Reason == "" || b.Notches != 1 {
		t.Errorf("%+v", b)
	}
}

func TestNearTrialsAreOneBand(t *testing.T) {
	at := func(z float64, measure string, tilt float64) trial {
		sin, cos := math.Sincos(tilt)
		return trial{measure: measure, reason: measure, station: Station{Center: [3]float64{0, 0, z}, Normal: [3]float64{sin, 0, cos}}}
	}
	all := []trial{at(100, "heel", 0), at(111, "ankle", 0), at(123, "calf", 0), at(101, "leg", 1), at(112.5, "knee", math.Pi)}
	got := merged(all, 12)
	require.Len(t, got, 3)
	if got[0].reason != "heel; also ankle" || got[1].reason != "calf; also knee" || got[2].reason != "leg" {
		t.Errorf("%+v", got)
	}
}

func TestSettledIsWhatNoBandIsNeededFor(t *testing.T) {
	for _, c := range []struct {
		room, needed, sd float64
		want             bool
	}{
		{400, 400, 4, false}, {430, 400, 4, false}, {441, 400, 4, true}, {359, 400, 4, true}, {359, 400, 15, false}, {446, 400, 15, true},
	} {
		if got := (trial{room: c.room, needed: c.needed, sd: c.sd}).settled(); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

func TestBandsAreCutAtAScaleThatIsLargeEnough(t *testing.T) {
	f := &Findings{Percent: 100, Fit: &Fit{}}
	for _, c := range []struct{ recommended, smallest, want float64 }{
		{0, 0, 100}, {107.3, 101, 107.5}, {107.2, 101, 107}, {107.2, 107.1, 107.5}, {99.9, 95, 100}, {104, 180, 104},
	} {
		f.Fit.Recommended, f.Fit.Smallest = c.recommended, c.smallest
		if got := f.bandPercent(Brief{}); got != c.want {
			t.Errorf("%+v: %g", c, got)
		}
	}
	if got := f.bandPercent(Brief{Percent: 100, PercentSet: true}); got != 100 {
		t.Errorf("asked for 100 %%: %g", got)
	}
}

func TestBandFilesDiffer(t *testing.T) {
	taken := map[string]bool{}
	for _, want := range []string{"bands/054mm.stl", "bands/054mm-2.stl", "bands/054mm-3.stl"} {
		require.Equal(t, want, bandFile(54.2, 100, taken))
	}
	require.Equal(t, "bands/054mm-at-107.5-percent.stl", bandFile(54.2, 107.5, taken))
}

// The scale of a band is read from its file's name as that was written.
func TestScaleByTheBandsName(t *testing.T) {
	taken := map[string]bool{}
	for _, percent := range []float64{100, 104.5, 87, 104.5, 100, 112.3} {
		got, ok := BandScale(path.Base(bandFile(237.4, percent, taken)))
		require.True(t, ok)
		require.Equal(t, percent, got)
	}
	for _, name := range []string{"greave.stl", "mm.stl", "040mm.3mf", "040mm-at-x-percent.stl", "1-of-2-lower.stl", ""} {
		_, ok := BandScale(name)
		require.False(t, ok, name)
	}
}

// A ring that fits the bed only at a slant lies so in its file.
func TestBandLiesAsItFits(t *testing.T) {
	thigh := shape.Taper{Sides: 64, Rows: 1, Bottom: shape.Ellipse{A: 60, B: 108}, Top: shape.Ellipse{A: 62, B: 110}, Wall: 3, Height: 100}.Mesh()
	a := examine(t, thigh, nil, nil)
	require.NotEmpty(t, a.Bands)
	for i, b := range a.Findings.Bands {
		size := a.Bands[i].Bounds().Size()
		require.LessOrEqual(t, max(size.X, size.Y), 210+1e-3, b.File)
		require.Equal(t, 1, b.Arcs)
	}
}

// Where a shell lies twice in one place, once inside out, its walls hold nothing: no band
// is cut, and it is said why.
func TestNoBandOfNothing(t *testing.T) {
	shell := shape.Tube{Sides: 64, Radius: 68, Wall: 3, Height: 240}.Mesh()
	a := examine(t, shell, leg(382), nil)
	require.NotEmpty(t, a.Bands)
	inward := shell.Clone()
	inward.Flip()
	a.Shown = shape.Join(shell, inward)
	brief := DefaultBrief()
	leg(382)(&brief)
	a.cutBandsAt(brief, 104, 1)
	require.Empty(t, a.Bands)
	require.Contains(t, a.Findings.warning("no-band"), "hold no material")
}
