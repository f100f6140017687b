package paper

import (
	"bufio"
	"bytes"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html"
	"net/url"
	"path"
	"strings"

	"gambeson/report/disk"
	"gambeson/report/words"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer"
	markup "github.com/yuin/goldmark/renderer/html"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// Beside every report lies the same as a page: one file that shows in any
// browser, also without a network, with the pictures in it. It is made of the
// very Markdown, so the two never say different things, and written before it.

// pageFirst and pageSecond begin a page of ours. The hash is that of what
// follows, by which a change of the person's is seen.
const (
	pageFirst  = "<!doctype html>\n<!-- gambeson page text="
	pageSecond = " -->\n"
)

// largestPicture is the most that is put into a page of one picture: 4 MiB. A
// larger one is linked.
const largestPicture = 4 << 20

//go:embed page.css
var pageStyle string

// writePage writes the page beside a report of which ours is our text, with
// the notes' heading at its end. A page that the person changed is first saved
// as it was, under the name kept gives; a file that is not ours is left alone,
// and errInTheWay says so.
func writePage(d disk.Folder, report, ours string, notes []byte, kept func(hash string) string) error {
	name := disk.PageOf(report)
	return d.Rewrite(name, func(old []byte) ([]byte, error) {
		if old != nil && len(bytes.Trim(old, "\x00")) > 0 {
			whose, hash := pageOwner(old)
			switch whose {
			case theirs:
				return nil, errInTheWay
			case changed:
				if err := d.Write(disk.PageOf(kept(hash)), old); err != nil {
					return nil, err
				}
			}
		}
		return pageText(d, report, ours, notes)
	})
}

// errInTheWay says that a file of the person's has the name of a page.
var errInTheWay = errors.New("was not written by gambeson")

// inTheWay is what a report says where a page could not be put beside it.
func inTheWay(report string) string {
	return "No page could be put beside this report: " + words.Code(path.Base(disk.PageOf(report))) + " is there and is not gambeson's. Move it away to get one.\n\n"
}

type owner int

const (
	theirs  owner = iota // a file of the person's own
	ours                 // a page as we wrote it
	changed              // a page of ours that the person changed
)

// pageOwner tells whose a page is, and gives the hash under which one that was
// changed is kept.
func pageOwner(old []byte) (owner, string) {
	after, ok := bytes.CutPrefix(old, []byte(pageFirst))
	hash, body, found := bytes.Cut(after, []byte(pageSecond))
	if !ok || !found {
		return theirs, ""
	}
	if string(hash) == textSum(body) {
		return ours, ""
	}
	return changed, textSum(old)[:8]
}

// pageText makes the page of a report.
func pageText(d disk.Folder, report, text string, notes []byte) ([]byte, error) {
	p := pagePart{dir: d, report: report}
	text = strings.TrimPrefix(text, ListLine)
	hint := "*Write them in " + words.Link(words.Code(path.Base(report)), words.Href(report, report)) + ", below its last line, and they are kept there word for word. They are shown here when the report is written again.*\n"
	above, err := p.html(strings.Replace(text, notesHint+"\n", hint, 1))
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be made: %w", disk.Shown(disk.PageOf(report)), err)
	}
	below, err := p.html(strings.ToValidUTF8(string(notes), "\ufffd"))
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be made: %w", disk.Shown(disk.PageOf(report)), err)
	}
	var b bytes.Buffer
	b.WriteString("<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n" +
		"<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n" +
		"<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src 'unsafe-inline'; form-action 'none'; base-uri 'none'\">\n" +
		"<meta name=\"referrer\" content=\"no-referrer\">\n<meta name=\"color-scheme\" content=\"light dark\">\n")
	b.WriteString("<title>" + p.title + "</title>\n<style>\n" + pageStyle + "</style>\n</head>\n<body>\n")
	if report != disk.SuitName {
		b.WriteString("<p class=\"up\"><a href=\"" + html.EscapeString(words.Href(report, disk.PageOf(disk.SuitName))) + "\">The whole suit</a></p>\n")
	}
	b.WriteString("<main>\n" + above)
	if strings.TrimSpace(below) != "" {
		b.WriteString("<div class=\"notes\">\n" + below + "</div>\n")
	}
	b.WriteString("</main>\n</body>\n</html>\n")
	return append([]byte(pageFirst+textSum(b.Bytes())+pageSecond), b.Bytes()...), nil
}

// pagePart turns Markdown into HTML as it is seen from a report.
type pagePart struct {
	dir    disk.Folder
	report string
	title  string // the first heading's words, as HTML
}

func (p *pagePart) html(markdown string) (string, error) {
	md := goldmark.New(goldmark.WithExtensions(extension.Table),
		goldmark.WithParserOptions(parser.WithAutoHeadingID()),
		goldmark.WithRendererOptions(renderer.WithNodeRenderers(util.Prioritized(p, 0))))
	source := []byte(markdown)
	tree := md.Parser().Parse(text.NewReader(source))
	p.headed(tree, source)
	var b bytes.Buffer
	if err := md.Renderer().Render(&b, source, tree); err != nil {
		return "", err
	}
	return unparted(b.String()), nil
}

// unparted keeps a number, its groups of digits, its doubt and its unit, and a
// share such as 9 in 10 on one line, but in code, which people copy. Tags, in which whole pictures stand, are passed over.
func unparted(page string) string {
	var b strings.Builder
	b.Grow(len(page) + len(page)/64)
	for page != "" {
		at := strings.IndexAny(page, "< ")
		if at < 0 {
			break
		}
		if page[at] == ' ' {
			b.WriteString(page[:at])
			if at > 0 && digit(page[at-1]) && (startsWithUnit(page[at+1:]) || threeDigits(page[at+1:])) || strings.HasSuffix(page[:at], "±") || strings.HasSuffix(b.String(), "&nbsp;in") && startsWithDigit(page[at+1:]) {
				b.WriteString("&nbsp;")
			} else {
				b.WriteByte(' ')
			}
			page = page[at+1:]
			continue
		}
		end := ">"
		if strings.HasPrefix(page[at:], "<code>") { // what stands in it is escaped: no other tag
			end = "</code>"
		}
		length := strings.Index(page[at:], end)
		if length < 0 {
			break
		}
		b.WriteString(page[:at+length+len(end)])
		page = page[at+length+len(end):]
	}
	b.WriteString(page)
	return b.String()
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// startsWithDigit is for what follows "9 in".
func startsWithDigit(text string) bool { return text != "" && digit(text[0]) }

// threeDigits reports whether a text begins with a group of digits: 12 345.
func threeDigits(text string) bool {
	return len(text) >= 3 && digit(text[0]) && digit(text[1]) && digit(text[2]) && (len(text) == 3 || !digit(text[3]))
}

// units that stand behind numbers, none before one that it begins.
var units = []string{"mm", "cm²", "cm³", "cm", "°C", "kg", "g", "h", "m", "in", "%"}

// startsWithUnit reports whether a text begins with a unit and not with a longer
// word.
func startsWithUnit(text string) bool {
	for _, u := range units {
		if rest, ok := strings.CutPrefix(text, u); ok {
			if rest == "" || !digit(rest[0]) && (rest[0]|0x20 < 'a' || rest[0]|0x20 > 'z') {
				return true
			}
		}
	}
	return false
}

// headed takes the title from the first heading.
func (p *pagePart) headed(tree ast.Node, source []byte) {
	for n := tree.FirstChild(); n != nil && p.title == ""; n = n.NextSibling() {
		if _, ok := n.(*ast.Heading); ok {
			p.title = wordsOf(n, source)
		}
	}
}

// wordsOf is the text within a node without its markup, as HTML.
func wordsOf(n ast.Node, source []byte) string {
	var b bytes.Buffer
	w := bufio.NewWriterSize(&b, 256) // a table of thousands of rows asks for each cell
	_ = ast.Walk(n, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if t, ok := n.(*ast.Text); ok && entering {
			if _, raw := n.Parent().(*ast.CodeSpan); raw {
				_, _ = w.WriteString(html.EscapeString(string(t.Segment.Value(source))))
			} else {
				markup.DefaultWriter.Write(w, t.Segment.Value(source))
			}
			if t.SoftLineBreak() {
				_ = w.WriteByte(' ')
			}
		}
		return ast.WalkContinue, nil
	})
	_ = w.Flush()
	return b.String()
}

// RegisterFuncs says what is written otherwise than usual: pictures are put
// into the page, links between reports lead from page to page, HTML that a
// person wrote is shown as text.
func (p *pagePart) RegisterFuncs(r renderer.NodeRendererFuncRegisterer) {
	r.Register(ast.KindImage, p.image)
	r.Register(ast.KindLink, p.link)
	r.Register(ast.KindRawHTML, rawHTML)
	r.Register(ast.KindHTMLBlock, htmlBlock)
	p.registerTables(r)
}

func (p *pagePart) image(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		return ast.WalkContinue, nil
	}
	to := string(n.(*ast.Image).Destination)
	alt := wordsOf(n, source)
	data, kind := p.picture(to)
	switch {
	case data != nil:
		_, _ = w.WriteString("<a href=\"" + html.EscapeString(to) + "\"><img alt=\"" + alt + "\" src=\"data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(data) + "\"></a>")
	case local(to):
		_, _ = w.WriteString("<a href=\"" + html.EscapeString(to) + "\">" + alt + "</a>")
	default:
		_, _ = w.WriteString(alt)
	}
	return ast.WalkSkipChildren, nil
}

// picture returns one of our pictures, nil where it is none.
func (p *pagePart) picture(to string) (data []byte, kind string) {
	kind = map[string]string{".png": "image/png", ".svg": "image/svg+xml"}[path.Ext(to)]
	plain, err := url.PathUnescape(to)
	file := path.Join(path.Dir(p.report), plain)
	if kind == "" || err != nil || !local(to) || !disk.Ours(file) {
		return nil, ""
	}
	data, _, err = p.dir.Read(file)
	if err != nil || len(data) > largestPicture {
		return nil, ""
	}
	return data, kind
}

func (p *pagePart) link(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		_, _ = w.WriteString("</a>")
		return ast.WalkContinue, nil
	}
	to := string(util.URLEscape(n.(*ast.Link).Destination, true))
	switch {
	case local(to):
		if plain, err := url.PathUnescape(to); err == nil && path.Join(path.Dir(p.report), plain) != p.report {
			to = disk.TwinOf(to, plain)
		}
	case !strings.HasPrefix(to, "https://") && !strings.HasPrefix(to, "http://") && !strings.HasPrefix(to, "mailto:"):
		to = ""
	}
	_, _ = w.WriteString("<a href=\"" + html.EscapeString(to) + "\">")
	return ast.WalkContinue, nil
}

// local reports whether a link leads to a file near the report, or to a place
// in it: no scheme, no host (RFC 3986, 4.2).
func local(to string) bool {
	u, err := url.Parse(to)
	return err == nil && u.Scheme == "" && u.Host == "" && !strings.HasPrefix(to, "/") && !strings.HasPrefix(to, `\`)
}

// rawHTML shows what looks like HTML within a line as text; a comment is left
// out.
func rawHTML(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		writeRaw(w, n.(*ast.RawHTML).Segments.Value(source))
	}
	return ast.WalkSkipChildren, nil
}

// htmlBlock is rawHTML for whole lines.
func htmlBlock(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		block := n.(*ast.HTMLBlock)
		all := block.Lines().Value(source)
		if block.HasClosure() {
			all = append(all[:len(all):len(all)], block.ClosureLine.Value(source)...)
		}
		if !comment(all) {
			_, _ = w.WriteString("<p>")
			writeRaw(w, all)
			_, _ = w.WriteString("</p>\n")
		}
	}
	return ast.WalkSkipChildren, nil
}

func comment(raw []byte) bool {
	raw = bytes.TrimSpace(raw)
	return bytes.HasPrefix(raw, []byte("<!--")) && bytes.HasSuffix(raw, []byte("-->"))
}

func writeRaw(w util.BufWriter, raw []byte) {
	if !comment(raw) {
		_, _ = w.WriteString(html.EscapeString(string(raw)))
	}
}
