package tryon

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// legs are two greaves and a boot top: both calves share the measure's error and
// the ease preferred, the ankle of the boot a little.
func legs() ([]Station, func(i, j int) float64) {
	judge := UsualJudge()
	stations := []Station{
		{Mean: 420, SD: 14, Window: 34, Judge: judge, Answers: []Answer{{425, Tight}, {440, Fits}}},
		{Mean: 422, SD: 15, Window: 34, Judge: judge, Answers: []Answer{{430, Tight}}},
		{Mean: 290, SD: 9, Window: 34, Judge: judge},
	}
	together := [3][3]float64{{1, .8, .3}, {.8, 1, .35}, {.3, .35, 1}}
	return stations, func(i, j int) float64 { return together[i][j] }
}

// Sampled bodies, weighted by how likely each gives the answers, have the means
// and spreads that Share passes on.
func TestShareAgainstSampling(t *testing.T) {
	stations, correlation := legs()
	beliefs, err := Share(stations, correlation)
	require.NoError(t, err)
	w, err := newWeb(stations, correlation)
	require.NoError(t, err)
	var chol mat.Cholesky
	require.True(t, chol.Factorize(w.cov))
	var lower mat.TriDense
	chol.LTo(&lower)
	r := rand.New(rand.NewPCG(3, 4))
	total, sum, squares := 0.0, [3]float64{}, [3]float64{}
	for range 400_000 {
		z := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		var need [3]float64
		weight := 1.0
		for i, s := range stations {
			need[i] = s.Mean
			for k := 0; k <= i; k++ {
				need[i] += lower.At(i, k) * z[k]
			}
			for _, a := range s.Answers {
				weight *= s.Judge.chances(a.Capacity, need[i], s.Window)[a.Verdict.index()]
			}
		}
		total += weight
		for i, x := range need {
			sum[i] += weight * x
			squares[i] += weight * x * x
		}
	}
	for i, b := range beliefs {
		mean := sum[i] / total
		sd := math.Sqrt(squares[i]/total - mean*mean)
		t.Logf("station %d: %.3f ± %.3f mm, sampled %.3f ± %.3f mm", i+1, b.Mean(), b.SD(), mean, sd)
		require.InDelta(t, mean, b.Mean(), 0.25)
		require.InEpsilon(t, sd, b.SD(), 0.03)
	}
	if beliefs[2].Mean() <= 290 {
		t.Errorf("two tight calves leave the ankle at %v mm", beliefs[2].Mean())
	}
}

// One station with answers, others without: what is passed on is exactly the
// regression on its mean and variance, after which nothing moves.
func TestShareIsTheRegression(t *testing.T) {
	stations, correlation := legs()
	stations[1].Answers = nil
	beliefs, err := Share(stations, correlation)
	require.NoError(t, err)
	own, err := Believe(stations[0])
	require.NoError(t, err)
	require.InDelta(t, own.Mean(), beliefs[0].Mean(), 1e-6)
	for j := 1; j < 3; j++ {
		slope := correlation(0, j) * stations[j].SD / 14
		require.InDelta(t, stations[j].Mean+slope*(own.Mean()-420), beliefs[j].Mean(), 1e-6)
		variance := stations[j].SD*stations[j].SD + slope*slope*(own.SD()*own.SD()-14*14)
		require.InDelta(t, math.Sqrt(variance), beliefs[j].SD(), 1e-6)
	}
}

// Two stations that are one need learn together what one learns from all the
// answers; two that have nothing in common learn nothing from each other.
func TestShareOfOneNeedAndOfNone(t *testing.T) {
	s := Station{Mean: 420, SD: 14, Window: 34, Judge: UsualJudge()}
	one, other, both := s, s, s
	one.Answers, other.Answers = []Answer{{430, Tight}}, []Answer{{445, Fits}}
	both.Answers = append(append([]Answer{}, one.Answers...), other.Answers...)
	want, err := Believe(both)
	require.NoError(t, err)
	same, err := Share([]Station{one, other}, func(i, j int) float64 { return 1 })
	require.NoError(t, err)
	for _, b := range same {
		require.InDelta(t, want.Mean(), b.Mean(), 0.3)
		require.InEpsilon(t, want.SD(), b.SD(), 0.03)
	}
	apart, err := Share([]Station{one, other}, func(i, j int) float64 { return 0 })
	require.NoError(t, err)
	for i, s := range []Station{one, other} {
		alone, err := Believe(s)
		require.NoError(t, err)
		require.InDelta(t, alone.Mean(), apart[i].Mean(), 1e-9)
	}
}

// The order of the stations makes no difference.
func TestShareInAnyOrder(t *testing.T) {
	stations, correlation := legs()
	a, err := Share(stations, correlation)
	require.NoError(t, err)
	turned := []Station{stations[2], stations[0], stations[1]}
	from := []int{2, 0, 1}
	b, err := Share(turned, func(i, j int) float64 { return correlation(from[i], from[j]) })
	require.NoError(t, err)
	for i, k := range from {
		require.InDelta(t, a[k].Mean(), b[i].Mean(), 1e-5)
		require.InDelta(t, a[k].SD(), b[i].SD(), 1e-5)
	}
}

func TestShareOfImpossibleCorrelations(t *testing.T) {
	s := Station{Mean: 420, SD: 14, Window: 34, Judge: UsualJudge()}
	_, err := Share([]Station{s, s, s}, func(i, j int) float64 { return -0.9 })
	require.EqualError(t, err, "the correlations of 3 stations cannot hold together")
	_, err = Share([]Station{s, s}, func(i, j int) float64 { return 1.2 })
	require.EqualError(t, err, "a correlation of 1.2 between stations 1 and 2; it must be from -1 to 1")
	none, err := Share(nil, nil)
	require.NoError(t, err)
	require.Empty(t, none)
}

// By hand: 12 mm in common, 5 and 9 alone: 144 / (13·15).
func TestCorrelation(t *testing.T) {
	require.InDelta(t, 144/(13*15.0), Correlation(12, 5, 9), 1e-12)
	require.Zero(t, Correlation(0, 0, 0))
	require.Equal(t, 1.0, Correlation(3, 0, 0))
}
