package report

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gambeson/analysis"
	together "gambeson/analysis/suit"

	"github.com/stretchr/testify/require"
)

// To accept a change, look at the .got file that the test leaves beside the
// golden one and rename it.

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	left := file + ".got"
	want, err := os.ReadFile(file)
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	if string(want) == got {
		os.Remove(left)
		return
	}
	require.NoError(t, os.WriteFile(left, []byte(got), 0o644))
	t.Errorf("%s differs (-golden +got); the new text is in %s\n%s", file, left, difference(string(want), got))
}

// difference shows the lines from the first to the last that differ.
func difference(want, got string) string {
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	head := 0
	for head < len(a) && head < len(b) && a[head] == b[head] {
		head++
	}
	tail := 0
	for tail < len(a)-head && tail < len(b)-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	var out strings.Builder
	for _, line := range a[head : len(a)-tail] {
		fmt.Fprintf(&out, "-%s\n", line)
	}
	for _, line := range b[head : len(b)-tail] {
		fmt.Fprintf(&out, "+%s\n", line)
	}
	return out.String()
}

func TestReportsReadAsAccepted(t *testing.T) {
	for _, part := range []struct {
		golden string
		doc    Document
	}{{"greave.md", greave()}, {"boot.md", boot()}, {"plate.md", plate()}} {
		t.Run(part.golden, func(t *testing.T) {
			p := Place{Root: suit(t), Part: part.doc.Findings.Part}
			require.NoError(t, Write(p, part.doc))
			golden(t, part.golden, readFile(t, p.Root, p.Report()))
		})
	}
}

func TestRefusalReadsAsAccepted(t *testing.T) {
	p := Place{Root: suit(t), Part: "legs/half.stl"}
	require.NoError(t, Write(p, Document{Fingerprint: "9", Refusal: &Refusal{
		Where: "byte 684", Cause: "12 triangles are announced, 11 are there", Remedy: "copy the file again",
	}}))
	golden(t, "refusal.md", readFile(t, p.Root, p.Report()))
}

func suitRows(root string) []Row {
	var rows []Row
	for _, d := range []Document{plate(), greave(), boot()} {
		f := d.Findings
		rows = append(rows, Row{Place: Place{Root: root, Part: f.Part}, Findings: &f})
	}
	return append(rows,
		Row{Place: Place{Root: root, Part: "legs/half.stl"}, Refusal: &Refusal{Where: "byte 684", Cause: "12 triangles are announced, 11 are there", Remedy: "copy the file again"}},
		Row{Place: Place{Root: root, Part: "kit.zip", Member: "arms/*left*.stl"}, Findings: &analysis.Findings{Part: "kit.zip/arms/*left*.stl", Percent: 100}})
}

func findingsIn(rows []Row) []*analysis.Findings {
	var out []*analysis.Findings
	for _, r := range rows {
		out = append(out, r.Findings)
	}
	return out
}

func TestSuitReadsAsAccepted(t *testing.T) {
	root := suit(t)
	rows := suitRows(root)
	require.NoError(t, WriteSuit(root, Suit{
		Wearer:   "Mira <of> Lantern Street",
		Brief:    analysis.DefaultBrief(),
		Rows:     rows,
		Judged:   together.Judge(findingsIn(rows), analysis.DefaultBrief()),
		Problems: []Problem{{File: "wearer.toml", Text: `line 4: unknown key "calf_grith"; did you mean calf_girth?`, Kept: "the values of the last good file"}},
		Gone:     []Place{{Root: root, Part: "helm (old).stl"}},
	}))
	golden(t, "suit.md", readFile(t, root, "SUIT.md"))
	golden(t, "suit_details.md", readFile(t, root, detailsReport))
}

func TestListReadsAsAccepted(t *testing.T) {
	p := Place{Root: suit(t), Part: "kit.zip"}
	arm := boot().Findings
	require.NoError(t, WriteList(p, "f00", []Row{
		{Place: Place{Root: p.Root, Part: "kit.zip", Member: "legs/b.stl"}, Refusal: &Refusal{Cause: "the member is encrypted"}},
		{Place: Place{Root: p.Root, Part: "kit.zip", Member: "arms/a.stl"}, Findings: &arm},
	}))
	golden(t, "list.md", readFile(t, p.Root, "kit.zip.md"))
	got, ok := Fingerprint(p)
	if !ok || got != "f00" {
		t.Errorf("fingerprint of a list is %q, %v", got, ok)
	}
}
