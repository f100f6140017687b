package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/shape"
	"gambeson/analysis/tryon"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Where both calves were measured, what the left one finds loose does not make the right one
// smaller: it counts as found on a calf that is so much larger as the tape says. The same
// answer in a ring that is larger by that tells the same as between calves that are alike.
func TestMeasuredSidesDoNotSpeakAgainstEachOther(t *testing.T) {
	brief := DefaultBrief()
	brief.Shell.Asked = Asked{Padding: true, Ease: true, Loosest: true}
	ask := func(capacity float64, measures map[string]float64) *Testing {
		f := Findings{Percent: 100, Print: &Print{Hours: 20}, Fit: &Fit{
			Lead: "calf_girth", Smallest: 100, Loosest: 108.5, Recommended: 104.5,
			Shell: &brief.Shell, Sits: []Sit{{Measure: "calf_girth", Needed: 400, SD: 6, Capacity: 400}},
		}, Bands: []Band{{File: "bands/a.stl", Measure: "calf_girth", Station: 150, Percent: 104.5, Hours: 1}}}
		b := brief
		b.Region, b.Wearer.Measures = Region{Name: "lower_leg", Side: "right"}, measures
		if capacity > 0 {
			b.Tryons = []Tryon{{Station: "calf_girth", Verdict: "loose", Capacity: capacity, Other: &OtherPart{Part: "left.stl", Region: "lower_leg", Side: "left", Shell: brief.Shell}}}
		}
		q, ok, err := f.question(b)
		require.NoError(t, err)
		require.True(t, ok)
		return q.told(q.plan, 20)
	}
	apart := map[string]float64{"calf_girth.left": 325, "calf_girth.right": 363}
	alike := map[string]float64{"calf_girth": 363}
	untried, single, both := ask(0, apart), ask(412, alike), ask(412, apart)
	require.Less(t, single.Smallest, untried.Smallest-1, "so small a ring is loose")
	require.Greater(t, both.Smallest, untried.Smallest-0.5, "as it is to be on a calf of 38 mm less")
	require.InDelta(t, ask(450, alike).Smallest, ask(450-38, apart).Smallest, 1e-9)
	require.Equal(t, -38.0, both.Tried[0].Differs)
	require.False(t, both.Tried[0].Across, "of another size")
	require.Zero(t, single.Tried[0].Differs)
	require.True(t, single.Tried[0].Across)
	require.InDelta(t, 103, both.Tried[0].Percent, 1e-9, "that ring, in this part")
	require.InDelta(t, single.Smallest, ask(412, map[string]float64{"calf_girth.right": 363}).Smallest, 1e-9, "nobody measured the left one")
}

// A try-on that does not go with an estimate asks for a tape, not for the correction of a
// measure that nobody took.
func TestWhatWasEstimatedIsMeasuredNotCorrected(t *testing.T) {
	said := func(source string) string {
		f := Findings{Fit: &Fit{Entries: []Entry{{Measure: "hand_over_thumb_girth", Source: source}}}, Testing: &Testing{
			Print: 105, Tried: []Tried{{Station: "hand_over_thumb_girth", Percent: 108.2, Verdict: "tight", Counts: true}},
		}}
		f.noteUnheeded([]int{0}, false)
		require.True(t, f.Testing.Tried[0].Odd)
		return f.warning("try-ons-odd")
	}
	require.Contains(t, said("measured"), "correct what is wrong in wearer.toml or logbook.toml")
	require.NotContains(t, said("estimated"), "correct")
	require.Contains(t, said("estimated"), "nobody measured it there. Measure it and write it in wearer.toml")

	unlike := func(source string) string {
		f := Findings{Fit: &Fit{Entries: []Entry{{Measure: "hand_over_thumb_girth", Source: source}}}, Testing: &Testing{
			Tried: []Tried{{Station: "hand_over_thumb_girth", Percent: 120, Verdict: "tight", Counts: true}},
		}}
		f.doubt(tryon.Station{Mean: 260, SD: 3, Window: math.Inf(1), Judge: tryon.UsualJudge(), Answers: []tryon.Answer{{Capacity: 300, Verdict: tryon.Tight}, {Capacity: 300, Verdict: tryon.Tight}}}, []int{0, 0})
		return f.warning("try-ons-odd")
	}
	require.Contains(t, unlike("measured"), "as unlikely as these. Measure again, and put the band on again.")
	require.Contains(t, unlike("estimated"), "The hand over thumb was only estimated: measure it, and put the band on again.")
}

// A leading girth that is near to being loose is not settled, however much room it has.
func TestNearlyLooseIsNotSettled(t *testing.T) {
	for room, want := range map[float64]bool{445: false, 434: false, 441: false, 457: true} {
		require.Equal(t, want, trial{room: room, needed: 400, sd: 4, loose: 434}.settled(), "%v", room)
	}
	require.True(t, trial{room: 441, needed: 400, sd: 4}.settled())
}

// A file that was rescaled along one axis is known as such as long as its shape stays.
func TestStretchedFileIsRemembered(t *testing.T) {
	m := greave()
	first := noticed(t, m, nil)
	first.noteStretched(nil)
	require.False(t, first.Stretched)
	long := m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: p.Y, Z: 1.2 * p.Z} })
	then := noticed(t, long, &first)
	then.noteStretched(&first)
	require.True(t, then.Stretched, "%+v", then.Changed)
	again := noticed(t, shape.Shuffle(long, 1), &then)
	again.noteStretched(&then)
	require.True(t, again.Stretched)
	back := noticed(t, m.Scaled(0.5), &first)
	back.noteStretched(&first)
	require.False(t, back.Stretched)
	edited := noticed(t, shape.Relief{Triangles: 1000}.Mesh(), &again)
	edited.noteStretched(&again)
	require.False(t, edited.Stretched)
}
