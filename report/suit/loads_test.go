package suit

import (
	"bytes"
	"image"
	"os"
	"path/filepath"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/report/disk"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

func TestLoadsAreOursAndReplaced(t *testing.T) {
	root := sample.Folder(t)
	loads := func(n int) (out []Load) {
		for i := range n {
			out = append(out, Load{Mesh: sample.Wedge(float64(i)), Map: image.NewRGBA(image.Rect(0, 0, 4, 4))})
		}
		return out
	}
	names, err := WriteLoads(root, loads(3))
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
	_, err = WriteLoads(root, loads(1))
	require.NoError(t, err)
	left, err := os.ReadDir(filepath.Join(root, "SUIT.fit/loads"))
	require.NoError(t, err)
	var have []string
	for _, e := range left {
		have = append(have, e.Name())
	}
	require.Equal(t, []string{"load-1.png", "load-1.stl", "load-9.stl", "load-plan.txt"}, have)

	sample.WriteFile(t, root, "SUIT.fit/loads/load-2.stl", "solid mine")
	_, err = WriteLoads(root, loads(2))
	require.ErrorContains(t, err, "SUIT.fit/loads/load-2.stl")
	require.Equal(t, "solid mine", sample.ReadFile(t, root, "SUIT.fit/loads/load-2.stl"))
}
