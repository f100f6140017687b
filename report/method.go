package report

import (
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/words"
)

// method tells where every number comes from, and what was assumed.
func (b *page) method(f *analysis.Findings, brief analysis.Brief) {
	b.Heading("Where the numbers come from")
	b.Block("**Measured** is what was read off the mesh or with a tape. *About* and *estimated* is reckoned from other measures or by a model. What stands behind ± is one standard deviation: the truth lies within it about 2 times in 3. Where *9 in 10* stands beside it, it does so 9 times in 10. *Guessed*, *assumed* and *default* is neither: check it.")
	var rows [][]string
	row := func(what, value, source string) { rows = append(rows, []string{what, value, source}) }
	if m := f.Mesh; m != nil {
		row("mesh", formatWords(m.Format)+", "+words.Things(m.Triangles, "triangle"), "read from the file")
		row("size of the file", words.Size(m.Bounds), "measured on the mesh")
		row("material", words.Volume(m.Volume)+" with "+words.Area(m.Area)+" of surface", "measured on the mesh")
	}
	if u := f.Unit; u != nil {
		row("unit of the file", words.Prose(u.Name), fromWhere(u.Source))
	}
	if len(f.Cavities) > 0 {
		row("inner girth", "length of the loop inside, where a plane square to the way through cuts the part", "measured on the mesh")
	}
	some := func(is func(s analysis.Station) bool) bool {
		return slices.ContainsFunc(f.Ways(), func(w analysis.Centreline) bool { return slices.ContainsFunc(w.Stations, is) })
	}
	if some(func(s analysis.Station) bool { return s.Capacity > 0 }) {
		says := "girth of the greatest ellipse that fits inside there, of any shape from round to twice as wide as deep: the most room that a body can have"
		if some(func(s analysis.Station) bool { return s.Capacity > s.Closed && s.Closed > 0 }) {
			says += ". Where the part is open such an ellipse may hang out of the gap; the body is then given no more than the girth of the section once closed"
		}
		row("capacity", says, "measured on the mesh")
	}
	if r := f.Region; r != nil && r.Name != "" {
		row("covers", words.Region(r), fromWhere(r.Source))
	}
	if f.Fit != nil {
		seen := map[string]bool{}
		for _, s := range f.Fit.Sits {
			if !seen[s.Measure] {
				seen[s.Measure] = true
				row(words.BodyPlace(s.Measure)+" of the body", bodySize(s.Body, s.Source, s.SD), fromWhere(s.Source))
			}
		}
		row("needed", "girth of the body and of all that lies between: a layer t thick makes it 2π·t longer", "worked out")
	}
	b.Table([]string{"what", "value", "source"}, append(rows, answer.Assumed(brief, wornShell(f))...))
	b.Items(false, answer.Notes(f))
	b.girthTables(f)
}

// wornShell is what was reckoned with between skin and shell, nil where no body
// was compared.
func wornShell(f *analysis.Findings) *analysis.Shell {
	if f.Fit == nil {
		return nil
	}
	return f.Fit.Shell
}

// formatWords names a file format.
func formatWords(format string) string {
	switch format {
	case "stl-binary":
		return "binary STL"
	case "stl-ascii":
		return "text STL"
	case "3mf", "obj":
		return strings.ToUpper(format)
	}
	return words.Prose(format)
}

// fromWhere says where a fact comes from.
func fromWhere(source string) string {
	switch source {
	case "config":
		return "`suit.toml`"
	case "file":
		return "the mesh file says so"
	case "name":
		return "guessed from the file's name"
	case "shape":
		return "guessed from the part's shape"
	case "assumed":
		return "assumed: the file does not say"
	case "measured":
		return "measured: `wearer.toml`"
	case "estimated":
		return "*estimated*: measure it"
	}
	return "not known"
}
