package survey

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A body without a reading is half a woman's and half a man's: its means lie
// halfway between those of the populations, and the spread between the sexes is
// in its standard deviations. Printed means: ANSUR II, NATICK/TR-15/007 (calf
// p. 96, heel p. 150, thigh p. 210, chest p. 102), women and men.
func TestAnyoneIsHalfOfEach(t *testing.T) {
	b := Anyone()
	female, male := b.Sexes()
	require.InDelta(t, 0.5, female, 1e-12)
	require.InDelta(t, 0.5, male, 1e-12)
	for _, c := range []struct {
		measure    string
		women, men float64
	}{
		{"calf_girth", 373.3, 392.3}, {"heel_girth", 310.3, 343.5}, {"thigh_girth", 616.1, 625.1},
		{"chest_girth", 946.9, 1058.7}, {"stature", 1628.5, 1756.2}, {"head_girth", 561.1, 574.4},
	} {
		v, ok := b.Of(c.measure)
		require.True(t, ok)
		if want := (c.women + c.men) / 2; math.Abs(v.Mean/want-1) > 0.005 || v.Given {
			t.Errorf("%s: %.1f mm (given: %v), want %.1f", c.measure, v.Mean, v.Given, want)
		}
		if least := (c.men - c.women) / 2; v.SD < least {
			t.Errorf("%s: SD %.1f mm, less than the %.1f between the sexes", c.measure, v.SD, least)
		}
	}
}

// The median of a mixture lies between those of its parts, its tails beyond its
// mean on both sides.
func TestAnyoneHoldsBothSexes(t *testing.T) {
	all, err := populations()
	require.NoError(t, err)
	b := Anyone()
	for i, m := range b.measures {
		one, other := math.Exp(all[0].logMean[i]), math.Exp(all[1].logMean[i])
		if q := b.Quantile(m.Name, 0.5); q < min(one, other)*(1-1e-9) || q > max(one, other)*(1+1e-9) {
			t.Errorf("%s: median %.2f is not between %.2f and %.2f", m.Name, q, one, other)
		}
		if low, high := b.Quantile(m.Name, 0.001), b.Quantile(m.Name, 0.999); !(low > 0 && low < b.mean[i] && high > b.mean[i]) {
			t.Errorf("%s: %.1f, %.1f, %.1f", m.Name, low, b.mean[i], high)
		}
	}
}

// One reading that says nothing, its error beyond all bounds, leaves the body
// as Anyone has it: conditioning and no conditioning agree.
func TestAnyoneIsEstimateFromNothing(t *testing.T) {
	b := Anyone()
	r := reading{key: "stature", value: 1700, log: math.Log(1700), noise: 1e6}
	e, err := estimate(Measures(), []reading{r}, "")
	require.NoError(t, err)
	for i, m := range b.measures {
		if math.Abs(e.mean[i]/b.mean[i]-1) > 1e-4 {
			t.Errorf("%s: %.4f, by estimating %.4f", m.Name, b.mean[i], e.mean[i])
		}
		for _, p := range []float64{0.001, 0.2, 0.9} {
			if m.Name == "stature" { // has a reading there
				continue
			}
			if got, want := b.Quantile(m.Name, p), e.Quantile(m.Name, p); math.Abs(got/want-1) > 1e-4 {
				t.Errorf("%s at %g: %.4f, by estimating %.4f", m.Name, p, got, want)
			}
		}
	}
	if len(b.Odds()) != 0 {
		t.Errorf("nothing was read, yet it is odd: %+v", b.Odds())
	}
	helps, err := b.Helps(map[string]float64{"calf_girth": 1})
	require.NoError(t, err)
	require.Equal(t, "calf_girth", helps[0].Measure)
}

// Whoever has the answer cannot change it for others.
func TestAnyoneIsTheSameTwice(t *testing.T) {
	one, other := Anyone(), Anyone()
	require.Equal(t, one.mean, other.mean)
	require.Equal(t, one.Cov("calf_girth", "ankle_girth"), other.Cov("calf_girth", "ankle_girth"))
}
