package drawing

import (
	"testing"

	"gambeson/analysis"
	"gambeson/report/picture/chart"

	"github.com/stretchr/testify/require"
)

// A band that two answers lead to is drawn once, and each answer reads as one says it.
func TestLaterRungs(t *testing.T) {
	require.Equal(t, []chart.Rung{{Percent: 100, Text: "then, if it fits or is loose"}, {Percent: 106, Text: "then, if it is tight"}},
		laterRungs([]analysis.After{{Verdict: "fits", Band: 100}, {Verdict: "tight", Band: 106}, {Verdict: "loose", Band: 100}}))
	require.Empty(t, laterRungs([]analysis.After{{Verdict: "fits", Print: 104}}))
}
