package analysis

import (
	"testing"

	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

// A print is of the file that lay there when it was noted: whoever rescales that has a
// print of another scale, until another is noted.
func TestPrintOfAFileRescaledSince(t *testing.T) {
	m := greave()
	brief := Brief{Percent: 105, PercentSet: true, Printed: 105}
	first := noticed(t, m, nil)
	first.notePrinted(nil, brief)
	require.Equal(t, 105.0, first.Printed)

	larger := noticed(t, m.Scaled(1.05), &first)
	larger.notePrinted(&first, brief)
	require.Equal(t, 100.0, larger.Printed)
	again := noticed(t, shape.Shuffle(m.Scaled(1.05), 1), &larger)
	again.notePrinted(&larger, brief)
	require.Equal(t, 100.0, again.Printed, "once is enough")
	judged := larger // a verdict made anew for other measures
	judged.notePrinted(&larger, brief)
	require.Equal(t, 100.0, judged.Printed)

	brief.Printed = 102
	anew := noticed(t, m.Scaled(1.05), &again)
	anew.notePrinted(&again, brief)
	require.Equal(t, 102.0, anew.Printed, "noted of the file as it lies by now")
	brief.Printed = 0
	none := noticed(t, m, &anew)
	none.notePrinted(&anew, brief)
	require.Zero(t, none.Printed)
}

// Whether a print fits is said by what was found on it, then by other try-ons, then by
// the tape.
func TestWhetherAPrintFits(t *testing.T) {
	fit := &Fit{Verdict: "tight", Rests: 104, Smallest: 140, Loosest: 112, Recommended: 108}
	testing := func(tried ...Tried) *Testing {
		return &Testing{Print: 108, Chance: 0.9, Odds: [][2]float64{{100, 0.1}, {106, 0.8}, {108, 0.9}, {116, 0.1}}, Tried: tried}
	}
	found := func(verdict string, percent float64) Tried {
		return Tried{Counts: true, Verdict: verdict, Percent: percent}
	}
	for name, c := range map[string]struct {
		f     Findings
		fits  bool
		found string
	}{
		"not printed":                   {Findings{Fit: fit}, false, ""},
		"nobody is known":               {Findings{Printed: 100}, true, ""},
		"too small by the tape":         {Findings{Printed: 100, Fit: fit}, false, ""},
		"opened, it fits":               {Findings{Printed: 106, Fit: fit}, true, ""},
		"too large by the tape":         {Findings{Printed: 118, Fit: fit}, false, ""},
		"found tight":                   {Findings{Printed: 106, Fit: fit, Testing: testing(found("tight", 106))}, false, "tight"},
		"found to fit though too small": {Findings{Printed: 100, Fit: fit, Testing: testing(found("fits", 100.2))}, true, ""},
		"found loose, then to fit":      {Findings{Printed: 106, Fit: fit, Testing: testing(found("loose", 106), found("fits", 106))}, true, ""},
		"unlikely by other try-ons":     {Findings{Printed: 100, Fit: fit, Testing: testing(found("fits", 108))}, false, ""},
		"likely by other try-ons":       {Findings{Printed: 106, Fit: fit, Testing: testing(found("tight", 103))}, true, ""},
	} {
		require.Equal(t, c.fits, c.f.PrintFits(), name)
		require.Equal(t, c.found, c.f.PrintFound(), name)
	}
}
