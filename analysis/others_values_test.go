package analysis

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gambeson/analysis/bed"
	"gambeson/analysis/cavity"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Meshes that others drew and published, with what they say of them, where
// GAMBESON_MESHES names their folder: rings and bracelets of a stated girth,
// heads grown by a stated offset, frames of a stated length, the conformance
// samples of the 3MF Consortium, and the samples of other readers.

// meshesOfOthers is that folder; the test is skipped where there is none.
func meshesOfOthers(t *testing.T) string {
	t.Helper()
	folder := os.Getenv("GAMBESON_MESHES")
	if folder == "" {
		t.Skip("GAMBESON_MESHES names no folder")
	}
	return folder
}

func readOther(t *testing.T, path string) (*mesh.Loaded, error) {
	t.Helper()
	file, err := mesh.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return file.Load(t.Context(), mesh.DefaultLimits())
}

func mustReadOther(t *testing.T, name string) *mesh.Loaded {
	t.Helper()
	l, err := readOther(t, filepath.Join(meshesOfOthers(t), name))
	require.NoError(t, err, name)
	return l
}

// girthsIn returns the least and the greatest inner girth of the first way
// through a mesh.
func girthsIn(t *testing.T, m *mesh.Mesh) (least, most float64) {
	t.Helper()
	found, err := cavity.Find(t.Context(), m, cavity.Options{Ball: 8})
	require.NoError(t, err)
	require.Len(t, found, 1)
	require.NotEmpty(t, found[0].Lines)
	least = math.Inf(1)
	for _, s := range found[0].Lines[0].Stations {
		least, most = min(least, s.InnerGirth), max(most, s.InnerGirth)
	}
	return least, most
}

// Ring gauges are named after their inner girth in mm; drawn with few sides
// they are up to 0.15 mm less.
func TestRingGaugesOfOthers(t *testing.T) {
	all, err := filepath.Glob(filepath.Join(meshesOfOthers(t), "ring-gauges", "*.stl"))
	require.NoError(t, err)
	require.Len(t, all, 16)
	for _, path := range all {
		l, err := readOther(t, path)
		require.NoError(t, err)
		stated, err := strconv.ParseFloat(filepath.Base(path)[:2], 64)
		require.NoError(t, err)
		if least, most := girthsIn(t, l.Mesh); least < stated-0.16 || most > stated {
			t.Errorf("%s: girth from %.2f to %.2f mm", filepath.Base(path), least, most)
		}
		file, err := mesh.Open(path)
		require.NoError(t, err)
		for _, level := range girthsOfFile(t, file, DefaultBrief(), 1).Levels {
			require.NotEmpty(t, level.Loops, path)
			require.NotEmpty(t, level.Loops[0].Inside, path)
			if got := level.Loops[0].Inside[0]; got < stated-0.16 || got > stated {
				t.Errorf("%s: %.2f mm round the hole %.0f mm up", filepath.Base(path), got, level.Up)
			}
		}
		require.NoError(t, file.Close())
	}
}

// Bracelets are stated as outer widths and a wall of 2.5 mm: an ellipse inside,
// its perimeter 4·a·E(m) (DLMF 19.30.5), wherever no hole goes through the wall.
func TestBraceletsOfOthers(t *testing.T) {
	for name, outer := range map[string]shape.Ellipse{
		"bracelets/bracelet_closed_S.stl": {A: 73.0 / 2, B: 55.0 / 2},
		"bracelets/bracelet_closed_L.stl": {A: 88.0 / 2, B: 66.0 / 2},
	} {
		m := mustReadOther(t, name).Mesh
		size := m.Bounds().Size()
		require.InDelta(t, 2*outer.A, size.X, 1e-4, name)
		require.InDelta(t, 2*outer.B, size.Y, 1e-4, name)
		_, most := girthsIn(t, m)
		require.InEpsilon(t, outer.Grown(-2.5).Girth(), most, 6e-4, name)
	}
	// An octagon of 70 mm across its corners at 31.5 %, 8·d·sin(π/8) round.
	for _, name := range []string{"octagon-bracelets/octagon-70-closed-scaled.stl", "octagon-bracelets/octagon-70-closed-scaled.3mf"} {
		least, most := girthsIn(t, mustReadOther(t, name).Mesh)
		want := 8 * 70 * 0.315 * math.Sin(math.Pi/8)
		require.InEpsilon(t, want, least, 5e-4, name)
		require.InEpsilon(t, want, most, 5e-4, name)
	}
}

// What was published both as STL and as 3MF has the same answers; what was saved
// with other line ends, or in colours, too.
func TestSameThingInTwoFiles(t *testing.T) {
	for one, other := range map[string]string{
		"octagon-bracelets/octagon-62-open.stl":          "octagon-bracelets/octagon-62-open.3mf",
		"octagon-bracelets/octagon-70-closed-scaled.stl": "octagon-bracelets/octagon-70-closed-scaled.3mf",
		"formats-other/dos.stl":                          "formats-other/unix.stl",
		"formats-other/Moon.stl":                         "formats-other/dos.stl",
		"formats-3mf/core__dodeca_chain_loop.3mf":        "formats-3mf/material__dodeca_chain_loop_color.3mf",
		"formats-3mf/core__box.3mf":                      "formats-3mf/production__box_prod.3mf",
	} {
		a, b := mustReadOther(t, one).Mesh, mustReadOther(t, other).Mesh
		require.Equal(t, a.Triangles(), b.Triangles(), one)
		require.InEpsilon(t, a.Area(), b.Area(), 1e-5, one)
		require.InEpsilon(t, a.Volume(), b.Volume(), 1e-5, one)
	}
}

// Heads grown by 10 mm all round: every girth of a convex outline grows by 2π
// times that (Steiner). The greatest level girth of the first was measured with
// another program: 600.0 mm.
func TestDomesOfOthers(t *testing.T) {
	girth := func(name string) float64 {
		m := mustReadOther(t, name).Mesh
		box := m.Bounds()
		most := 0.0
		for k := range 400 {
			z := box.Min.Z + (box.Max.Z-box.Min.Z)*(float64(k)+0.5)/400
			for _, c := range section.Cut(m, section.Plane{Point: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}}).Chains {
				if c.Closed {
					most = max(most, c.Length())
				}
			}
		}
		return most
	}
	first := girth("head-domes/dome-offset-08.STL")
	require.InDelta(t, 600.0, first, 0.5)
	require.InDelta(t, first+20*math.Pi, girth("head-domes/dome-offset-18.STL"), 0.7)
	require.InDelta(t, first+40*math.Pi, girth("head-domes/dome-offset-28.STL"), 1.4)
}

// Masks made for faces of 100 and 110 mm from sellion to chin: as much longer,
// and no scaled copies of each other. Their files are binary though they begin
// with "solid".
func TestMasksOfOthers(t *testing.T) {
	var size [2]r3.Vec
	for i, name := range []string{"face-masks/ComfortFlex100.STL", "face-masks/ComfortFlex110.STL"} {
		data, err := os.ReadFile(filepath.Join(meshesOfOthers(t), name))
		require.NoError(t, err)
		require.True(t, bytes.HasPrefix(data, []byte("solid")))
		l := mustReadOther(t, name)
		require.Equal(t, "stl-binary", string(l.Format))
		size[i] = l.Mesh.Bounds().Size()
	}
	require.InDelta(t, 10, size[1].Y-size[0].Y, 0.1)
	require.InDelta(t, 2.1, size[1].X-size[0].X, 0.1)
}

// A headpiece of 220 × 102 mm, of which its makers say that turned by 45° it
// takes 181 × 181; and a frame of 184.08 mm that does not go onto a bed of 180
// however it is turned.
func TestBedsOfOthers(t *testing.T) {
	head := mustReadOther(t, "bed-fit/headpiece-220x102.stl").Mesh
	flat := func(side float64) bed.Lie {
		return bed.Search(head, bed.Volume{Width: side, Depth: side, Height: 20}).Laid
	}
	require.True(t, flat(181.2).Fits(1))
	require.False(t, flat(180.9).Fits(1))
	frame := mustReadOther(t, "bed-fit/frame-184.stl").Mesh
	require.InDelta(t, 184.08, frame.Bounds().Size().Y, 0.01)
	lies := bed.Search(frame, bed.Volume{Width: 180, Depth: 180, Height: 20})
	require.InDelta(t, 0.9778, lies.Turned.Scale, 1e-4)
	require.False(t, lies.Turned.Fits(1))
}

// A pattern was published ten times too large, and a frame in inches.
func TestUnitsOfOthers(t *testing.T) {
	small, large := mustReadOther(t, "units/pattern.stl").Mesh.Bounds().Size(), mustReadOther(t, "units/pattern-10x.stl").Mesh.Bounds().Size()
	require.InEpsilon(t, 10, large.X/small.X, 1e-6)
	require.InEpsilon(t, 10, large.Z/small.Z, 1e-6)
	frame := mustReadOther(t, "units/frame-in-inches.stl").Mesh.Scaled(25.4).Bounds().Size()
	require.InDelta(t, 183, frame.X, 0.6)
	require.InDelta(t, 211, frame.Z, 0.6)
}

// The conformance samples of the 3MF Consortium: what must be accepted is, what
// is wrong with the shape itself is refused, and the rest (colours, textures,
// print tickets) does no harm.
func TestConformanceOf3MF(t *testing.T) {
	refused := []string{
		"Extension_Chapter2_DuplicatedIdAcrossGroup", "Chapter2.1.1a_PartsRelationships_NonExist3DModelPart",
		"Chapter2.3.2a_NonUTF_Encoding", "Chapter3.4.3.1a_NotMatchingObjectIdInBuildItem", "Chapter3.4a_MoreThanOneModel",
		"Chapter3.4b_MissingBuildElement", "Chapter4a_InvalidObjectType", "beam__lattice",
	}
	all, err := filepath.Glob(filepath.Join(meshesOfOthers(t), "formats-3mf", "*.3mf"))
	require.NoError(t, err)
	passed := 0
	for _, path := range all {
		name := filepath.Base(path)
		l, err := readOther(t, path)
		wrong := false
		for _, r := range refused {
			wrong = wrong || strings.Contains(name, r)
		}
		switch {
		case strings.HasPrefix(name, "MUSTPASS"):
			passed++
			require.NoError(t, err, name)
			require.Positive(t, l.Mesh.Volume(), name)
		case wrong:
			var told *mesh.ReadError
			require.True(t, errors.As(err, &told), "%s: %v", name, err)
			require.NotEmpty(t, told.Remedy, name)
		default:
			require.NoError(t, err, name)
		}
	}
	require.Equal(t, 13, passed)
}

// The samples of other readers: what holds no shell is refused, and why; the
// rest is read, odd headers, names, line ends, polygons and indices and all.
func TestFilesOfOtherReaders(t *testing.T) {
	refused := map[string]bool{
		"._#210-004.stl": true, "._#240-002.stl": true, "binary.stl": true, "empty.obj": true, "empty.stl": true,
		"face_in_group_name.obj": true, "obj_empty.obj": true, "obj_points.obj": true, "obj_wireframe.obj": true,
		"stl_empty_ascii.stl": true, "stl_empty_bin.stl": true,
	}
	all, err := filepath.Glob(filepath.Join(meshesOfOthers(t), "formats-other", "*"))
	require.NoError(t, err)
	hidden, err := filepath.Glob(filepath.Join(meshesOfOthers(t), "formats-other", ".*"))
	require.NoError(t, err)
	for _, path := range append(all, hidden...) {
		name := filepath.Base(path)
		l, err := readOther(t, path)
		if refused[name] {
			var told *mesh.ReadError
			require.True(t, errors.As(err, &told), "%s: %v", name, err)
			continue
		}
		require.NoError(t, err, name)
		require.Positive(t, l.Mesh.Triangles(), name)
		require.True(t, l.Mesh.Finite(), name)
	}
	cube := mustReadOther(t, "formats-other/unit_cube.STL").Mesh
	require.InDelta(t, 1, cube.Volume(), 1e-12)
	require.InDelta(t, 6, cube.Area(), 1e-12)
	// Of 1280 facets with their corners on the sphere.
	ball := mustReadOther(t, "formats-other/unit_sphere.STL").Mesh
	require.InEpsilon(t, 4*math.Pi/3, ball.Volume(), 0.01)
	require.InEpsilon(t, 4*math.Pi, ball.Area(), 0.01)
}
