package analysis

import (
	"math"
	"slices"

	"gambeson/analysis/tryon"
)

// notePrinted says at which scale of the file as it lies the part was printed: who
// rescales the file has a print of another scale than they noted.
func (f *Findings) notePrinted(before *Findings, brief Brief) {
	f.Printed, f.PrintedNoted, f.Redrawn = 0, brief.Printed, 0
	if brief.Printed == 0 {
		return
	}
	drawn := 1.0 // how many times larger the file is than when the print was noted
	if before != nil && before.PrintedNoted == brief.Printed && before.Redrawn > 0 {
		drawn = before.Redrawn
		if c := f.Changed; c != nil && c != before.Changed && c.Kind == "rescaled" && c.Percent > 0 {
			drawn *= c.Percent / 100
		}
	}
	f.Redrawn = drawn
	f.Printed = math.Round(10*brief.Printed/drawn) / 10
}

// PrintFits reports whether a part that is printed fits as it is printed, as far as is
// known: by what was found on it, else by what was tried on at other scales, else by the
// tape. Once printed, it can still be opened.
func (f *Findings) PrintFits() bool {
	if f.Printed == 0 {
		return false
	}
	if verdict := f.foundOnPrint(); verdict != "" {
		return verdict == string(tryon.Fits)
	}
	if _, tried := f.TriedScale(); tried {
		return f.Testing.ChanceAt(f.Printed) >= WillDo
	}
	if f.Fit == nil {
		return true
	}
	least, most := f.Fit.bearable(f.Fit.Rests > 0)
	return f.Printed >= least*(1-written)-SameScale && f.Printed <= most*(1+written)+SameScale
}

// foundOnPrint is the last verdict on the part at the scale that it is printed at, ""
// where there is none.
func (f *Findings) foundOnPrint() string {
	if f.Testing == nil {
		return ""
	}
	for _, e := range slices.Backward(f.Testing.Tried) {
		if e.Counts && e.Part == "" && math.Abs(e.Percent-f.Printed) <= HalfStep {
			return e.Verdict
		}
	}
	return ""
}

// PrintFound is "tight" or "loose" where that was found on the print, else "".
func (f *Findings) PrintFound() string {
	if v := f.foundOnPrint(); v != string(tryon.Fits) {
		return v
	}
	return ""
}
