package survey

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func of(t testing.TB, b Body, measure string) Value {
	t.Helper()
	v, ok := b.Of(measure)
	require.True(t, ok, measure)
	return v
}

func must(t testing.TB, given map[string]float64, sex string) Body {
	t.Helper()
	b, err := Estimate(given, sex)
	require.NoError(t, err)
	return b
}

func TestAGivenMeasureStaysAsRead(t *testing.T) {
	b := must(t, map[string]float64{"calf_girth": 430, "stature": 1710}, Female)
	v := of(t, b, "calf_girth")
	if v.Mean != 430 || !v.Given {
		t.Errorf("read as 430, now %v", v)
	}
	if v.SD > 4 || v.SD < 3.5 {
		t.Errorf("the tape errs by 4 mm, left %.2f", v.SD)
	}
	if low, high := b.Within("calf_girth", 0.95); math.Abs((low+high)/2-430) > 0.01 || math.Abs(high-low-2*1.96*v.SD) > 0.01 {
		t.Errorf("within %.2f and %.2f", low, high)
	}
	if v := of(t, b, "ankle_girth"); v.Given {
		t.Error("the ankle was not given")
	}
}

// TestOneReading against the formulas of the regression on one variable: slope
// is covariance over variance, error of reading in it.
func TestOneReading(t *testing.T) {
	p := population1(t, Male)
	i, j := index(Measures(), "calf_girth"), index(Measures(), "ankle_girth")
	noise := math.Pow(tapeSmallGirth/430, 2)
	slope := p.logCov.At(i, j) / (p.logCov.At(i, i) + noise)
	mu := p.logMean[j] + slope*(math.Log(430)-p.logMean[i])
	variance := p.logCov.At(j, j) - slope*p.logCov.At(i, j)
	want := distuv.LogNormal{Mu: mu, Sigma: math.Sqrt(variance)}

	b := must(t, map[string]float64{"calf_girth": 430}, Male)
	got := of(t, b, "ankle_girth")
	require.InDelta(t, want.Mean(), got.Mean, 1e-9)
	require.InDelta(t, want.StdDev(), got.SD, 1e-9)
	for _, q := range []float64{0.025, 0.5, 0.9} {
		require.InDelta(t, want.Quantile(q), b.Quantile("ankle_girth", q), 1e-9)
	}
}

// TestChanceOfSex against Bayes' theorem by hand.
func TestChanceOfSex(t *testing.T) {
	i := index(Measures(), "hand_girth")
	density := func(sex string) float64 {
		p := population1(t, sex)
		return distuv.Normal{Mu: p.logMean[i], Sigma: math.Sqrt(p.logCov.At(i, i) + math.Pow(tapeHand/200, 2))}.Prob(math.Log(200))
	}
	f, m := density(Female), density(Male)
	female, male := must(t, map[string]float64{"hand_girth": 200}, "").Sexes()
	require.InDelta(t, f/(f+m), female, 1e-12)
	require.InDelta(t, m/(f+m), male, 1e-12)

	female, male = must(t, map[string]float64{"hand_girth": 200}, Female).Sexes()
	require.Equal(t, [2]float64{1, 0}, [2]float64{female, male})
}

// TestEitherSexIsAMixture: mean and standard deviation of the mixture are those
// of its quantiles, and of the sexes apart; the ends of its intervals are not
// those of one normal.
func TestEitherSexIsAMixture(t *testing.T) {
	given := map[string]float64{"hip_girth": 1010}
	b := must(t, given, "")
	female, male := b.Sexes()
	f, m := of(t, must(t, given, Female), "neck_girth"), of(t, must(t, given, Male), "neck_girth")
	v := of(t, b, "neck_girth")
	mean := female*f.Mean + male*m.Mean
	require.InDelta(t, mean, v.Mean, 1e-9)
	require.InDelta(t, math.Sqrt(female*(f.SD*f.SD+f.Mean*f.Mean)+male*(m.SD*m.SD+m.Mean*m.Mean)-mean*mean), v.SD, 1e-6)

	const n = 5_000
	var sum, squares float64
	for k := range n {
		q := b.Quantile("neck_girth", (float64(k)+0.5)/n)
		sum, squares = sum+q, squares+q*q
	}
	require.InDelta(t, v.Mean, sum/n, 0.01)
	require.InDelta(t, v.SD, math.Sqrt(squares/n-sum*sum/n/n), 0.02)

	low, high := b.Within("neck_girth", 0.5)
	if normal := 2 * 0.6745 * v.SD; high-low < 1.2*normal {
		t.Errorf("two humps a neck's width apart: half lie within %.1f, of one normal %.1f", high-low, normal)
	}
}

// TestSameAnswerEachTime: the order of a map never reaches an answer.
func TestSameAnswerEachTime(t *testing.T) {
	given := map[string]float64{"stature": 1710, Weight: 68, "calf_girth.left": 380, "calf_girth.right": 386, "wrist_girth": 160, "head_girth": 570}
	first := must(t, given, "")
	for range 20 {
		require.Equal(t, first, must(t, given, ""))
	}
}

// TestMoreReadingsSayMore: in the logarithms of one sex no reading widens an
// estimate; all covariances are those of bodies; quantiles rise.
func TestMoreReadingsSayMore(t *testing.T) {
	all := people(t, "people2012.csv")
	names := make([]string, 0, len(all[0].measures))
	for _, m := range Measures() {
		if _, has := all[0].measures[m.Name]; has {
			names = append(names, m.Name)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(all).Draw(t, "person")
		given := map[string]float64{}
		for _, name := range rapid.SliceOfNDistinct(rapid.SampledFrom(names), 1, 12, rapid.ID).Draw(t, "given") {
			given[name] = p.measures[name]
		}
		before, err := Estimate(given, p.sex)
		require.NoError(t, err)
		more := rapid.SampledFrom(names).Draw(t, "more")
		given[more] = p.measures[more]
		after, err := Estimate(given, p.sex)
		require.NoError(t, err)
		for i, m := range Measures() {
			if b, a := before.parts[0].cov.At(i, i), after.parts[0].cov.At(i, i); a > b+1e-12 || a < 0 {
				t.Fatalf("%s: variance %v before and %v after reading %s", m.Name, b, a, more)
			}
		}
		either, err := Estimate(given, "")
		require.NoError(t, err)
		var eigen mat.EigenSym
		require.True(t, eigen.Factorize(either.cov, false))
		if v := eigen.Values(nil); v[0] < -1e-9*v[len(v)-1] {
			t.Fatalf("eigenvalues %v", v)
		}
		m := rapid.SampledFrom(Measures()).Draw(t, "measure").Name
		q := rapid.Float64Range(0.001, 0.998).Draw(t, "chance")
		if low, high := either.Quantile(m, q), either.Quantile(m, q+0.001); !(low < high) || low <= 0 {
			t.Fatalf("%s: quantiles %v and %v", m, low, high)
		} else if back := either.Below(m, low); math.Abs(back-q) > 1e-9 {
			t.Fatalf("%s: %v lie below the quantile of %v", m, back, q)
		}
	})
}

// TestCovarianceOfASum: the variance of a sum by Cov is that by drawing bodies from
// the log-normal (60,000 bodies: 1.5 % and 0.3 mm).
func TestCovarianceOfASum(t *testing.T) {
	b := must(t, map[string]float64{"stature": 1710, Weight: 68}, Female)
	normal := b.parts[0]
	var chol mat.Cholesky
	require.True(t, chol.Factorize(normal.cov))
	var l mat.TriDense
	chol.LTo(&l)
	unit := distuv.Normal{Sigma: 1, Src: source()}
	i, j := index(Measures(), "thigh_girth"), index(Measures(), "hip_girth")
	const n = 60_000
	var sum, squares float64
	z := make([]float64, len(Measures()))
	for range n {
		for k := range z {
			z[k] = unit.Rand()
		}
		draw := func(i int) float64 {
			v := normal.mean[i]
			for k := range i + 1 {
				v += l.At(i, k) * z[k]
			}
			return math.Exp(v)
		}
		d := draw(j) - draw(i)
		sum, squares = sum+d, squares+d*d
	}
	want := squares/n - sum*sum/n/n
	thigh, hip := of(t, b, "thigh_girth"), of(t, b, "hip_girth")
	got := thigh.SD*thigh.SD + hip.SD*hip.SD - 2*b.Cov("hip_girth", "thigh_girth")
	if math.Abs(got/want-1) > 0.015 {
		t.Errorf("variance of hip less thigh: %.1f, drawn %.1f", got, want)
	}
	require.InDelta(t, hip.Mean-thigh.Mean, sum/n, 0.3)
	require.Zero(t, b.Cov("hip_girth", "tail_girth"))
}

func TestRefused(t *testing.T) {
	for _, c := range []struct {
		given map[string]float64
		sex   string
		says  string
	}{
		{nil, "", "no measure is given"},
		{map[string]float64{"tail_girth": 300}, "", `"tail_girth" is no measure`},
		{map[string]float64{"calf_girth.upper": 300}, "", `"calf_girth.upper" is no measure`},
		{map[string]float64{"stature.left": 1700}, "", `"stature.left" is no measure`},
		{map[string]float64{"calf_girth": 0}, "", "calf_girth is 0"},
		{map[string]float64{"calf_girth": -3}, "", "calf_girth is -3"},
		{map[string]float64{"calf_girth": math.NaN()}, "", "calf_girth is NaN"},
		{map[string]float64{"calf_girth": math.Inf(1)}, "", "calf_girth is +Inf"},
		{map[string]float64{"calf_girth": 380}, "robot", `"robot" is neither`},
	} {
		if _, err := Estimate(c.given, c.sex); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v, %q: %v, want %q", c.given, c.sex, err, c.says)
		}
	}
	b := must(t, map[string]float64{"calf_girth": 380}, "")
	if _, ok := b.Of("tail_girth"); ok {
		t.Error("knows a tail")
	}
	if !math.IsNaN(b.Quantile("tail_girth", 0.5)) || !math.IsNaN(b.Quantile("calf_girth", 1)) {
		t.Error("quantiles of nothing")
	}
	if !math.IsNaN(b.Below("tail_girth", 300)) || b.Below("wrist_girth", 0) != 0 || b.Below("wrist_girth", -1) != 0 {
		t.Error("chances of nothing")
	}
	if _, err := b.Helps(map[string]float64{"tail_girth": 1}); err == nil {
		t.Error("ranks for a tail")
	}
	if _, ok := (Body{}).Of("calf_girth"); ok {
		t.Error("the zero Body knows a calf")
	}
}

// TestAnyBodyHasAnAnswer, also those that no survey has: all numbers finite and
// above zero.
func TestAnyBodyHasAnAnswer(t *testing.T) {
	for _, given := range []map[string]float64{
		{"stature": 900}, {"stature": 2600}, {Weight: 300}, {"calf_girth": 60}, {"calf_girth": 1e6},
		{"stature": 1100, Weight: 19, "head_girth": 515},
		{"waist_girth": 2000, "chest_girth": 500},
	} {
		for _, sex := range []string{"", Female, Male} {
			b := must(t, given, sex)
			for _, m := range Measures() {
				v := of(t, b, m.Name)
				low, high := b.Within(m.Name, 0.9)
				if !(v.Mean > 0) || !(v.SD > 0) || math.IsInf(v.Mean+v.SD, 0) || !(low > 0 && low < high) {
					t.Errorf("%v, %q: %s is %v within %v and %v", given, sex, m.Name, v, low, high)
				}
			}
		}
	}
}

// TestAChildIsSmallAllOver: a five-year-old is no soldier, but no measure comes
// out as a grown-up's. (WHO growth standards, girls of 60 months, from memory:
// 109 cm, 18 kg.)
func TestAChildIsSmallAllOver(t *testing.T) {
	b := must(t, map[string]float64{"stature": 1090, Weight: 18}, "")
	for _, name := range []string{"foot_length", "calf_girth", "thigh_girth", "wrist_girth", "chest_girth"} {
		women := population1(t, Female)
		i := index(Measures(), name)
		if v := of(t, b, name); v.Mean > women.mean[i]-3*women.sd[i] {
			t.Errorf("%s %.0f", name, v.Mean)
		}
	}
}

// TestSlips: a reading that is wrong by the swap of two digits, or was taken of
// another place, is named; of the readings of people held out, as they are,
// hardly any is.
func TestSlips(t *testing.T) {
	given := []string{"stature", Weight, "calf_girth", "ankle_girth", "heel_girth", "foot_length", "hip_girth", "waist_girth", "wrist_girth"}
	all := people(t, "people2012.csv")
	var named, swapped, found int
	for _, p := range all {
		from := map[string]float64{}
		for _, g := range given {
			from[g] = p.measures[g]
		}
		named += len(must(t, from, "").Odds())

		v := int(from["calf_girth"])
		if slip := v/100*100 + v%10*10 + v/10%10; math.Abs(float64(slip-v)) > 40 {
			swapped++
			from["calf_girth"] = float64(slip)
			if slices.ContainsFunc(must(t, from, "").Odds(), func(o Odd) bool { return o.Key == "calf_girth" }) {
				found++
			}
		}
	}
	t.Logf("%d of %d readings named, %d of %d swaps of a calf's digits found", named, len(all)*len(given), found, swapped)
	if named > len(all)*len(given)/150 {
		t.Errorf("%d of %d honest readings are named", named, len(all)*len(given))
	}
	if swapped < 100 || found < swapped*8/10 {
		t.Errorf("%d of %d slips found", found, swapped)
	}

	b := must(t, map[string]float64{"stature": 1690, Weight: 66, "hip_girth": 1000, "foot_length": 250, "heel_girth.left": 250}, "")
	odds := b.Odds()
	if len(odds) == 0 || !slices.ContainsFunc(odds, func(o Odd) bool {
		return o.Key == "heel_girth.left" && o.Read == 250 && o.Low > 270 && o.High < 360 && o.Low < o.High
	}) {
		t.Errorf("foot length for the heel's girth: %+v", odds)
	}
}

// TestLeftOut: what all other readings say of one is what Estimate says
// without it.
func TestLeftOut(t *testing.T) {
	given := map[string]float64{"stature": 1690, Weight: 66, "calf_girth": 380, "wrist_girth": 158}
	b := must(t, given, "")
	at := slices.IndexFunc(b.readings, func(r reading) bool { return r.key == "calf_girth" })
	m := b.without(at)
	delete(given, "calf_girth")
	without := must(t, given, "")
	i := index(Measures(), "calf_girth")
	for k, part := range without.parts {
		require.InDelta(t, part.chance, m[k].chance, 1e-9)
		require.InDelta(t, part.mean[i], m[k].Mu, 1e-9)
		require.InDelta(t, math.Sqrt(part.cov.At(i, i)+b.readings[at].noise), m[k].Sigma, 1e-9)
	}
}

// TestHelps: the cut is what Estimate then leaves, and the ranking is as a
// shoemaker and a tailor would have it.
func TestHelps(t *testing.T) {
	given := map[string]float64{"stature": 1690, Weight: 66}
	b := must(t, given, Female)
	helps, err := b.Helps(map[string]float64{"heel_girth": 1})
	require.NoError(t, err)
	require.Len(t, helps, len(Measures())-2)
	for k, h := range helps {
		if k > 0 && h.Cut > helps[k-1].Cut || h.Cut < 0 || h.Cut > 1 {
			t.Errorf("%d: %+v after %+v", k, h, helps[k-1])
		}
		given[h.Measure] = of(t, b, h.Measure).Mean
		then := of(t, must(t, given, Female), "heel_girth")
		delete(given, h.Measure)
		if math.Abs(then.SD/h.SD-1) > 0.02 {
			t.Errorf("reading %s leaves %.3f, said to leave %.3f", h.Measure, then.SD, h.SD)
		}
	}
	if helps[0].Measure != "heel_girth" {
		t.Errorf("nothing helps more than the measure itself, but %s", helps[0].Measure)
	}
	rank := func(name string) int { return slices.IndexFunc(helps, func(h Help) bool { return h.Measure == name }) }
	for _, near := range []string{"foot_length", "ball_girth", "ankle_girth", "instep_girth"} {
		if rank(near) > rank("chest_girth") || rank(near) > rank("neck_girth") {
			t.Errorf("%s tells less of a heel than chest or neck", near)
		}
	}

	none, err := b.Helps(nil)
	require.NoError(t, err)
	require.Empty(t, none)
}

// TestHelpsOfTwo: for a target of two measures one reading of either cuts less
// than for one of them alone.
func TestHelpsOfTwo(t *testing.T) {
	b := must(t, map[string]float64{"stature": 1690}, "")
	both, err := b.Helps(map[string]float64{"calf_girth": 1, "wrist_girth": 3})
	require.NoError(t, err)
	for _, h := range both {
		if h.Measure == "calf_girth" || h.Measure == "wrist_girth" {
			alone, err := b.Helps(map[string]float64{h.Measure: 1})
			require.NoError(t, err)
			if h.Cut >= alone[0].Cut {
				t.Errorf("%s cuts %.2f of both and %.2f of itself", h.Measure, h.Cut, alone[0].Cut)
			}
		}
	}
}

func TestBrokenSummary(t *testing.T) {
	lines := strings.Split(summary, "\n")
	first := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "sex\t") })
	change := func(k int, to ...string) string {
		return strings.Join(slices.Replace(slices.Clone(lines), k, k+1, to...), "\n")
	}
	for name, text := range map[string]string{
		"empty":           "",
		"no sex":          change(first),
		"count":           change(first, "sex\tfemale\tmany"),
		"a measure less":  change(first + 3),
		"a field less":    change(first+1, lines[first+1][:strings.LastIndex(lines[first+1], "\t")]),
		"no number":       change(first+1, lines[first+1]+"x"),
		"only one sex":    strings.Join(lines[:first+1+len(Measures())], "\n"),
		"a sex too short": strings.Join(lines[:len(lines)-3], "\n"),
		"a measure twice": change(first+1, lines[first+1], lines[first+1]),
	} {
		if _, err := parse(text); err == nil {
			t.Errorf("%s: read without an error", name)
		}
	}
}

func BenchmarkEstimate(b *testing.B) {
	given := map[string]float64{"stature": 1710, Weight: 68, "calf_girth": 382, "heel_girth.left": 331, "hip_girth": 1000}
	for _, sex := range []string{Female, ""} {
		b.Run("sex="+sex, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Estimate(given, sex); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
