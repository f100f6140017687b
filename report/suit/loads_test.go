package suit

import (
	"bytes"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/report/disk"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// someLoads are loads of a band that all have and of one each.
func someLoads(n int) (out []Load) {
	for i := range n {
		out = append(out, Load{
			Mesh: sample.Wedge(float64(i)), Map: image.NewRGBA(image.Rect(0, 0, 4, 4)),
			Of: []Laid{{"a.stl", "1"}, {fmt.Sprintf("%d.stl", i), "2"}},
		})
	}
	return out
}

func TestLoadsAreOursAndReplaced(t *testing.T) {
	root := sample.Folder(t)
	names, err := WriteLoads(root, "300 x 300", someLoads(3))
	require.NoError(t, err)
	require.Equal(t, []string{"SUIT.fit/loads/load-1.stl", "SUIT.fit/loads/load-2.stl", "SUIT.fit/loads/load-3.stl"}, names)
	for _, name := range names {
		if !disk.Ours(name) || !disk.Ours(filepath.Join(root, name)) {
			t.Errorf("%s would be taken for a part", name)
		}
	}
	if disk.Ours("loads/load-1.stl") || disk.Ours("my-suit.fit/load-1.stl") || disk.Ours("SUIT/load-1.stl") {
		t.Error("a mesh of the person's is taken for ours")
	}
	var want bytes.Buffer
	require.NoError(t, mesh.WriteSTL(&want, sample.Wedge(1), disk.SolidHeader))
	require.Equal(t, want.String(), sample.ReadFile(t, root, names[1]))

	// Of the person's files none is touched.
	sample.WriteFile(t, root, "SUIT.fit/loads/load-9.stl", "solid mine")
	sample.WriteFile(t, root, "SUIT.fit/loads/load-plan.txt", "mine")
	_, err = WriteLoads(root, "300 x 300", someLoads(1))
	require.NoError(t, err)
	left, err := os.ReadDir(filepath.Join(root, "SUIT.fit/loads"))
	require.NoError(t, err)
	var have []string
	for _, e := range left {
		have = append(have, e.Name())
	}
	require.Equal(t, []string{"load-1.png", "load-1.stl", "load-9.stl", "load-plan.txt", "loads.json"}, have)

	sample.WriteFile(t, root, "SUIT.fit/loads/load-2.stl", "solid mine")
	_, err = WriteLoads(root, "300 x 300", someLoads(2))
	require.ErrorContains(t, err, "SUIT.fit/loads/load-2.stl")
	require.Equal(t, "solid mine", sample.ReadFile(t, root, "SUIT.fit/loads/load-2.stl"))
}

// Loads that would print what no longer holds are taken away, with a word in their
// place, until they are laid out anew; those that hold stay, and so does what is not ours.
func TestLoadsThatHoldNoMoreAreTakenAway(t *testing.T) {
	root := sample.Folder(t)
	files := map[string]string{"a.stl": "1", "0.stl": "2", "1.stl": "2", "2.stl": "2"}
	now := func(name string) string { return files[name] }
	var gone Dropped
	drop := func(bed string) (just []string) {
		t.Helper()
		var err error
		just, gone, err = DropLoads(root, bed, now)
		require.NoError(t, err)
		require.Equal(t, len(gone.Loads) > 0, LoadsMissed(root))
		return just
	}
	there := func() (have []string) {
		left, err := os.ReadDir(filepath.Join(root, "SUIT.fit/loads"))
		require.NoError(t, err)
		for _, e := range left {
			have = append(have, e.Name())
		}
		return have
	}
	lay := func() {
		t.Helper()
		_, err := WriteLoads(root, "bed", someLoads(3))
		require.NoError(t, err)
	}
	require.Empty(t, drop("bed"), "no loads at all")
	lay()
	all := []string{"load-1.png", "load-1.stl", "load-2.png", "load-2.stl", "load-3.png", "load-3.stl", "loads.json"}
	require.Empty(t, drop("bed"))
	require.Equal(t, all, there())
	require.Zero(t, gone)

	files["1.stl"] = "cut anew"
	require.Equal(t, []string{"SUIT.fit/loads/load-2.stl"}, drop("bed"))
	require.Equal(t, []string{"gone.txt", "load-1.png", "load-1.stl", "load-3.png", "load-3.stl", "loads.json"}, there())
	require.Equal(t, goneText+"load-2.stl\n", sample.ReadFile(t, root, "SUIT.fit/loads/gone.txt"))
	require.Empty(t, drop("bed"), "said once")
	require.Equal(t, Dropped{Loads: []string{"SUIT.fit/loads/load-2.stl"}, Parts: []string{"1.stl"}}, gone, "until they are laid out again")
	delete(files, "2.stl")
	require.Equal(t, []string{"SUIT.fit/loads/load-3.stl"}, drop("bed"))
	require.Equal(t, goneText+"load-2.stl\nload-3.stl\n", sample.ReadFile(t, root, "SUIT.fit/loads/gone.txt"))
	require.Equal(t, []string{"1.stl", "2.stl"}, gone.Parts)

	files["1.stl"], files["2.stl"] = "2", "2"
	lay()
	require.Equal(t, all, there(), "laid out anew")
	require.False(t, LoadsMissed(root))
	require.Len(t, drop("another bed"), 3)
	require.True(t, gone.Bed)
	require.Empty(t, gone.Parts)

	lay()
	sample.WriteFile(t, root, "SUIT.fit/loads/load-1.stl", "solid mine")
	files["a.stl"] = "2"
	require.Equal(t, []string{"SUIT.fit/loads/load-2.stl", "SUIT.fit/loads/load-3.stl"}, drop("bed"))
	require.Equal(t, "solid mine", sample.ReadFile(t, root, "SUIT.fit/loads/load-1.stl"))
	require.NoError(t, os.Remove(filepath.Join(root, "SUIT.fit/loads/load-1.stl")))
	files["a.stl"] = "1"
	lay()
	sample.WriteFile(t, root, "SUIT.fit/loads/gone.txt", "mine")
	require.Len(t, drop("another bed"), 3)
	require.Equal(t, "mine", sample.ReadFile(t, root, "SUIT.fit/loads/gone.txt"))
	sample.WriteFile(t, root, "SUIT.fit/loads/load-1.stl", "solid mine")

	// An index that leads elsewhere, or that nobody can read, takes nothing away.
	sample.WriteFile(t, root, "load-1.stl", disk.SolidHeader+"x")
	for _, text := range []string{
		`{"bed": "bed", "loads": {"load-1.stl": [{"name": "a.stl", "is": "0"}], "SUIT.fit/loads/../../load-1.stl": [{"name": "a.stl", "is": "0"}]}}`,
		`{"bed": `,
	} {
		sample.WriteFile(t, root, "SUIT.fit/loads/loads.json", text)
		require.Empty(t, drop("bed"))
		require.Equal(t, disk.SolidHeader+"x", sample.ReadFile(t, root, "load-1.stl"))
	}
	require.NoError(t, os.Remove(filepath.Join(root, "SUIT.fit/loads/load-1.stl")))
	_, err := WriteLoads(root, "bed", someLoads(3))
	require.ErrorContains(t, err, "loads.json", "it is not ours")
}

// SUIT.md names the loads that were taken away and why, and asks to lay them out again
// where there is anything to lay out.
func TestLoadsTakenAwayAreSaid(t *testing.T) {
	banded := []Row{{Place: disk.Place{Part: "a.stl"}, Findings: &analysis.Findings{Part: "a.stl", Bands: make([]analysis.Band, 1)}}}
	again := "Lay the bed loads out again, with `gambeson loads` and this folder: "
	for _, c := range []struct {
		gone Dropped
		rows []Row
		want string
	}{
		{Dropped{}, banded, ""},
		{Dropped{Loads: []string{"SUIT.fit/loads/load-2.stl"}, Bed: true}, banded, again + "`load-2.stl` was taken away, as the bed is another."},
		{Dropped{Loads: []string{"SUIT.fit/loads/load-1.stl", "SUIT.fit/loads/load-2.stl"}, Parts: []string{"a.stl", "b.stl"}, Bed: true}, banded,
			again + "`load-1.stl` and `load-2.stl` were taken away, as the bed is another and what is printed of [`a.stl`](a.stl.md) and `b.stl` has changed since."},
		{Dropped{Loads: []string{"1", "2", "3", "4", "5"}, Parts: []string{"1", "2", "3", "4", "5"}}, banded, again + "5 bed loads were taken away, as what is printed of 5 parts has changed since."},
		{Dropped{Loads: []string{"SUIT.fit/loads/load-2.stl"}, Parts: []string{"b.stl"}}, nil, "`load-2.stl` was taken away, as what is printed of `b.stl` has changed since."},
		{Dropped{Loads: []string{"[x](y)"}}, nil, "`[x](y)` was taken away."}, // an index that somebody wrote
	} {
		require.Equal(t, c.want, againStep(c.gone, seenFrom(disk.SuitName, c.rows)))
	}
}
