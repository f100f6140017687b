package analysis

import (
	"fmt"

	"gambeson/analysis/fit/survey"
)

// poses names, for the measures that change with the pose, the pose to warn of,
// and what to do about it. By how much is in the survey.
var poses = map[string]struct{ pose, says string }{
	"forearm_girth":   {"relaxed", "is taken of the bent arm with the fist clenched, so that the shell does not press when you grip; relaxed, the arm is about %s mm less round and the shell that much looser"},
	"upper_arm_girth": {"relaxed", "is taken of the bent arm with the fist clenched, so that the shell does not press when you lift; relaxed, the arm is about %s mm less round and the shell that much looser"},
	"hip_girth":       {"sitting", "is taken standing; when you sit it grows by about %s mm, which a closed shell does not give: try a test band sitting, or plan to stand"},
}

// notePose says how a measure changes with the pose.
func (f *Findings) notePose(s Sit) {
	p, told := poses[s.Measure]
	change, known := survey.In(s.Measure, p.pose)
	if !told || !known {
		return
	}
	other, _ := change.Of(s.Body, 0)
	f.note("pose", fmt.Sprintf("The %s girth "+p.says+" (mean of 2420 flyers, USAF 1967).", MeasureWords(s.Measure), tenths(max(other-s.Body, s.Body-other))))
}
