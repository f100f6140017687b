package suit

import (
	"slices"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/answer"
	"gambeson/report/bend"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/words"
)

// details says why SUIT.md says what it says, and what is too long for it.
func (s Suit) details(kept []string) string {
	rows := seenFrom(disk.DetailsReport, s.Rows)
	var b page
	b.Block("# The suit in detail")
	b.Block("What to do is in " + words.Link(words.Code(disk.SuitName), words.Href(disk.DetailsReport, disk.SuitName)) + "; here are the reasons.")
	b.lines(s.Judged, rows)
	b.noted(s, rows)
	b.suitScales(s.Judged, rows)
	b.partReasons(s.Judged, rows)
	b.atRisk(s.Judged, rows)
	b.pairs(s.Judged, rows)
	b.kin(s.Kin, s.Judged.Pairs)
	bend.Chapter(&b.Page, disk.DetailsReport, s.Joints, func(part string) string { return nameLink(part, rows) }, shownJoint(s))
	b.rowNotes(rows, s.Unmatched)
	b.Heading("What was assumed")
	b.Table([]string{"what", "value", "source"}, append(suitShell(s.Brief.Shell), answer.Assumed(s.Brief, nil)...))
	b.KeptCopies(disk.DetailsReport, kept)
	b.Cautions(regions(rows)...)
	return words.InUnits(b.String(), s.Brief) + paper.NotesTop
}

// kin lists the parts that have the shape of another one; left and right are
// pairs and have a chapter of their own.
func (b *page) kin(all []analysis.Relation, pairs []together.Pair) {
	var items []string
	for _, r := range all {
		if !r.Mirror && !paired(r, pairs) {
			items = append(items, words.Sentence(r.Text))
		}
	}
	if len(items) == 0 {
		return
	}
	b.Heading("The same shape twice")
	b.Items(false, items)
}

// paired reports whether two parts that are kin are the left and the right of a pair.
func paired(r analysis.Relation, pairs []together.Pair) bool {
	return slices.ContainsFunc(pairs, func(p together.Pair) bool {
		return p.Left == r.Earlier && p.Right == r.Later || p.Left == r.Later && p.Right == r.Earlier
	})
}

// suitShell lists what holds between skin and shell for parts that ask for
// nothing else.
func suitShell(s analysis.Shell) [][]string {
	row := func(what string, mm float64, asked bool) []string {
		if asked {
			return []string{what, words.Girth(mm), "`suit.toml`"}
		}
		return []string{what, "as usual for what a part covers", "default; each report has it"}
	}
	return [][]string{row("padding, each side", s.Padding, s.Asked.Padding), row("ease wanted", s.Ease, s.Asked.Ease)}
}

// rowNotes lists the doubts that do not ask for anything: more, which are about
// no part, then each once, with the parts it is about.
func (b *page) rowNotes(rows []Row, more []string) {
	about := map[string][]string{}
	var texts []string
	for _, r := range rows {
		if r.Findings == nil {
			continue
		}
		for _, n := range answer.Notes(r.Findings) {
			if about[n] == nil {
				texts = append(texts, n)
			}
			about[n] = append(about[n], rowLink(r))
		}
	}
	var items []string
	for _, m := range more {
		items = append(items, words.Sentence(m))
	}
	for _, n := range texts {
		parts := words.And(about[n])
		if len(about[n]) > mostNamed {
			parts = words.Things(len(about[n]), "part")
		}
		items = append(items, n+" ("+parts+")")
	}
	if len(items) > 0 {
		b.Heading("Notes")
		b.Items(false, items)
	}
}
