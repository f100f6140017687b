package analysis

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A scale along the part is moved a little within what its lengths allow, or to the
// middle where they leave less; it stays where it does that already.
func TestSuiting(t *testing.T) {
	for _, c := range []struct {
		at          float64
		least, most float64
		want        float64
		why         string
	}{
		{100, 0, 0, 100, "no limit"},
		{100, 0, 120, 100, "well within"},
		{100, 0, 100, 100 * (1 - inset), "at the largest"},
		{130, 0, 100, 100 * (1 - inset), "over the largest"},
		{100, 100, 0, 100 * (1 + inset), "at the smallest"},
		{70, 80, 120, 80 * (1 + inset), "below the smallest"},
		{100, 100, 100.1, 100.05, "hardly any room"},
		{130, 100, 100.1, 100.05, "hardly any room, from above"},
	} {
		require.InDelta(t, c.want, suiting(c.at, []Length{{Smallest: c.least, Largest: c.most}}), 1e-9, c.why)
	}
	// Of two lengths both are suited where they can be.
	got := suiting(100, []Length{{Smallest: 104}, {Largest: 110}})
	require.True(t, got > 104 && got < 110, got)
}
