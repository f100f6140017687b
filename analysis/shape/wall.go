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
	inner, outer := w.skins(m)
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

// skins adds the vertices of both sides.
func (w wall) skins(m *mesh.Mesh) (inner, outer skin) {
	inner, outer = make(skin, w.rows*w.cols), make(skin, w.rows*w.cols)
	for i := range w.rows {
		for j := range w.cols {
			k, in, out := i*w.cols+j, w.inner(i, j), w.outer(i, j)
			inner[k] = vertex(m, in, inner[i*w.cols], j > 0)
			outer[k] = vertex(m, out, outer[i*w.cols], j > 0)
			if in == out {
				outer[k] = inner[k]
			}
		}
	}
	return inner, outer
}

// ball draws a single closed skin over a grid whose first and last row are
// points: a block.
func ball(rows, cols int, at func(i, j int) r3.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	v := make(skin, rows*cols)
	for k := range v {
		v[k] = vertex(m, at(k/cols, k%cols), v[k/cols*cols], k%cols > 0)
	}
	grid := wall{rows: rows, cols: cols, wrap: true}
	for i := range rows - 1 {
		for j := range cols {
			a, b, c, d := grid.corners(i, j)
			quad(m, v[a], v[b], v[c], v[d])
		}
	}
	return m
}

// vertex adds p, or returns the first vertex of its row where p lies there.
func vertex(m *mesh.Mesh, p r3.Vec, first uint32, later bool) uint32 {
	if later && m.At(first) == rounded(p) {
		return first
	}
	return m.AddVertex(p)
}

// rounded returns p as a mesh keeps it.
func rounded(p r3.Vec) r3.Vec {
	return r3.Vec{X: float64(float32(p.X)), Y: float64(float32(p.Y)), Z: float64(float32(p.Z))}
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

// soup gathers patches whose points meet to the bit, for shapes that no single
// grid covers. Every patch of it stands for itself and its mirror image in
// the plane x = 0.
type soup struct {
	m    *mesh.Mesh
	seen map[r3.Vec]uint32
}

func newSoup() *soup { return &soup{m: &mesh.Mesh{}, seen: make(map[r3.Vec]uint32)} }

// mesh returns what was gathered.
func (s *soup) mesh() *mesh.Mesh {
	drop(s.m)
	return s.m
}

// add returns the vertex at p.
func (s *soup) add(p r3.Vec) uint32 {
	p = rounded(p)
	v, ok := s.seen[p]
	if !ok {
		v = s.m.AddVertex(p)
		s.seen[p] = v
	}
	return v
}

// patch is a grid of points with columns and rows as those of a wall.
type patch struct {
	rows, cols int
	wrap       bool
	at         func(i, j int) r3.Vec
	gone       func(i, j int) bool
}

// patch adds p and its mirror image, facing outward.
func (s *soup) patch(p patch) {
	grid := wall{rows: p.rows, cols: p.cols, wrap: p.wrap, gone: p.gone}
	for _, mirrored := range []bool{false, true} {
		v := make(skin, p.rows*p.cols)
		for k := range v {
			v[k] = s.add(mirror(p.at(k/p.cols, k%p.cols), mirrored))
		}
		for i := range p.rows - 1 {
			for j := range grid.cellCols() {
				if !grid.has(i, j) {
					continue
				}
				a, b, c, d := grid.corners(i, j)
				if mirrored {
					b, d = d, b
				}
				if (i+j)%2 == 0 { // diagonals in turn, so that relaxing drags nothing along
					quad(s.m, v[a], v[b], v[c], v[d])
				} else {
					quad(s.m, v[b], v[c], v[d], v[a])
				}
			}
		}
	}
}

// relax rounds creases: round after round every vertex moves toward the mean of
// its neighbours, by half of the weight of the place where it first lay. The
// weight should fall smoothly to 0, and be 0 along edges.
func relax(m *mesh.Mesh, rounds int, weight func(r3.Vec) float64) {
	neighbours := make([][]uint32, m.Vertices())
	for k, a := range m.T {
		// Round an inner vertex each neighbour is the next corner once.
		neighbours[a] = append(neighbours[a], m.T[k/3*3+(k+1)%3])
	}
	at, moved := make([]r3.Vec, m.Vertices()), make([]r3.Vec, m.Vertices())
	share := make([]float64, m.Vertices())
	for v := range at {
		at[v] = m.At(uint32(v))
		share[v] = weight(at[v]) / 2
	}
	for range rounds {
		for v, round := range neighbours {
			moved[v] = at[v]
			if share[v] > 0 {
				moved[v] = r3.Add(at[v], r3.Scale(share[v], r3.Sub(middle(at, round), at[v])))
			}
		}
		at, moved = moved, at
	}
	for v, p := range at {
		m.X[v], m.Y[v], m.Z[v] = float32(p.X), float32(p.Y), float32(p.Z)
	}
}

// within returns how deep in 0…1 a value lies above a limit: 0 below it, 1
// from depth on, smooth between.
func within(above, depth float64) float64 { return smooth(min(max(above/depth, 0), 1)) }

// middle returns the mean of some points.
func middle(at []r3.Vec, of []uint32) r3.Vec {
	var sum r3.Vec
	for _, v := range of {
		sum = r3.Add(sum, at[v])
	}
	return r3.Scale(1/float64(len(of)), sum)
}

// thickened returns the wall between an open skin that faces outward and its
// copy moved outward along the normals of its vertices, joined along the
// skin's edges.
func thickened(in *mesh.Mesh, thickness float64) *mesh.Mesh {
	normals := vertexNormals(in)
	out := in.Clone()
	out.Flip()
	base := uint32(in.Vertices())
	for v, n := range normals {
		out.AddVertex(r3.Add(in.At(uint32(v)), r3.Scale(thickness, n)))
	}
	twins := make(map[[2]uint32]bool, len(in.T))
	for k, a := range in.T {
		out.T = append(out.T, base+a)
		twins[[2]uint32{a, in.T[k/3*3+(k+1)%3]}] = true
	}
	for k, a := range in.T {
		b := in.T[k/3*3+(k+1)%3]
		if !twins[[2]uint32{b, a}] {
			quad(out, base+b, base+a, a, b)
		}
	}
	return out
}

// vertexNormals returns, for each vertex, the unit mean of the normals of its
// triangles weighted by area, or zero where there is none.
func vertexNormals(m *mesh.Mesh) []r3.Vec {
	normals := make([]r3.Vec, m.Vertices())
	for t := range m.Triangles() {
		n := normal(m, t)
		for _, v := range m.T[3*t : 3*t+3] {
			normals[v] = r3.Add(normals[v], n)
		}
	}
	for v, n := range normals {
		if length := r3.Norm(n); length > 0 {
			normals[v] = r3.Scale(1/length, n)
		}
	}
	return normals
}

// normal returns the normal of triangle t, twice its area long.
func normal(m *mesh.Mesh, t int) r3.Vec {
	a, b, c := m.Corners(t)
	return r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
}

func mirror(p r3.Vec, really bool) r3.Vec {
	if really {
		p.X = -p.X
	}
	return p
}
