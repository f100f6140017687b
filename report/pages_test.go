package report

import (
	"path"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// pageFor writes a part's report with notes and returns its page.
func pageFor(t *testing.T, name, notes string) (Place, string) {
	t.Helper()
	d := boot()
	d.Findings.Part = name
	p := Place{Root: suit(t), Part: name}
	require.NoError(t, Write(p, d))
	writeFile(t, p.Root, p.Report(), readFile(t, p.Root, p.Report())+notes)
	d.Fingerprint = "again"
	require.NoError(t, Write(p, d))
	return p, readFile(t, p.Root, pageOf(p.Report()))
}

// A page holds all that the report says and shows, and asks nothing of a
// network or of a script.
func TestAPageStandsAlone(t *testing.T) {
	p, page := pageFor(t, "legs/boot-left.stl", "Glued on **Tuesday**.\n")
	for _, want := range []string{
		"<title>legs/boot-left.stl</title>", `<html lang="en-GB">`, `name="viewport"`, "<strong>The body does not get in",
		"343.6&nbsp;mm", `<a href="../SUIT.html">`, "<strong>Tuesday</strong>", "Not protective equipment", "boot-left.stl.md",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not in the page", want)
		}
	}
	sources := regexp.MustCompile(`src="([^"]{0,22})`).FindAllStringSubmatch(page, -1)
	drawn := strings.Count(readFile(t, p.Root, p.Report()), "![")
	if len(sources) < 3 || len(sources) != drawn {
		t.Errorf("%d pictures in the page, %d in the report", len(sources), drawn)
	}
	for _, s := range sources {
		if s[1] != "data:image/png;base64," {
			t.Errorf("a picture is fetched from %q", s[1])
		}
	}
	for _, not := range []string{"<script", "http:", "https:", "<link", "@import", "url("} {
		if strings.Contains(page, not) {
			t.Errorf("%q is in the page", not)
		}
	}
	if len(page) > 1500<<10 {
		t.Errorf("the page has %d bytes", len(page))
	}
}

// What a file or a person is called by stays text.
func TestNamesAndNotesStayText(t *testing.T) {
	for _, name := range []string{
		"<img src=x onerror=alert(1)>.stl", `"><script>alert(1)<!--.stl`, "' onload='x.stl", "[a](javascript:x).stl",
		"`</title><b>`.stl", "a&amp;b&#60;i&#62;.stl", "**bold** ![x](y).stl", "<table>.stl",
	} {
		_, page := pageFor(t, strings.ReplaceAll(name, "/", "∕"), "<b onclick=x>here</b> [go](javascript:alert(1)) ![p](http://example.org/a.png) ![q](<q\" onclick=\"alert(3).png>)\n\n<script>alert(2)</script>\n\n<!-- unseen -->\n")
		tags := regexp.MustCompile(`<[a-zA-Z!/][^>]*>`).FindAllString(page[strings.Index(page, "</style>"):], -1)
		for _, tag := range tags {
			if !regexp.MustCompile(`^</?(style|head|body|html|p|a|h1|h2|h3|code|strong|em|ul|ol|li|div|table|thead|tbody|tr|th|td|img|main|blockquote|pre)\b`).MatchString(tag) ||
				regexp.MustCompile(`\son[a-z]+\s*=`).MatchString(regexp.MustCompile(`"[^"]*"`).ReplaceAllString(tag, "")) || strings.Contains(tag, `="javascript`) {
				t.Errorf("%q: the page has the tag %.80q", name, tag)
			}
		}
		head, _, _ := strings.Cut(page, "</head>")
		if strings.Count(head, "<title>") != 1 || strings.Count(head, "</title>") != 1 {
			t.Errorf("%q: the title ends early", name)
		}
		for _, want := range []string{"&lt;b onclick=x&gt;here&lt;/b&gt;", "&lt;script&gt;alert(2)&lt;/script&gt;"} {
			if !strings.Contains(page, want) {
				t.Errorf("%q: %q is not shown", name, want)
			}
		}
		for _, not := range []string{"unseen", "http://example.org"} {
			if strings.Contains(page, not) {
				t.Errorf("%q: %q is in the page", name, not)
			}
		}
	}
}

// Links lead from page to page, and to files as the report's do.
func TestPagesLinkToPages(t *testing.T) {
	root := suit(t)
	rows := suitRows(root)
	require.NoError(t, WriteSuit(root, Suit{Rows: rows, Gone: []Gone{{Place: Place{Root: root, Part: "helm (old).stl"}}}}))
	page := readFile(t, root, "SUIT.html")
	for _, want := range []string{`href="legs/greave-left.stl.html"`, `href="boot%20right.3mf.html"`, `href="kit.zip.fit/arms/_left_~`, `href="helm%20%28old%29.stl.html"`, `href="SUIT.md"`} {
		if !strings.Contains(page, want) {
			t.Errorf("%s is not in the page", want)
		}
	}
	if strings.Contains(page, `.stl.md"`) {
		t.Error("a link leads to a report in Markdown")
	}
	for from, c := range map[string][2]string{
		"a report": {"legs/a.stl.md", "legs/a.stl.html"}, "a place in it": {"a.3mf.md#scale", "a.3mf.html#scale"},
		"the suit": {"../SUIT.md", "../SUIT.html"}, "a kept copy": {"a.stl.fit/kept-12.md", "a.stl.fit/kept-12.md"},
		"theirs": {"plan.md", "plan.md"}, "a mesh": {"a.stl", "a.stl"},
	} {
		if got := twinOf(c[0], c[0]); got != c[1] {
			t.Errorf("%s: got %s", from, got)
		}
	}
}

// A page that is not ours is left alone, and one of ours that was changed is
// kept.
func TestAPersonsPageIsLeftAlone(t *testing.T) {
	d := plate()
	p := Place{Root: suit(t), Part: d.Findings.Part}
	const mine = "<html>my plans</html>"
	writeFile(t, p.Root, pageOf(p.Report()), mine)
	require.NoError(t, Write(p, d))
	if got := readFile(t, p.Root, pageOf(p.Report())); got != mine {
		t.Errorf("the person's page is now %q", got)
	}
	if report := readFile(t, p.Root, p.Report()); !strings.Contains(report, "No page could be put beside this report") {
		t.Error("the report does not say so")
	}
	if _, ok := Fingerprint(p); !ok {
		t.Error("the report is made again and again")
	}

	d = greave()
	p.Part = d.Findings.Part
	require.NoError(t, Write(p, d))
	own := readFile(t, p.Root, pageOf(p.Report()))
	writeFile(t, p.Root, pageOf(p.Report()), strings.Replace(own, "</main>", "<p>mine</p></main>", 1))
	d.Fingerprint = "other"
	require.NoError(t, Write(p, d))
	if got := readFile(t, p.Root, pageOf(p.Report())); strings.Contains(got, "<p>mine</p>") {
		t.Error("the page was not made again")
	}
	kept := 0
	for name := range files(t, p.Root) {
		if strings.HasPrefix(path.Base(name), keptMark) && strings.HasSuffix(name, pageEnd) {
			kept++
		}
	}
	if kept != 1 {
		t.Errorf("%d copies of the changed page are kept", kept)
	}
}

// Whatever is said of a part is said by its page, too.
func TestPagesFollowTheReport(t *testing.T) {
	d := plate()
	p := Place{Root: suit(t), Part: d.Findings.Part}
	seen := func(want string) {
		t.Helper()
		if page := readFile(t, p.Root, pageOf(p.Report())); !strings.Contains(page, want) {
			t.Errorf("%q is not in the page", want)
		}
	}
	require.NoError(t, Write(p, d))
	seen("No way through")
	require.NoError(t, Renew(p, d.Findings))
	require.NoError(t, RenewPage(p))
	seen("Judged anew")
	require.NoError(t, MarkGone(p))
	seen("no longer in the folder")
	d.Refusal = &Refusal{Cause: "11 triangles < 12", Remedy: "copy it again"}
	require.NoError(t, Write(p, d))
	seen("11 triangles &lt; 12")

	d = plate()
	require.NoError(t, Write(p, d))
	require.NoError(t, folderOf(t, p.Root).remove(pageOf(p.Report())))
	if _, ok := Fingerprint(p); ok {
		t.Error("a report without its page counts as whole")
	}
}

func folderOf(t *testing.T, root string) folder {
	t.Helper()
	dir, err := openFolder(root)
	require.NoError(t, err)
	t.Cleanup(dir.close)
	return dir
}

// Numbers stay with their units; code, tags and other words are left alone.
func TestUnparted(t *testing.T) {
	for page, want := range map[string]string{
		"5 mm and 3.2 cm²":                         "5&nbsp;mm and 3.2&nbsp;cm²",
		"(12 %), 4 inches, 4 in.":                  "(12&nbsp;%), 4 inches, 4&nbsp;in.",
		"x mm, 7 mm3, 8 grams":                     "x mm, 7 mm3, 8 grams",
		`<img alt="a 5 mm"> 5 mm`:                  `<img alt="a 5 mm"> 5&nbsp;mm`,
		"<code>percent = 5 mm</code>6 h<b>7 g</b>": "<code>percent = 5 mm</code>6&nbsp;h<b>7&nbsp;g</b>",
	} {
		if got := unparted(page); got != want {
			t.Errorf("%s\ngot  %s\nwant %s", page, got, want)
		}
	}
}

// A wide table with words becomes cards on a telephone, each cell behind the
// heading of its column; rows of short numbers, and tables of few columns, stay
// tables. What heads a column is escaped.
func TestTablesAsCards(t *testing.T) {
	page := func(table string) string {
		p := pagePart{report: "SUIT.md"}
		got, err := p.html(table)
		require.NoError(t, err)
		return got
	}
	wide := page("| part | on the \"bed\" & 1<2 | fits at | risk |\n|---|---|---|---|\n| [a](a.stl) and `b` | **no**, up to 79.7 % | 103.8 to 113.2 % | |\n| c | yes | | low |\n")
	for _, want := range []string{
		`<div class="wide" tabindex="0"><table class="cards">`, "<th>part</th>",
		`<td data-of="part"><div><a href="a.stl">a</a> and <code>b</code></div></td>`,
		`<td data-of="on the &quot;bed&quot; &amp; 1&lt;2"><div><strong>no</strong>, up to 79.7&nbsp;%</div></td>`,
		`<td data-of="risk"><div></div></td>`, `<td data-of="risk"><div>low</div></td>`,
	} {
		require.Contains(t, wide, want)
	}
	require.Equal(t, strings.Count(wide, "<div"), strings.Count(wide, "</div>"))
	require.Equal(t, 2, strings.Count(wide, "<tbody>")+strings.Count(wide, "</tbody>"))
	few := page("| what | value | where it comes from |\n|---|---|---|\n| inner girth | length of the loop inside, where a plane square to the way through cuts the part | measured on the mesh |\n")
	require.Contains(t, few, `<table class="cards">`) // three columns of words are columns of single words
	numbers := "| at | girth | room | gap |\n|---|---|---|---|\n" + strings.Repeat("| 125 mm | 1005.6 mm | 1005.6 mm | 243.6 mm |\n", 20)
	for _, table := range []string{numbers, "| what | value | note |\n|---|---|---|\n| a row of words | another such row | and one more |\n",
		"| what | scale | note |\n|---|---|---|\n| closed, the body gets in from and out of it again | 188 % | between 102.9 % and 105.5 %, 9 in 10 |\n"} {
		if got := page(table); strings.Contains(got, "cards") || !strings.Contains(got, `<div class="wide" tabindex="0"><table>`) {
			t.Errorf("not a table: %.200s", got)
		}
	}
}

// Numbers stay whole: their groups of digits, their doubt and their unit.
func TestNumbersStayWhole(t *testing.T) {
	for text, want := range map[string]string{
		"<p>12 345 triangles, 246 mm ± 7 mm</p>": "<p>12&nbsp;345 triangles, 246&nbsp;mm ±&nbsp;7&nbsp;mm</p>",
		"<p>fits, 9 in 10, 12 in.</p>":           "<p>fits, 9&nbsp;in&nbsp;10, 12&nbsp;in.</p>",
		"<p>at 60 °C, 2 of 1234</p>":             "<p>at 60&nbsp;°C, 2 of 1234</p>",
		"<code>12 345 mm</code>":                 "<code>12 345 mm</code>",
	} {
		require.Equal(t, want, unparted(text))
	}
}
