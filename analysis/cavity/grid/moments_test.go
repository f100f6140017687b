package grid

import (
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// quartered parts every facet of m in four, so often.
func quartered(m *mesh.Mesh, times int) *mesh.Mesh {
	for range times {
		out := &mesh.Mesh{}
		for t := range m.Triangles() {
			a, b, c := m.Corners(t)
			ab, bc, ca := r3.Scale(0.5, r3.Add(a, b)), r3.Scale(0.5, r3.Add(b, c)), r3.Scale(0.5, r3.Add(c, a))
			for _, f := range [4][3]r3.Vec{{a, ab, ca}, {ab, b, bc}, {ca, bc, c}, {ab, bc, ca}} {
				out.AddTriangle(out.AddVertex(f[0]), out.AddVertex(f[1]), out.AddVertex(f[2]))
			}
		}
		m = out
	}
	return m
}

// The moments of the surface of a cuboid by closed form: exact with large facets,
// and with fine ones, which are taken by their middles, nearly so.
func TestMomentsOfACuboid(t *testing.T) {
	const x, y, z = 60.0, 90.0, 300.0
	want := [4]float64{
		2 * (x*y + y*z + z*x),
		2*y*z*(x*x/4) + (z+y)*x*x*x/6,
		2*z*x*(y*y/4) + (x+z)*y*y*y/6,
		2*x*y*(z*z/4) + (y+x)*z*z*z/6,
	}
	box := shape.Bar{X: x, Y: y, Z: z}.Mesh()
	middle := box.Bounds().Center()
	f := Frame{Origin: middle, Axes: [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}}
	for times, within := range map[int]float64{0: 1e-12, 3: 1e-12, 8: 1e-4} {
		m := quartered(box, times)
		fine := r3.Norm(r3.Sub(second(m, 0), first(m, 0))) < tiny*r3.Norm(box.Bounds().Size())
		require.Equal(t, times == 8, fine, "which rule is taken")
		got := f.moments(m, 2)
		for i := range want {
			require.InEpsilon(t, want[i], got[i][i][0], within, "%d parted %d times", i, times)
		}
		for i := 1; i < 4; i++ { // even about the middle
			require.InDelta(t, 0, got[i][0][0], 1e-6*want[0]*z)
			require.InDelta(t, 0, got[i][i][i], 1e-6*want[0]*z*z*z)
		}
	}
}

func first(m *mesh.Mesh, t int) r3.Vec  { a, _, _ := m.Corners(t); return a }
func second(m *mesh.Mesh, t int) r3.Vec { _, b, _ := m.Corners(t); return b }
