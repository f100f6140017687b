package survey

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
)

// Draws follow what is known: their means and covariances are those of the
// body within the noise of so many draws, and what was given scatters about its
// reading.
func TestDrawsFollowTheBody(t *testing.T) {
	const n = 40000
	names := []string{"stature", "calf_girth", "heel_girth", "hip_girth"}
	for _, sex := range []string{"", Female} {
		body, err := Estimate(map[string]float64{"stature": 1710, "calf_girth": 382}, sex)
		require.NoError(t, err)
		rows := body.Draws(names, n, 5)
		require.Len(t, rows, n)
		column := func(i int) []float64 {
			out := make([]float64, n)
			for k, r := range rows {
				out[k] = r[i]
			}
			return out
		}
		for i, a := range names {
			v, _ := body.Of(a)
			mean := stat.Mean(column(i), nil)
			if math.Abs(mean-v.Mean) > 5*v.SD/math.Sqrt(n)+0.002*v.SD {
				t.Errorf("%q, %s: mean %.3f, want %.3f", sex, a, mean, v.Mean)
			}
			for j, b := range names {
				w, _ := body.Of(b)
				got, want := stat.Covariance(column(i), column(j), nil), body.Cov(a, b)
				if math.Abs(got-want) > 0.04*v.SD*w.SD {
					t.Errorf("%q: covariance of %s and %s %.3f, want %.3f", sex, a, b, got, want)
				}
			}
		}
		require.Equal(t, rows, body.Draws(names, n, 5), "the same seed")
		require.NotEqual(t, rows[0], body.Draws(names, n, 6)[0], "another seed")
	}
}

func TestDrawsOfWhatIsNoMeasure(t *testing.T) {
	body, err := Estimate(map[string]float64{"stature": 1710}, "")
	require.NoError(t, err)
	row := body.Draws([]string{"tail", "stature"}, 1, 1)[0]
	if !math.IsNaN(row[0]) || !(row[1] > 1600) {
		t.Errorf("drew %v", row)
	}
	require.Empty(t, body.Draws([]string{"stature"}, 0, 1))
}
