package suit

import (
	"testing"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

func TestSuitReadsAsAccepted(t *testing.T) {
	root := sample.Folder(t)
	rows := sampleRows(root)
	require.NoError(t, Write(root, Suit{
		Wearer:   "Mira <of> Lantern Street",
		Brief:    analysis.DefaultBrief(),
		Rows:     rows,
		Judged:   together.Judge(findingsIn(rows), analysis.DefaultBrief()),
		Problems: []Problem{{File: "wearer.toml", Text: `line 4: unknown key "calf_grith"; did you mean calf_girth?`, Kept: "the values of the last good file"}},
		Gone:     []Gone{{Place: disk.Place{Root: root, Part: "helm (old).stl"}, Now: "helm.stl"}},
	}))
	sample.Golden(t, "suit.md", sample.ReadFile(t, root, "SUIT.md"))
	sample.Golden(t, "suit_details.md", sample.ReadFile(t, root, disk.DetailsReport))
}

func TestListReadsAsAccepted(t *testing.T) {
	p := disk.Place{Root: sample.Folder(t), Part: "kit.zip"}
	arm, _ := sample.Boot()
	require.NoError(t, WriteList(p, "f00", []Row{
		{Place: disk.Place{Root: p.Root, Part: "kit.zip", Member: "legs/b.stl"}, Refusal: &answer.Refusal{Cause: "the member is encrypted"}},
		{Place: disk.Place{Root: p.Root, Part: "kit.zip", Member: "arms/a.stl"}, Findings: &arm},
	}))
	sample.Golden(t, "list.md", sample.ReadFile(t, p.Root, "kit.zip.md"))
	got, ok := paper.Fingerprint(p)
	if !ok || got != "f00" {
		t.Errorf("fingerprint of a list is %q, %v", got, ok)
	}
}

func sampleRows(root string) []Row {
	var rows []Row
	for _, part := range []func() (analysis.Findings, analysis.Brief){sample.Plate, sample.Greave, sample.Boot} {
		f, _ := part()
		rows = append(rows, Row{Place: disk.Place{Root: root, Part: f.Part}, Findings: &f})
	}
	return append(rows,
		Row{Place: disk.Place{Root: root, Part: "legs/half.stl"}, Refusal: &answer.Refusal{Where: "byte 684", Cause: "12 triangles are announced, 11 are there", Remedy: "copy the file again"}},
		Row{Place: disk.Place{Root: root, Part: "kit.zip", Member: "arms/*left*.stl"}, Findings: &analysis.Findings{Part: "kit.zip/arms/*left*.stl", Percent: 100}})
}

func findingsIn(rows []Row) []*analysis.Findings {
	var out []*analysis.Findings
	for _, r := range rows {
		out = append(out, r.Findings)
	}
	return out
}
