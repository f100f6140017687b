package drawing

import (
	"math"
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/report/picture/chart"
	"gambeson/report/words"
)

// drawGirth draws the girths along the i-th way.
func (d Part) drawGirth(i int, w analysis.Centreline) Picture {
	if len(w.Stations) == 0 || i > 0 && !OfBody(&d.Findings, w) {
		return Picture{}
	}
	c := Curve(&d.Findings, w, i == 0)
	alt := girthAlt(c, w)
	c.Also = words.Also(d.Brief)
	for k := range c.Needs {
		c.Needs[k].Text = words.InUnits(c.Needs[k].Text, d.Brief)
	}
	return Picture{File: pictureName("girth", i), Alt: alt, image: chart.Girth(c)}
}

// Curve is the picture of the girths along a way. The body's girths are drawn
// where they rest or pass; those that name no opening belong to the first way.
func Curve(f *analysis.Findings, w analysis.Centreline, first bool) chart.Curve {
	strapped := f.Strapped(w)
	c := chart.Curve{Title: "Girth " + words.Visible(words.Way(w)) + ", at " + words.Percent(f.Percent), From: words.Visible(words.StartOf(w))}
	for _, s := range w.Stations {
		st := chart.Station{Along: s.Along, Inner: s.InnerGirth, Capacity: s.Capacity, Open: s.Open()}
		if strapped {
			st.Capacity = 0
		}
		c.Stations = append(c.Stations, st)
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
		c.Needs = append(c.Needs, chart.Need{
			Label: words.BodyLabel(s.Measure), Text: words.Spare(s.Capacity-s.Needed) + ": needs " + wanted(s.Needed, s.Source, s.SD) + ", has " + words.Girth(s.Capacity),
			Along: at, Body: s.Body, Girth: s.Needed, SD: doubt(s.Source, s.SD), Estimated: s.Source == "estimated", Has: s.Capacity,
		})
	}
	for _, e := range f.Fit.Entries {
		at := e.ThroatAlong
		switch {
		case e.Opening == w.From && (e.To == w.To || e.To == ""):
		case e.Opening == w.To && e.To == w.From:
			at = w.Length - at
		default:
			continue
		}
		label := words.BodyLabel(e.Measure)
		if slices.ContainsFunc(f.Fit.Entries, func(o analysis.Entry) bool {
			return o.Measure == e.Measure && o.Opening == e.To && e.Opening == o.To
		}) {
			label += " by " + words.Visible(e.Opening)
		}
		need := chart.Need{
			Label: label, Text: "must pass: needs " + wanted(e.Needed, e.Source, e.SD), Along: math.NaN(), Passes: true,
			Body: e.Body, Girth: e.Needed, SD: doubt(e.Source, e.SD), Estimated: e.Source == "estimated",
		}
		if e.Throat > 0 {
			need.Along, need.Has = at, e.Throat
			need.Text = words.Spare(e.Throat-e.Needed) + " on its way in: needs " + wanted(e.Needed, e.Source, e.SD) + ", has " + words.Girth(e.Throat)
		}
		c.Needs = append(c.Needs, need)
	}
	return c
}

// girthAlt says in words what the picture of the girths shows.
func girthAlt(c chart.Curve, w analysis.Centreline) string {
	var said []string
	if i := c.Tightest; i >= 0 {
		said = append(said, "tightest "+words.Girth(w.Stations[i].InnerGirth)+" at "+words.Along(w.Stations[i].Along))
	}
	for _, n := range c.Needs {
		text, _, _ := strings.Cut(n.Text, ": needs")
		said = append(said, n.Label+" "+text)
	}
	alt := c.Title
	if len(said) > 0 {
		alt += ": " + strings.Join(said, ", ")
	}
	return alt
}

// OfBody reports whether something of the body goes a way or rests on it, or
// might: it begins or ends at the largest opening.
func OfBody(f *analysis.Findings, w analysis.Centreline) bool {
	return w.From == "A" || w.To == "A" || len(Curve(f, w, false).Needs) > 0
}

// wanted is a girth that is needed: an estimate with how far it may be off.
func wanted(mm float64, source string, sd float64) string {
	if doubt(source, sd) > 0 {
		return "about " + words.Decimal(mm, 1) + " ± " + words.Girth(sd)
	}
	return words.Girth(mm)
}

// doubt is the standard deviation that is worth drawing: that of an estimate.
func doubt(source string, sd float64) float64 {
	if source == "estimated" {
		return sd
	}
	return 0
}
