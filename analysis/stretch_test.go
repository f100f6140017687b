package analysis

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A scale along the part is moved well within what its lengths allow, or to the middle
// where they leave nothing; it stays where they ask for nothing.
func TestSuiting(t *testing.T) {
	for _, c := range []struct {
		at          float64
		least, most float64
		want        float64
		why         string
	}{
		{100, 0, 0, 100, "no limit"},
		{100, 0, 120, 100, "well within"},
		{100, 0, 100, 100, "at the largest"},
		{130, 0, 100, 100 * (1 - inset), "over the largest"},
		{100, 104, 0, 104 * (1 + overLeast), "below a least without a greatest"},
		{70, 80, 120, 80 + 40*inset, "below the smallest"},
		{123, 107, 114.7, 114.7 - 7.7*inset, "over the largest of a foot"},
		{100, 110, 108, 109, "they ask for opposites"},
	} {
		require.InDelta(t, c.want, suiting(c.at, []Length{{Smallest: c.least, Largest: c.most}}), 1e-9, c.why)
	}
	// Of two lengths both are suited where they can be.
	require.InDelta(t, 104+6*inset, suiting(100, []Length{{Smallest: 104}, {Largest: 110}}), 1e-9)
}
