package report

import (
	"fmt"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/report/disk"
	"gambeson/report/drawing"
	"gambeson/report/sample"
	"gambeson/report/words"

	"github.com/stretchr/testify/require"
)

// The table of girths has the ends, the tightest, the widest and not more rows
// than a page takes, however long the part is.
func TestGirthTablesKeepToAPage(t *testing.T) {
	for _, length := range []float64{0, 5, 60, 380, 2000, 9000} {
		w := analysis.Centreline{Length: length, Stations: sample.Stations(length, func(z float64) float64 { return 300 + (z-length/3)*(z-length/3)/1e4 })}
		rows := stationRows(w, false)
		if len(rows) == 0 || len(rows) > mostRows+5 {
			t.Errorf("%v mm: %d rows", length, len(rows))
		}
		text := ""
		for _, r := range rows {
			text += strings.Join(r, "|") + "\n"
		}
		if !strings.Contains(text, "tightest") || length > 60 && !strings.Contains(text, "widest") {
			t.Errorf("%v mm: ends are not marked:\n%s", length, text)
		}
		if !strings.HasPrefix(text, "0 mm") || !strings.Contains("\n"+text, "\n"+words.Along(length)+"|") && !strings.Contains("\n"+text, "\n"+words.Along(length)+" **") {
			t.Errorf("%v mm: an end is missing:\n%s", length, text)
		}
	}
	if rows := stationRows(analysis.Centreline{}, false); len(rows) != 0 {
		t.Error("rows without stations")
	}
}

// Where only straps hold a part, no room inside is told: it depends on them.
func TestNoRoomIsToldWhereStrapsHold(t *testing.T) {
	w := analysis.Centreline{From: "A", To: "end", Length: 40, Stations: []analysis.Station{
		{Along: 0, InnerGirth: 225, Gap: 143, Capacity: 422, Cover: 180}, {Along: 40, InnerGirth: 193, Gap: 121, Cover: 181},
	}}
	f := &analysis.Findings{Percent: 100, Cavities: []analysis.Cavity{{Centrelines: []analysis.Centreline{w}}}}
	for _, c := range drawing.Curve(f, w, true).Stations {
		require.Zero(t, c.Capacity)
	}
	require.NotContains(t, fmt.Sprint(stationRows(w, f.Strapped(w))), "422")
	f.Fit = &analysis.Fit{Sits: []analysis.Sit{{Measure: "thigh_girth", From: "A", To: "end", Needed: 400, Capacity: 380}}}
	require.Equal(t, 422.0, drawing.Curve(f, w, true).Stations[0].Capacity)
	require.Contains(t, fmt.Sprint(stationRows(w, f.Strapped(w))), "422")
}

// Of a lattice's hundreds of openings those are listed that a way leads to, and the
// largest; the others are counted.
func TestOpeningsOfALatticeAreCounted(t *testing.T) {
	c := analysis.Cavity{Centrelines: []analysis.Centreline{{From: "A", To: "AZ"}}}
	for n := range 60 {
		name := string(rune('A' + n%26))
		if n >= 26 {
			name = string(rune('A'+n/26-1)) + name
		}
		c.Openings = append(c.Openings, analysis.Opening{Name: name, Girth: float64(400 - n)})
	}
	for count, want := range map[int]string{12: "", 13: "And 1 smaller opening that no way leads to.", 60: "And 47 smaller openings that no way leads to."} {
		f, b := &analysis.Findings{Cavities: []analysis.Cavity{c}}, &page{}
		f.Cavities[0].Openings = c.Openings[:count]
		b.gettingIn(f, disk.Place{})
		require.Equal(t, want != "", strings.Contains(b.String(), "smaller opening"))
		require.Contains(t, b.String(), want)
		led := strings.Contains(b.String(), "| AZ |")
		require.Equal(t, count >= 52, led)
		rows := min(count, 12)
		if led {
			rows++
		}
		require.Equal(t, 2*rows, strings.Count(b.String(), " mm |"), "girth and middle of each")
	}
}

// Inches stand in a whole report.
func TestReportsSayInches(t *testing.T) {
	d := greave()
	d.Brief.Wearer.Inches = true
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	require.NoError(t, Write(p, d))
	if text := sample.ReadFile(t, p.Root, p.Report()); !strings.Contains(text, "the calf needs 413.1 mm (16 1/4 in) inside") {
		t.Errorf("no inches in\n%.600s", text)
	}
}

// A band of two walls says how far apart to hold them, once for all its sheets.
func TestBandOfTwoWallsIsSaid(t *testing.T) {
	f := &analysis.Findings{Percent: 100, Bands: []analysis.Band{{Station: 260, Percent: 100, Height: 12, Apart: 287.4, Sheet: 1}, {Station: 260, Percent: 100, Height: 12, Apart: 287.4, Sheet: 2}, {Station: 80, Percent: 100, Height: 12}}}
	require.Equal(t, 1, strings.Count(bandWords(f), "hold them 287.4 mm apart inside"))
}
