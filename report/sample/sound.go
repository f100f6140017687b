package sample

import (
	"strings"
	"testing"
	"unicode/utf8"

	"gambeson/report/words"

	"github.com/stretchr/testify/require"
)

// Sound checks that a report is fit to be shown, whatever names and texts came in:
// valid UTF-8 without control characters, its notes' heading once and at its end, no
// markup from a name, and tables of as many cells as heads.
func Sound(t *testing.T, name, text string) {
	t.Helper()
	if !utf8.ValidString(text) || words.Visible(strings.ReplaceAll(text, "\n", "")) != strings.ReplaceAll(text, "\n", "") {
		t.Errorf("%s: not fit to be shown", name)
	}
	if n := strings.Count(text, "\n"+NotesHeading+"\n"); n != 1 || !strings.HasSuffix(text, NotesTop) {
		t.Errorf("%s: the notes' heading is there %d times", name, n)
	}
	if strings.Contains("\n"+text, "\n"+NotesLine) {
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
