package answer

import (
	"gambeson/analysis"
	"gambeson/report/words"
)

// WidenHoles says how far back the rims of holes are to be cut that are too small for the
// body once the part is of a scale, percent: "cut the rim of the hole at opening C back by
// about 8 mm all round"; "" where none is.
func WidenHoles(f *analysis.Findings, percent float64) string {
	holes, back := f.TightHoles(percent)
	if len(holes) == 0 {
		return ""
	}
	var names []string
	for _, s := range holes {
		names = append(names, words.Prose(s.To))
	}
	return "cut the " + words.Verb(names, "rim of the hole at opening ", "rims of the holes at openings ") + words.And(names) + " back by about " + words.Along(back) + " all round"
}
