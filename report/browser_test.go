package report

import (
	"bytes"
	"context"
	"fmt"
	"net/url"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/disk"
	"gambeson/report/sample"
	"gambeson/report/suit"

	"github.com/stretchr/testify/require"
)

// browser is a real one; without it the test is skipped.
func browser(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes its time")
	}
	for _, name := range []string{"chromium", "chromium-browser"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Skip("no browser is installed: the pages were not looked at in one")
	return ""
}

// probe is a page with others in frames as wide as a telephone and a desk: it
// writes down what does not keep to its frame, which pictures are not shown, and
// what ran that must not.
const probe = `<!doctype html><meta charset="utf-8"><pre id="said"></pre><script>
function look(frame, name, width) {
  const d = frame.contentDocument, root = d.documentElement, said = [];
  const over = e => { for (let p = e; p && p !== root; p = p.parentElement) if (p.className === 'wide' || p.tagName === 'PRE') return true; return false; };
  if (root.scrollWidth > width) said.push('is ' + root.scrollWidth + ' wide');
  for (const e of d.body.querySelectorAll('*')) {
    const box = e.getBoundingClientRect();
    if (box.right > width + 1 && !over(e)) said.push(e.tagName + ' reaches to ' + Math.round(box.right));
  }
  for (const i of d.images) if (!i.complete || !i.naturalWidth) said.push('picture not shown: ' + i.alt.slice(0, 40));
  for (const b of d.querySelectorAll('.wide')) if (b.getBoundingClientRect().right > width + 1) said.push('a table leaves the page');
  if (d.scripts.length) said.push('has a script');
  const size = parseFloat(frame.contentWindow.getComputedStyle(d.body).fontSize);
  if (size < 16) said.push('letters of ' + size + ' px');
  document.getElementById('said').append(name + ' ' + width + ' h1=' + d.querySelectorAll('h1').length + ' pictures=' + d.images.length + ' ' + (said.join('; ') || 'well') + '\n');
}
</script>
%s`

// Pages keep to the width of a telephone and of a desk, show their pictures,
// and nothing that a file or a note is called by runs.
func TestPagesInABrowser(t *testing.T) {
	chromium := browser(t)
	root := sample.Folder(t)
	const hostile = `<img src=x onerror=alert(1)> "q" 'a' *b* a-very-long-name-without-any-place-to-break-it-that-goes-on-and-on.stl`
	var frames strings.Builder
	names := []string{}
	show := func(report string) {
		names = append(names, report)
		page := (&url.URL{Path: disk.PageOf(report)}).EscapedPath()
		for _, width := range []int{390, 1280} {
			fmt.Fprintf(&frames, "<iframe src=\"%s\" width=\"%d\" height=\"800\" style=\"border:0\" onload=\"look(this,'%d',%d)\"></iframe>\n", page, width, len(names)-1, width)
		}
	}
	for _, d := range []Document{greave(), boot(), plate()} {
		p := disk.Place{Root: root, Part: d.Findings.Part}
		require.NoError(t, Write(p, d))
		show(p.Report())
	}
	d := boot()
	d.Findings.Part = hostile
	p := disk.Place{Root: root, Part: hostile}
	require.NoError(t, Write(p, d))
	sample.WriteFile(t, root, p.Report(), sample.ReadFile(t, root, p.Report())+"<script>document.title='ran'</script> <img src=x onerror=alert(2)> [x](javascript:alert(3)) ![far](https://example.org/a.png)\n\n| a | table |\n|---|---|\n| "+strings.Repeat("wide ", 60)+" | x |\n")
	d.Fingerprint = "again"
	require.NoError(t, Write(p, d))
	show(p.Report())
	rows := suitRows(root)
	var findings []*analysis.Findings
	for _, r := range rows {
		findings = append(findings, r.Findings)
	}
	require.NoError(t, suit.Write(root, suit.Suit{Wearer: "Mira", Brief: analysis.DefaultBrief(), Rows: rows, Judged: together.Judge(findings, analysis.DefaultBrief())}))
	show(disk.SuitName)
	show(disk.DetailsReport)
	sample.WriteFile(t, root, "probe.html", fmt.Sprintf(probe, frames.String()))

	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	var out, log bytes.Buffer
	c := exec.CommandContext(ctx, chromium, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-breakpad",
		"--allow-file-access-from-files", "--enable-logging=stderr", "--user-data-dir="+t.TempDir(), "--dump-dom", "file://"+filepath.ToSlash(filepath.Join(root, "probe.html")))
	c.Stdout, c.Stderr, c.WaitDelay = &out, &log, 10*time.Second
	require.NoError(t, c.Run(), log.String())

	_, said, _ := strings.Cut(out.String(), `<pre id="said">`)
	said, _, _ = strings.Cut(said, "</pre>")
	lines := strings.Split(strings.TrimSpace(said), "\n")
	if len(lines) != 2*len(names) {
		t.Fatalf("%d of %d pages were looked at:\n%s\n%s", len(lines), 2*len(names), said, log.String())
	}
	for _, line := range lines {
		which, rest, _ := strings.Cut(line, " ")
		var n int
		_, err := fmt.Sscan(which, &n)
		require.NoError(t, err, line)
		if !strings.HasSuffix(line, " well") || !strings.Contains(rest, "h1=1 ") {
			t.Errorf("%.60s: %s", names[n], rest)
		}
	}
	for _, line := range regexp.MustCompile(`(?m)^.*CONSOLE.*$`).FindAllString(log.String(), -1) {
		t.Errorf("the browser says: %s", line)
	}
}
