package suit

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// triedAt is a part that is set to a scale, with what was found at its heel or calf there and
// the odds that it fits, which fall by two points for each per cent above 104.
func triedAt(set float64, tried ...analysis.Tried) *analysis.Findings {
	f := doubtful(part("greave", "lower_leg", "left", 100, 110), 2)
	f.Percent, f.Fit.Lead = set, "calf_girth"
	f.Testing = &analysis.Testing{Print: 104, Chance: 0.97, SD: 1.5, Tried: tried}
	for x := 96.0; x <= 116; x++ {
		f.Testing.Odds = append(f.Testing.Odds, [2]float64{x, 0.97 - 0.04*max(x-104, 104-x)})
	}
	return f
}

// What was found to fit at the scale that is set stays at it, though another is likelier;
// not where something else that was found speaks against it, or where it hardly fits.
func TestWhatWasFoundToFitStays(t *testing.T) {
	heel := func(verdict string, at float64) analysis.Tried {
		return analysis.Tried{Station: "heel_girth", Percent: at, Verdict: verdict, Counts: true}
	}
	calf := func(verdict string, at float64) analysis.Tried {
		e := heel(verdict, at)
		e.Station = "calf_girth"
		return e
	}
	scale := func(f *analysis.Findings) float64 { return judged(f).Parts[0].Scale }
	require.NotEqual(t, 108.0, scale(triedAt(108, heel("fits", 104))), "found at another scale")
	require.Equal(t, 108.0, scale(triedAt(108, heel("fits", 108))))
	require.Equal(t, 108.0, scale(triedAt(108, heel("fits", 108), heel("loose", 106))), "a heel that is not tight")
	for _, against := range []analysis.Tried{calf("loose", 108), calf("loose", 105), calf("tight", 108), heel("tight", 109)} {
		require.NotEqual(t, 108.0, scale(triedAt(108, heel("fits", 108), against)), "%+v", against)
	}
	require.Equal(t, 108.0, scale(triedAt(108, heel("fits", 108), calf("tight", 106), calf("loose", 109))), "between them")
	require.NotEqual(t, 111.0, scale(triedAt(111, heel("fits", 111))), "too loose three times in ten")

	// Its own report says the same.
	require.Zero(t, triedAt(108, heel("fits", 108)).Advised())
	require.NotZero(t, triedAt(108, heel("fits", 104)).Advised())
	require.NotZero(t, triedAt(108, heel("fits", 108), calf("loose", 107)).Advised())
	other := heel("fits", 108)
	other.Part, other.Across = "greave-right", true
	require.Zero(t, triedAt(108, other).Advised(), "on the other side, of one size")
	other.Across = false
	require.NotZero(t, triedAt(108, other).Advised(), "where another part covers the heel")
}

// A band counts for what of the doubt it can answer: what may be too loose at the calf is
// asked at the calf, though a ring for the heel is cheaper, and not at all where there is none.
func TestBandAnswersTheDoubtThereIs(t *testing.T) {
	greave := func(bands ...string) *analysis.Findings {
		f := doubtful(part("greave", "lower_leg", "left", 100, 110), 4)
		f.Percent, f.Fit.Chance = 109, 0.7
		for i, measure := range bands {
			f.Bands = append(f.Bands, analysis.Band{File: measure, Measure: measure, Passes: measure == "heel_girth", Station: 50, Height: 12, Hours: 1 + float64(i), Percent: 109})
		}
		f.Testing = &analysis.Testing{Print: 105, Chance: 0.99, Limits: []analysis.Limit{
			{Measure: "calf_girth", Smallest: 100, Worn: 98, Loosest: 110, SD: 2.4}, {Measure: "heel_girth", Passes: true, Smallest: 101, Worn: 101, SD: 2},
		}}
		return f
	}
	// Another part has that scale, and this one no lower that is sure enough.
	fixed := func(f *analysis.Findings) Suit {
		mate := part("mate", "thigh", "", 109, 109)
		f.Testing.Tried = nil
		f.Fit.Smallest, f.Fit.Recommended = 108.9, 109
		return judged(f, mate)
	}
	s := fixed(greave("heel_girth", "calf_girth"))
	require.Len(t, s.First, 1)
	require.Equal(t, "calf_girth", s.First[0].Measure)
	require.Empty(t, fixed(greave("heel_girth")).First, "it cannot answer that")
	tight := greave("heel_girth")
	tight.Testing.Limits[1].Smallest, tight.Testing.Limits[1].Worn = 109, 109
	require.Len(t, fixed(tight).First, 1)
	unknown := greave("heel_girth")
	unknown.Testing.Limits = nil
	require.Len(t, fixed(unknown).First, 1)
	asked := greave("heel_girth")
	asked.Testing.Next = &analysis.NextBand{Band: "heel_girth"}
	require.Len(t, fixed(asked).First, 1, "as its own report asks")
}

// By hand: half of all bodies need more than the least scale, one in six a standard
// deviation more.
func TestOffIsTheShareOfBodies(t *testing.T) {
	l := analysis.Limit{Smallest: 104, Worn: 102, Loosest: 112, SD: 2}
	for _, c := range []struct {
		at   float64
		worn bool
		want float64
	}{{104, false, 0.5}, {106, false, 0.1587 + 0.0013}, {104, true, 0.1587}, {112, true, 0.5}, {110, false, 0.0013 + 0.1587}} {
		require.InDelta(t, c.want, l.Off(c.at, c.worn), 1e-3, "%+v", c)
	}
	l.Loosest = 0
	require.InDelta(t, 0, l.Off(130, false), 1e-9)
}

// What was found to fit where it is set is asked about at that scale alone.
func TestNoBandElsewhereForWhatWasFoundToFit(t *testing.T) {
	band := func(at float64) []analysis.Band {
		return []analysis.Band{{File: "b", Measure: "heel_girth", Passes: true, Station: 50, Height: 12, Hours: 1, Percent: at}}
	}
	for at, want := range map[float64]int{108: 1, 104: 0} {
		f := triedAt(108, analysis.Tried{Station: "calf_girth", Percent: 108, Verdict: "fits", Counts: true})
		f.Bands, f.Testing.Next = band(at), &analysis.NextBand{Band: "b", Percent: at}
		s := judged(f)
		require.Equal(t, 108.0, s.Parts[0].Scale)
		require.Len(t, s.First, want, "%v", at)
	}
}

// What it costs a part to wear the scale of others is said: that it is likelier not to fit
// there, or that it takes hours more; not where it is little, or where it has its own.
func TestSharingSaysWhatItCosts(t *testing.T) {
	helm := part("helm", "head", "", 100, 0)
	helm.Print = &analysis.Print{Hours: 60, Percent: 100}
	helm.Fit.Recommended = 100
	neck := part("neck", "neck", "", 102.9, 103)
	s := judged(helm, neck)
	require.Len(t, s.Scales, 1)
	p, _ := s.Part("helm")
	require.NotNil(t, p.Shares)
	require.Equal(t, 100.0, p.Shares.Own)
	require.InDelta(t, helm.Print.At(p.Scale).Hours-helm.Print.At(100).Hours, p.Shares.Less, 1e-9)
	require.Greater(t, p.Shares.Less, 2.0)
	n, _ := s.Part("neck")
	require.Nil(t, n.Shares)
	for set, want := range map[float64]float64{108: 108, 112: p.Scale} {
		far := *helm
		far.Percent = set
		p, _ := judged(&far, neck).Part("helm")
		require.Equal(t, want, p.Scale, "set to %v, where nothing makes it loose", set)
	}
	helm.Print.Hours = 10
	p, _ = judged(helm, neck).Part("helm")
	require.Nil(t, p.Shares, "half an hour")

	arm := func() *analysis.Findings { return doubtful(part("arm", "upper_arm", "", 96, 106), 3) }
	p, _ = judged(arm(), part("neck", "neck", "", 104.5, 104.6)).Part("arm")
	require.Nil(t, p.Shares, "2 in 10 instead of less than 1 in 100: it is not worth that")
	require.Equal(t, 101.0, p.Scale)
	p, _ = judged(arm()).Part("arm")
	require.Nil(t, p.Shares)
	set := arm()
	set.Percent = 101
	p, _ = judged(set, part("neck", "neck", "", 104.5, 104.6)).Part("arm")
	require.Equal(t, 101.0, p.Scale, "given its own, it keeps it")
	require.Nil(t, p.Shares)
}

// No part that is free leaves its own scale for that of others where it is likelier by more
// than sharedMisfit, and a tenth of a percent for rounding, to be printed again. The chance is
// counted over bodies that are drawn, not reckoned.
func TestSharedScaleIsWorthIt(t *testing.T) {
	const seed, rounds, bodies = 47, 150, 4000
	rnd := rand.New(rand.NewPCG(seed, 0))
	shifts := make([]float64, bodies)
	for i := range shifts {
		shifts[i] = rnd.NormFloat64()
	}
	off := func(r *Range, scale float64) float64 {
		n := 0
		for _, z := range shifts {
			if x := scale - z*r.SD; x < r.Smallest || r.Loosest > 0 && x > r.Loosest {
				n++
			}
		}
		return float64(n) / bodies
	}
	shared := 0
	for range rounds {
		var parts []*analysis.Findings
		for i := range 6 {
			lo, hi := 92+14*rnd.Float64(), 0.0
			if i > 0 {
				hi = lo + 3 + 9*rnd.Float64()
			}
			parts = append(parts, doubtful(part(fmt.Sprint("p", i), some[rnd.IntN(len(some))], "", lo, hi), 0.5+5*rnd.Float64()))
		}
		s := judged(parts...)
		shared += len(s.Parts) - len(s.Scales)
		for _, p := range s.Parts {
			least := min(off(p.Range, p.Scale), off(p.Range, p.Scale-0.1), off(p.Range, p.Scale+0.1))
			const drawn = 0.02 // what the draws leave open
			require.LessOrEqual(t, least, off(p.Range, p.Range.Recommended)+sharedMisfit+drawn, "%+v at %v", p.Range, p.Scale)
		}
	}
	require.Greater(t, shared, 2*rounds, "half of the parts and more share a scale still")
}

// A boot whose file is to be stretched is as likely to fit as it was found to be so
// stretched, whatever its range at one scale for all says; once it is, it stays as it is.
func TestStretchedIsJudgedAsItThenIs(t *testing.T) {
	boot := doubtful(part("boot-left", "foot", "left", 115, 125.6), 1.8)
	boot.Fit.Verdict = "tight"
	boot.Fit.TwoWay = &analysis.TwoWay{Girth: 127, Length: 100, Axis: [3]float64{0, 1, 0}, Axes: [3]float64{127, 100, 127}, Fits: true}
	require.Equal(t, High, judged(boot).Parts[0].Risk.Level, "nothing is known of it so stretched")
	boot.Fit.TwoWay.Chance = 0.95
	risk := judged(boot).Parts[0].Risk
	require.Equal(t, Low, risk.Level)
	require.InDelta(t, 0.05, risk.Unfit, 1e-9)
	boot.Fit.TwoWay.Chance = 0.6
	risk = judged(boot).Parts[0].Risk
	require.Equal(t, High, risk.Level)
	require.False(t, risk.TooLarge, "by the range of another shape")

	done := doubtful(part("boot-left", "foot", "left", 96.8, 100.2), 1)
	done.Fit.Chance = 0.95
	require.Equal(t, 98.5, judged(done).Parts[0].Scale)
	done.Stretched = true
	require.Equal(t, 100.0, judged(done).Parts[0].Scale)
	done.Fit.Chance = 0.6
	require.Equal(t, 98.5, judged(done).Parts[0].Scale, "it hardly fits")

	// Of a pair the less likely counts for both, as they are stretched alike.
	boots := make([]*analysis.Findings, 2)
	for i, side := range []string{"left", "right"} {
		boots[i] = doubtful(part("boot-"+side, "foot", side, 115, 125.6), 1.8)
		boots[i].Fit.Verdict, boots[i].Mesh = "tight", meshOf(1200)
		boots[i].Fit.TwoWay = &analysis.TwoWay{Girth: 127, Length: 100, Axis: [3]float64{0, 1, 0}, Axes: [3]float64{127, 100, 127}, Fits: true, Chance: 0.95 - 0.1*float64(i)}
	}
	for _, p := range judged(boots...).Parts {
		require.InDelta(t, 0.15, p.Risk.Unfit, 1e-9)
	}
}

// Who writes percent = 100 has set it as much as another; what the bed does not take there,
// and does at the best scale, is not kept.
func TestWhatIsKeptWasChosenAndFitsTheBed(t *testing.T) {
	f := doubtful(part("greave", "lower_leg", "", 96, 106), 1)
	require.Equal(t, 101.0, judged(f).Parts[0].Scale)
	f.PercentSet = true
	require.Equal(t, 100.0, judged(f).Parts[0].Scale)
	f.Percent = 103
	require.Equal(t, 103.0, judged(f).Parts[0].Scale)
	f.Bed.Largest = analysis.Largest{AsIs: 102}
	require.Equal(t, 101.0, judged(f).Parts[0].Scale)
	f.Bed.Largest = analysis.Largest{AsIs: 90}
	require.Equal(t, 103.0, judged(f).Parts[0].Scale, "it is parted anyhow")
}

// What nothing makes loose does not grow for others because a band of it was tried on; and
// what passed on a smaller heel does not show where a larger one passes.
func TestTriedHelmAndHeelKeepTheirBounds(t *testing.T) {
	helm := part("helm", "head", "", 100, 0)
	helm.Testing = &analysis.Testing{Print: 101, Chance: 0.99, SD: 1, Odds: [][2]float64{{98, 0.1}, {100, 0.95}, {101, 0.99}, {120, 0.99}}, Tried: []analysis.Tried{{Station: "head_over_face_girth", Percent: 99, Verdict: "fits", Counts: true}}}
	s := judged(helm, part("neck", "neck", "", 108, 110))
	require.Len(t, s.Scales, 2)
	p, _ := s.Part("helm")
	require.LessOrEqual(t, p.Scale, 104.1)

	for differs, want := range map[float64]float64{0: 105, 12: 105, -12: 106} {
		heel := &analysis.Testing{Measure: "heel_girth", Passes: true, Print: 107, Smallest: 104.7, SD: 1, Tried: []analysis.Tried{
			{Station: "heel_girth", Percent: 103, Verdict: "tight", Counts: true},
			{Station: "heel_girth", Percent: 105, Verdict: "fits", Counts: true, Part: "greave-right", Differs: differs},
		}}
		require.InDelta(t, want, gate(heel), 0.03, "%v", differs)
	}
}

// The risk at a scale is the same before it is set as after, when the draws of the fit are
// for it: of bodies whose least scale is the larger of two girths', as those draws count
// them, and whose loosest is as uncertain.
func TestRiskStaysOnceTheScaleIsSet(t *testing.T) {
	const bodies = 20_000
	random := rand.New(rand.NewPCG(3, 5))
	var least, loosest []float64
	for range bodies {
		shared := random.NormFloat64()
		least = append(least, max(105.2+1.1*shared, 104.6+1.3*random.NormFloat64()))
		loosest = append(loosest, 109+0.6*shared)
	}
	sorted := slices.Sorted(slices.Values(least))
	interval := &[2]float64{sorted[bodies/20], sorted[bodies-bodies/20]}
	for _, at := range []float64{104.5, 105.5, 106, 107, 108, 109.5} {
		fits := 0
		for i := range least {
			if at >= least[i] && at <= loosest[i] {
				fits++
			}
		}
		want := 1 - float64(fits)/bodies
		for name, c := range map[string]struct {
			opened bool
			fit    analysis.Fit
		}{
			"closed":         {false, analysis.Fit{Loosest: 109, SmallestInterval: interval}},
			"to be opened":   {true, analysis.Fit{Loosest: 109, SmallestInterval: &[2]float64{112, 116}, RestsInterval: interval}},
			"once it is set": {false, analysis.Fit{Loosest: 109, SmallestInterval: interval, Chance: 1 - want}},
		} {
			p := Part{Wanted: 100, Scale: at, Range: &Range{Smallest: 105.2, Loosest: 107.2, Recommended: 106, SD: 0.6, Opened: c.opened}}
			if c.fit.Chance > 0 {
				p.Wanted = at
			}
			f := &analysis.Findings{Percent: p.Wanted, Fit: &c.fit}
			c.fit.Lead, c.fit.Sits = "calf_girth", []analysis.Sit{{Measure: "calf_girth", Capacity: 4 * p.Wanted, SD: 2.4}} // 0.6 %
			got, known := Risk{At: at}.chance(p, f)
			require.True(t, known)
			require.InDelta(t, want, got, 0.04, "%s at %v", name, at)
		}
	}
	// Nothing is known to lie anywhere: the range alone decides.
	bare := &Range{Smallest: 105.2, Loosest: 107.2, SD: 0.6}
	require.Equal(t, bare.misfit(106), bare.unfit(&analysis.Findings{Percent: 100, Fit: &analysis.Fit{}}, 106))
}
