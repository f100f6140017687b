package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/fit"
	"gambeson/analysis/tryon"

	"github.com/stretchr/testify/require"
)

// hipsAndThighs are the spots of a part in which hips and thighs rest, on a wearer
// of such measures, once a band was tried on at the thighs.
func hipsAndThighs(t *testing.T, measures map[string]float64, tryons ...Tryon) (hip, thigh *spot, wearer fit.Wearer) {
	t.Helper()
	b := DefaultBrief()
	b.Wearer.Measures, b.Tryons = measures, tryons
	wearer, err := fit.Measure(b.readings(), "", "", 0)
	require.NoError(t, err)
	f := Findings{Percent: 100, Fit: &Fit{Lead: "hip_girth", Shell: &b.Shell, Loosest: 108}}
	for _, m := range []string{"hip_girth", "thigh_girth"} {
		known, ok := wearer.Of(m)
		require.True(t, ok)
		f.Fit.Sits = append(f.Fit.Sits, Sit{Measure: m, Needed: known.Mean + 40, SD: known.SD, Capacity: known.Mean + 60})
	}
	spots := f.spots("")
	f.answers(spots, tryons)
	require.NoError(t, meet(spots, b))
	return &spots[0], &spots[1], wearer
}

// Of whose thighs are found slimmer than was estimated, the hips are too: by as
// much as among people drawn at random who would have answered the same.
func TestOtherSpotsTell(t *testing.T) {
	known := map[string]float64{"stature": 1710}
	_, thigh, wearer := hipsAndThighs(t, known)
	tight := Tryon{Station: "thigh_girth", Percent: 100 * (thigh.body.Mean + 25) / thigh.capacity, Verdict: "tight"}
	hip, thigh, _ := hipsAndThighs(t, known, tight)
	got, err := hip.felt()
	require.NoError(t, err)

	random := rand.New(rand.NewPCG(3, 4))
	sdHip, sdThigh := math.Hypot(hip.body.SD, tryon.PreferredEase), math.Hypot(thigh.body.SD, tryon.PreferredEase)
	common := wearer.Cov("hip_girth", "thigh_girth") + paddingDoubt*paddingDoubt + tryon.PreferredEase*tryon.PreferredEase
	r := common / (sdHip * sdThigh)
	require.Greater(t, r, 0.5, "hips and thighs of people go together")
	sum, sumHip, squares := 0.0, 0.0, 0.0
	for range 400_000 {
		x := random.NormFloat64()
		y := r*x + math.Sqrt(1-r*r)*random.NormFloat64()
		need, room := thigh.body.Mean+sdThigh*x, thigh.capacity*tight.Percent/100
		likely := 0.95*0.5*math.Erfc((room-need)/3/math.Sqrt2) + 0.025*0.5*math.Erfc((need-room)/3/math.Sqrt2)
		off := sdHip * y
		sum, sumHip, squares = sum+likely, sumHip+likely*off, squares+likely*off*off
	}
	mean := sumHip / sum
	require.Greater(t, mean, 5.0)
	require.InDelta(t, hip.body.Mean+mean, got.Mean(), 0.25)
	require.InEpsilon(t, math.Sqrt(squares/sum-mean*mean), got.SD(), 0.03)

	alone, err := thigh.felt()
	require.NoError(t, err)
	only, err := tryon.Believe(thigh.seen(thigh.body, true))
	require.NoError(t, err)
	require.InDelta(t, only.Mean(), alone.Mean(), 1e-6, "where nothing was found at the hips they say nothing")
}

// Hips that were measured learn little from the thighs: what the padding and the
// wearer's ease have in common, and hardly anything of the body. What they learn is
// the regression on what was learnt of the thighs.
func TestMeasuredSpotsLearnLittle(t *testing.T) {
	known := map[string]float64{"stature": 1710, "hip_girth": 980, "thigh_girth": 590}
	_, thigh, _ := hipsAndThighs(t, known)
	tight := Tryon{Station: "thigh_girth", Percent: 100 * (thigh.body.Mean + 10) / thigh.capacity, Verdict: "tight"}
	hip, thigh, wearer := hipsAndThighs(t, known, tight)
	felt, err := hip.felt()
	require.NoError(t, err)
	settled, err := hip.settled()
	require.NoError(t, err)
	require.Greater(t, felt.Mean()-hip.body.Mean, 1.5*(settled.Mean()-hip.body.Mean))
	require.InDelta(t, hip.body.Mean, settled.Mean(), 2.5)
	of, err := thigh.settled()
	require.NoError(t, err)
	common := wearer.Cov("hip_girth", "thigh_girth") + paddingDoubt*paddingDoubt
	require.InDelta(t, common/(thigh.body.SD*thigh.body.SD)*(of.Mean()-thigh.body.Mean), settled.Mean()-hip.body.Mean, 0.02)
}

// One measure that both rests and passes, with other parts of both sides, holds
// together.
func TestSpotsOfOneMeasureHoldTogether(t *testing.T) {
	b := DefaultBrief()
	b.Wearer.Measures = map[string]float64{"stature": 1710, "thigh_girth": 590}
	b.Tryons = []Tryon{{Station: "thigh_girth", Percent: 100, Verdict: "tight"}}
	f := Findings{Percent: 100, Fit: &Fit{
		Lead: "thigh_girth", Shell: &b.Shell, Loosest: 108,
		Sits:    []Sit{{Measure: "thigh_girth", Needed: 630, SD: 4, Capacity: 640}},
		Entries: []Entry{{Measure: "thigh_girth", Needed: 610, SD: 4, Throat: 630}},
	}}
	spots := f.spots("left")
	f.answers(spots, b.Tryons)
	for i := range spots {
		for _, side := range []string{"left", "right"} {
			o := otherStation{part: side, side: side, Station: spots[i].body}
			o.Answers = []tryon.Answer{{Capacity: 635, Verdict: tryon.Tight}}
			spots[i].others = append(spots[i].others, o)
		}
	}
	require.NoError(t, meet(spots, b))
	for i := range spots {
		for _, felt := range []bool{true, false} {
			all := append(spots[i].stations(felt), spots[i].near[0].stations(felt)...)
			_, err := shared(all, felt)
			require.NoError(t, err)
		}
	}
}

// Whoever finds the part tight at a girth that no band is asked about is believed as
// well, though by the tape it could be worn there with less ease.
func TestComplaintElsewhereIsBelieved(t *testing.T) {
	const capacity = 400.0
	station := tryon.Station{Mean: 390, SD: 4, Window: math.Inf(1), Judge: tryon.UsualJudge()}
	elsewhere := spot{measure: "ankle_girth", capacity: capacity, body: station, prefers: tryon.PreferredEase, give: 9}
	room := func(verdicts ...tryon.Verdict) float64 {
		there := elsewhere
		for _, v := range verdicts {
			there.body.Answers = append(there.body.Answers, tryon.Answer{Capacity: capacity, Verdict: v})
		}
		asked := asking{spots: []spot{{measure: "calf_girth", capacity: capacity, body: station}, there}}
		q := tryon.Question{}
		require.NoError(t, asked.others(&q, 0))
		return q.Others(100)
	}
	require.Greater(t, room(), 0.99)
	require.Greater(t, room(tryon.Fits), 0.99)
	require.Less(t, room(tryon.Tight, tryon.Tight), 0.2)
}
