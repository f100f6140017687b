package fit

import (
	"math"
	"testing"

	"gambeson/analysis/fit/survey"
)

// Means of ANSUR II (Gordon et al. 2014, NATICK/TR-15/007) of men and women, of
// heights that the table of places does not take as they are.
func TestPlacesAgreeWithTheSurvey(t *testing.T) {
	men := map[string]float64{
		"stature": 1756.215, "crotch_height": 845.93, "waist_height": 1056.485, "back_waist_length": 477.612, "foot_length": 271.178,
		"ankle_height": 72.904, "knee_height": 488.388, "upper_arm_length": 335.244, "lower_arm_length": 267.883, "hand_length": 193.278,
	}
	women := map[string]float64{
		"stature": 1628.473, "crotch_height": 782.317, "waist_height": 980.149, "back_waist_length": 425.403, "foot_length": 246.293,
		"ankle_height": 62.748, "knee_height": 449.049, "upper_arm_length": 311.198, "lower_arm_length": 241.33, "hand_length": 181.083,
	}
	for _, c := range []struct {
		what       string
		place      Place
		men, women float64
		within     float64
	}{
		{"buttock height", hipHeight(), 887.867, 833.742, 6},
		{"chest height", chestHeight(), 1291.119, 1171.636, 10},
		// cervicale height less the 30 mm by which the collar's seam lies lower
		{"root of the neck", neckBaseHeight(), 1517.3 - 30, 1395.667 - 30, 5},
		// ANSUR 1988 (NATICK/TR-89/044), whose people are as tall: gluteal furrow height
		{"fold under the seat", thighHeight(), 814.43, 744.33, 15},
		// acromial height less wrist height
		{"wrist below the shoulder", wristPlace(), 1440.737 - 847.512, 1335.095 - 794.19, 15},
		// USAF 1967: ankle height 137.17 at a stature of 1773.43, taken to ours
		{"thinnest place of the leg", ankleHeight(), 137.17 * 1756.215 / 1773.43, 137.17 * 1628.473 / 1773.43, 1e-9},
		// ball of foot length less the heel's share before the bend
		{"ball past the bend", ballPastBend(), 200.935 - 0.22*271.178, 182.051 - 0.22*246.293, 1},
	} {
		for sex, body := range map[string]map[string]float64{"men": men, "women": women} {
			want := c.men
			if sex == "women" {
				want = c.women
			}
			if got := c.place.In(func(m string) float64 { return body[m] }); math.Abs(got-want) > c.within {
				t.Errorf("%s of %s: %.1f mm, want %.1f ± %.1f", c.what, sex, got, want, c.within)
			}
		}
	}
}

// Every measure that the table names is one of the survey's, each region has one
// leading girth, and aspects are such as an ellipse can have.
func TestTableHangsTogether(t *testing.T) {
	known := map[string]bool{}
	for _, m := range survey.Measures() {
		known[m.Name] = true
	}
	for _, r := range Regions() {
		leads := 0
		var named []string
		for _, s := range r.Sits {
			named = append(append(named, s.Measure), s.At.measures()...)
			if s.Lead {
				leads++
			}
			if !(s.Aspect[0] >= 0.5 && s.Aspect[0] <= s.Aspect[1] && s.Aspect[1] <= 1) {
				t.Errorf("%s: %s has the aspect %v", r.Name, s.Measure, s.Aspect)
			}
		}
		for _, e := range r.Enters {
			named = append(named, e.Measure)
		}
		for _, l := range r.Lengths {
			named = append(named, l.Body.measures()...)
		}
		named = append(append(named, r.Stay.From.measures()...), r.Stay.To.measures()...)
		for _, m := range named {
			if !known[m] {
				t.Errorf("%s names %q, which is no measure", r.Name, m)
			}
		}
		if leads != 1 || math.Abs(r.Stay.Sense) != 1 || r.Limb == "" {
			t.Errorf("%s: %d leading girths, sense %g, limb %q", r.Name, leads, r.Stay.Sense, r.Limb)
		}
	}
}
