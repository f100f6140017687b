package pin

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Face is what a piece has in the plane of a seam: the cap that closed it.
type Face struct {
	m     *mesh.Mesh
	plane section.Plane // its Normal shows out of the piece
	// in holds for each triangle of m whether it lies in the face.
	in   []bool
	area float64 // mm²
	// loops are the outlines, as vertices of m, with the material on the left
	// as seen from outside.
	loops [][]uint32
}

// flatWithin is how far from the plane the corners of a cap may lie, in units
// of what float32 can move them: a unit in the last place of each coordinate.
const flatWithin = 4 * 0x1p-23

// FaceOf returns what m, which lies on one side of p, has in p.
func FaceOf(m *mesh.Mesh, p section.Plane) *Face {
	n := r3.Unit(p.Normal)
	d := r3.Dot(n, p.Point)
	flat := make([]bool, m.Vertices())
	var side float64
	for v := range flat {
		q := m.At(uint32(v))
		h := r3.Dot(n, q) - d
		side += h
		flat[v] = math.Abs(h) <= flatWithin*(math.Abs(q.X)+math.Abs(q.Y)+math.Abs(q.Z)+math.Abs(d))
	}
	if side > 0 {
		n = r3.Scale(-1, n)
	}
	f := &Face{m: m, plane: section.Plane{Point: p.Point, Normal: n}, in: make([]bool, m.Triangles())}
	for t := range f.in {
		if f.in[t] = flat[m.T[3*t]] && flat[m.T[3*t+1]] && flat[m.T[3*t+2]]; f.in[t] {
			a, b, c := m.Corners(t)
			f.area += r3.Dot(n, r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
		}
	}
	f.loops = f.outlines()
	return f
}

// Area returns the area of the face in mm².
func (f *Face) Area() float64 { return f.area }

// Out returns the direction out of the piece, square to the face, of length 1.
func (f *Face) Out() r3.Vec { return f.plane.Normal }

// outlines returns the border of the face: the edges that its triangles have
// in one direction more often than in the other, joined to loops.
func (f *Face) outlines() [][]uint32 {
	uses := make(map[[2]uint32]int)
	var order [][2]uint32
	for t, in := range f.in {
		if !in {
			continue
		}
		for k := range 3 {
			e := [2]uint32{f.m.T[3*t+k], f.m.T[3*t+(k+1)%3]}
			if uses[[2]uint32{e[1], e[0]}] > 0 {
				uses[[2]uint32{e[1], e[0]}]--
				continue
			}
			uses[e]++
			order = append(order, e)
		}
	}
	next := make(map[uint32][]uint32)
	var starts []uint32
	for _, e := range order {
		if uses[e] > 0 {
			uses[e]--
			next[e[0]] = append(next[e[0]], e[1])
			starts = append(starts, e[0])
		}
	}
	var loops [][]uint32
	for _, start := range starts {
		var loop []uint32
		for at := start; len(next[at]) > 0; {
			to := next[at]
			loop = append(loop, at)
			at, next[at] = to[len(to)-1], to[:len(to)-1]
		}
		if len(loop) > 0 {
			loops = append(loops, loop)
		}
	}
	return loops
}

// edge is a piece of an outline, in the coordinates of a plane.
type edge struct{ from, to r2.Vec }

// edges returns the outlines in the coordinates of p, which may face the other
// way than the face.
func (f *Face) edges(p section.Plane) []edge {
	var out []edge
	for _, loop := range f.loops {
		last := p.Flat(f.m.At(loop[len(loop)-1]))
		for _, v := range loop {
			q := p.Flat(f.m.At(v))
			out = append(out, edge{last, q})
			last = q
		}
	}
	return out
}

// winding returns how often the outlines go round q.
func winding(edges []edge, q r2.Vec) int {
	n := 0
	for _, e := range edges {
		if (e.from.Y > q.Y) == (e.to.Y > q.Y) {
			continue
		}
		left := r2.Cross(r2.Sub(e.to, e.from), r2.Sub(q, e.from)) > 0
		switch {
		case e.to.Y > e.from.Y && left:
			n++
		case e.to.Y < e.from.Y && !left:
			n--
		}
	}
	return n
}

// distance returns how far q is from e.
func (e edge) distance(q r2.Vec) float64 {
	along, to := r2.Sub(e.to, e.from), r2.Sub(q, e.from)
	share := 0.0
	if n := r2.Norm2(along); n > 0 {
		share = min(1, max(0, r2.Dot(along, to)/n))
	}
	return math.Sqrt(r2.Norm2(r2.Sub(to, r2.Scale(share, along))))
}

// room returns how far q is from the nearest edge.
func room(edges []edge, q r2.Vec) float64 {
	least := math.Inf(1)
	for _, e := range edges {
		least = min(least, e.distance(q))
	}
	return least
}
