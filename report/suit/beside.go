package suit

import (
	"slices"
	"strings"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/words"
)

// A part's own report judges it alone, and SUIT.md all parts together: where the two name
// different scales, tests or chances, SUIT.md says here what the report has, and why.

// alone is the scale at which the report of a part has it printed.
func alone(f *analysis.Findings) float64 {
	if to := f.Advised(); to > 0 {
		return to
	}
	return f.Percent
}

// parts reports whether the suit has another scale for a part than its own report.
func parts(p together.Part, f *analysis.Findings) bool {
	return f != nil && suited(p) && !p.Follows && p.Printed == 0 && p.Stretch == nil && words.Differs(p.Scale, alone(f))
}

// besideReports says why scales are others than those in the reports of the parts, "" where
// none of them is.
func besideReports(s together.Suit, names []string, rows []Row) string {
	if !slices.ContainsFunc(names, func(name string) bool {
		p, _ := s.Part(name)
		return parts(p, findingsOf(name, rows))
	}) {
		return ""
	}
	return " A part's report may name another scale, as it looks at that part alone. The suit takes one scale for several parts where that will do, in whole percents. The table of " + words.Link("parts", "#parts") + " has both."
}

// overruled says which scales that suit.toml has are given up for the suit's, and why.
func overruled(s together.Suit, names []string, rows []Row) string {
	var given [][2]string          // scales and why they are given up
	of := map[[2]string][]string{} // the parts of each
	for _, name := range names {
		f := findingsOf(name, rows)
		if f == nil || !f.PercentSet {
			continue
		}
		p, _ := s.Part(name)
		up := [2]string{words.Percent(f.Percent), givenUp(s, p, f)}
		if of[up] == nil {
			given = append(given, up)
		}
		of[up] = append(of[up], name)
	}
	var said []string
	for _, up := range given {
		said = append(said, up[0]+" for "+partLinks(of[up], rows)+", as "+up[1])
	}
	if len(said) == 0 {
		return ""
	}
	return " This overrules what `suit.toml` has so far: " + strings.Join(said, "; ") + "."
}

// givenUp is why the scale that is set for a part is not kept, in the words of a sentence.
func givenUp(s together.Suit, p together.Part, f *analysis.Findings) string {
	_, against := f.FoundAt(p.Wanted, func(e analysis.Tried) bool { return e.Part == "" || e.Across })
	switch {
	case p.Spans:
		return "its rim does not reach across the joint there"
	case p.Follows:
		return "it only covers and goes with the parts beside it"
	case f.Says("assembly-scale"):
		return "the pieces of a shell need one scale"
	case against:
		return "what was tried on speaks against that"
	case p.Range != nil && p.Wanted < p.Range.Smallest-analysis.SameScale:
		return "the body does not fit there"
	case p.Range != nil && p.Range.Loosest > 0 && p.Wanted > p.Range.Loosest+analysis.SameScale:
		return "it is too loose or too long there"
	case f.TooRoomy() && p.Wanted == f.Percent:
		return "it is too loose there"
	case p.OverBed(p.Wanted) && !p.OverBed(p.Scale):
		return "the bed takes it only smaller"
	case p.Range != nil && p.Range.Loosest <= 0 && p.Wanted > p.Scale:
		return "it is larger there than it has to be"
	case slices.ContainsFunc(s.Pairs, func(pair together.Pair) bool { return pair.Left == p.Name || pair.Right == p.Name }):
		return "both sides together fit better so"
	}
	return "it is likelier to fit so"
}

// untested says of parts that no band of SUIT.md tells of why their reports ask for one,
// "" where none of them does.
func untested(s together.Suit, names []string, rows []Row) string {
	names = slices.DeleteFunc(slices.Clone(names), func(name string) bool {
		f := findingsOf(name, rows)
		return f == nil || f.Testing == nil || !f.Testing.WorthIt || s.Tested(name) || s.TestedLater(name)
	})
	if len(names) == 0 {
		return ""
	}
	text := " " + words.Verb(names, "The test that the report of ", "The tests that the reports of ") + printLinks(names, rows) + " " + words.Verb(names, "advises is for the best scale of that part alone", "advise are for the best scales of those parts alone")
	taped := slices.DeleteFunc(slices.Clone(names), func(name string) bool { return !s.Measured(name) })
	if len(taped) == len(names) {
		return text + ". Measure first, which may leave no need of " + words.Verb(names, "it", "them") + "."
	}
	return text + ": " + words.Verb(names, "this one needs none.", "these need none.")
}

// whyTested says of a band why the part's own report asks for none, "" where it does.
func whyTested(p together.Part, f *analysis.Findings) string {
	if f == nil || f.Testing == nil || f.Testing.WorthIt {
		return ""
	}
	at := words.Percent(p.Scale) + ", as set"
	if wantsScale(p) {
		at = words.Percent(p.Scale) + ", the suit's scale"
	}
	return " Its report asks for none: at " + words.Percent(f.Testing.Print) + ", likeliest for this part alone, it needs none. At " + at + ", one is worth its hours."
}

// riskNote says what the chances in the table of parts are, and why a report has others;
// "" where the table has none.
func riskNote(s together.Suit) string {
	if !slices.ContainsFunc(s.Parts, func(p together.Part) bool {
		return p.Risk.Level == together.Some || p.Risk.Level == together.High
	}) {
		return ""
	}
	return "The risk is the chance that a print at the suit's scale has to be done again. It asks for all the padding and ease. A part's report may name a lesser chance, as it counts a little less ease as fitting too. An open mesh, pieces for the bed or a wrong length add 1 in 10 each (*a guess*)."
}

// stretchedAlone says of files to be rescaled along their axes that their reports have other
// scales, "" where they have the same.
func stretchedAlone(stretch stretched, rows []Row) string {
	others := slices.DeleteFunc(slices.Clone(stretch.names), func(name string) bool {
		f := findingsOf(name, rows)
		return f == nil || f.Stretch() == nil || words.ThreeScales(f.Fit.TwoWay.Axes) == stretch.to
	})
	if len(others) == 0 {
		return ""
	}
	return " " + words.Verb(others, "The report of ", "The reports of ") + partLinks(others, rows) + " " + words.Verb(others, "has another scale, for that part alone", "have other scales, each for its part alone") + ": these serve both sides alike."
}
