//go:build unix

package main

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/gob"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/cmd/gambeson/store"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/watcher"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// life starts a daemon on a folder, lets it look at everything once and stops it.
// It returns what it did with which file, in order: "kept a.stl", "reported b.stl".
func life(t *testing.T, root string) (did []string) {
	t.Helper()
	var log lines
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	require.NoError(t, attend(ctx, newConsole(io.Discard, &log, "json", "debug"), "check", []string{root}, pace{quiet: 50 * time.Millisecond, patience: 100 * time.Millisecond, rescan: time.Hour}, cancel))
	for line := range strings.Lines(log.String()) {
		var l struct{ Event, File string }
		require.NoError(t, json.Unmarshal([]byte(line), &l))
		switch l.Event {
		case "kept", "reported", "unreadable", "gone":
			did = append(did, l.Event+" "+l.File)
		}
	}
	return did
}

// suitOfBars is a suit of three bars and an archive of one, looked into by a daemon
// at a time when their stamps could be trusted.
func suitOfBars(t *testing.T) (root string) {
	t.Helper()
	ownFolders(t)
	root = t.TempDir()
	for i, name := range []string{"a.stl", "legs/b.stl", "c.stl"} {
		save(t, filepath.Join(root, name), shape.Bar{X: 60 + 10*float64(i), Y: 15, Z: 10}.Mesh())
	}
	zipped(t, filepath.Join(root, "kit.zip"), "in/d.stl", shape.Bar{X: 90, Y: 15, Z: 10}.Mesh())
	require.NoError(t, os.WriteFile(filepath.Join(root, "suit.toml"), []byte("[printer]\nbed = [300, 300]\n"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(root, "broken.stl"), []byte("no mesh at all"), 0o644))
	aged(t, root)
	require.Len(t, life(t, root), 5)
	return root
}

func zipped(t *testing.T, path, member string, m *mesh.Mesh) {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create(member)
	require.NoError(t, err)
	require.NoError(t, mesh.WriteSTL(w, m, "drawn"))
	require.NoError(t, z.Close())
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o644))
}

func save(t testing.TB, path string, m *mesh.Mesh) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	var b bytes.Buffer
	require.NoError(t, mesh.WriteSTL(&b, m, "drawn"))
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o644))
}

// aged waits until all stamps below a folder can be trusted.
func aged(t *testing.T, root string) {
	t.Helper()
	until(t, "files of some age", func() bool {
		young := false
		walk(t, root, func(path string, _ []byte) {
			s, err := watcher.StampOf(root, path)
			young = young || err == nil && s.Racy(time.Now())
		})
		return !young
	})
}

// A daemon that starts again looks into nothing that has not changed, and writes
// nothing.
func TestNothingChangedWhileStopped(t *testing.T) {
	root := suitOfBars(t)
	before := stampsBelow(t, root)
	require.Empty(t, life(t, root))
	require.Empty(t, life(t, root))
	require.Equal(t, before, stampsBelow(t, root))
	found, code := checkJSON(t, root)
	require.Len(t, found, 5)
	require.Equal(t, exitData, code)
}

func stampsBelow(t *testing.T, root string) map[string]watcher.Stamp {
	t.Helper()
	all := map[string]watcher.Stamp{}
	walk(t, root, func(path string, _ []byte) {
		s, err := watcher.StampOf(root, path)
		require.NoError(t, err)
		all[path] = s
	})
	return all
}

// What was changed while no daemon ran is looked into, and nothing else, however
// little of the change shows.
func TestChangedWhileStopped(t *testing.T) {
	for name, c := range map[string]struct {
		change func(t *testing.T, root string)
		want   []string
	}{
		"another mesh": {func(t *testing.T, root string) {
			save(t, filepath.Join(root, "a.stl"), shape.Tube{Sides: 24, Radius: 30, Wall: 3, Height: 50}.Mesh())
		}, []string{"reported a.stl"}},
		"written over, of the same size and time": {func(t *testing.T, root string) {
			sameSizeAndTime(t, filepath.Join(root, "a.stl"), func(path string, data []byte) {
				require.NoError(t, os.WriteFile(path, data, 0o644))
			})
		}, []string{"reported a.stl"}},
		"replaced by one of the same size and time": {func(t *testing.T, root string) {
			sameSizeAndTime(t, filepath.Join(root, "a.stl"), func(path string, data []byte) {
				require.NoError(t, os.WriteFile(path+".new", data, 0o644))
				require.NoError(t, os.Rename(path+".new", path))
			})
		}, []string{"reported a.stl"}},
		"saved again as it was": {func(t *testing.T, root string) {
			data, err := os.ReadFile(filepath.Join(root, "a.stl"))
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(filepath.Join(root, "a.stl"), data, 0o644))
		}, []string{"kept a.stl"}},
		"an archive": {func(t *testing.T, root string) {
			zipped(t, filepath.Join(root, "kit.zip"), "in/d.stl", shape.Bar{X: 91, Y: 15, Z: 10}.Mesh())
		}, []string{"reported kit.zip/in/d.stl"}},
		"a new part": {func(t *testing.T, root string) {
			save(t, filepath.Join(root, "new.stl"), shape.Bar{X: 77, Y: 15, Z: 10}.Mesh())
		}, []string{"reported new.stl"}},
		"a report deleted": {func(t *testing.T, root string) {
			require.NoError(t, os.Remove(filepath.Join(root, "c.stl.md")))
		}, []string{"reported c.stl"}},
		"a page deleted": {func(t *testing.T, root string) {
			require.NoError(t, os.Remove(filepath.Join(root, "legs/b.stl.html")))
		}, []string{"reported legs/b.stl"}},
		"findings spoilt": {func(t *testing.T, root string) {
			require.NoError(t, os.WriteFile(filepath.Join(root, "c.stl.fit/findings.json"), nil, 0o644))
		}, []string{"reported c.stl"}},
		"the list of an archive deleted": {func(t *testing.T, root string) {
			require.NoError(t, os.Remove(filepath.Join(root, "kit.zip.md")))
		}, []string{"kept kit.zip/in/d.stl"}},
		"another bed": {func(t *testing.T, root string) {
			require.NoError(t, os.WriteFile(filepath.Join(root, "suit.toml"), []byte("[printer]\nbed = [200, 200]\n"), 0o644))
		}, []string{"reported a.stl", "reported legs/b.stl", "reported c.stl", "reported kit.zip/in/d.stl", "unreadable broken.stl"}},
		"a remark in suit.toml": {func(t *testing.T, root string) {
			require.NoError(t, os.WriteFile(filepath.Join(root, "suit.toml"), []byte("# mine\n[printer]\nbed = [300, 300]\n"), 0o644))
		}, nil},
		"the summary deleted": {func(t *testing.T, root string) {
			require.NoError(t, os.Remove(filepath.Join(root, "SUIT.md")))
		}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			root := suitOfBars(t)
			summary := textOf(t, filepath.Join(root, "SUIT.md"))
			c.change(t, root)
			aged(t, root)
			got := life(t, root)
			if name == "another bed" { // why broken.stl cannot be read is no news
				c.want = c.want[:4]
			}
			require.ElementsMatch(t, c.want, got)
			if len(c.want) == 0 || strings.HasPrefix(c.want[0], "kept") {
				require.Equal(t, summary, textOf(t, filepath.Join(root, "SUIT.md")))
			}
			require.Empty(t, life(t, root), "it is known now")
			requireSummaryHolds(t, root)
		})
	}
}

// requireSummaryHolds compares SUIT.md with what it comes to when everything is
// looked at anew.
func requireSummaryHolds(t *testing.T, root string) {
	t.Helper()
	summary := textOf(t, filepath.Join(root, "SUIT.md"))
	path, err := snapshotPath(root)
	require.NoError(t, err)
	require.NoError(t, os.Remove(path))
	require.NoError(t, os.Remove(filepath.Join(root, "SUIT.md")))
	life(t, root)
	requireSaysTheSame(t, textOf(t, filepath.Join(root, "SUIT.md")), summary)
}

// requireSaysTheSame compares two summaries. Why a part cannot be read is worded
// otherwise when it comes from its report.
func requireSaysTheSame(t *testing.T, want, got string) {
	t.Helper()
	but := func(text string) (out []string) {
		for line := range strings.Lines(text) {
			if !strings.Contains(line, "could not be read: ") && !strings.HasPrefix(line, "<!-- gambeson text=") {
				out = append(out, line)
			}
		}
		return out
	}
	require.Equal(t, but(want), but(got))
}

func textOf(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(text)
}

// sameSizeAndTime gives a file other bytes, as many, and its time.
func sameSizeAndTime(t *testing.T, path string, write func(path string, data []byte)) {
	t.Helper()
	before, err := os.Stat(path)
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, mesh.WriteSTL(&b, shape.Bar{X: 61, Y: 16, Z: 11}.Mesh(), "drawn"))
	require.EqualValues(t, before.Size(), b.Len())
	write(path, b.Bytes())
	require.NoError(t, os.Chtimes(path, before.ModTime(), before.ModTime()))
	now, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, before.ModTime(), now.ModTime())
}

// A part that goes while no daemon runs is said to be gone; one that goes with
// its report is not spoken of any more.
func TestGoneWhileStopped(t *testing.T) {
	root := suitOfBars(t)
	require.NoError(t, os.Remove(filepath.Join(root, "a.stl")))
	require.NoError(t, os.RemoveAll(filepath.Join(root, "legs")))
	require.Empty(t, life(t, root))
	summary := textOf(t, filepath.Join(root, "SUIT.md"))
	require.Contains(t, summary, "No longer in the folder")
	require.Contains(t, summary, "a.stl")
	require.NotContains(t, summary, "legs/b.stl")
	require.Contains(t, textOf(t, filepath.Join(root, "a.stl.md")), "no longer in the folder")
	require.Empty(t, life(t, root))
	require.Equal(t, summary, textOf(t, filepath.Join(root, "SUIT.md")))
	requireSummaryHolds(t, root)
}

// A file whose stamp could not be trusted when it was looked into is read again:
// it may have been written once more in that moment.
func TestStampOfTheMomentIsNotTrusted(t *testing.T) {
	root := suitOfBars(t)
	f := newFolder(root, 1, newConsole(nil, io.Discard, "json", "error").log)
	f.daemon = true
	for _, age := range []struct {
		name string
		sure bool
	}{{"a.stl", true}, {"a.stl", false}} {
		_, err := f.look(t.Context(), age.name)
		require.NoError(t, err)
		s := f.seen[age.name]
		require.True(t, s.sure)
		s.sure = age.sure
		f.seen[age.name] = s
		_, same := f.asBefore(age.name)
		require.Equal(t, age.sure, same)
	}
	file, ok := f.snapFile("a.stl")
	require.True(t, ok)
	require.False(t, file.Sure)
	var k known
	k.add(f, f.snapshot())
	stamp, err := watcher.StampOf(root, f.path("a.stl"))
	require.NoError(t, err)
	require.False(t, k.holds(f.path("a.stl"), stamp), "nor by the next daemon")

	var was seen
	until(t, "a look in the moment of saving", func() bool {
		began := time.Now()
		save(t, f.path("a.stl"), shape.Bar{X: 64, Y: 15, Z: 10}.Mesh())
		was, ok = f.before("a.stl")
		return ok && time.Since(began) < 10*time.Millisecond
	})
	require.False(t, was.sure)
	save(t, f.path("a.stl"), shape.Bar{X: 65, Y: 15, Z: 10}.Mesh())
	f.note("a.stl", was, [32]byte{1})
	require.NotContains(t, f.seen, "a.stl", "it has changed since")
}

// A snapshot that is torn, of another version or of another folder counts for
// none; without one everything is looked at again, and all is as it was.
func TestSnapshotThatIsNone(t *testing.T) {
	root := suitOfBars(t)
	path, err := snapshotPath(root)
	require.NoError(t, err)
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	whole := []byte(textOf(t, path))
	good, ok := readSnapshot(root)
	require.True(t, ok)
	sealedAs := func(s snapshot) []byte {
		var b bytes.Buffer
		require.NoError(t, gob.NewEncoder(&b).Encode(s))
		return store.Sealed(b.Bytes())
	}
	older, foreign := good, good
	older.Version, foreign.Root = "0.0.1", t.TempDir()
	summary := textOf(t, filepath.Join(root, "SUIT.md"))
	for name, text := range map[string][]byte{
		"empty": nil, "cut": whole[:len(whole)/2], "one byte spoilt": append(bytes.Clone(whole[:len(whole)-1]), whole[len(whole)-1]^1),
		"zeros": make([]byte, len(whole)), "of another version": sealedAs(older), "of another folder": sealedAs(foreign),
	} {
		require.NoError(t, os.WriteFile(path, text, 0o600), name)
		_, ok := readSnapshot(root)
		require.False(t, ok, name)
		require.ElementsMatch(t, []string{"kept a.stl", "kept legs/b.stl", "kept c.stl", "kept kit.zip/in/d.stl", "kept broken.stl"}, life(t, root), name)
		requireSaysTheSame(t, summary, textOf(t, filepath.Join(root, "SUIT.md")))
		require.Empty(t, life(t, root), "it is made anew")
	}
}

// A piece that comes or goes while no daemon runs has the others of its shell
// looked into again.
func TestPiecesChangedWhileStopped(t *testing.T) {
	ownFolders(t)
	root := t.TempDir()
	top, low := halvesOf(r3.Vec{Z: 1})
	other := shape.Offset(shape.Tube{Sides: 48, Radius: 20, Wall: 3, Height: 40}.Mesh(), r3.Vec{X: 400})
	save(t, filepath.Join(root, "top.stl"), top)
	save(t, filepath.Join(root, "other.stl"), other)
	aged(t, root)
	life(t, root)
	require.Nil(t, paper.Previous(disk.Place{Root: root, Part: "top.stl"}).Assembly)
	for range 2 {
		save(t, filepath.Join(root, "low.stl"), low)
		aged(t, root)
		require.ElementsMatch(t, []string{"reported low.stl", "reported top.stl"}, life(t, root))
		require.NotNil(t, paper.Previous(disk.Place{Root: root, Part: "top.stl"}).Assembly)
		require.Empty(t, life(t, root))

		require.NoError(t, os.Remove(filepath.Join(root, "low.stl")))
		require.Equal(t, []string{"reported top.stl"}, life(t, root))
		require.Equal(t, []string{"low.stl"}, paper.Previous(disk.Place{Root: root, Part: "top.stl"}).Assembly.Gone)
		require.Empty(t, life(t, root))
	}
}

// What is kept to start soon holds no measure of the body.
func TestSnapshotIsNotPersonal(t *testing.T) {
	ownFolders(t)
	f := suitOf(t, 1)
	f.daemon = true
	_, err := f.sum()
	require.NoError(t, err)
	s := f.snapshot()
	require.Equal(t, "greave-000.stl", s.Files[0].Part)
	row := s.Files[0].Rows[0]
	require.True(t, row.Warned, "of which the text would tell a girth")
	row.Fingerprint, row.Asked, row.Lay = "", digestOf{}, digestOf{} // hashes
	text, err := json.Marshal([]any{row, s.Files[0].Pieces, s.Gone, s.Met})
	require.NoError(t, err)
	require.NotContains(t, string(text), " mm")
	require.NotRegexp(t, `[0-9]{3}`, strings.ReplaceAll(string(text), "greave-000", ""))
}
