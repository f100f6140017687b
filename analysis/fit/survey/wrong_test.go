package survey

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestHonestBodiesAreNotWrong: of the people that the summary knows nothing of, read as a
// wearer would at home, fewer than one in 200 has any reading that is called wrong,
// whichever measures are given.
func TestHonestBodiesAreNotWrong(t *testing.T) {
	all := append(people(t, "people2012.csv"), people(t, "people1988.csv")...)
	require.Len(t, all, 700)
	measures := Measures()
	for name, given := range map[string][]string{
		"all":        nil,
		"legs":       {"stature", "calf_girth", "heel_girth", "ankle_girth", "crotch_height"},
		"trunk":      {"stature", "chest_girth", "waist_girth", "neck_girth", "head_girth"},
		"two":        {"stature", "calf_girth"},
		"with a kin": {"hip_girth", "waist_girth", "wrist_girth", "hand_girth", Weight},
	} {
		random, said := rand.New(rand.NewPCG(3, 4)), 0
		for _, p := range all {
			from := map[string]float64{}
			for m, v := range p.measures {
				if i := index(measures, m); i >= 0 && (given == nil || slices.Contains(given, m)) {
					from[m] = v + measures[i].Tape*random.NormFloat64()
				}
			}
			if slices.ContainsFunc(must(t, from, "").Odds(), func(o Odd) bool { return o.Wrong }) {
				said++
			}
		}
		t.Logf("%s: %d of %d", name, said, len(all))
		require.Less(t, said, len(all)/200+1, name)
	}
}

// TestWrongReadings: what no body has is called wrong by its name, what goes with the rest
// is not, and two that were exchanged are told.
func TestWrongReadings(t *testing.T) {
	for _, c := range []struct {
		given map[string]float64
		wrong []string // at least one of them, and no other
		swaps [2]string
	}{
		{given: map[string]float64{"stature": 1710, "calf_girth": 382}},
		{given: map[string]float64{"stature": 1710, "calf_girth": 382, "heel_girth": 331, "ankle_girth": 225}},
		{given: map[string]float64{"stature": 1710, "calf_girth": 382, "heel_girth": 225}, wrong: []string{"heel_girth"}},
		{given: map[string]float64{"stature": 1710, "calf_girth": 225, "ankle_girth": 382, "heel_girth": 331}, wrong: []string{"calf_girth", "ankle_girth"}, swaps: [2]string{"calf_girth", "ankle_girth"}},
		{given: map[string]float64{"stature": 1710, "calf_girth": 382, "heel_girth": 225, "ankle_girth": 330}, wrong: []string{"heel_girth", "ankle_girth"}, swaps: [2]string{"heel_girth", "ankle_girth"}},
		{given: map[string]float64{"stature": 1710, "chest_girth": 700, "waist_girth": 1200}, wrong: []string{"chest_girth", "waist_girth"}},
		{given: map[string]float64{"stature": 1710, "head_girth": 680, "head_over_face_girth": 567}, wrong: []string{"head_girth", "head_over_face_girth"}},
		{given: map[string]float64{"stature": 1710, "crotch_height": 1300}, wrong: []string{"stature", "crotch_height"}},
		{given: map[string]float64{"stature": 1710, "calf_girth": 382, "calf_girth.right": 482}, wrong: []string{"calf_girth", "calf_girth.right"}},
		{given: map[string]float64{"stature": 1710, "wrist_girth": 240, "hand_over_thumb_girth": 170}, wrong: []string{"wrist_girth", "hand_over_thumb_girth"}},
	} {
		var said []Odd
		for _, o := range must(t, c.given, "").Odds() {
			if o.Wrong {
				said = append(said, o)
				require.Contains(t, c.wrong, o.Key, "%v", c.given)
				require.True(t, o.Read < o.Low || o.Read > o.High, "%+v", o)
			}
		}
		t.Logf("%v: %+v", c.given, said)
		require.Equal(t, len(c.wrong) > 0, len(said) > 0, "%v", c.given)
		if c.swaps[0] != "" {
			require.ElementsMatch(t, c.swaps[:], []string{said[0].Key, said[0].Swapped}, "%v", c.given)
		}
	}
}
