package report

import (
	"fmt"
	"image"
	"math"
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/report/picture"

	"gonum.org/v1/gonum/spatial/r3"
)

// pictures are the drawings of one part.
type pictures struct {
	part     drawing   // from two sides; without a file where it was not drawn
	bed      drawing   // on the bed; without a file where it was not drawn
	girths   []drawing // parallel to the ways; a way without stations has no file
	sections []drawing // parallel to Document.Outlines
	tapes    drawing   // of what is worth measuring; without a file where there is none
}

type drawing struct {
	file, alt string
	image     *image.RGBA
}

func (p pictures) all() []drawing {
	return slices.DeleteFunc(slices.Concat([]drawing{p.part, p.bed, p.tapes}, p.girths, p.sections), func(d drawing) bool { return d.file == "" })
}

// pictureName names the n-th picture of a kind, from 0.
func pictureName(kind string, n int) string {
	if n == 0 {
		return kind + ".png"
	}
	return fmt.Sprintf("%s-%d.png", kind, n+1)
}

// ourPicture reports whether a name is one that pictureName gives.
func ourPicture(name string) bool {
	stem, ok := strings.CutSuffix(name, ".png")
	kind, n, numbered := strings.Cut(stem, "-")
	return ok && (kind == "part" || kind == "bed" || kind == "tape" || kind == "girth" || kind == "section") && (!numbered || strings.Trim(n, "0123456789") == "")
}

// ways lists the centrelines of all cavities.
func ways(f *analysis.Findings) []analysis.Centreline {
	var out []analysis.Centreline
	for _, c := range f.Cavities {
		out = append(out, c.Centrelines...)
	}
	return out
}

// draw draws the girths along every way and the sections.
func draw(d Document) pictures {
	var out pictures
	all := ways(&d.Findings)
	if d.Shown != nil {
		out.part = drawing{file: pictureName("part", 0), alt: "The part from two sides", image: picture.Part(shell(d))}
	}
	if b := d.Findings.Bed; b != nil && d.Shown != nil && d.Brief.Printer.Height > 0 {
		out.bed = d.drawOnBed(b)
	}
	out.tapes = tapePicture(d)
	for i, w := range all {
		g := drawing{}
		if len(w.Stations) > 0 {
			g.file = pictureName("girth", i)
			g.alt = "Girth along the part " + wayWords(w)
			g.image = picture.Girth(curve(&d.Findings, w, i == 0))
		}
		out.girths = append(out.girths, g)
	}
	for i, o := range d.Outlines {
		title, note := "Section "+along(o.Along)+" along the part", ""
		if o.Way >= 0 && o.Way < len(all) {
			title, note = sectionTitle(all[o.Way], o.Along), stationNote(all[o.Way], o.Along)
		}
		out.sections = append(out.sections, drawing{
			file: pictureName("section", i), alt: title, image: picture.Section(title, note, o),
		})
	}
	return out
}

// shell is the drawing of the part: its openings and the ways from the largest, the ring where the
// first outline was taken, and the panel, seen from the side of the panel.
func shell(d Document) picture.Shell {
	what := "The part at "
	if d.Own != nil {
		what = "The whole shell at "
	}
	h := picture.Shell{Title: what + percent(d.Findings.Percent), Part: d.Shown, Panel: d.Panel}
	for _, w := range ways(&d.Findings) {
		if w.From != "A" && w.To != "A" {
			continue // from leg to leg nobody goes
		}
		var points []r3.Vec
		for _, s := range w.Stations {
			points = append(points, vec(s.Center))
		}
		h.Ways = append(h.Ways, points)
	}
	for _, c := range d.Findings.Cavities {
		for _, o := range c.Openings {
			h.Openings = append(h.Openings, picture.Opening{Name: o.Name, At: vec(o.Center), Facing: vec(o.Facing)})
		}
	}
	if len(d.Outlines) > 0 {
		h.Ring, h.RingText = d.Outlines[0].Ring, "where the band is cut"
	}
	if d.Findings.Fit != nil {
		for _, e := range d.Findings.Fit.Entries {
			if e.Panel != nil {
				h.From = vec(e.Panel.Facing)
				break
			}
		}
	}
	return h
}

func vec(p [3]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: p[2]} }

// sectionTitle says where along a way a section is.
func sectionTitle(w analysis.Centreline, at float64) string {
	where := along(at) + " from " + visible(startWords(w))
	tightest, widest := w.Ends()
	switch {
	case tightest >= 0 && w.Stations[tightest].Along == at:
		return "Tightest section, " + where
	case widest >= 0 && w.Stations[widest].Along == at:
		return "Widest section, " + where
	}
	return "Section " + where
}

// stationNote says what was measured at a place along a way.
func stationNote(w analysis.Centreline, at float64) string {
	for _, s := range w.Stations {
		if s.Along != at {
			continue
		}
		note := "inner girth " + girth(s.InnerGirth)
		if open(s) {
			note = "open: wall " + girth(s.InnerGirth) + ", gap " + girth(s.Gap)
		}
		if s.Capacity > 0 {
			note += ", capacity " + girth(s.Capacity)
		}
		return note
	}
	return ""
}

// curve is the picture of the girths along a way. The body's girths are drawn
// where they rest or pass; those that name no opening belong to the first way.
func curve(f *analysis.Findings, w analysis.Centreline, first bool) picture.Curve {
	c := picture.Curve{Title: "Girth along the part at " + percent(f.Percent), From: visible(startWords(w))}
	for _, s := range w.Stations {
		c.Stations = append(c.Stations, picture.Station{
			Along: s.Along, Inner: s.InnerGirth, Capacity: s.Capacity, Open: open(s),
		})
	}
	c.Tightest, c.Widest = w.Ends()
	if f.Fit == nil {
		return c
	}
	for _, s := range f.Fit.Sits {
		at := s.Along
		switch {
		case s.From == w.From && (s.To == w.To || s.To == "") || s.From == "" && first:
		case s.From == w.To && s.To == w.From:
			at = w.Length - s.Along
		default:
			continue
		}
		c.Needs = append(c.Needs, picture.Need{
			Label: bodyLabel(s.Measure), Along: at, Girth: s.Needed, SD: doubt(s.Source, s.SD), Estimated: s.Source == "estimated",
		})
	}
	for _, e := range f.Fit.Entries {
		if e.Opening == w.From && (e.To == w.To || e.To == "") || e.Opening == w.To && e.To == w.From {
			c.Needs = append(c.Needs, picture.Need{
				Label: bodyLabel(e.Measure), Along: math.NaN(), Girth: e.Needed, SD: doubt(e.Source, e.SD), Estimated: e.Source == "estimated",
			})
		}
	}
	return c
}

// doubt is the standard deviation that is worth drawing: that of an estimate.
func doubt(source string, sd float64) float64 {
	if source == "estimated" {
		return sd
	}
	return 0
}

// open reports whether the part does not go all the way round at a station.
// (A cover that was not looked for is 0.)
func open(s analysis.Station) bool { return s.Gap > 0 || s.Cover > 0 && s.Cover < 360 }
