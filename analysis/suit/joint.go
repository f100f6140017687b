package suit

import "slices"

// above names, for each region, the one that it meets at the joint nearer to
// the torso; children stand before their parents. A knee's shell meets the greave as well,
// an elbow's the forearm's, but they are hung on the thigh and the upper arm (common
// practice, no source), and shareOut needs a tree.
var above = []struct{ region, meets string }{
	{"foot", "lower_leg"}, {"lower_leg", "thigh"}, {"knee", "thigh"}, {"thigh", "hips"}, {"hips", "torso"},
	{"hand", "forearm"}, {"forearm", "upper_arm"}, {"elbow", "upper_arm"}, {"upper_arm", "shoulder"}, {"shoulder", "torso"},
	{"head", "neck"}, {"neck", "torso"},
	{"torso", ""},
}

// neighbours returns the regions that meet a region at a joint.
func neighbours(region string) []string {
	var out []string
	for _, a := range above {
		switch {
		case a.region == region && a.meets != "":
			out = append(out, a.meets)
		case a.meets == region && region != "":
			out = append(out, a.region)
		}
	}
	return out
}

// nearest returns the regions that are reached from one over the joints, the
// nearest first, itself before all.
func nearest(region string) []string {
	out := []string{region}
	for at := 0; at < len(out); at++ {
		for _, n := range neighbours(out[at]) {
			if !slices.Contains(out, n) {
				out = append(out, n)
			}
		}
	}
	return out
}
