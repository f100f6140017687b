package survey

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSide(t *testing.T) {
	given := map[string]float64{"stature": 1700, "calf_girth.left": 380, "calf_girth.right": 388, "heel_girth.left": 331, "wrist_girth": 160}
	for side, want := range map[string]map[string]float64{
		"left":  {"stature": 1700, "calf_girth": 380, "heel_girth": 331, "wrist_girth": 160},
		"right": {"stature": 1700, "calf_girth": 388, "heel_girth.left": 331, "wrist_girth": 160},
		"":      given,
	} {
		require.Equal(t, want, Side(given, side), side)
	}
	require.Len(t, given, 5, "what was given is not touched")
	require.Equal(t, map[string]float64{"calf_girth": 384}, Side(map[string]float64{"calf_girth": 384, "calf_girth.right": 388}, "left"))
	require.Empty(t, Side(nil, "left"))
}

// TestTheOtherSide: a left calf says of the right one what USAF 1967 leaves
// open, SD 6.45 of a calf of 372, and the tape; both together lie between.
func TestTheOtherSide(t *testing.T) {
	given := map[string]float64{"stature": 1740, Weight: 75, "calf_girth.left": 372}
	right := of(t, must(t, Side(given, "right"), Male), "calf_girth")
	if right.Given || math.Abs(right.Mean-372) > 2 || right.SD < 6 || right.SD > math.Hypot(6.45, 4) {
		t.Errorf("right calf from a left one of 372: %+v", right)
	}
	left := of(t, must(t, Side(given, "left"), Male), "calf_girth")
	if !left.Given || left.Mean != 372 || left.SD >= right.SD {
		t.Errorf("left calf: %+v", left)
	}

	given["calf_girth.right"] = 388
	either := of(t, must(t, Side(given, ""), Male), "calf_girth")
	if either.Given || math.Abs(either.Mean-380) > 2 || either.SD >= right.SD {
		t.Errorf("one calf of 372 and 388: %+v", either)
	}
}

// TestPoses against the means of USAF 1967 (2420 men), both poses measured.
func TestPoses(t *testing.T) {
	for _, c := range []struct {
		measure, pose    string
		before, after    float64
		sdBefore, differ float64
	}{
		{"upper_arm_girth", "relaxed", 327.45, 307.86, 22.59, 8.5},
		{"forearm_girth", "relaxed", 297.67, 281.56, 15.77, 7.3},
		{"elbow_girth", "bent", 276.69, 312.39, 14.33, 12.3},
		{"knee_girth", "bent", 386.76, 393.0, 20.74, 8.9},
		{"thigh_girth", "sitting", 588.15, 578.75, 44.33, 13.2},
		{"waist_girth", "sitting", 876.01, 874.07, 73.85, 22.8},
		{"hip_girth", "sitting", 986.19, 1076.38, 55.12, 26.1},
	} {
		change, ok := In(c.measure, c.pose)
		require.True(t, ok, c.measure)
		mm, sd := change.Of(c.before, 0)
		if math.Abs(mm-c.after) > 1 {
			t.Errorf("%s %s: %.1f, in the survey %.1f", c.measure, c.pose, mm, c.after)
		}
		require.InDelta(t, c.differ, sd, 0.05, c.measure)
		if _, with := change.Of(c.before, 5); with <= sd {
			t.Errorf("%s: an uncertain girth is no less certain %s", c.measure, c.pose)
		}
	}
	if _, ok := In("head_girth", "bent"); ok {
		t.Error("a bent head")
	}
}
