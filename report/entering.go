package report

import (
	"strings"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/words"
)

// filled drops the rows that were not asked for.
func filled(rows [][]string) [][]string {
	var out [][]string
	for _, r := range rows {
		if r != nil {
			out = append(out, r)
		}
	}
	return out
}

// gettingIn tells the openings and whether the body passes.
func (b *page) gettingIn(f *analysis.Findings, p disk.Place) {
	var openings, entries, panels [][]string
	smaller := 0
	for _, c := range f.Cavities {
		for i, o := range c.Openings { // the largest first
			if i >= mostOpenings && !answer.LedTo(o.Name, c.Centrelines) {
				smaller++
				continue
			}
			openings = append(openings, []string{words.Prose(o.Name), known(o.Girth), known(o.Capacity), words.Towards(o.Facing), words.Spot(o.Center)})
		}
	}
	if f.Fit != nil {
		for _, e := range f.Fit.Entries {
			passes := "passes"
			if !e.Passes {
				passes = "**does not pass**"
			}
			from := ""
			if e.Percent > 0 {
				from = words.AtLeast(e.Percent)
			}
			twice := words.CountOf(f.Fit.Entries, func(o analysis.Entry) bool { return o.Opening == e.Opening && o.Measure == e.Measure }) > 1
			entries = append(entries, []string{words.Prose(e.Opening), words.BodyPlace(e.Measure) + toOther(e.To, twice), bodySize(e.Body, e.Source, e.SD), words.Girth(e.Needed), words.Girth(e.Throat), words.Along(e.ThroatAlong), passes, from})
			if e.Panel != nil {
				panels = append(panels, panelRow(f, e, p))
			}
		}
	}
	if len(openings)+len(entries) == 0 {
		return
	}
	b.Heading("Getting in")
	b.concerns(f, "entering")
	b.Table([]string{"by opening", "what must pass", "body", "it needs", "narrowest place", "distance in", "verdict", "passes from"}, entries)
	if len(panels) > 0 {
		b.Block("What would have to come off the wall:")
	}
	b.Table([]string{"from opening", "wide", "down to", "facing", "narrowest place then", "panel", "rest"}, panels)
	if len(openings) > 0 {
		b.Block("The openings; the capacity is the most room that a body can have there:")
	}
	b.Table([]string{"opening", "girth of the rim", "capacity", "faces", "middle"}, openings)
	if smaller > 0 {
		b.Block("And " + words.Things(smaller, "smaller opening") + " that no way leads to.")
	}
}

// mostOpenings is how many openings of a cavity are listed, besides those that a way leads
// to: a lattice has hundreds.
const mostOpenings = 12

// toOther tells what goes two ways apart, such as a thigh in either leg.
func toOther(to string, twice bool) string {
	if !twice || to == "" || to == "end" {
		return ""
	}
	return ", to opening " + words.Prose(to)
}

// panelRow describes the panel that lets a body part pass.
func panelRow(f *analysis.Findings, e analysis.Entry, p disk.Place) []string {
	q := e.Panel
	row := []string{words.Prose(e.Opening), words.Girth(q.Width), strings.TrimPrefix(answer.DownTo(f, e), "down to "), words.Towards(q.Facing), known(q.Throat), "", ""}
	if q.File != "" {
		row[5] = paper.FileLink(p, q.File)
	}
	if q.Rest != "" {
		row[6] = paper.FileLink(p, q.Rest)
	}
	return row
}

// known is a girth, or nothing where it was not measured.
func known(mm float64) string {
	if mm == 0 {
		return ""
	}
	return words.Girth(mm)
}
