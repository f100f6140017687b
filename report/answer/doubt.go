package answer

import (
	"fmt"

	"gambeson/analysis"
	"gambeson/report/words"
)

// doubt says why there is no verdict on an unknown part yet.
func doubt(f *analysis.Findings) string {
	switch {
	case f.Says("unit-unlikely"):
		size := f.Mesh.Bounds
		longest := max(size[0], size[1], size[2]) * f.Percent / 100
		return fmt.Sprintf("**The unit of the file is in doubt:** with one unit taken as one %s its longest side is %s. Settle that first: nothing that is said here of fit or bed counts before.",
			f.Unit.Name, words.Girth(longest))
	case f.Says("size-unlikely"):
		return fmt.Sprintf("**Its size fits nobody:** it would fit only at %s. Settle first what it covers and what unit it was drawn in: nothing else that is said here counts before.",
			words.AtLeast(f.Fit.Rests))
	default:
		return fmt.Sprintf("**The file holds %s.** Give each a file of its own first: what is said here mixes them.", words.Things(len(f.Singles), "part"))
	}
}

// doubtInShort is doubt in a table.
func doubtInShort(f *analysis.Findings) string {
	switch {
	case f.Says("unit-unlikely"):
		return "**unit in doubt**"
	case f.Says("size-unlikely"):
		return "**size fits nobody**"
	}
	return "**several parts**"
}

// ofSize are the codes of warnings that say nothing while the size is in doubt.
var ofSize = []string{"does-not-enter", "too-tight", "too-loose", "too-short", "too-long", "hole-tight", "bed-overflow"}
