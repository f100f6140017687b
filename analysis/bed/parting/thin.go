package parting

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// mostSearched is the number of triangles up to which a mesh is searched as
	// it is; more are thinned first. Chosen so that a search takes a second or
	// two.
	mostSearched = 5000
	// coarser is by how much the pitch of the grid in which vertices are taken
	// together grows until the mesh is small enough.
	coarser = 1.2
)

// thinned returns m, or where it has many triangles a mesh like it with fewer:
// of the vertices in each cell of a grid the one farthest from the middle of the
// part stands for all.
func thinned(m *mesh.Mesh) *mesh.Mesh {
	box := m.Bounds()
	// A surface in general position meets about 1.5 cells of a grid on each
	// square of its pitch, and there are two triangles to a vertex.
	pitch := math.Sqrt(3 * m.Area() / mostSearched)
	if !m.Finite() || !(pitch > 0) {
		return m
	}
	out := m
	for out.Triangles() > mostSearched {
		out = gathered(m, box, pitch)
		pitch *= coarser
	}
	return out
}

// gathered returns m with the vertices in each cell of a grid taken together.
func gathered(m *mesh.Mesh, box r3.Box, pitch float64) *mesh.Mesh {
	cells := make(map[[3]int32]uint32)
	of := make([][3]int32, m.Vertices())
	out := &mesh.Mesh{}
	away := func(m *mesh.Mesh, v uint32) float64 { return r3.Norm2(r3.Sub(m.At(v), box.Center())) }
	for v := range of {
		p := r3.Sub(m.At(uint32(v)), box.Min)
		of[v] = [3]int32{int32(p.X / pitch), int32(p.Y / pitch), int32(p.Z / pitch)}
		at, ok := cells[of[v]]
		if !ok {
			cells[of[v]] = out.AddVertex(m.At(uint32(v)))
		} else if away(m, uint32(v)) > away(out, at) {
			out.X[at], out.Y[at], out.Z[at] = m.X[v], m.Y[v], m.Z[v]
		}
	}
	for t := 0; t+2 < len(m.T); t += 3 {
		a, b, c := cells[of[m.T[t]]], cells[of[m.T[t+1]]], cells[of[m.T[t+2]]]
		if a != b && b != c && c != a {
			out.AddTriangle(a, b, c)
		}
	}
	return out
}
