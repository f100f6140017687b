package words

import (
	"fmt"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Page gathers Markdown, block by block: every block ends with an empty line.
type Page struct{ strings.Builder }

// Block writes a paragraph, or another block, that is Markdown already.
func (b *Page) Block(text string) { b.WriteString(text + "\n\n") }

// Heading begins a chapter.
func (b *Page) Heading(text string) { b.Block("## " + text) }

// Picture shows the picture at an address from Href; alt is plain text.
func (b *Page) Picture(alt, to string) { b.Block("![" + Prose(alt) + "](" + to + ")") }

// Items writes a list; numbered where the order matters.
func (b *Page) Items(numbered bool, items []string) {
	for i, item := range items {
		if numbered {
			b.WriteString(Count(i+1) + ". ")
		} else {
			b.WriteString("- ")
		}
		b.WriteString(strings.TrimSuffix(item, "\n") + "\n")
		if i+1 < len(items) && strings.HasSuffix(item, "\n") { // a block ends it
			b.WriteString("\n")
		}
	}
	if len(items) > 0 {
		b.WriteString("\n")
	}
}

// Table writes a table of cells that are Markdown already. Columns whose
// every cell is empty are left out, and so is a table without rows.
func (b *Page) Table(head []string, rows [][]string) {
	if len(rows) == 0 {
		return
	}
	var use []int
	for c := range head {
		for _, row := range rows {
			if row[c] != "" {
				use = append(use, c)
				break
			}
		}
	}
	line := func(cells []string) {
		for _, c := range use {
			b.WriteString("| " + cells[c] + " ")
		}
		b.WriteString("|\n")
	}
	line(head)
	b.WriteString(strings.Repeat("|---", len(use)) + "|\n")
	for _, row := range rows {
		line(row)
	}
	b.WriteString("\n")
}

// Visible makes a text fit to be shown: valid UTF-8 and, in place of what
// ends a line, moves the cursor or turns the direction of reading, U+FFFD.
func Visible(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp) || Bidi(r) {
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(text, string(utf8.RuneError)))
}

// Bidi reports whether r changes the direction in which text is shown and so
// could make one name look like another (Unicode Standard Annex 9).
func Bidi(r rune) bool {
	return r == 0x61c || r == 0x200e || r == 0x200f || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// Code shows a name letter by letter: a code span with a fence longer than
// any run of backticks within (CommonMark 6.1). In a table a bar would end the
// cell even there, and at the start of a paragraph "]:" would define a link
// (4.7), so that a name with one of them is shown as escaped text.
func Code(name string) string {
	name = Visible(name)
	if strings.Contains(name, "|") || strings.Contains(name, "]:") {
		return Prose(name)
	}
	fence, run := 1, 0
	for _, r := range name {
		if r == '`' {
			run++
			fence = max(fence, run+1)
		} else {
			run = 0
		}
	}
	pad := ""
	if name == "" || strings.HasPrefix(name, "`") || strings.HasSuffix(name, "`") ||
		strings.HasPrefix(name, " ") && strings.HasSuffix(name, " ") {
		pad = " "
	}
	return strings.Repeat("`", fence) + pad + name + pad + strings.Repeat("`", fence)
}

// Prose shows a text as it reads: whatever Markdown or HTML would take for
// markup is escaped, line ends become blanks.
func Prose(text string) string {
	text = Visible(strings.Join(strings.Fields(text), " "))
	var b strings.Builder
	letters := []rune(text)
	digits := true // nothing but digits so far
	for i, r := range letters {
		switch {
		case strings.ContainsRune("\\`*[]<>&|~$#", r):
			b.WriteByte('\\')
		case r == '_' && !(i > 0 && i+1 < len(letters) && wordy(letters[i-1]) && wordy(letters[i+1])):
			b.WriteByte('\\')
		case i == 0 && strings.ContainsRune("-+=!:", r):
			b.WriteByte('\\')
		case (r == '.' || r == ')') && i > 0 && digits:
			b.WriteByte('\\') // "1." would begin a list
		case r == ':' && i+1 < len(letters) && letters[i+1] == '/':
			b.WriteByte('\\') // no link that nobody wrote
		case r == '.' && i >= 3 && strings.EqualFold(string(letters[i-3:i]), "www"):
			b.WriteByte('\\')
		}
		digits = digits && '0' <= r && r <= '9'
		b.WriteRune(r)
	}
	return b.String()
}

func wordy(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// Link writes a link. label is Markdown already, to is an address from Href.
func Link(label, to string) string { return "[" + label + "](" + to + ")" }

// Href returns the address of a file as seen from another, both relative to
// the same folder and with slashes. Every byte that is not plain is escaped
// (RFC 3986, 2.1), so that blanks, brackets, colons and bytes that are no
// letters in any encoding lead to the right file.
func Href(from, to string) string {
	up := 0
	dir := path.Dir(from)
	for dir != "." && !strings.HasPrefix(to, dir+"/") {
		dir, up = path.Dir(dir), up+1
	}
	if dir != "." {
		to = strings.TrimPrefix(to, dir+"/")
	}
	var b strings.Builder
	b.WriteString(strings.Repeat("../", up))
	for _, c := range []byte(to) {
		if c == '/' || c == '-' || c == '.' || c == '_' || c == '~' ||
			'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || '0' <= c && c <= '9' {
			b.WriteByte(c)
			continue
		}
		const digits = "0123456789ABCDEF"
		b.WriteString("%" + string(digits[c>>4]) + string(digits[c&15]))
	}
	return b.String()
}

// TOML writes a name as a TOML basic string (TOML 1.0.0, String): what is
// not plain is escaped.
func TOML(name string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range name {
		switch {
		case r == '"' || r == '\\':
			b.WriteString("\\" + string(r))
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, "\\u%04X", r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// Steps is the chapter of what to do next, the most useful first.
func (b *Page) Steps(steps []string) {
	b.Heading("What to do next")
	b.Items(true, steps)
}

// KeptCopies says where earlier versions with the person's changes are.
func (b *Page) KeptCopies(from string, kept []string) {
	if len(kept) == 0 {
		return
	}
	var files []string
	for _, k := range kept {
		files = append(files, Link(Code(path.Base(k)), Href(from, k)))
	}
	b.Block("An earlier version of this report had been changed above its notes. It is kept as it was: " + And(files) + ".")
}

// Cautions is the chapter of the cautions for what the parts cover, by the names of
// their regions.
func (b *Page) Cautions(regions ...string) {
	b.Heading("Cautions")
	b.Items(false, cautionsFor(regions))
}
