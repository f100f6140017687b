package survey

import "math"

// Change is how a girth changes with the pose, in the same person.
type Change struct {
	Measure string // the girth as wearer.toml has it
	Pose    string // relaxed, bent, sitting
	Ratio   float64
	SD      float64 // of the ratio, from person to person
}

// Changes lists what USAF 1967 measured twice in its 2420 men: the mean ratio,
// and the SD of the difference over the mean girth. That the ratios hold for
// women is a guess. wearer.toml and ANSUR take forearm and upper arm flexed,
// elbow and knee straight, and the trunk standing.
func Changes() []Change {
	return []Change{
		{"upper_arm_girth", "relaxed", 1 / 1.065, 8.5 / 327.45},
		{"forearm_girth", "relaxed", 1 / 1.058, 7.3 / 297.67},
		{"elbow_girth", "bent", 1.130, 12.3 / 276.69},
		{"knee_girth", "bent", 1.016, 8.9 / 386.76},
		{"thigh_girth", "sitting", 0.984, 13.2 / 588.15},
		{"waist_girth", "sitting", 0.998, 22.8 / 876.01},
		{"hip_girth", "sitting", 1.091, 26.1 / 986.19},
	}
}

// In returns the change of a measure into a pose; ok is false where the survey
// has none.
func In(measure, pose string) (c Change, ok bool) {
	for _, c := range Changes() {
		if c.Measure == measure && c.Pose == pose {
			return c, true
		}
	}
	return Change{}, false
}

// Of returns the girth in the new pose and its standard deviation, from a girth
// and its standard deviation (mm).
func (c Change) Of(girth, sd float64) (mm, newSD float64) {
	return c.Ratio * girth, math.Hypot(c.Ratio*sd, c.SD*girth)
}
