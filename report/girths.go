package report

import (
	"gambeson/analysis"
	"gambeson/report/disk"
	"gambeson/report/drawing"
	"gambeson/report/words"
)

// girths shows the girth along every way in pictures; the tables stand where the
// numbers come from.
func (b *page) girths(f *analysis.Findings, p disk.Place, drawn drawing.Pictures) {
	all := f.Ways()
	if len(all) == 0 {
		return
	}
	if f.Fit == nil || len(f.Fit.Sits)+len(f.Fit.Lengths) == 0 {
		b.Heading("Girth along the part") // no body to wear it
	} else {
		b.Block("### Girth along the part")
	}
	for i := range all {
		if i < len(drawn.Girths) && drawn.Girths[i].File != "" {
			b.Picture(drawn.Girths[i].Alt, words.Href(p.Report(), p.Under(drawn.Girths[i].File)))
		}
	}
	for _, d := range drawn.Sections {
		b.Picture(d.Alt, words.Href(p.Report(), p.Under(d.File)))
	}
}

// girthTables gives the numbers of those pictures.
func (b *page) girthTables(f *analysis.Findings) {
	skipped := 0
	for i, w := range f.Ways() {
		if len(w.Stations) == 0 {
			continue
		}
		if i > 0 && !drawing.OfBody(f, w) {
			skipped++
			continue
		}
		b.Block("### Girths " + words.Prose(words.Way(w)))
		text := "Distances run " + words.Prose(words.Way(w)) + ". To measure them yourself, lay the tape inside, square to the way through."
		var less []string
		for _, label := range drawing.Curve(f, w, i == 0).Own() {
			less = append(less, words.Prose(label))
		}
		if len(less) > 0 {
			text += " Capacity is the room for the roomiest shape; the body keeps its own, and has less for the " + words.And(less) + ": see Wearing it and Getting in."
		}
		b.Block(text)
		b.Table([]string{"distance", "inner girth", "capacity", "goes round", "gap"}, stationRows(w, f.Strapped(w)))
	}
	if skipped > 0 {
		b.Block("Not shown: " + words.Things(skipped, "way") + " between openings that no part of the body takes, such as from leg to leg; their girths are in `findings.json`.")
	}
}

// A table of girths has a row about every 25 mm, where a maker would hold the
// tape, and not more of them than fit a page.
const (
	rowDistance = 25.0
	mostRows    = 26
)

// stationRows picks the stations for a table: about one every 25 mm, the two
// ends, the tightest and the widest; without capacities where only straps hold.
func stationRows(w analysis.Centreline, strapped bool) [][]string {
	tightest, widest := w.Ends()
	last := len(w.Stations) - 1
	distance := rowDistance
	for last >= 0 && (w.Stations[last].Along-w.Stations[0].Along)/distance > mostRows {
		distance *= 2
	}
	var rows [][]string
	next := 0.0
	for i, s := range w.Stations {
		mark := ""
		switch i {
		case tightest:
			mark = " **tightest**"
		case widest:
			mark = " **widest**"
		}
		due := i == 0 || s.Along-w.Stations[0].Along >= next-1e-6
		if !due && mark == "" && i != last {
			continue
		}
		if due {
			next += distance
		}
		cells := []string{words.Along(s.Along) + mark, words.Girth(s.InnerGirth), known(s.Capacity), "", ""}
		if strapped {
			cells[2] = ""
		}
		if s.Open() {
			cells[3] = "open"
			if s.Cover > 0 {
				cells[3] = words.Degrees(s.Cover)
			}
			cells[4] = known(s.Gap)
		}
		rows = append(rows, cells)
	}
	return rows
}
