package suit

import (
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/report/disk"
	"gambeson/report/words"
)

// mostNamed is how many parts a note names before it only counts them.
const mostNamed = 4

// partLinks names parts, or counts them where they are many.
func partLinks(names []string, rows []Row) string {
	if len(names) > mostNamed {
		return words.Things(len(names), "part")
	}
	var out []string
	for _, n := range names {
		out = append(out, nameLink(n, rows))
	}
	return words.And(out)
}

// nameLink links to the report of a part by its name.
func nameLink(name string, rows []Row) string {
	if i := rowOf(name, rows); i >= 0 {
		return rowLink(rows[i])
	}
	return words.Code(name)
}

// rowOf finds the row of a part, -1 where there is none. In rows by name, as seenFrom
// returns them, that takes no time, as of thousands of parts each may be asked for.
func rowOf(name string, rows []Row) int {
	i, found := slices.BinarySearchFunc(rows, name, func(r Row, name string) int { return strings.Compare(r.Place.Name(), name) })
	if found {
		return i
	}
	return slices.IndexFunc(rows, func(r Row) bool { return r.Place.Name() == name })
}

// rowLink links to a part's report.
func rowLink(r Row) string {
	return words.Link(words.Code(r.Place.Name()), words.Href(r.from, r.Place.Report()))
}

// bandLinks links to a part's bands by the place they are cut at.
func bandLinks(r Row) string {
	var out []string
	for _, b := range r.Findings.Bands {
		out = append(out, words.Link(words.Along(b.Station), words.Href(r.from, b.File)))
	}
	return strings.Join(out, ", ")
}

// detailsLink leads from SUIT.md to a chapter of the details.
func detailsLink(chapter, label string) string {
	return words.Link(label, words.Href(disk.SuitName, disk.DetailsReport)+chapter)
}

// findingsOf returns the findings of the part of a name, nil where there are none.
func findingsOf(name string, rows []Row) *analysis.Findings {
	if i := rowOf(name, rows); i >= 0 && rows[i].Findings != nil && rows[i].Findings.Part == name {
		return rows[i].Findings
	}
	for _, r := range rows {
		if r.Findings != nil && r.Findings.Part == name { // findings hold no name that is not UTF-8
			return r.Findings
		}
	}
	return nil
}
