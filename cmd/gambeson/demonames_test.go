package main

import (
	"testing"

	"gambeson/analysis/fit/guess"
	"gambeson/config"

	"github.com/stretchr/testify/require"
)

// Every part of the demo suit is told by its name alone: region and side are
// those that its suit.toml gives it, or for the archive's, which it does not
// name, those of the left one beside it.
func TestDemoNamesSayWhatPartsCover(t *testing.T) {
	dir := layDemo(t)
	suit, err := config.Load(dir)
	require.NoError(t, err)
	parts := demoParts(t, dir)
	require.Len(t, parts, 14)
	twin := map[string]string{
		"kit.zip/arms/upper-arm-right.stl": "arms/upper-arm-left.obj",
		"kit.zip/legs/boot-right.stl":      "legs/boot-left.stl",
	}
	for name := range parts {
		want := suit.Brief(name).Region
		if left, archived := twin[name]; archived {
			want = suit.Brief(left).Region
			want.Side = "right"
		}
		region, side, reason, ok := guess.FromName(name)
		if !ok || region != want.Name || side != want.Side {
			t.Errorf("%s is a %q %q (%s), want %q %q", name, side, region, reason, want.Side, want.Name)
		}
	}
}
