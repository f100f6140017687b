package report

import (
	"path"
	"regexp"
	"strings"
	"testing"

	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/sample"
	"gambeson/report/suit"

	"github.com/stretchr/testify/require"
)

// pageFor writes a part's report with notes and returns its page.
func pageFor(t *testing.T, name, notes string) (disk.Place, string) {
	t.Helper()
	d := boot()
	d.Findings.Part = name
	p := disk.Place{Root: sample.Folder(t), Part: name}
	require.NoError(t, Write(p, d))
	sample.WriteFile(t, p.Root, p.Report(), sample.ReadFile(t, p.Root, p.Report())+notes)
	d.Fingerprint = "again"
	require.NoError(t, Write(p, d))
	return p, sample.ReadFile(t, p.Root, disk.PageOf(p.Report()))
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
	drawn := strings.Count(sample.ReadFile(t, p.Root, p.Report()), "![")
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
	root := sample.Folder(t)
	rows := suitRows(root)
	require.NoError(t, suit.Write(root, suit.Suit{Rows: rows, Gone: []suit.Gone{{Place: disk.Place{Root: root, Part: "helm (old).stl"}}}}))
	page := sample.ReadFile(t, root, "SUIT.html")
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
		if got := disk.TwinOf(c[0], c[0]); got != c[1] {
			t.Errorf("%s: got %s", from, got)
		}
	}
}

// A page that is not ours is left alone, and one of ours that was changed is
// kept.
func TestAPersonsPageIsLeftAlone(t *testing.T) {
	d := plate()
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	const mine = "<html>my plans</html>"
	sample.WriteFile(t, p.Root, disk.PageOf(p.Report()), mine)
	require.NoError(t, Write(p, d))
	if got := sample.ReadFile(t, p.Root, disk.PageOf(p.Report())); got != mine {
		t.Errorf("the person's page is now %q", got)
	}
	if report := sample.ReadFile(t, p.Root, p.Report()); !strings.Contains(report, "No page could be put beside this report") {
		t.Error("the report does not say so")
	}
	if _, ok := paper.Fingerprint(p); !ok {
		t.Error("the report is made again and again")
	}

	d = greave()
	p.Part = d.Findings.Part
	require.NoError(t, Write(p, d))
	own := sample.ReadFile(t, p.Root, disk.PageOf(p.Report()))
	sample.WriteFile(t, p.Root, disk.PageOf(p.Report()), strings.Replace(own, "</main>", "<p>mine</p></main>", 1))
	d.Fingerprint = "other"
	require.NoError(t, Write(p, d))
	if got := sample.ReadFile(t, p.Root, disk.PageOf(p.Report())); strings.Contains(got, "<p>mine</p>") {
		t.Error("the page was not made again")
	}
	kept := 0
	for name := range sample.Files(t, p.Root) {
		if strings.HasPrefix(path.Base(name), "kept-") && strings.HasSuffix(name, ".html") {
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
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	seen := func(want string) {
		t.Helper()
		if page := sample.ReadFile(t, p.Root, disk.PageOf(p.Report())); !strings.Contains(page, want) {
			t.Errorf("%q is not in the page", want)
		}
	}
	require.NoError(t, Write(p, d))
	seen("No way through")
	require.NoError(t, Renew(p, d.Findings))
	require.NoError(t, paper.RenewPage(p))
	seen("Judged anew")
	require.NoError(t, MarkGone(p))
	seen("no longer in the folder")
	d.Refusal = &answer.Refusal{Cause: "11 triangles < 12", Remedy: "copy it again"}
	require.NoError(t, Write(p, d))
	seen("11 triangles &lt; 12")

	d = plate()
	require.NoError(t, Write(p, d))
	require.NoError(t, folderOf(t, p.Root).Remove(disk.PageOf(p.Report())))
	if _, ok := paper.Fingerprint(p); ok {
		t.Error("a report without its page counts as whole")
	}
}

func folderOf(t *testing.T, root string) disk.Folder {
	t.Helper()
	dir, err := disk.Open(root)
	require.NoError(t, err)
	t.Cleanup(dir.Close)
	return dir
}
