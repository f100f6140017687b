package answer

import "gambeson/analysis"

// Untaken lists the measures that settle the fit of a region and that the wearer has not
// given.
func Untaken(r *analysis.Region, w analysis.Wearer) []string {
	if r == nil {
		return nil
	}
	var out []string
	for _, m := range tapes[r.Name] {
		if _, ok := w.Measure(m, r.Side); !ok {
			out = append(out, m)
		}
	}
	return out
}

// tapes are the girths that settle the fit of a region, for the advice to
// measure them (ISO 8559-1 names where it has one; which ones: common
// practice, no source).
var tapes = map[string][]string{
	"foot":      {"foot_length", "heel_girth", "instep_girth"},
	"lower_leg": {"calf_girth", "ankle_girth", "heel_girth"},
	"knee":      {"knee_girth", "lower_thigh_girth"},
	"thigh":     {"thigh_girth", "knee_girth"},
	"hips":      {"hip_girth", "waist_girth", "thigh_girth"},
	"torso":     {"chest_girth", "waist_girth", "neck_girth"},
	"shoulder":  {"upper_arm_girth", "chest_girth"},
	"upper_arm": {"upper_arm_girth", "elbow_girth"},
	"elbow":     {"elbow_girth", "forearm_girth"},
	"forearm":   {"forearm_girth", "wrist_girth", "hand_girth"},
	"hand":      {"hand_girth", "wrist_girth"},
	"neck":      {"neck_girth", "head_girth"},
	"head":      {"head_girth", "neck_girth"},
}

// Untold reports whether nothing tells yet how a part that goes round the body fits it.
func Untold(f *analysis.Findings) bool {
	return !f.OnlyCovers() && (f.Fit == nil || f.Fit.Verdict == "" || f.Fit.Verdict == "unknown")
}
