package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

// roundHelm is a helm with a rim and a straight skull of these girths, both ellipses a quarter
// deeper than wide as heads are, on a head of 570 mm; face is the girth over chin and crown, 0 where it is not measured.
func roundHelm(t *testing.T, rim, skull, face, percent float64, halves bool) Findings {
	t.Helper()
	m := shape.Helm{
		Sides: 64, Neck: shape.EllipseOfGirth(rim, 1.25), Skull: shape.EllipseOfGirth(skull, 1.25), Wall: 3, NeckRise: 10, Widen: 50, Rise: 80, Dome: 140,
	}.Mesh()
	return examine(t, m, func(b *Brief) {
		b.Region = Region{Name: "head", Source: "config"}
		b.Wearer.Measures = map[string]float64{"head_girth": 570}
		if face > 0 {
			b.Wearer.Measures["head_over_face_girth"] = face
		}
		b.Printer.Bed, b.Printer.Height = [2]float64{500, 500}, 500 // no pieces
		b.Percent, b.PercentSet, b.Halves = percent, percent != 100, halves
	}, nil).Findings
}

// The greatest such ellipse within 64 facets has a girth of cos(π/64) of that drawn, whence the scales follow
// by division: what the head needs by its widest girth, what the face needs by the rim.
func TestHelmIsTooLooseAboveAThirdMore(t *testing.T) {
	numbers(t)
	const rim, skull, face = 600.0, 740.0, 690.0
	inside := func(girth float64) float64 { return girth * math.Cos(math.Pi/64) }
	f := roundHelm(t, rim, skull, face, 119, false)
	shell := f.Fit.Shell
	head := 570 + 2*math.Pi*shell.Padding + shell.Ease
	passes := face + 2*math.Pi*shell.EntryPadding
	within := func(want, got float64) { t.Helper(); require.InEpsilon(t, want, got, 0.003) }
	within(100*head/inside(skull), f.Fit.Rests)
	within(100*passes/inside(rim), f.Fit.GetsIn())
	within(400.0/3*head/inside(skull), f.Fit.Roomiest)

	require.Equal(t, "loose", f.Fit.Verdict)
	s, _ := f.Fit.LeadSit()
	require.InDelta(t, (1.19*inside(skull)-head)/(2*math.Pi), s.Extra, 3.5, "the crown holds it a little above the widest place")
	said := f.warning("too-loose")
	require.Contains(t, said, "Too loose for the head above about "+floorTenths(f.Fit.Roomiest)+" %: it has "+tenths(s.Capacity-s.Needed)+" mm of girth more")
	require.Contains(t, said, "Closed, the body gets in from "+ceilTenths(f.Fit.GetsIn())+" % on; once in, it has room from "+ceilTenths(f.Fit.Rests)+" % on.")
	require.InDelta(t, f.Fit.Rests, f.Advised(), 1)
	_, halved := f.Fit.Halved()
	require.True(t, halved, "it passes closed as it is set, and would not at what is advised")

	for name, g := range map[string]Findings{
		"as drawn":                roundHelm(t, rim, skull, face, 100, false),
		"in halves, near enough":  roundHelm(t, rim, skull, face, 90, true),
		"a wide rim, near enough": roundHelm(t, 790, skull, face, 100, false),
	} {
		require.Empty(t, g.warning("too-loose"), name)
		require.NotEqual(t, "loose", g.Fit.Verdict, name)
	}
	wide := roundHelm(t, 790, skull, face, 125, false)
	require.Equal(t, "loose", wide.Fit.Verdict)
	require.Less(t, wide.Advised(), wide.Fit.Roomiest, "nothing asks for so much")
	require.Positive(t, wide.Advised())
	halves := roundHelm(t, rim, skull, face, 119, true)
	require.Equal(t, "loose", halves.Fit.Verdict)
	require.Contains(t, halves.warning("too-loose"), "It has room from "+ceilTenths(halves.Fit.Rests)+" % on.")
	require.InDelta(t, halves.Fit.Rests, halves.Advised(), 1)
}

// Both ways are told of a helm that the rim makes larger, and of no other.
func TestClosedOrInHalves(t *testing.T) {
	numbers(t)
	f := roundHelm(t, 640, 740, 0, 100, false)
	require.Empty(t, f.warning("too-loose"))
	require.Greater(t, f.Advised(), 1.04*f.Fit.GetsIn(), "on the safe side of a face that is only estimated")
	require.Less(t, f.Advised(), f.Fit.Roomiest)
	w, ok := f.TwoWays()
	require.True(t, ok)
	require.True(t, w.HalvesAsWell)
	require.False(t, w.ClosedLoose)
	require.Equal(t, "head_over_face_girth", w.Passes)
	require.Equal(t, f.Advised(), w.Closed)
	require.Equal(t, [2]float64{f.Fit.GetsIn(), f.Fit.Rests}, [2]float64{w.ClosedFrom, w.HalvedFrom})
	require.True(t, w.Halved >= w.HalvedFrom && w.Halved < w.HalvedFrom+0.5)

	set := roundHelm(t, 640, 740, 0, math.Ceil(f.Advised()), false)
	require.Empty(t, set.warning("too-loose"))
	require.Zero(t, set.Advised(), "what was advised is not taken back")
	w, _ = set.TwoWays()
	require.Equal(t, set.Percent, w.Closed)

	// The advice is on the safe side of the least, and still not too loose.
	for _, rim := range []float64{630, 634, 638, 642, 646} {
		g := roundHelm(t, rim, 740, 0, 100, false)
		require.LessOrEqual(t, g.Fit.Recommended, g.Fit.Roomiest, "rim of %g mm", rim)
		require.Equal(t, g.Fit.GetsIn() > 1.25*g.Fit.Rests, g.Fit.WornOpened(), "rim of %g mm", rim)
	}

	opened := roundHelm(t, 600, 740, 690, 100, false)
	w, ok = opened.TwoWays()
	require.True(t, ok)
	require.False(t, w.HalvesAsWell, "halves are what is advised")
	require.Equal(t, opened.Fit.Recommended, w.Halved)
	for name, g := range map[string]Findings{
		"a wide rim": roundHelm(t, 790, 740, 690, 100, false), "in halves": roundHelm(t, 600, 740, 690, 100, true),
	} {
		_, ok := g.TwoWays()
		require.False(t, ok, name)
	}
}

// That the face passes does not tell that the head is not lost inside; what was felt at the
// head does.
func TestOnlyTheHeadTellsThatItIsNotTooLoose(t *testing.T) {
	for station, felt := range map[string]bool{"head_over_face_girth": false, "head_girth": true} {
		f := Findings{Percent: 119, Fit: &Fit{Verdict: "loose", Lead: "head_girth", Rests: 87, Roomiest: 116, Smallest: 114.9, Recommended: 120}}
		f.Testing = &Testing{Print: 119, Chance: 0.99, Odds: [][2]float64{{100, 0.99}, {130, 0.99}}, Tried: []Tried{{Station: station, Percent: 119, Verdict: "fits", Counts: true}}}
		require.Equal(t, felt, f.Felt(), station)
	}
}
