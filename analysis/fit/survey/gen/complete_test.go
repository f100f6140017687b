package main

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	fit "gambeson/analysis/fit/survey"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
)

// known is a distribution of four measures, the last of which one survey has
// not.
func known(t *testing.T) normal {
	t.Helper()
	n := normal{names: []string{"a", "b", "c", "y"}, mean: []float64{1, 2, 3, 4}, cov: mat.NewSymDense(4, []float64{
		4, 1, 0.5, 2,
		1, 3, 0.2, 1,
		0.5, 0.2, 2, 0.3,
		2, 1, 0.3, 3,
	})}
	var chol mat.Cholesky
	require.True(t, chol.Factorize(n.cov))
	return n
}

// TestLine against the normal equations by hand: y by a alone has slope 2/4 and
// leaves 3 − 2²/4.
func TestLine(t *testing.T) {
	r, err := known(t).line("y", []string{"a"})
	require.NoError(t, err)
	require.InDelta(t, 0.5, r.slopes[0], 1e-12)
	require.InDelta(t, 2, r.variance, 1e-12)
	require.InDelta(t, 4, known(t).at(r), 1e-12)
}

// TestLineIsTheConditionalNormal: mean on the line and what is left of it are those
// of gonum's conditional normal.
func TestLineIsTheConditionalNormal(t *testing.T) {
	n := known(t)
	joint, ok := distmv.NewNormal(n.mean, n.cov, nil)
	require.True(t, ok)
	given, ok := joint.ConditionNormal([]int{0, 1}, []float64{3, 1}, nil)
	require.True(t, ok)
	r, err := n.line("y", []string{"a", "b"})
	require.NoError(t, err)
	var left mat.SymDense
	given.CovarianceMatrix(&left)
	require.InDelta(t, given.Mean(nil)[1], r.at+r.slopes[0]*(3-1)+r.slopes[1]*(1-2), 1e-12)
	require.InDelta(t, r.variance, left.At(1, 1), 1e-12)
}

// TestExtendGivesBackTheSurvey: told from all its neighbours, in the same
// survey, a measure has just the mean and covariances that it had.
func TestExtendGivesBackTheSurvey(t *testing.T) {
	full := known(t)
	r, err := full.line("y", []string{"a", "b", "c"})
	require.NoError(t, err)
	got := full.picked([]string{"a", "b", "c"}).extend([]relation{r}, full.remains([]relation{r}))
	require.Equal(t, full.names, got.names)
	for i := range 4 {
		require.InDelta(t, full.mean[i], got.mean[i], 1e-12)
		for j := range 4 {
			require.InDelta(t, full.cov.At(i, j), got.cov.At(i, j), 1e-12)
		}
	}
}

// TestExtendStaysPositive for relations to few neighbours, as used.
func TestExtendStaysPositive(t *testing.T) {
	full := known(t)
	var lines []relation
	for _, by := range [][]string{{"a"}, {"b", "c"}} {
		r, err := full.line("y", by)
		require.NoError(t, err)
		lines = append(lines, r)
	}
	got := full.picked([]string{"a", "b", "c"}).extend(lines, full.remains(lines))
	var eigen mat.EigenSym
	require.True(t, eigen.Factorize(got.cov, false))
	if v := eigen.Values(nil); v[0] < -1e-12 {
		t.Errorf("eigenvalues %v", v)
	}
}

// TestFlyers: the covariances made from differences give back the printed
// regression of 1967, hand over thumb = 47.88 + 0.9728·hand, residual SD 5.8.
func TestFlyers(t *testing.T) {
	lines, err := flyerLines()
	require.NoError(t, err)
	thumb := lines[1]
	slope := thumb.slopes[0] * 257.54 / 215.54
	require.InDelta(t, 0.9728, slope, 0.005)
	require.InDelta(t, 5.8, math.Sqrt(thumb.variance)*257.54, 0.05)

	// One neighbour at a time: heel less instep is 82.5, SD 8.8.
	instep := lines[0]
	n := normal1967([]string{"instep_girth", "heel_girth"})
	difference := n.cov.At(0, 0)*256.93*256.93 + n.cov.At(1, 1)*339.46*339.46 - 2*n.cov.At(0, 1)*256.93*339.46
	require.InDelta(t, 8.8, math.Sqrt(difference), 1e-9)
	if alone, _ := n.line("instep_girth", []string{"heel_girth"}); instep.variance >= alone.variance {
		t.Error("two neighbours tell no more than one")
	}
}

// TestReadTable: columns in any order, sums, hectograms; and what is missing is
// named.
func TestReadTable(t *testing.T) {
	columns := []column{{"stature", []string{"S"}}, {fit.Weight, []string{"W"}}, {"round", []string{"A", "B"}}}
	read1 := func(text string) (table, error) {
		return read(fstest.MapFS{"t.csv": {Data: []byte(text)}}, "t.csv", columns)
	}
	got, err := read1("B,W,S,A\n300,824,1735,340\n")
	require.NoError(t, err)
	require.Equal(t, [][]float64{{1735, 82.4, 640}}, got.rows)
	for text, says := range map[string]string{
		"":                               "EOF",
		"W,S,A\n1,2,3\n":                 `no column "B"`,
		"B,W,S,A\n300,824,1735,0\n":      `line 2: A is "0"`,
		"B,W,S,A\n1,2,3,4\n300,8,x,40\n": `line 3: S is "x"`,
		"B,W,S,A\n1,2\n":                 "wrong number of fields",
	} {
		if _, err := read1(text); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %q", text, err, says)
		}
	}
	if _, err := read(fstest.MapFS{}, "none.csv", columns); err == nil {
		t.Error("read no file")
	}
}

// TestHeldOutPeopleAreNotLearntFrom, none is lost, and the draw is the same
// each time.
func TestHeldOutPeopleAreNotLearntFrom(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	all := table{names: []string{"a"}}
	for k := range 1000 {
		all.rows = append(all.rows, []float64{float64(k) + random.Float64()/2})
	}
	others, drawn := all.part(held1988, 1)
	require.Len(t, drawn.rows, held1988)
	require.Len(t, others.rows, 1000-held1988)
	seen := map[float64]bool{}
	for _, row := range append(drawn.rows, others.rows...) {
		seen[row[0]] = true
	}
	require.Len(t, seen, 1000)
	_, again := all.part(held1988, 1)
	require.Equal(t, drawn, again)
}
