package survey_test

import (
	"math"
	"testing"

	"gambeson/analysis/fit/survey"
	"gambeson/config"
)

// What wearer.toml takes for usual is what the summary holds of both sexes: from
// the 1st percentile of the one to the 99th of the other (log-normal: 2.326
// standard deviations of the logarithm), with an example in the middle. The
// percentiles of ANSUR II in wearer.toml were counted, so that up to 3 % lie
// between.
func TestWearerFileHoldsTheRangesOfTheSurvey(t *testing.T) {
	for i, m := range config.Measures() {
		low, middle, high := math.Inf(1), 0.0, 0.0
		for _, sex := range []string{survey.Female, survey.Male} {
			mean, log, sd := survey.Alone(sex, m.Name)
			low, high = min(low, math.Exp(log-2.326*sd)), max(high, math.Exp(log+2.326*sd))
			middle += mean / 2
		}
		for _, c := range []struct {
			what         string
			theirs, ours float64
			within       float64
		}{{"P1", m.P1, low, 0.03}, {"P99", m.P99, high, 0.03}, {"example", m.Example, middle, 0.006}} {
			if off := c.theirs/c.ours - 1; math.Abs(off) > c.within {
				t.Errorf("%s: %s is %g mm in wearer.toml and %.1f mm in the survey, %+.1f %%", m.Name, c.what, c.theirs, c.ours, 100*off)
			}
		}
		if now := survey.Measures()[i].Source; (now == survey.Ansur2012) != (m.Source == "ANSUR II 2012") {
			t.Errorf("%s is of %q in wearer.toml and of %q in the survey", m.Name, m.Source, now)
		}
	}
}
