package main

import (
	"bytes"
	"encoding/gob"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/assembly"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/cmd/gambeson/store"
	"gambeson/report"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/suit"

	"github.com/adrg/xdg"
	"github.com/gofrs/flock"
	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// What the program wrote it reads again, after a crash of the machine, a sync
// program or a person's editor has been at it. Nothing of it may end the daemon.

// looked is a folder with one greave that was looked into, and the texts of its
// findings and of what is kept of it.
func looked(f *testing.F) (root *folder, place disk.Place, findings, kept []byte) {
	f.Helper()
	dir := f.TempDir()
	require.NoError(f, os.WriteFile(filepath.Join(dir, "wearer.toml"), []byte(wornBefore), 0o644))
	place = disk.Place{Root: dir, Part: "greave.stl"}
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
	other := disk.Place{Root: root.root, Part: "greave-2.stl"}
	var whole analysis.Findings
	require.NoError(f, json.Unmarshal(findings, &whole))
	whole.Part = other.Part
	f.Fuzz(func(t *testing.T, text []byte) {
		require.NoError(t, os.WriteFile(file, text, 0o644))
		root.rows = map[string][]row{other.Part: {root.rowOf(outcome{row: suit.Row{Place: other, Findings: &whole}})}}
		recalled, ok := recall(place)
		if !ok {
			t.Skip()
		}
		root.rows[place.Part] = []row{root.rowOf(outcome{row: recalled})}
		_, err := root.sum()
		require.NoError(t, err)
		if recalled.Findings != nil {
			judgedAnew(place, root.brief(place))
			paper.Fingerprint(place)
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

// addUnsealed adds what a sealed file holds to the seeds, and returns it.
func addUnsealed(f *testing.F, path string) []byte {
	f.Helper()
	file, err := os.ReadFile(path)
	require.NoError(f, err)
	data, ok := store.Unsealed(file)
	require.True(f, ok)
	f.Add(data)
	return data
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
	root, place := newFolder(dir, 1, zerolog.Nop()), disk.Place{Root: dir, Part: "lower.stl"}
	require.NoError(f, root.survey(f.Context()))
	require.NotEmpty(f, root.brief(place).Assembly)
	memories, err := root.memoryDir()
	require.NoError(f, err)
	file := filepath.Join(memories, memoryName(place.Part))
	data := addUnsealed(f, file)
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
		f.Add(b.Bytes())
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		require.NoError(t, os.WriteFile(file, store.Sealed(data), 0o600)) // else nothing of it is read
		again := newFolder(dir, 1, zerolog.Nop())
		require.NoError(t, again.survey(t.Context()))
		again.brief(place)
	})
}

// begun starts a daemon on a folder as far as it takes up what the last one left there,
// sums the folder up and ends it.
func begun(t *testing.T, root string) *folder {
	t.Helper()
	d := newDaemon(newConsole(io.Discard, io.Discard, "json", "error"), "check", nil)
	d.words = filepath.Join(t.TempDir(), "words") // those of a crash here are the fuzzer's
	d.walked = true                               // what went meanwhile is looked for at once
	f, err := d.folder(root)
	require.NoError(t, err)
	defer d.release()
	_, err = f.sum()
	require.NoError(t, err)
	return f
}

// FuzzSnapshot starts a daemon on any bytes in place of what the last one noted of a
// folder.
func FuzzSnapshot(f *testing.F) {
	ownFolders(f)
	root, place, _, _ := looked(f)
	_, err := root.sum()
	require.NoError(f, err)
	require.NoError(f, root.keepSnapshot())
	path, err := snapshotPath(root.root)
	require.NoError(f, err)
	data := addUnsealed(f, path)
	for _, spoil := range []func(s *snapshot){
		func(s *snapshot) { s.Files[0].Part = "../greave.stl" },
		func(s *snapshot) { s.Gone = []snapPart{{Part: "/greave.stl"}} },
		func(s *snapshot) { s.Gone = []snapPart{{Part: "kit.zip", Member: "../../a.stl"}} },
		func(s *snapshot) {
			s.Files[0].Rows = append(s.Files[0].Rows, snapRow{Refusal: &answer.Refusal{}, Joined: &analysis.Assembly{}, Rival: true})
		},
		func(s *snapshot) {
			s.Files[0].Known, s.Files[0].Pieces = true, []snapPiece{{Member: "a", Unit: mesh.Unit{Factor: -1}}, {}}
		},
		func(s *snapshot) { s.Met = []snapContact{{}} },
		func(s *snapshot) { s.Files = append(s.Files, s.Files...) },
		func(s *snapshot) { s.Version = "another" },
		func(s *snapshot) { s.Root = "/" },
	} {
		var s snapshot
		require.NoError(f, gob.NewDecoder(bytes.NewReader(data)).Decode(&s))
		spoil(&s)
		var b bytes.Buffer
		require.NoError(f, gob.NewEncoder(&b).Encode(s))
		f.Add(b.Bytes())
	}
	state, err := statePath(root.root)
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, data []byte) {
		torn := store.Sealed(data)
		torn[0] ^= 1
		require.NoError(t, os.WriteFile(path, torn, 0o600))
		if _, ok := readSnapshot(root.root); ok {
			t.Fatal("what was torn is taken up")
		}
		require.NoError(t, os.WriteFile(path, store.Sealed(data), 0o600))
		require.NoError(t, os.WriteFile(state, []byte(`{"pid": 1, "warnings": ["greave.stl: one", ": ", "x: y"]}`), 0o600))
		s, ok := readSnapshot(root.root)
		if ok && (s.Version != snapshotVersion || s.Root != store.RealPath(root.root) || !s.local()) {
			t.Fatalf("taken up: %+v", s)
		}
		before := begun(t, root.root)
		for part := range before.rows {
			if _, err := os.Stat(before.path(part)); err != nil {
				t.Fatalf("%q is told of and is not there", part)
			}
		}
		require.FileExists(t, before.path(place.Part))
	})
}

// FuzzOwnFiles starts a daemon on any bytes in place of each of the small files that the
// last one left: how things stood, who held the folder, on which file it was at work, what
// the TOML files said last, and what is known of pairs of shapes.
func FuzzOwnFiles(f *testing.F) {
	ownFolders(f)
	root, _, _, _ := looked(f)
	state, err := statePath(root.root)
	require.NoError(f, err)
	hold, _, err := store.Take(root.root, "watch")
	require.NoError(f, err)
	hold.Release()
	lock := filepath.Join(xdg.RuntimeDir, "gambeson", store.Key(root.root)+".lock")
	require.FileExists(f, lock)
	good, err := goodPath(root.root)
	require.NoError(f, err)
	kin, err := kinPath(root.root)
	require.NoError(f, err)
	require.NoError(f, os.WriteFile(filepath.Join(root.root, "suit.toml"), []byte("[printer"), 0o644)) // what it said last holds
	files := []struct {
		path string
		seal bool
	}{{state, false}, {lock, false}, {workingPath(state), false}, {good, true}, {kin, true}}
	for i, seeds := range [][]string{
		{`{"pid": 7, "concerns": [{"about": "a", "raw": "ff"}], "ends": {"a": {"crashed": 1, "raw": "ff2e"}, "b": {"raw": "zz"}}, "watched": [{}], "warnings": ["a: b"]}`, `{"ends": null}`, `[`},
		{`{"pid": -1, "root": "/nowhere", "command": "watch"}`, `{}`},
		{`{"part": "greave.stl", "words": "/dev/zero"}`, `{"part": "../a", "raw": "2e2e"}`},
		{`{"suit.toml": {"Text": "W3ByaW50ZXJdCmJlZCA9IFsyNTAsIDI1MF0K", "Read": "2026-11-28T23:00:00Z"}, "x": {}}`, `{"suit.toml": {}}`},
		{""},
	} {
		for _, seed := range seeds {
			f.Add(uint8(i), []byte(seed))
		}
	}
	f.Fuzz(func(t *testing.T, which uint8, data []byte) {
		own := files[int(which)%len(files)]
		for _, other := range files {
			require.NoError(t, os.RemoveAll(other.path))
		}
		if own.seal {
			data = store.Sealed(data)
		}
		require.NoError(t, os.WriteFile(own.path, data, 0o600))
		other := flock.New(lock)
		got, err := other.TryLock()
		require.NoError(t, err)
		require.True(t, got)
		by, held, err := store.Holding(root.root)
		require.NoError(t, err)
		require.True(t, held)
		_ = by.String()
		require.NoError(t, other.Close())
		_, _ = standingOf(root.root)
		begun(t, root.root)
	})
}
