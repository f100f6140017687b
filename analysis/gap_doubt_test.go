package analysis

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// That the wall does not tell how far round a shell is where it is open is told where the
// leading measure rests there, and its room is no other's; not of a doubt that is no matter,
// nor where it is closed or an ellipse is held by less.
func TestGapInDoubtIsToldWhereTheLeadingMeasureRests(t *testing.T) {
	said := func(change func(f *Findings, s *Station)) string {
		s := Station{Along: 50, InnerGirth: 300, Gap: 100, Closed: 400, Doubt: 20, Capacity: 430}
		f := &Findings{Percent: 90, Fit: &Fit{Lead: "calf_girth", Sits: []Sit{
			{Measure: "ankle_girth", From: "B", To: "A", Along: 20, Capacity: 300},
			{Measure: "calf_girth", From: "A", To: "B", Along: 52, Capacity: 390},
		}}}
		change(f, &s)
		f.Cavities = []Cavity{{Centrelines: []Centreline{{From: "A", To: "B", Length: 200, Stations: []Station{
			{Along: 10, InnerGirth: 380}, s, {Along: 90, InnerGirth: 370}, {Along: 180, InnerGirth: 300},
		}}}}}
		f.noteGap()
		if len(f.Warnings) == 0 {
			return ""
		}
		require.Len(t, f.Warnings, 1)
		require.Equal(t, LevelNote, f.Warnings[0].Level)
		require.Equal(t, "gap-in-doubt", f.Warnings[0].Code)
		return f.Warnings[0].Text
	}
	// 390 and a twentieth more, as 400 to 420.
	text := said(func(*Findings, *Station) {})
	require.Contains(t, text, "Where the calf rests the shell is open, 100.0 mm from rim to rim")
	require.Contains(t, text, "taken for 390.0 mm, and may be up to 409.5 mm")
	require.Contains(t, text, "printed at 90 %, it is too tight where that is more than 100.0 mm")
	require.NotEmpty(t, said(func(_ *Findings, s *Station) { s.Capacity = 0 }))

	require.Empty(t, said(func(_ *Findings, s *Station) { s.Doubt = 7 }))
	require.Empty(t, said(func(_ *Findings, s *Station) { s.Capacity = 399 }))
	require.Empty(t, said(func(_ *Findings, s *Station) { s.Gap, s.Closed, s.Doubt = 0, 0, 0 }))
	require.Empty(t, said(func(f *Findings, _ *Station) { f.Fit.Lead = "ankle_girth" }))
	require.Empty(t, said(func(f *Findings, _ *Station) { f.Fit.Sits = nil }))
}
