package mesh_test

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/pose"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// parts are small shells of several kinds, and one with faults of each kind.
func parts() map[string]*mesh.Mesh {
	limb := shape.Taper{Sides: 20, Bottom: shape.Ellipse{A: 40, B: 30}, Top: shape.Circle(50), Wall: 3, Height: 90}.Mesh()
	return map[string]*mesh.Mesh{
		"limb":   limb,
		"bar":    shape.Bar{X: 40, Y: 15, Z: 10}.Mesh(),
		"gutter": shape.Gutter{Sides: 16, Arc: 240, Bottom: 40, Top: 50, Wall: 4, Height: 80}.Mesh(),
		"plate":  shape.Plate{Sides: 8, Width: 90, Height: 120, Wall: 4, Bend: 80}.Mesh(),
		"spoilt": shape.FlipFacets(shape.DropFacets(limb, 30, 5), 50, 6),
	}
}

// fact is what a mesh says of itself.
type fact struct {
	area, volume float64
	condition    mesh.Condition
}

func factOf(m *mesh.Mesh) fact { return fact{m.Area(), m.Volume(), m.Condition()} }

// defect returns how many defects of a kind there are.
func (f fact) defect(kind string) int {
	for _, d := range f.condition.Defects {
		if d.Kind == kind {
			return d.Count
		}
	}
	return 0
}

// However a part lies in its file, and in however many triangles, its area,
// volume, shells and rims are its own: area and volume go with the square and
// the cube of the scale, rims have twice as many edges where triangles are
// parted.
func TestMeshFactsFollowThePose(t *testing.T) {
	all := parts()
	pose.Check(t, 60, func(t *rapid.T) {
		name := rapid.SampledFrom([]string{"limb", "bar", "gutter", "plate", "spoilt"}).Draw(t, "part")
		p := pose.Draw(t, pose.Freedom{Turn: true, Scale: 4, Mirror: true, Move: 300})
		before, after := factOf(all[name]), factOf(p.Of(all[name]))
		near := func(what string, got, want, within float64) {
			if !(math.Abs(got-want) <= within*math.Abs(want)) {
				t.Fatalf("%s: %s %.9g, want %.9g", name, what, got, want)
			}
		}
		// Corners are rounded to float32 at up to 300 mm: 3·10⁻⁵ of 10 mm scaled
		// down to a quarter.
		near("area", after.area, before.area*p.Scale*p.Scale, 1e-4)
		if before.condition.Closed {
			near("volume", after.volume, before.volume*p.Scale*p.Scale*p.Scale, 2e-4)
		}
		require.Equal(t, before.condition.Closed, after.condition.Closed)
		require.Equal(t, before.condition.Components, after.condition.Components)
		edges, facets := 1, 1
		if p.Split {
			edges, facets = 2, 4
		}
		require.Equal(t, edges*before.defect(mesh.DefectOpen), after.defect(mesh.DefectOpen))
		require.Equal(t, edges*before.defect(mesh.DefectBranching), after.defect(mesh.DefectBranching))
		require.Equal(t, facets*before.defect(mesh.DefectFlipped), after.defect(mesh.DefectFlipped))
	})
}

// A part written as an STL file, where no two triangles hang together, is read
// as the same mesh again: the weld finds every vertex that there was, whatever
// the order of the triangles.
func TestUnweldedAndWelded(t *testing.T) {
	all, dir := parts(), t.TempDir()
	pose.Check(t, 40, func(t *rapid.T) {
		name := rapid.SampledFrom([]string{"limb", "bar", "gutter", "plate"}).Draw(t, "part")
		m := pose.Draw(t, pose.Freedom{Turn: true, Scale: 4, Mirror: true, Move: 100}).Of(all[name])
		var out bytes.Buffer
		require.NoError(t, mesh.WriteSTL(&out, shape.SplitWalls(m), "part"))
		path := filepath.Join(dir, "part.stl")
		require.NoError(t, os.WriteFile(path, out.Bytes(), 0o644))
		file, err := mesh.Open(path)
		require.NoError(t, err)
		defer file.Close()
		l, err := file.Load(t.Context(), mesh.DefaultLimits())
		require.NoError(t, err)
		require.Equal(t, m.Triangles(), l.Mesh.Triangles())
		require.Equal(t, m.Vertices(), l.Mesh.Vertices())
		require.Equal(t, m.Condition(), l.Mesh.Condition())
		require.InEpsilon(t, m.Area(), l.Mesh.Area(), 1e-12)
		require.InEpsilon(t, m.Volume(), l.Mesh.Volume(), 1e-9)
		for i := range m.T {
			require.Equal(t, m.At(m.T[i]), l.Mesh.At(l.Mesh.T[i]))
		}
	})
}

// Every kind of pose must come up, or nothing was shown.
func TestPosesAreOfEveryKind(t *testing.T) {
	var split, mirrored, larger, smaller int
	pose.Check(t, 60, func(t *rapid.T) {
		p := pose.Draw(t, pose.Freedom{Turn: true, Scale: 4, Mirror: true, Move: 300})
		q := r3.Vec{X: 3, Y: 4, Z: 12}
		require.InDelta(t, 13, r3.Norm(p.Along(q)), 1e-9)
		for _, c := range []struct {
			is bool
			n  *int
		}{{p.Split, &split}, {p.Mirrored, &mirrored}, {p.Scale > 1.1, &larger}, {p.Scale < 0.9, &smaller}} {
			if c.is {
				*c.n++
			}
		}
	})
	require.GreaterOrEqual(t, min(split, mirrored, larger, smaller), 5)
}
