package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/assembly"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/report"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// What the program wrote it reads again, after a crash of the machine, a sync
// program or a person's editor has been at it. Nothing of it may end the daemon.

// looked is a folder with one greave that was looked into, and the texts of its
// findings and of what is kept of it.
func looked(f *testing.F) (root *folder, place report.Place, findings, kept []byte) {
	f.Helper()
	dir := f.TempDir()
	require.NoError(f, os.WriteFile(filepath.Join(dir, "wearer.toml"), []byte(wornBefore), 0o644))
	place = report.Place{Root: dir, Part: "greave.stl"}
	data, err := binarySTL(demoGreave().Mesh)()
	require.NoError(f, err)
	require.NoError(f, os.WriteFile(filepath.Join(dir, place.Part), data, 0o644))
	root = newFolder(dir, 2, zerolog.Nop())
	_, err = root.look(f.Context(), place.Part)
	require.NoError(f, err)
	findings, err = os.ReadFile(filepath.Join(dir, place.Under("findings.json")))
	require.NoError(f, err)
	kept, err = os.ReadFile(keptPath(place))
	require.NoError(f, err)
	return root, place, findings, kept
}

// FuzzFindings puts findings.json in place of that of a part, recalls it as a
// start of the daemon does, and writes SUIT.md and the judgement on another
// wearer from it.
func FuzzFindings(f *testing.F) {
	ownFolders(f)
	root, place, findings, _ := looked(f)
	f.Add(findings)
	f.Add(bytes.ReplaceAll(findings, []byte(`"interval_percent":[`), []byte(`"interval_percent":[1e308,`)))
	f.Add([]byte(`{"schema":"` + analysis.Schema + `","part":"greave.stl"}`))
	f.Add([]byte(`{"schema":"` + analysis.Schema + `","part":"greave.stl","fit":{"verdict":"fits","sits":[{}],"entries":[{}]},"bands":[{}],"cavities":[{"centrelines":[{"stations":[{}]}]}],"bed":{"pieces":[{}]},"region":{"name":"hips"}}`))
	file := filepath.Join(root.root, place.Under("findings.json"))
	other := report.Place{Root: root.root, Part: "greave-2.stl"}
	var whole analysis.Findings
	require.NoError(f, json.Unmarshal(findings, &whole))
	whole.Part = other.Part
	f.Fuzz(func(t *testing.T, text []byte) {
		require.NoError(t, os.WriteFile(file, text, 0o644))
		root.rows = map[string][]row{other.Part: {root.rowOf(outcome{row: report.Row{Place: other, Findings: &whole}})}}
		recalled, ok := recall(place)
		if !ok {
			t.Skip()
		}
		root.rows[place.Part] = []row{root.rowOf(outcome{row: recalled})}
		_, err := root.sum()
		require.NoError(t, err)
		if recalled.Findings != nil {
			judgedAnew(place, root.brief(place))
			report.Fingerprint(place)
		}
	})
}

// FuzzKept judges a wearer by any text in place of what was kept of a part.
func FuzzKept(f *testing.F) {
	ownFolders(f)
	root, place, findings, kept := looked(f)
	var found analysis.Findings
	require.NoError(f, json.Unmarshal(findings, &found))
	brief := root.brief(place)
	f.Add(kept)
	f.Add([]byte(`{"inside":{"region":"lower_leg","lengths":[0],"seats":[{"rests":[{"rooms":-1,"rim":1}]}],"passings":[{}]}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		var k analysis.Kept
		if json.Unmarshal(text, &k) != nil {
			t.Skip()
		}
		before := found
		judged, ok := k.Judge(&before, brief)
		if !ok {
			return
		}
		if _, err := json.Marshal(judged); err != nil {
			t.Fatalf("a judgement that JSON cannot hold: %v", err)
		}
		require.NoError(t, report.Renew(place, judged))
	})
}

// FuzzMemory starts on any bytes in place of what was remembered of the rims of
// one of two files that are pieces of one shell.
func FuzzMemory(f *testing.F) {
	ownFolders(f)
	dir := f.TempDir()
	upper := shape.Tube{Sides: 24, Radius: 50, Wall: 4, Height: 60}.Mesh()
	for name, z := range map[string]float64{"lower.stl": 0, "upper.stl": 60} {
		data, err := encoded(func(w io.Writer) error { return mesh.WriteSTL(w, shape.Offset(upper, r3.Vec{Z: z}), name) })()
		require.NoError(f, err)
		require.NoError(f, os.WriteFile(filepath.Join(dir, name), data, 0o644))
	}
	root, place := newFolder(dir, 1, zerolog.Nop()), report.Place{Root: dir, Part: "lower.stl"}
	require.NoError(f, root.survey(f.Context()))
	require.NotEmpty(f, root.brief(place).Assembly)
	memories, err := root.memoryDir()
	require.NoError(f, err)
	file := filepath.Join(memories, memoryName(place.Part))
	whole, err := os.ReadFile(file)
	require.NoError(f, err)
	f.Add(whole)
	data, ok := unsealed(whole)
	require.True(f, ok)
	for _, spoil := range []func(m *memory){
		func(m *memory) { m.Pieces[0].Rims.Starts = []int{0, 1 << 40, -1} },
		func(m *memory) { m.Pieces[0].Rims.Facets.T[0] = 1 << 31 },
		func(m *memory) { m.Pieces[0].Rims.Facets.X = nil },
		func(m *memory) { m.Pieces[0].Rims.Borders = []assembly.Border{{}} },
		func(m *memory) { m.Pieces[0].Rims = nil },
		func(m *memory) { m.Pieces[0].Unit.Name, m.Pieces[0].Member = "inch", "other.stl" },
	} {
		var m memory
		require.NoError(f, gob.NewDecoder(bytes.NewReader(data)).Decode(&m))
		spoil(&m)
		var b bytes.Buffer
		require.NoError(f, gob.NewEncoder(&b).Encode(m))
		f.Add(append(slices.Clone(whole[:sha256.Size]), b.Bytes()...))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		require.NoError(t, os.WriteFile(file, data, 0o600))
		again := newFolder(dir, 1, zerolog.Nop())
		require.NoError(t, again.survey(t.Context()))
		again.brief(place)
	})
}
