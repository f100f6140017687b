package report

import (
	"net/url"
	"path"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func number(t *rapid.T, text string) float64 {
	v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSuffix(text, " %"), " ", ""), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestNamesAreShownLetterByLetter(t *testing.T) {
	for name, want := range map[string]string{
		"legs/a.stl": "`legs/a.stl`", "a`b.stl": "``a`b.stl``", "`a`` ``b`": "``` `a`` ``b` ```",
		"<b>&amp;.stl": "`<b>&amp;.stl`", " a ": "`  a  `", "": "`  `", "a\nb\x1b\x00.stl": "`a\ufffdb\ufffd\ufffd.stl`",
		"\xff.stl": "`\ufffd.stl`", "\u202egnp.lts": "`\ufffdgnp.lts`", "Ärmel 👩‍🎤.stl": "`Ärmel 👩‍🎤.stl`",
		"a|b*.stl": `a\|b\*.stl`, "[a]: b.stl": `\[a\]: b.stl`, // CommonMark 4.7: it would define a link
	} {
		if got := code(name); got != want {
			t.Errorf("%q: got %q, want %q", name, got, want)
		}
	}
}

func TestTextIsShownAsItReads(t *testing.T) {
	for text, want := range map[string]string{
		"Fits up to 97.2 % (calf_girth).": "Fits up to 97.2 % (calf_girth).",
		"<script>alert(1)</script>":       `\<script\>alert(1)\</script\>`,
		"![x](http://y) `c` **b** _i_":    `\!\[x\](http\://y) \` + "`c\\`" + ` \*\*b\*\* \_i\_`,
		"# heading":                       `\# heading`, "- item": `\- item`, "1. item": `1\. item`, "12) item": `12\) item`,
		"a\n\n## Your notes\nb": `a \#\# Your notes b`, "a|b": `a\|b`, "&lt; ~~x~~": `\&lt; \~\~x\~\~`,
		"www.example.org": `www\.example.org`, "3.5 mm": `3\.5 mm`,
	} {
		if got := prose(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
	long := strings.Repeat(".", 1<<20) // would take hours if it were quadratic
	if got := prose(long); len(got) != len(long) {
		t.Errorf("%d bytes of %d", len(got), len(long))
	}
}

// A link leads from a report to the file it names, whatever bytes both hold.
func TestLinksLeadToTheirFile(t *testing.T) {
	if got, want := href("SUIT.md", "legs/\xff\xfe.stl"), "legs/%FF%FE.stl"; got != want { // no text in any encoding
		t.Errorf("address %q, want %q", got, want)
	}
	rapid.Check(t, func(t *rapid.T) {
		element := rapid.StringMatching(`[^/\x00]{1,8}`).Filter(func(s string) bool { return s != "." && s != ".." })
		file := rapid.Custom(func(t *rapid.T) string {
			return strings.Join(rapid.SliceOfN(element, 1, 4).Draw(t, "elements"), "/")
		})
		from, to := file.Draw(t, "from"), file.Draw(t, "to")
		got := href(from, to)
		if strings.Trim(got, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789%/-._~") != "" {
			t.Fatalf("address %q is not plain", got)
		}
		u, err := url.Parse(got)
		if err != nil || u.Scheme != "" || u.Host != "" || u.RawQuery != "" || u.Fragment != "" {
			t.Fatalf("address %q is read as %+v, %v", got, u, err)
		}
		if led := path.Join(path.Dir(from), u.Path); led != path.Clean(to) {
			t.Fatalf("from %q to %q: %q leads to %q", from, to, got, led)
		}
	})
}

// Whatever names, texts and numbers come in, the reports are valid UTF-8
// without control characters, have their chapters and nothing that the names
// smuggled in.
func TestNothingInNamesOrTextsBreaksAReport(t *testing.T) {
	const evil = "x\n## Your notes\n" + notesLine + "\n<script>|`*[a](b)\x1b[2J\u202e\xff"
	d := boot()
	f := &d.Findings
	f.Unit.Name, f.Mesh.Format, f.Region.Name, f.Region.Side = evil, evil, evil, evil
	f.Mesh.Defects = []analysis.Defect{{Kind: evil, Count: 1}}
	f.Cavities[0].Openings[0].Name, f.Cavities[0].Centrelines[0].From, f.Cavities[0].Centrelines[0].To = evil, evil, evil
	f.Fit.Sits[0].Measure, f.Fit.Sits[0].From, f.Fit.Sits[1].Measure, f.Fit.Entries[0].Measure, f.Fit.Entries[0].Opening = evil, evil, evil, evil, evil
	f.Fit.Entries[0].Panel.File, f.Fit.Entries[0].Panel.Rest = evil, evil
	f.Bed.Placement.Kind, f.Bed.Pieces[0].File = evil, evil
	f.Bands = []analysis.Band{{File: evil}}
	f.Changed = &analysis.Changed{Kind: evil}
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Text: evil}, {Level: analysis.LevelNote, Text: evil}}
	place := Place{Root: "/suit", Part: "kit.zip", Member: evil}
	refusal := Refusal{Where: evil, Cause: evil, Remedy: evil}
	rows := []Row{{Place: place, Findings: f}, {Place: Place{Part: evil}, Refusal: &refusal}}
	all := Suit{Wearer: evil, Rows: rows, Gone: []Gone{{place, evil}}, Problems: []Problem{{evil, evil, evil}}}
	for name, text := range map[string]string{
		"part": d.text(place, draw(d), []string{evil}), "refusal": refusalText(place, refusal, nil, []string{evil}),
		"suit": all.text([]string{evil}), "list": listText(place.Archive(), rows, nil),
	} {
		if !utf8.ValidString(text) || visible(strings.ReplaceAll(text, "\n", "")) != strings.ReplaceAll(text, "\n", "") {
			t.Errorf("%s: not fit to be shown", name)
		}
		if n := strings.Count(text, "\n"+notesHeading+"\n"); n != 1 || !strings.HasSuffix(text, notesTop) {
			t.Errorf("%s: the notes' heading is there %d times", name, n)
		}
		if strings.Contains("\n"+text, "\n"+notesLine) {
			t.Errorf("%s: a name ends the report", name)
		}
		for line := range strings.Lines(text) {
			if at := strings.Index(line, "<script>"); at > 0 && line[at-1] != '\\' && strings.Count(line[:at], "`")%2 == 0 {
				t.Errorf("%s: markup from a name in %q", name, line)
			}
		}
		for _, table := range tables(text) {
			require.NotEmpty(t, table)
			for _, row := range table {
				if cells(row) != cells(table[0]) {
					t.Errorf("%s: %d cells under %d heads: %s", name, cells(row), cells(table[0]), row)
				}
			}
		}
	}
}

// tables returns the runs of lines that begin with a bar.
func tables(text string) [][]string {
	var out [][]string
	in := false
	for line := range strings.Lines(text) {
		bar := strings.HasPrefix(line, "|")
		if bar && !in {
			out = append(out, nil)
		}
		if in = bar; bar {
			out[len(out)-1] = append(out[len(out)-1], strings.TrimSuffix(line, "\n"))
		}
	}
	return out
}

// cells counts the bars of a row that are not escaped.
func cells(row string) int {
	n := 0
	for i := range len(row) {
		if row[i] == '|' && (i == 0 || row[i-1] != '\\') {
			n++
		}
	}
	return n
}
