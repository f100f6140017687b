package analysis

import "math"

// girthsOf names, for each region, the measures that meet the part where it is
// tightest and where it is widest (common practice, no source). A region that
// is not here has none that can be told without knowing the way in.
var girthsOf = map[string][2]string{
	"lower_leg": {"ankle_girth", "calf_girth"},
	"thigh":     {"lower_thigh_girth", "thigh_girth"},
	"hips":      {"waist_girth", "hip_girth"},
	"torso":     {"waist_girth", "chest_girth"},
	"upper_arm": {"elbow_girth", "upper_arm_girth"},
	"forearm":   {"wrist_girth", "forearm_girth"},
	"neck":      {"neck_girth", "neck_base_girth"},
}

// compareGirths sets the inner girth (the capacity where the part is open) at
// the tightest and the widest station against the wearer's measures of the
// region, padded: the plain difference, no verdict.
func (f *Findings) compareGirths(brief Brief) {
	measures, known := girthsOf[brief.Region.Name]
	tightest, ok := f.Tightest()
	if !known || !ok {
		return
	}
	widest, _ := f.Widest()
	padding := 2 * math.Pi * (brief.Shell.Padding + brief.Shell.Liner)
	fit := Fit{Verdict: "unknown"}
	for i, s := range []Station{tightest, widest} {
		body, given := brief.Wearer.Measure(measures[i], brief.Region.Side)
		has := s.InnerGirth
		if s.Gap > 0 { // the wall alone says nothing about the room
			has = s.Capacity
		}
		if !given || has == 0 {
			continue
		}
		fit.Sits = append(fit.Sits, Sit{
			Measure: measures[i], Body: body, Source: "measured", Needed: body + padding,
			Capacity: has, Ease: has - body - padding, Along: s.Along,
		})
	}
	if len(fit.Sits) > 0 {
		f.Fit = &fit
	}
}
