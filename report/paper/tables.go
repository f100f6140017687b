package paper

import (
	"html"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	extra "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/util"
)

// A table that is wider than a telephone is shown there as cards, one a row, each
// cell behind the heading of its column; rows of short numbers stay a table, as
// they are compared from row to row. Widths in letters, tried at 390 px.
const (
	cardColumns = 4  // fewer fit
	cardWidth   = 36 // of all columns
	cardCell    = 16 // a cell that is longer is words
	cardRows    = 8  // more of short ones stay a table
	fewWidth    = 70 // of three columns
)

// table opens and closes a table in the box in which it moves sideways where it
// is wider than the page.
func (p *pagePart) table(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	switch {
	case !entering:
		_, _ = w.WriteString("</tbody>\n</table></div>\n")
	case asCards(n, source):
		_, _ = w.WriteString("<div class=\"wide\" tabindex=\"0\"><table class=\"cards\">\n")
	default:
		_, _ = w.WriteString("<div class=\"wide\" tabindex=\"0\"><table>\n")
	}
	return ast.WalkContinue, nil
}

// asCards says whether a telephone is to show a table as cards.
func asCards(table ast.Node, source []byte) bool {
	var widest []int
	longest, rows := 0, 0
	for row := table.FirstChild(); row != nil; row = row.NextSibling() {
		rows++
		at := 0
		for cell := row.FirstChild(); cell != nil; cell = cell.NextSibling() {
			n := utf8.RuneCountInString(html.UnescapeString(wordsOf(cell, source)))
			if at == len(widest) {
				widest = append(widest, 0)
			}
			if row.Kind() == extra.KindTableHeader { // a heading is broken between words
				n = 0
				for _, word := range strings.Fields(html.UnescapeString(wordsOf(cell, source))) {
					n = max(n, utf8.RuneCountInString(word))
				}
			}
			widest[at], longest = max(widest[at], n), max(longest, n)
			at++
		}
	}
	all := 0
	for _, n := range widest {
		all += n
	}
	if len(widest) == cardColumns-1 { // two of them words: each would be a column of single words
		return all > fewWidth && widest[1] > cardCell
	}
	return len(widest) >= cardColumns && all > cardWidth && (longest > cardCell || rows <= cardRows)
}

func tableHead(w util.BufWriter, _ []byte, _ ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		_, _ = w.WriteString("<thead>\n<tr>\n")
	} else {
		_, _ = w.WriteString("</tr>\n</thead>\n<tbody>\n")
	}
	return ast.WalkContinue, nil
}

func tableRow(w util.BufWriter, _ []byte, _ ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		_, _ = w.WriteString("<tr>\n")
	} else {
		_, _ = w.WriteString("</tr>\n")
	}
	return ast.WalkContinue, nil
}

// tableCell writes a cell with the words that head its column, for cards. What it
// says stands in one box, so that words and links stay one text there.
func (p *pagePart) tableCell(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	switch {
	case n.Parent().Kind() == extra.KindTableHeader && entering:
		_, _ = w.WriteString("<th>")
	case n.Parent().Kind() == extra.KindTableHeader:
		_, _ = w.WriteString("</th>\n")
	case !entering:
		_, _ = w.WriteString("</div></td>\n")
	default:
		_, _ = w.WriteString("<td data-of=\"" + headOf(n, source) + "\"><div>")
	}
	return ast.WalkContinue, nil
}

// headOf is what heads the column of a cell, as HTML.
func headOf(cell ast.Node, source []byte) string {
	head := cell.Parent().Parent().FirstChild().FirstChild()
	for c := cell.PreviousSibling(); c != nil && head != nil; c = c.PreviousSibling() {
		head = head.NextSibling()
	}
	if head == nil {
		return ""
	}
	return wordsOf(head, source)
}

// registerTables says how tables are written.
func (p *pagePart) registerTables(r renderer.NodeRendererFuncRegisterer) {
	r.Register(extra.KindTable, p.table)
	r.Register(extra.KindTableHeader, tableHead)
	r.Register(extra.KindTableRow, tableRow)
	r.Register(extra.KindTableCell, p.tableCell)
}
