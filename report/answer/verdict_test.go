package answer

import (
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// "As tried on" is said of this very part at this very scale alone, where it was found to
// fit; else the verdict says by what it is.
func TestAsTriedOnIsSaidOfWhatWasTriedOn(t *testing.T) {
	boot := analysis.Tried{Part: "legs/boot_left.stl", Percent: 79, Verdict: "tight", Counts: true}
	own := func(percent, noted float64, verdict string) analysis.Tried {
		return analysis.Tried{Percent: percent, Noted: noted, Verdict: verdict, Counts: true}
	}
	padded := own(110, 113, "fits")
	padded.Padding = &[2]float64{5, 3}
	stray := own(110, 0, "fits")
	stray.Counts = false
	for name, c := range map[string]struct {
		tape  string
		print float64
		tried []analysis.Tried
		want  string
	}{
		"another part's":           {"fits", 110, []analysis.Tried{boot}, "fits at 110 %, by the tape and what `boot_left` showed"},
		"against the tape":         {"tight", 110, []analysis.Tried{boot}, "fits at 110 %, by what `boot_left` showed"},
		"tight elsewhere":          {"fits", 110, []analysis.Tried{own(106.2, 106, "tight")}, "fits at 110 %, by the tape and the try-on at 106 %"},
		"twice elsewhere":          {"fits", 110, []analysis.Tried{own(106.2, 106, "tight"), own(116, 0, "loose"), boot}, "fits at 110 %, by the tape and the try-ons at 106 % and 116 %"},
		"there":                    {"fits", 110, []analysis.Tried{boot, own(106.2, 106, "tight"), own(110, 0, "fits")}, "fits, as tried on at 110 %"},
		"there, the file rescaled": {"loose", 110, []analysis.Tried{own(110.2, 100, "fits")}, "fits, as tried on at 110 %"},
		"there, and tight":         {"fits", 110, []analysis.Tried{own(110, 0, "fits"), own(110, 0, "tight")}, "fits at 110 %, by the tape and the try-on at 110 %"},
		"over more padding":        {"fits", 110, []analysis.Tried{padded}, "fits at 110 %, by the tape and the try-on at 113 %"},
		"says nothing":             {"fits", 110, []analysis.Tried{stray, boot}, "fits at 110 %, by the tape and what `boot_left` showed"},
		"another is better":        {"fits", 115, []analysis.Tried{own(106.2, 106, "tight")}, "**doubtful** at 110 %, by the try-on at 106 %"},
		"none":                     {"fits", 115, nil, "fits at 110 %"},
	} {
		f := &analysis.Findings{Percent: 110, Cavities: make([]analysis.Cavity, 1), Fit: &analysis.Fit{Verdict: c.tape}, Testing: &analysis.Testing{
			Print: c.print, Chance: 0.95, Odds: [][2]float64{{100, 0.95}, {110, 0.95}}, Tried: c.tried,
		}}
		if c.print != f.Percent {
			f.Testing.Odds = [][2]float64{{100, 0.4}, {110, 0.4}}
		}
		require.Equal(t, c.want, Verdict(f, " at 110 %"), name)
	}
}
