package suit

import (
	"strings"
	"testing"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/disk"

	"github.com/stretchr/testify/require"
)

// Two sides that no one scale serves have each their own, which is said once with the girths
// and with what it costs in length; what sharing a scale costs a part is said as well.
func TestCommonScalesSayWhatTheyCost(t *testing.T) {
	s := together.Suit{
		Parts:  []together.Part{{Name: "g-left", Scale: 112}, {Name: "g-right", Scale: 121}, {Name: "helm", Scale: 112}, {Name: "arm", Scale: 112, Risk: together.Risk{Unfit: 0.22}}},
		Pairs:  []together.Pair{{Left: "g-left", Right: "g-right", By: together.ByName, Ratio: 1, Apart: &together.Apart{Measure: "calf_girth", Left: 379, Right: 415}}},
		Scales: []together.Group{{Scale: 112, Parts: []string{"g-left", "helm", "arm"}}, {Scale: 121, Parts: []string{"g-right"}}},
	}
	text := func() string {
		var b page
		b.commonScales(s, nil)
		return b.String()
	}
	require.Equal(t, 1, strings.Count(text(), "the calf was measured as 379.0 mm on the left and 415.0 mm on the right, and no one scale serves both. The right one then is about 8 % longer than the other."))
	require.NotContains(t, text(), "sharing")
	s.Pairs[0].Ratio = 0.9 // the right file is drawn smaller
	require.Contains(t, text(), "The left one then is about 3 % longer")
	s.Pairs[0].Apart = nil
	require.NotContains(t, text(), "longer")

	s.Parts[2].Shares = &together.Sharing{Own: 110, Less: 2.5}
	s.Parts[3].Shares = &together.Sharing{Own: 109, Misfit: 0.03}
	require.Contains(t, text(), "**What sharing a scale costs.** A part that is given its own in `suit.toml` keeps it.\n\n- `helm` takes 2.5 h more at 112 % than at its own 110 %.\n- `arm`: the chance that it does not fit is about 2 in 10 at 112 %, less than 1 in 20 at its own 109 %.\n")
}

// What was printed and is tried on first is not told to be opened in the same breath; what was
// found tight on its way in, which says nothing of the scale, is opened and tried on then.
func TestPrintThatIsStuckIsOpenedOnce(t *testing.T) {
	f := &analysis.Findings{Part: "forearm.stl", Percent: 105, Printed: 108.2, Fit: &analysis.Fit{Verdict: "blocked", Rests: 95, Loosest: 104,
		Entries: []analysis.Entry{{Measure: "hand_over_thumb_girth", Percent: 112, Panel: &analysis.Panel{}}}}}
	rows := []Row{{Place: disk.Place{Part: f.Part}, Findings: f}}
	s := together.Suit{Parts: []together.Part{{Name: f.Part, Wanted: 105, Scale: 105, Misprinted: 108.2, Range: &together.Range{Opened: true}}}}
	require.Contains(t, printedStep(s, rows), "Try on [`forearm.stl`]")
	require.Empty(t, percentStep(s, rows), "it is to be tried on first")
	f.Testing = &analysis.Testing{Tried: []analysis.Tried{{Station: "hand_over_thumb_girth", Percent: 108.2, Verdict: "tight"}}}
	require.Equal(t, "Open [`forearm.stl`](forearm.stl.md), as its report says, and try it on once inside: that the way in was tight says nothing of what rests there. Note that with `gambeson tried` before you print it again.", printedStep(s, rows))
	f.Testing.Tried[0].Percent = 100
	require.Contains(t, printedStep(s, rows), "Try on [`forearm.stl`]", "that was another ring")
	f.Testing.Tried = []analysis.Tried{{Station: "forearm_girth", Percent: 108.2, Verdict: "loose", Counts: true}}
	require.Contains(t, printedStep(s, rows), "again at its new scale")
	require.Contains(t, percentStep(s, rows), "the panel", "for the next print")
}

// What was found otherwise on the two sides is said once, before anything is set or printed.
func TestSidesThatDisagreeAreTriedOnAgain(t *testing.T) {
	row := func(name, other, own, there string) Row {
		return Row{Place: disk.Place{Part: name}, Findings: &analysis.Findings{Part: name, Percent: 100, Fit: &analysis.Fit{Verdict: "fits"}, Testing: &analysis.Testing{Tried: []analysis.Tried{
			{Station: "calf_girth", Percent: 100, Verdict: own, Counts: true}, {Station: "calf_girth", Percent: 100, Verdict: there, Counts: true, Part: other, Across: true},
		}}}}
	}
	rows := []Row{row("left.stl", "right.stl", "fits", "tight"), row("right.stl", "left.stl", "tight", "fits")}
	require.Equal(t, "At the calf [`left.stl`](left.stl.md) was found `fits` at 100 %, and [`right.stl`](right.stl.md) `tight` at 100 %. On a body with both sides alike only one of these can be right: put both on again, over the same padding. If it stays so, measure each side: `calf_girth.left` and `calf_girth.right` in `wearer.toml`.", sidesStep(rows))
	require.Equal(t, sidesStep(rows), suitSteps(Suit{}, rows)[0])
	require.Empty(t, sidesStep([]Row{row("left.stl", "right.stl", "fits", "fits")}))
	rows[0].Findings.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "try-ons-odd"}}
	require.Empty(t, sidesStep(rows[:1]), "that is to be settled first")
}
