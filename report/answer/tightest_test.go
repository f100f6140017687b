package answer

import (
	"strings"
	"testing"

	"gambeson/analysis"
)

// The tightest place is the one that the answer names, not the narrowest of the part,
// where that has room to spare.
func TestTightestIsThatOfTheAnswer(t *testing.T) {
	calf := analysis.Sit{Measure: "calf_girth", Needed: 400, Capacity: 410, Along: 60}
	ankle := analysis.Sit{Measure: "ankle_girth", Needed: 230, Capacity: 290}
	heel := analysis.Entry{Measure: "heel_girth", Needed: 340, Throat: 290, Passes: false}
	for verdict, c := range map[string]struct {
		fit     *analysis.Fit
		measure string
		along   float64
		said    string
	}{
		"fits":    {&analysis.Fit{Verdict: "fits", Sits: []analysis.Sit{ankle, calf}}, "calf_girth", 0, "the tightest measure, the calf"},
		"tight":   {&analysis.Fit{Verdict: "tight", Sits: []analysis.Sit{ankle, calf}}, "calf_girth", 0, "the calf needs"},
		"narrow":  {&analysis.Fit{Verdict: "tight", Sits: []analysis.Sit{ankle}, Narrow: &analysis.Narrow{Along: 30}}, "", 30, "30 mm in"},
		"blocked": {&analysis.Fit{Verdict: "blocked", Sits: []analysis.Sit{ankle, calf}, Entries: []analysis.Entry{{Measure: "foot_girth", Passes: true}, heel}}, "heel_girth", 0, "the heel needs"},
		"unknown": {&analysis.Fit{Verdict: "unknown"}, "", 80, "at the tightest place, 80 mm"},
		"nobody":  {nil, "", 80, "at the tightest place, 80 mm"},
	} {
		f := &analysis.Findings{Percent: 100, Fit: c.fit, Cavities: []analysis.Cavity{{Centrelines: []analysis.Centreline{{
			From: "A", To: "B", Length: 200, Stations: []analysis.Station{{Along: 0, InnerGirth: 400}, {Along: 80, InnerGirth: 290}, {Along: 200, InnerGirth: 420}},
		}}}}}
		measure, along, ok := Tightest(f)
		if !ok || measure != c.measure || along != c.along {
			t.Errorf("%s: %q, %v mm, %v; want %q, %v mm", verdict, measure, along, ok, c.measure, c.along)
		}
		if said := Of(f); !strings.Contains(said, c.said) {
			t.Errorf("%s: the answer is %q", verdict, said)
		}
	}
	if _, _, ok := Tightest(&analysis.Findings{}); ok {
		t.Error("a part without a way has a tightest place")
	}
}
