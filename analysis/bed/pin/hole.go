package pin

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// holeSides is how many sides a hole has. They touch the round that the pin
// needs from outside, so that it goes in.
const holeSides = 24

// hole is a blind hole into a face, square to it.
type hole struct {
	at     r3.Vec // its middle, in the face
	radius float64
	depth  float64
}

// outer returns how far its corners are from its middle.
func (h hole) outer() float64 { return h.radius / math.Cos(math.Pi/holeSides) }

// volume returns what the hole takes away: a prism with holeSides sides.
func (h hole) volume() float64 {
	return holeSides * h.radius * h.radius * math.Tan(math.Pi/holeSides) * h.depth
}

// drilled returns the mesh of the face's piece with holes in the face: the cap
// made anew with the holes as loops in it, and their walls and bottoms. It is
// as closed as it was.
func (f *Face) drilled(holes []hole) *mesh.Mesh {
	out := &mesh.Mesh{}
	whole := f.m.Clone()
	out.X, out.Y, out.Z = whole.X, whole.Y, whole.Z
	for t, in := range f.in {
		if !in {
			out.T = append(out.T, whole.T[3*t:3*t+3]...)
		}
	}
	p := f.plane
	loops := f.loops
	for _, h := range holes {
		loops = append(loops[:len(loops):len(loops)], drill(out, p, h))
	}
	points := make([]r2.Vec, out.Vertices())
	for _, loop := range loops {
		for _, v := range loop {
			points[v] = p.Flat(out.At(v))
		}
	}
	out.T = append(out.T, section.Triangulate(points, loops)...)
	return out
}

// drill adds the wall and the bottom of a hole to m and returns its rim in the
// plane, which turns clockwise as seen from outside.
func drill(m *mesh.Mesh, p section.Plane, h hole) []uint32 {
	u, v := p.Axes()
	down := r3.Scale(-h.depth, r3.Unit(p.Normal))
	var rim, bottom [holeSides]uint32
	for k := range rim {
		sin, cos := math.Sincos(-2 * math.Pi * float64(k) / holeSides)
		q := r3.Add(h.at, r3.Scale(h.outer(), r3.Add(r3.Scale(cos, u), r3.Scale(sin, v))))
		rim[k], bottom[k] = m.AddVertex(q), m.AddVertex(r3.Add(q, down))
	}
	for k := range rim {
		j := (k + 1) % holeSides
		m.AddTriangle(rim[j], rim[k], bottom[k])
		m.AddTriangle(rim[j], bottom[k], bottom[j])
	}
	for k := 1; k+1 < holeSides; k++ {
		m.AddTriangle(bottom[0], bottom[k+1], bottom[k])
	}
	return rim[:]
}

// skin is the surface of a piece near the plane of a face, without the face.
type skin struct {
	triangles [][3]r3.Vec // in the plane's coordinates, Z into the piece
}

// skinOf returns what of f's piece lies less deep than depth, in the
// coordinates of p.
func skinOf(f *Face, p section.Plane, depth float64) skin {
	n := r3.Unit(f.plane.Normal)
	deep := func(q r3.Vec) float64 { return -r3.Dot(n, r3.Sub(q, p.Point)) }
	place := func(q r3.Vec) r3.Vec {
		flat := p.Flat(q)
		return r3.Vec{X: flat.X, Y: flat.Y, Z: deep(q)}
	}
	var s skin
	for t, in := range f.in {
		if in {
			continue
		}
		if a, b, c := f.m.Corners(t); min(deep(a), deep(b), deep(c)) < depth {
			s.triangles = append(s.triangles, [3]r3.Vec{place(a), place(b), place(c)})
		}
	}
	return s
}

// clear reports whether nothing of the skin is in the cylinder round q, in the
// plane's coordinates, of that radius and depth.
func (s skin) clear(q r2.Vec, radius, depth float64) bool {
	for _, t := range s.triangles {
		if min(t[0].X, t[1].X, t[2].X) > q.X+radius || max(t[0].X, t[1].X, t[2].X) < q.X-radius ||
			min(t[0].Y, t[1].Y, t[2].Y) > q.Y+radius || max(t[0].Y, t[1].Y, t[2].Y) < q.Y-radius ||
			min(t[0].Z, t[1].Z, t[2].Z) > depth {
			continue
		}
		if near(lowered(t, depth), q, radius) {
			return false
		}
	}
	return true
}

// lowered returns the outline, seen along Z, of what of a triangle lies less
// deep than depth.
func lowered(t [3]r3.Vec, depth float64) []r2.Vec {
	var out []r2.Vec
	for k, a := range t {
		b := t[(k+1)%3]
		if a.Z <= depth {
			out = append(out, r2.Vec{X: a.X, Y: a.Y})
		}
		if (a.Z <= depth) != (b.Z <= depth) {
			q := r3.Add(a, r3.Scale((depth-a.Z)/(b.Z-a.Z), r3.Sub(b, a)))
			out = append(out, r2.Vec{X: q.X, Y: q.Y})
		}
	}
	return out
}

// near reports whether q lies in a convex outline or less than radius from it.
func near(outline []r2.Vec, q r2.Vec, radius float64) bool {
	if len(outline) == 0 {
		return false
	}
	left, right := true, true
	last := outline[len(outline)-1]
	for _, p := range outline {
		if (edge{last, p}).distance(q) < radius {
			return true
		}
		turn := r2.Cross(r2.Sub(p, last), r2.Sub(q, last))
		left, right = left && turn > 0, right && turn < 0
		last = p
	}
	return left || right
}
