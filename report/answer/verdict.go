package answer

import (
	"math"
	"path"
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/report/words"
)

// Verdict is the verdict in a table. at names the scale that it is for, "" where that
// stands elsewhere.
func Verdict(f *analysis.Findings, at string) string {
	switch {
	case f.Unknown():
		return doubtInShort(f)
	case f.OnlyCovers():
		return "no way through" + at
	case f.Fit == nil:
		return "girths only" + at
	}
	if _, ok := f.Surpassed(); ok {
		return "**doubtful**" + at + ", " + By(f)
	}
	if f.Felt() {
		if feltHere(f) {
			return "fits, as tried on" + at
		}
		return "fits" + at + ", " + By(f)
	}
	switch f.Fit.Verdict {
	case "fits":
		if f.Says("assembly-scale") {
			return "**would fit** at one scale" + at
		}
		return "fits" + at
	case "tight":
		return "**too tight**" + at
	case "loose":
		return "**too loose**" + at
	case "blocked":
		return "**does not get in**" + at
	}
	return "girths only" + at
}

// feltHere reports whether this very part was tried on at the scale that it has, and fits:
// over the padding that there is now, as over another it was felt at another scale.
func feltHere(f *analysis.Findings) bool {
	found := false
	for _, e := range ownTryons(f) {
		if math.Abs(e.Percent-f.Percent) > analysis.HalfStep || e.Padding != nil {
			continue
		}
		if !e.Fits() {
			return false
		}
		found = true
	}
	return found
}

// ownTryons are those of the part itself, or of its shell, that say something of its scale.
func ownTryons(f *analysis.Findings) []analysis.Tried {
	return slices.DeleteFunc(slices.Clone(f.Testing.Tried), func(e analysis.Tried) bool { return e.Part != "" || !e.Counts })
}

// mostSources is how many try-ons, or other parts, are named as what a verdict is by.
const mostSources = 3

// By says by what the verdict on a part is that try-ons have a say in: those of the part
// itself at other scales, else what was found on other parts; with the tape where that
// says the same.
func By(f *analysis.Findings) string {
	tape := ""
	if f.Fit != nil && f.Fit.Verdict == "fits" && f.Felt() {
		tape = "the tape and "
	}
	var scales, others []string
	for _, e := range ownTryons(f) {
		if at := words.Percent(e.Told()); !slices.Contains(scales, at) {
			scales = append(scales, at)
		}
	}
	switch n := len(scales); {
	case n > mostSources:
		return "by " + tape + words.Things(n, "try-on")
	case n > 0:
		return "by " + tape + words.Verb(scales, "the try-on", "the try-ons") + " at " + words.And(scales)
	}
	for _, e := range f.Testing.Tried {
		name := words.Code(strings.TrimSuffix(path.Base(e.Part), path.Ext(e.Part)))
		if e.Counts && e.Part != "" && !slices.Contains(others, name) {
			others = append(others, name)
		}
	}
	if n := len(others); n == 0 || n > mostSources {
		return "by " + tape + "what other parts showed"
	}
	return "by " + tape + "what " + words.And(others) + " showed"
}
