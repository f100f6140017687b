package suit

import "slices"

// above names, for each region, the ones that it may meet at the joint nearer to
// the torso, as a greave meets the knee's shell where there is one; children stand before
// their parents.
var above = []struct{ region, meets string }{
	{"foot", "lower_leg"}, {"lower_leg", "thigh"}, {"lower_leg", "knee"}, {"knee", "thigh"}, {"thigh", "hips"}, {"hips", "torso"},
	{"hand", "forearm"}, {"forearm", "upper_arm"}, {"forearm", "elbow"}, {"elbow", "upper_arm"}, {"upper_arm", "shoulder"}, {"shoulder", "torso"},
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
