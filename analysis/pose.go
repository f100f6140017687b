package analysis

import (
	"fmt"

	"gambeson/analysis/fit/survey"
)

// bent is the pose of a joint; only what goes round the joint itself has to give way to it.
const bent = "bent"

// poses names, for the measures that change with the pose, the pose to warn of,
// and what to do about it. By how much is in the survey.
var poses = map[string]struct{ pose, says string }{
	"forearm_girth":   {"relaxed", "is taken of the bent arm with the fist clenched, so that the shell does not press when you grip; relaxed, the arm is about %s mm less round and the shell that much looser"},
	"upper_arm_girth": {"relaxed", "is taken of the bent arm with the fist clenched, so that the shell does not press when you lift; relaxed, the arm is about %s mm less round and the shell that much looser"},
	"knee_girth":      {bent, "is taken of the straight leg; bent, the knee is about %s mm more round and the shell that much tighter"},
	"elbow_girth":     {bent, "is taken of the straight arm; bent, the elbow is about %s mm more round and the shell that much tighter"},
	"hip_girth":       {"sitting", "is taken standing; when you sit it grows by about %s mm, which a closed shell does not give: try a test band sitting, or plan to stand"},
}

// notePose says how a measure changes with the pose.
func (f *Findings) notePose(s Sit) {
	p, told := poses[s.Measure]
	change, known := survey.In(s.Measure, p.pose)
	if !told || !known || p.pose == bent && s.Measure != f.Fit.Lead {
		return
	}
	other, _ := change.Of(s.Body, 0)
	text := fmt.Sprintf("The %s girth "+p.says+" (mean of 2420 flyers, USAF 1967).", MeasureWords(s.Measure), tenths(max(other-s.Body, s.Body-other)))
	if p.pose == bent && s.Ease < other-s.Body {
		text += fmt.Sprintf(" It has %s mm of ease: it will press when the joint bends, if it is not open there.", tenths(max(0, s.Ease)))
	}
	f.note("pose", text)
}
