package report

import (
	"testing"

	"gambeson/analysis"
	"gambeson/report/words"

	"github.com/stretchr/testify/require"
)

// A lesser scale at which the part fits only as it is too short for what is tight says so.
func TestTooShortIsSaidBesideTheScale(t *testing.T) {
	f := &analysis.Findings{Percent: 100, Fit: &analysis.Fit{Verdict: "tight", Smallest: 96.5, Rests: 96.5, Missed: []string{"lower_thigh_girth"}, Entries: []analysis.Entry{{Measure: "knee_girth", Percent: 92.5, Passes: true}}}}
	var b page
	b.scale(f, analysis.DefaultBrief())
	require.Contains(t, b.String(), "| once in, it has room from | 96.5 % | so short then that it does not reach the lower thigh |")
}

// What goes two ways apart is told by the opening at their ends; a measure that
// goes one way is not.
func TestTwoWaysOfOneMeasureAreToldApart(t *testing.T) {
	d := boot()
	sit := d.Findings.Fit.Sits[0]
	sit.Measure, sit.From = "thigh_girth", "A"
	left, right := sit, sit
	left.To, right.To = "B", "C"
	d.Findings.Fit.Sits = append(d.Findings.Fit.Sits, left, right)
	var b page
	b.sits(&d.Findings, d.Brief)
	for _, want := range []string{"| thigh, to opening B |", "| thigh, to opening C |", "| " + words.BodyPlace(d.Findings.Fit.Sits[0].Measure) + " |"} {
		require.Contains(t, b.String(), want)
	}
}

// A cap on a joint says how wide the joint is beside its rim.
func TestCapSpansItsJoint(t *testing.T) {
	f := &analysis.Findings{Percent: 100, Fit: &analysis.Fit{Verdict: "unknown", Cap: &analysis.Cap{Measure: "knee_girth", Body: 391, Source: "estimated", Needed: 134.46, Rim: 149.1, Least: 90.17}}}
	var b page
	b.scale(f, analysis.DefaultBrief())
	require.Contains(t, b.String(), "| its rim spans the knee from | 90.2 % | about 134.5 mm across with padding, taken as round (girth 391.0 mm, *estimated*); the rim has 149.1 mm inside, the narrower way |")
}
