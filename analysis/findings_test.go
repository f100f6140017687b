package analysis

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is not known of an opening is absent, never zero.
func TestOpeningLeavesOutWhatIsNotKnown(t *testing.T) {
	text, err := json.Marshal([]Opening{{Name: "A", Girth: 263.9, Capacity: 261.5}, {Name: "B", Girth: 90}, {Name: "C"}})
	require.NoError(t, err)
	require.JSONEq(t, `[
		{"name": "A", "center_mm": [0, 0, 0], "facing": [0, 0, 0], "girth_mm": 263.9, "capacity_mm": 261.5},
		{"name": "B", "center_mm": [0, 0, 0], "facing": [0, 0, 0], "girth_mm": 90},
		{"name": "C", "center_mm": [0, 0, 0], "facing": [0, 0, 0]}
	]`, string(text))
}
