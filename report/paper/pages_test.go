package paper

import (
	"strings"
	"testing"

	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

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

// Pictures of ours are put into the page; others, and what is larger than a page bears,
// are linked where they are near and named where they are not. What looks like HTML is
// text.
func TestPagesHoldOurPicturesAndNoHTML(t *testing.T) {
	p, d := written(t, "f1", "one")
	require.NoError(t, d.Write(p.Under("girth.png"), []byte("drawn")))
	require.NoError(t, d.Write(p.Under("large.png"), make([]byte, largestPicture+1)))
	sample.WriteFile(t, p.Root, "legs/photo.png", "theirs")
	part := pagePart{dir: d, report: p.Report()}
	for markdown, want := range map[string]string{
		"![a *b*](a%20b.stl.fit/girth.png)": `<p><a href="a%20b.stl.fit/girth.png"><img alt="a b" src="data:image/png;base64,ZHJhd24="></a></p>`,
		"![a](a%20b.stl.fit/large.png)":     `<p><a href="a%20b.stl.fit/large.png">a</a></p>`,
		"![a](a%20b.stl.fit/none.png)":      `<p><a href="a%20b.stl.fit/none.png">a</a></p>`,
		"![a](photo.png)":                   `<p><a href="photo.png">a</a></p>`,
		"![a](//host/x.png)":                `<p>a</p>`,
		"![a](https://host/x.png)":          `<p>a</p>`,
		"[a](b.stl.md#scale)":               `<p><a href="b.stl.html#scale">a</a></p>`,
		"[a](a%20b.stl.md)":                 `<p><a href="a%20b.stl.md">a</a></p>`, // the report of this page
		"[a](https://host/x.md)":            `<p><a href="https://host/x.md">a</a></p>`,
		"[a](javascript:x)":                 `<p><a href="">a</a></p>`,
		"[a](file:///x)":                    `<p><a href="">a</a></p>`,
		"a <b>c</b> <!-- d -->":             `<p>a &lt;b&gt;c&lt;/b&gt; </p>`,
		"<div>\na\n</div>":                  "<p>&lt;div&gt;\na\n&lt;/div&gt;</p>",
		"<!-- a -->":                        "",
	} {
		got, err := part.html(markdown)
		require.NoError(t, err)
		require.Equal(t, want, strings.TrimSpace(got), markdown)
	}
	titled := pagePart{report: p.Report()}
	_, err := titled.html("a\n\n# `a<b>` & *c*\n\n# two\n")
	require.NoError(t, err)
	require.Equal(t, "a&lt;b&gt; &amp; c", titled.title)
}
