package survey

import "sync"

// Anyone returns what is known of a body without any reading: women and men of
// the survey, as likely one as the other. Where the summary cannot be read it is
// the zero Body.
func Anyone() Body { return anyone() }

var anyone = sync.OnceValue(func() Body {
	all, err := populations()
	if err != nil {
		return Body{}
	}
	b := Body{measures: Measures()}
	for _, p := range all {
		b.parts = append(b.parts, part{sex: p.sex, mean: p.logMean, cov: p.logCov})
	}
	b.weigh()
	b.combine()
	return b
})
