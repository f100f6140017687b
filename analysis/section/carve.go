package section

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Carve parts m into what lies below all of the planes sides (a convex
// region) and the rest. Of a closed mesh both are closed, without walls inside,
// and their volumes sum to its own.
//
// The planes are moved by a few thousandths of a millimetre where a vertex
// lies in them, so that no facet does.
//
// The inside is cut by one plane after the other, as Halves does it. The rest
// is what each cut took away of the surface, without its caps, and the caps of
// the inside turned round. A later plane splits edges on one side of an earlier
// cut only; those are stitched.
func Carve(m *mesh.Mesh, sides []Plane) (inside, rest *mesh.Mesh, f Flaws) {
	m, f.Lost = sound(m)
	inside = m
	var frames []frame
	var taken []*mesh.Mesh
	for _, p := range sides {
		fr, ok := clearOf(m, p)
		if !ok {
			continue
		}
		var g Flaws
		fr.over = true
		above, _ := keep(inside, fr)
		fr.over = false
		inside, g = keep(inside, fr)
		f = f.and(g)
		frames = append(frames, fr)
		taken = append(taken, above)
	}
	w := &welder{out: &mesh.Mesh{}, at: map[[3]float32]uint32{}}
	for _, piece := range taken {
		w.add(piece, func(t int) bool { return !onAny(piece, t, frames) }, false)
	}
	w.add(inside, func(t int) bool { return onAny(inside, t, frames) }, true)
	stitch(w.out)
	return inside, w.out, f
}

const (
	inPlane = 2e-4 // mm: corners of a cap, rounded to float32, lie closer to its plane (2⁻²⁴ of two metres)
	aside   = 1e-3 // mm: how far a plane is kept from vertices
)

// clearOf returns the frame of p, moved along its normal until no vertex of m
// lies within aside of it; false where p is no plane.
func clearOf(m *mesh.Mesh, p Plane) (frame, bool) {
	fr, ok := p.frame()
	for tries := 0; ok && tries < 64; tries++ {
		if !touches(m, fr) {
			break
		}
		// By ever longer steps to either side.
		step := 2.3 * aside * float64(1+tries/2)
		if tries%2 == 1 {
			step = -2 * step
		}
		fr, ok = Plane{Point: r3.Add(fr.at, r3.Scale(step, fr.n)), Normal: fr.n}.frame()
	}
	return fr, ok
}

func touches(m *mesh.Mesh, f frame) bool {
	d := r3.Dot(f.n, f.at)
	for v := range m.Vertices() {
		if math.Abs(r3.Dot(f.n, m.At(uint32(v)))-d) < aside {
			return true
		}
	}
	return false
}

// onAny reports whether triangle t lies in one of the planes: a cap.
func onAny(m *mesh.Mesh, t int, frames []frame) bool {
	a, b, c := m.Corners(t)
	for _, f := range frames {
		d := r3.Dot(f.n, f.at)
		if math.Abs(r3.Dot(f.n, a)-d) < inPlane && math.Abs(r3.Dot(f.n, b)-d) < inPlane && math.Abs(r3.Dot(f.n, c)-d) < inPlane {
			return true
		}
	}
	return false
}

// welder joins triangles of several meshes, making one of vertices that are
// equal to the bit.
type welder struct {
	out *mesh.Mesh
	at  map[[3]float32]uint32
}

// add adds the triangles of m that take admits, turned round if asked.
func (w *welder) add(m *mesh.Mesh, take func(t int) bool, turned bool) {
	for t := range m.Triangles() {
		if !take(t) {
			continue
		}
		a, b, c := w.vertex(m, m.T[3*t]), w.vertex(m, m.T[3*t+1]), w.vertex(m, m.T[3*t+2])
		if turned {
			b, c = c, b
		}
		if a != b && b != c && c != a {
			w.out.AddTriangle(a, b, c)
		}
	}
}

func (w *welder) vertex(m *mesh.Mesh, v uint32) uint32 {
	key := [3]float32{m.X[v] + 0, m.Y[v] + 0, m.Z[v] + 0} // + 0 makes one of both zeros
	known, ok := w.at[key]
	if !ok {
		known = w.out.AddVertex(m.At(v))
		w.at[key] = known
	}
	return known
}

// edge is a directed edge of a mesh.
type edge [2]uint32

// stitch splits triangles along edges that meet two or more shorter ones: where
// edge a-b has no partner b-a, but the edges without a partner lead from b by
// vertices on it to a.
func stitch(m *mesh.Mesh) {
	spare := spareEdges(m)
	from := map[uint32][]uint32{}
	for t := range m.Triangles() { // in the order of the triangles, so that the outcome is fixed
		for k := range 3 {
			if e := (edge{m.T[3*t+k], m.T[3*t+(k+1)%3]}); spare[e] > 0 {
				from[e[0]] = append(from[e[0]], e[1])
			}
		}
	}
	for t := 0; t < m.Triangles(); t++ {
		for k := range 3 {
			a, b, c := m.T[3*t+k], m.T[3*t+(k+1)%3], m.T[3*t+(k+2)%3]
			if spare[edge{a, b}] <= 0 {
				continue
			}
			between := path(m, from, b, a)
			if len(between) == 0 {
				continue
			}
			spare[edge{a, b}]--
			last := b
			for _, v := range between {
				m.AddTriangle(v, last, c)
				spare[edge{last, v}]--
				last = v
			}
			spare[edge{last, a}]--
			m.T[3*t], m.T[3*t+1], m.T[3*t+2] = a, last, c
			t-- // its other edges may want splitting too
			break
		}
	}
}

// spareEdges counts the directed edges that have no partner.
func spareEdges(m *mesh.Mesh) map[edge]int {
	spare := map[edge]int{}
	for t := range m.Triangles() {
		for k := range 3 {
			e := edge{m.T[3*t+k], m.T[3*t+(k+1)%3]}
			if back := (edge{e[1], e[0]}); spare[back] > 0 {
				spare[back]--
			} else {
				spare[e]++
			}
		}
	}
	return spare
}

// path returns the vertices between b and a along edges without a partner, all
// of them on the straight piece from b to a and in its order.
func path(m *mesh.Mesh, from map[uint32][]uint32, b, a uint32) (between []uint32) {
	const longest = 64
	goal, at := m.At(a), b
	for range longest {
		next, found := uint32(0), false
		for _, v := range from[at] {
			if v == a && at != b {
				return between
			}
			if v != a && v != b && onPiece(m.At(at), m.At(v), goal) {
				next, found = v, true
			}
		}
		if !found {
			return nil
		}
		between = append(between, next)
		at = next
	}
	return nil
}

// onPiece reports whether v lies on the piece from p to goal, between both.
func onPiece(p, v, goal r3.Vec) bool {
	whole, part := r3.Sub(goal, p), r3.Sub(v, p)
	length := r3.Norm(whole)
	if length == 0 {
		return false
	}
	along := r3.Dot(part, whole) / length
	off := r3.Norm(r3.Sub(part, r3.Scale(along/length, whole)))
	return along > 0 && along < length && off < inPlane
}
