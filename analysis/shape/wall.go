package shape

import (
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// wall is a material sheet over a grid of points: an inner and an outer skin
// joined along every free edge, so that the surface is closed whatever cells
// are left out.
//
// Rows run away from the first rim (i), columns counter-clockwise seen against
// the direction of the rows (j), so that column × row points outward. Points
// at which both skins agree to the bit are one vertex: a skin can close on the
// other in a sharp edge. A row whose points agree is one vertex too.
type wall struct {
	rows, cols   int  // grid points each way
	wrap         bool // the last column joins the first
	inner, outer func(i, j int) r3.Vec
	gone         func(i, j int) bool // cell (i, j)…(i+1, j+1) left out; nil for none
}

// skin holds the vertex numbers of one side of a wall, row by row.
type skin []uint32

// mesh draws the wall.
func (w wall) mesh() *mesh.Mesh {
	m := &mesh.Mesh{}
	seen := make(map[r3.Vec]uint32, 2*w.rows*w.cols)
	inner, outer := w.skin(m, seen, w.inner), w.skin(m, seen, w.outer)
	for i := range w.rows - 1 {
		for j := range w.cellCols() {
			if !w.has(i, j) {
				continue
			}
			a, b, c, d := w.corners(i, j)
			quad(m, outer[a], outer[b], outer[c], outer[d])
			quad(m, inner[a], inner[d], inner[c], inner[b])
			w.rim(m, i-1, j, inner, outer, a, b)
			w.rim(m, i, j+1, inner, outer, b, c)
			w.rim(m, i+1, j, inner, outer, c, d)
			w.rim(m, i, j-1, inner, outer, d, a)
		}
	}
	drop(m)
	return m
}

// skin adds the vertices of one side; equal points become one vertex.
func (w wall) skin(m *mesh.Mesh, seen map[r3.Vec]uint32, at func(i, j int) r3.Vec) skin {
	s := make(skin, w.rows*w.cols)
	for i := range w.rows {
		for j := range w.cols {
			p := at(i, j)
			v, ok := seen[p]
			if !ok {
				v = m.AddVertex(p)
				seen[p] = v
			}
			s[i*w.cols+j] = v
		}
	}
	return s
}

func (w wall) cellCols() int {
	if w.wrap {
		return w.cols
	}
	return w.cols - 1
}

// has reports whether the cell is there. Columns wrap where the wall does.
func (w wall) has(i, j int) bool {
	if w.wrap {
		j = (j + w.cols) % w.cols
	}
	if i < 0 || j < 0 || i >= w.rows-1 || j >= w.cellCols() {
		return false
	}
	return w.gone == nil || !w.gone(i, j)
}

// corners returns the grid indices round a cell, counter-clockwise from outside.
func (w wall) corners(i, j int) (a, b, c, d int) {
	next := (j + 1) % w.cols
	return i*w.cols + j, i*w.cols + next, (i+1)*w.cols + next, (i+1)*w.cols + j
}

// rim joins both skins along the edge from→to of a cell where its neighbour
// (i, j) is missing.
func (w wall) rim(m *mesh.Mesh, i, j int, inner, outer skin, from, to int) {
	if !w.has(i, j) {
		quad(m, outer[to], outer[from], inner[from], inner[to])
	}
}

// quad adds the two triangles a b c and a c d, without those that have two
// corners in one.
func quad(m *mesh.Mesh, a, b, c, d uint32) {
	triangle(m, a, b, c)
	triangle(m, a, c, d)
}

func triangle(m *mesh.Mesh, a, b, c uint32) {
	if a != b && b != c && c != a {
		m.AddTriangle(a, b, c)
	}
}

// drop removes the vertices that no triangle uses.
func drop(m *mesh.Mesh) {
	used := make([]bool, m.Vertices())
	for _, v := range m.T {
		used[v] = true
	}
	to := make([]uint32, m.Vertices())
	var kept uint32
	for v := range used {
		if !used[v] {
			continue
		}
		m.X[kept], m.Y[kept], m.Z[kept] = m.X[v], m.Y[v], m.Z[v]
		to[v] = kept
		kept++
	}
	m.X, m.Y, m.Z = m.X[:kept], m.Y[:kept], m.Z[:kept]
	for k, v := range m.T {
		m.T[k] = to[v]
	}
}
