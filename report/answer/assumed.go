package answer

import (
	"strings"

	"gambeson/analysis"
	"gambeson/report/words"
)

// Notes lists the doubts that do not ask for anything; faults of the mesh have
// their own chapter.
func Notes(f *analysis.Findings) []string {
	var out []string
	for _, w := range f.Warnings {
		if w.Level != analysis.LevelWarning && !(strings.HasPrefix(w.Code, "mesh-") && f.Mesh != nil && len(f.Mesh.Defects) > 0) {
			out = append(out, words.Prose(w.Text))
		}
	}
	return out
}

// Assumed lists what was assumed about shell and printer, with its source:
// a value that is the default counts as one.
func Assumed(brief analysis.Brief, shell *analysis.Shell) [][]string {
	usual := analysis.DefaultBrief()
	from := func(same bool) string {
		if same {
			return "default"
		}
		return "`suit.toml`"
	}
	var rows [][]string
	if s := shell; s != nil {
		region := func(asked bool) string {
			if asked {
				return "`suit.toml`"
			}
			return "usual for what it covers"
		}
		u := usual.Shell
		rows = append(rows,
			[]string{"padding, each side", words.Girth(s.Padding), region(s.Asked.Padding)},
			[]string{"padding when pressed on the way in", words.Girth(s.EntryPadding), from(s.EntryPadding == u.EntryPadding)},
			[]string{"lining of the shell", words.Girth(s.Liner), from(s.Liner == u.Liner)},
			[]string{"ease wanted", words.Girth(s.Ease), region(s.Asked.Ease)})
		if brief.Wearer.OverUndersuit {
			rows = append(rows, []string{"undersuit under the tape, which is taken off the girths", words.Girth(s.Undersuit), "`wearer.toml`"})
		}
	}
	p, q := brief.Printer, usual.Printer
	same := p.Bed == q.Bed && p.Diameter == q.Diameter && p.Height == q.Height && p.Margin == q.Margin && len(p.Strips) == 0
	rows = append(rows, []string{"printer's bed", volumeWords(p), from(same)})
	if brief.Second != nil {
		rows = append(rows, []string{"second printer's bed", volumeWords(*brief.Second), from(false)})
	}
	return rows
}

// volumeWords says what a printer prints on.
func volumeWords(p analysis.Printer) string {
	text := words.Decimal(p.Bed[0], 1) + " × " + words.Girth(p.Bed[1])
	if p.Diameter > 0 {
		text = "round, " + words.Girth(p.Diameter) + " across"
	}
	text += ", " + words.Girth(p.Height) + " high, " + words.Girth(p.Margin) + " kept free at the edge"
	if n := len(p.Strips); n > 0 {
		text += " and round " + words.Things(n, "strip") + " that cannot be printed on"
	}
	return text
}
