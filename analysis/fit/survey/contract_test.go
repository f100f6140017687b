package survey_test

import (
	"fmt"
	"testing"

	"gambeson/analysis/fit/survey"
	"gambeson/config"

	"github.com/stretchr/testify/require"
)

// TestSameMeasuresAsTheWearerFile: names and sides, in the same order, and
// weight last.
func TestSameMeasuresAsTheWearerFile(t *testing.T) {
	ours, theirs := survey.Measures(), config.Measures()
	require.Len(t, ours, len(theirs)+1)
	for i, m := range theirs {
		if ours[i].Name != m.Name || (ours[i].Sides > 0) != m.Sided {
			t.Errorf("%d: %s with sides %v, in wearer.toml %s with sides %v", i, ours[i].Name, ours[i].Sides > 0, m.Name, m.Sided)
		}
	}
	require.Equal(t, survey.Weight, ours[len(theirs)].Name)
	for _, m := range ours {
		if m.Tape <= 0 || m.Column == "" || (m.Source == survey.Ansur2012) != (m.Shared != "") {
			t.Errorf("%+v lacks something", m)
		}
	}
}

// A boot wants the girth of the heel, and Mira has measured her calf alone.
func ExampleEstimate() {
	body, err := survey.Estimate(map[string]float64{"stature": 1710, "weight": 68, "calf_girth": 382}, survey.Female)
	if err != nil {
		fmt.Println(err)
		return
	}
	heel, _ := body.Of("heel_girth")
	low, high := body.Within("heel_girth", 0.9)
	fmt.Printf("heel_girth %.0f mm, estimated, 9 in 10 between %.0f and %.0f\n", heel.Mean, low, high)
	helps, _ := body.Helps(map[string]float64{"heel_girth": 1})
	fmt.Printf("measure %s: ± %.0f becomes ± %.0f mm\n", helps[0].Measure, heel.SD, helps[0].SD)
	// Output:
	// heel_girth 320 mm, estimated, 9 in 10 between 305 and 336
	// measure heel_girth: ± 10 becomes ± 4 mm
}
