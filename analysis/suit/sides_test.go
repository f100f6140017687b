package suit

import (
	"fmt"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// legs is a pair of greaves of one shape of which the girth of each calf was measured, mm.
// Each per cent of scale is 4 mm of girth; they are loose 34 mm above what they need.
func legs(left, right float64) []*analysis.Findings {
	var out []*analysis.Findings
	for side, girth := range map[string]float64{"left": left, "right": right} {
		lo := girth/4 + 14
		f := doubtful(part("g-"+side, "lower_leg", side, lo, lo+8.5), 1.6)
		f.Fit.Rests, f.Fit.Lead = lo, "calf_girth"
		f.Fit.Sits = []analysis.Sit{{Measure: "calf_girth", Body: girth, Source: "measured"}}
		f.Mesh = meshOf(1500)
		out = append(out, f)
	}
	if out[0].Region.Side == "right" {
		out[0], out[1] = out[1], out[0]
	}
	return out
}

// Two calves that differ by more than one greave serves get one each, and that is said with
// the girths; those that differ as most do stay one size.
func TestSidesThatDifferMuchHaveEachTheirScale(t *testing.T) {
	for _, c := range []struct {
		left, right float64
		want        string
		apart       bool
	}{
		{380, 380, "113.5: g-left g-right", false}, {380, 396, "115.5: g-left g-right", false}, {396, 380, "115.5: g-left g-right", false},
		{378, 416, "113: g-left; 122.5: g-right", true}, {416, 378, "113: g-right; 122.5: g-left", true},
	} {
		s := judged(legs(c.left, c.right)...)
		require.Equal(t, c.want, scalesOf(s.Scales))
		require.Len(t, s.Pairs, 1)
		if !c.apart {
			require.Nil(t, s.Pairs[0].Apart, "%+v", c)
			continue
		}
		require.Equal(t, &Apart{"calf_girth", c.left, c.right}, s.Pairs[0].Apart)
		for _, p := range s.Parts {
			require.Equal(t, Low, p.Risk.Level)
		}
	}
	// Where other pieces of their shells are one, so are they.
	whole := append(legs(378, 416), part("foot-left", "foot", "left", 0, 0), part("foot-right", "foot", "right", 0, 0))
	for i := range 2 {
		whole[i].Assembly, whole[i+2].Assembly = &analysis.Assembly{Mates: []string{whole[i+2].Part}}, &analysis.Assembly{Mates: []string{whole[i].Part}}
	}
	s := judged(whole...)
	require.Nil(t, s.Pairs[0].Apart)
	require.Equal(t, s.Parts[0].Scale, s.Parts[1].Scale)
	// A difference that nobody measured parts nothing.
	for side := range 2 {
		guess := legs(378, 416)
		guess[side].Fit.Sits[0].Source = "estimated"
		require.Nil(t, judged(guess...).Pairs[0].Apart)
	}
	// Nor does one that padding takes up anyhow, until it is much.
	for larger, apart := range map[float64]bool{416: false, 460: true} {
		padded := legs(378, larger)
		for _, f := range padded {
			f.Fit.Loosest = f.Fit.Smallest - 1
		}
		require.Equal(t, apart, judged(padded...).Pairs[0].Apart != nil, "%v", larger)
	}
}

// Where the tape leaves a scale for both, try-ons may show that there is none; and what is
// found on one side of two sizes says nothing of the other in the advice on bands.
func TestTryonsPartASizeThatTheTapeHadLeft(t *testing.T) {
	both := legs(380, 398)
	require.Nil(t, judged(both...).Pairs[0].Apart)
	for i, at := range []float64{110, 120} {
		both[i].Testing = &analysis.Testing{Print: at, Chance: 0.97, SD: 1, Tried: []analysis.Tried{{Station: "calf_girth", Percent: at, Verdict: "fits", Counts: true}}}
		for x := at - 4; x <= at+4; x++ {
			both[i].Testing.Odds = append(both[i].Testing.Odds, [2]float64{x, 0.97 - 0.15*(x-at)*(x-at)})
		}
	}
	s := judged(both...)
	require.NotNil(t, s.Pairs[0].Apart)
	require.Equal(t, "110: g-left; 120: g-right", scalesOf(s.Scales))

	for apart, moves := range map[bool][]string{false: {"g-right"}, true: nil} {
		both := legs(380, 390)
		if apart {
			both = legs(378, 416)
		}
		both[0].Fit.Chance, both[0].Bands = 0.5, []analysis.Band{{Station: 50, Height: 12, Hours: 1, File: "50", Measure: "calf_girth", Percent: 113}}
		both[0].Percent = judged(both...).Parts[0].Scale
		s := judged(both...)
		require.Len(t, s.First, 1, fmt.Sprint(apart))
		require.Equal(t, moves, s.First[0].Moves)
	}
}

// What only covers follows the parts of its own side.
func TestFollowersKeepToTheirSide(t *testing.T) {
	s := judged(append(legs(378, 416), part("cop-right", "lower_leg", "right", 0, 0))...)
	p, _ := s.Part("cop-right")
	require.Equal(t, 122.5, p.Scale)
	require.True(t, p.Follows)
}

// A knee cup follows the parts beside it only as far as its rim still reaches across the knee,
// unless suit.toml says what it is to be.
func TestCapSpansItsJoint(t *testing.T) {
	cup := func(least float64, set bool) Part {
		c := part("cup-right", "knee", "right", 0, 0)
		c.Fit = &analysis.Fit{Cap: &analysis.Cap{Least: least}}
		c.PercentSet = set
		p, _ := judged(append(legs(378, 416), c)...).Part("cup-right")
		return p
	}
	p := cup(130.3, false)
	require.Equal(t, 131.0, p.Scale)
	require.True(t, p.Follows && p.Spans)
	p = cup(110, false)
	require.Equal(t, 122.5, p.Scale)
	require.True(t, p.Follows && !p.Spans)
	require.False(t, cup(130.3, true).Spans)
}

// The only left and the only right part of a region are one pair, unless one of them only
// covers or has far less surface: the lames of a pauldron are no other pauldron.
func TestUnlikePartsAreNoPair(t *testing.T) {
	pairs := func(change func(l, r *analysis.Findings)) int {
		l, r := part("pauldron", "shoulder", "left", 98, 104), part("lames", "shoulder", "right", 108, 114)
		change(l, r)
		return len(judged(l, r).Pairs)
	}
	require.Equal(t, 1, pairs(func(l, r *analysis.Findings) { l.Mesh, r.Mesh = meshOf(1500), meshOf(2600) }))
	require.Equal(t, 0, pairs(func(l, r *analysis.Findings) { l.Mesh, r.Mesh = meshOf(1500), meshOf(2700) }))
	require.Equal(t, 0, pairs(func(l, r *analysis.Findings) { r.Cavities, r.Fit = nil, nil }))
}

// A left pauldron follows the left greave though the right arm is nearer, without one the
// cuirass, and without that the right arm; two of a pair stay of one size.
func TestFollowersTakeTheirSideThenTheMiddle(t *testing.T) {
	all := func() []*analysis.Findings {
		return []*analysis.Findings{
			part("pauldron", "shoulder", "left", 0, 0), part("arm", "upper_arm", "right", 92, 94),
			part("cuirass", "torso", "", 97, 99), part("greave", "lower_leg", "left", 102, 104),
		}
	}
	for n, want := range map[int]float64{4: 103, 3: 98, 2: 93} {
		p, _ := judged(all()[:n]...).Part("pauldron")
		require.True(t, p.Follows)
		require.Equal(t, want, p.Scale)
	}
	other := part("pauldron-right", "shoulder", "right", 0, 0)
	parts := append(all(), other)
	parts[0].Part = "pauldron-left"
	parts[0].Mesh, other.Mesh = meshOf(1500), meshOf(1500)
	s := judged(parts...)
	require.Len(t, s.Pairs, 1)
	left, _ := s.Part("pauldron-left")
	right, _ := s.Part("pauldron-right")
	require.Equal(t, left.Scale, right.Scale)
}

// Of a pair that is drawn unlike, and of which no one scale serves both, the one stays as it
// is set where the other is printed, or was set; as long as all is free, or where one scale
// serves both or the files are of one shape, they get one.
func TestAPairDrawnUnlikeHasTwoScalesOnceOneIsSet(t *testing.T) {
	pair := func(lo float64) (left, right *analysis.Findings) {
		left, right = doubtful(part("shin-left", "lower_leg", "left", 91, 99), 1), doubtful(part("shin-right", "lower_leg", "right", lo, lo+8), 1)
		right.Percent, right.PercentSet = lo+3, true
		return left, right
	}
	left, right := pair(101)
	left.Percent, left.Printed = 94, 94
	s := judged(left, right)
	require.Len(t, s.Pairs, 1)
	require.True(t, s.Pairs[0].Unlike)
	require.Equal(t, "94: shin-left; 104: shin-right", scalesOf(s.Scales))
	for _, p := range s.Parts {
		require.Equal(t, Low, p.Risk.Level, p.Name)
	}

	left, right = pair(101)
	require.True(t, judged(left, right).Pairs[0].Unlike, "the right one is set")
	left, right = pair(101)
	right.Percent, right.PercentSet = 100, false
	s = judged(left, right)
	require.False(t, s.Pairs[0].Unlike, "all is free")
	require.Equal(t, s.Parts[0].Scale, s.Parts[1].Scale)
	left, right = pair(94)
	s = judged(left, right)
	require.False(t, s.Pairs[0].Unlike, "97 % serves both")
	require.Equal(t, s.Parts[0].Scale, s.Parts[1].Scale)
	left, right = pair(94)
	left.Percent, left.PercentSet, right.Percent = 96, true, 97.5
	s = judged(left, right)
	require.True(t, s.Pairs[0].Unlike, "both are set, and fit")
	require.Equal(t, "96: shin-left; 97.5: shin-right", scalesOf(s.Scales))
	left.Percent = 89 // too tight
	require.False(t, judged(left, right).Pairs[0].Unlike)
	left, right = pair(101)
	left.Mesh, right.Mesh = meshOf(1500), meshOf(1500)
	require.False(t, judged(left, right).Pairs[0].Unlike, "of one shape")
}
