package drawing

import (
	"math"
	"strings"

	"gambeson/analysis"
	"gambeson/report/picture/outline"
	"gambeson/report/words"
)

// drawSection draws a section, with what of the body is there.
func (d Part) drawSection(i int, o analysis.Outline, all []analysis.Centreline) Picture {
	at := o.Percent
	if at <= 0 {
		at = d.Findings.Percent
	}
	other := math.Abs(at-d.Findings.Percent) > 0.05
	title, note := "Section "+words.Along(o.Along)+" along the part, at "+words.Percent(at), ""
	if o.Way >= 0 && o.Way < len(all) {
		title, note = sectionTitle(all[o.Way], o.Along, at), stationNote(all[o.Way], o.Along, at/d.Findings.Percent)
	}
	alt := title + ": " + note
	if o.Body != nil {
		body := words.BodyLabel(o.Body.Measure)
		if o.Body.Passes {
			body += " on its way in"
		}
		needs := words.Girth(o.Body.Needed)
		if !o.Body.Passes {
			needs += " with its ease" // which is not drawn
		}
		body = words.Capital(body) + ": " + words.Spare(o.Body.Has-o.Body.Needed) + ", needs " + needs + ", has " + words.Girth(o.Body.Has)
		alt = title + ". " + body + gapWordsOf(o.Body.Gaps)
		girths, _, _ := strings.Cut(note, ", capacity") // of any shape: it would be taken for the body's
		note = body + ". " + words.Capital(girths) + "."
	}
	if other && len(d.Findings.Bands) > 0 {
		note = "As the test band is. " + words.Capital(note)
		alt = strings.Replace(alt, title, title+", as the test band is", 1)
	}
	return Picture{File: pictureName("section", i), Alt: alt, image: outline.Section(title, words.InUnits(words.Capital(note), d.Brief), o, words.Also(d.Brief))}
}

// gapWordsOf says the least and the greatest gap between body and wall.
func gapWordsOf(gaps []analysis.WallGap) string {
	if len(gaps) != 2 {
		return ""
	}
	if gaps[0].Gap < 0 {
		return "; as an ellipse it reaches " + words.Girth(-gaps[0].Gap) + " into the wall"
	}
	return "; gap to the wall " + words.Girth(gaps[0].Gap) + " to " + words.Girth(gaps[1].Gap)
}

// sectionTitle says where along a way a section is.
func sectionTitle(w analysis.Centreline, at, scale float64) string {
	where := words.Along(at) + " from " + words.Visible(words.StartOf(w)) + ", at " + words.Percent(scale)
	tightest, widest := w.Ends()
	name := func(closed, gaping string, i int) string {
		if w.Stations[i].Open() {
			return gaping
		}
		return closed
	}
	switch {
	case tightest >= 0 && w.Stations[tightest].Along == at:
		return name("Tightest section, ", "Section with the least length of wall, ", tightest) + where
	case widest >= 0 && w.Stations[widest].Along == at:
		return name("Widest section, ", "Section with the most wall, ", widest) + where
	}
	return "Section " + where
}

// stationNote says what was measured at a place along a way, for the part larger
// by a factor.
func stationNote(w analysis.Centreline, at, factor float64) string {
	for _, s := range w.Stations {
		if s.Along != at {
			continue
		}
		note := "inner girth " + words.Girth(factor*s.InnerGirth)
		if s.Open() {
			note = "open: wall " + words.Girth(factor*s.InnerGirth) + ", gap " + words.Girth(factor*s.Gap)
		}
		if s.Capacity > 0 {
			note += ", capacity " + words.Girth(factor*s.Capacity)
		}
		return note
	}
	return ""
}
