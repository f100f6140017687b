package mesh

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// polygon cuts the outlines of faces into triangles. It keeps its memory from
// one face to the next.
type polygon struct {
	flat       []r2.Vec // corners, seen against the normal: counter-clockwise
	next, prev []int32  // the ring of corners not yet cut off
}

// mostEars bounds the corners of an outline that is cut ear by ear, which
// takes time in the square of their number and, on spirals, in its cube.
const mostEars = 2000

// cut adds the triangles of a face to m: two fewer than it has corners, and
// on its own corners, so that neighbours still meet along its sides. Where the outline is convex that is a fan. Where it is not, corners
// are cut off one after the other that hold no other corner (G. H. Meisters,
// "Polygons have ears", 1975), looked at along the axis nearest to Newell's
// normal. ok is false where the outline crosses itself, has no area or is too
// long for that: then triangles overlap.
func (p *polygon) cut(m *Mesh, outline []uint32) (ok bool) {
	if len(outline) == 3 {
		m.AddTriangle(outline[0], outline[1], outline[2])
		return true
	}
	normal := newell(m, outline)
	p.flatten(m, outline, normal)
	if p.fans() {
		fan(m, outline)
		return true
	}
	if len(outline) > mostEars || normal == (r3.Vec{}) {
		fan(m, outline)
		return false
	}
	return p.ears(m, outline)
}

func fan(m *Mesh, outline []uint32) {
	for i := 2; i < len(outline); i++ {
		m.AddTriangle(outline[0], outline[i-1], outline[i])
	}
}

// flatten drops the coordinate in which the outline is thinnest. Differences
// of float32 and their products are then all but exact in float64.
func (p *polygon) flatten(m *Mesh, outline []uint32, n r3.Vec) {
	ax, ay, az := n.X*n.X, n.Y*n.Y, n.Z*n.Z
	p.flat = p.flat[:0]
	for _, v := range outline {
		q := m.At(v)
		switch {
		case az >= ax && az >= ay && n.Z >= 0:
			p.flat = append(p.flat, r2.Vec{X: q.X, Y: q.Y})
		case az >= ax && az >= ay:
			p.flat = append(p.flat, r2.Vec{X: q.Y, Y: q.X})
		case ax >= ay && n.X >= 0:
			p.flat = append(p.flat, r2.Vec{X: q.Y, Y: q.Z})
		case ax >= ay:
			p.flat = append(p.flat, r2.Vec{X: q.Z, Y: q.Y})
		case n.Y >= 0:
			p.flat = append(p.flat, r2.Vec{X: q.Z, Y: q.X})
		default:
			p.flat = append(p.flat, r2.Vec{X: q.X, Y: q.Z})
		}
	}
}

// newell returns twice the vector area of an outline, flat or not: its normal
// (M. E. Newell, in I. E. Sutherland, R. F. Sproull and R. A. Schumacker, "A
// characterization of ten hidden-surface algorithms", 1974; from memory).
func newell(m *Mesh, outline []uint32) r3.Vec {
	var sum r3.Vec
	o := m.At(outline[0])
	for i := 2; i < len(outline); i++ {
		sum = r3.Add(sum, r3.Cross(r3.Sub(m.At(outline[i-1]), o), r3.Sub(m.At(outline[i]), o)))
	}
	return sum
}

// fans reports whether every triangle of a fan from the first corner faces
// the right way and none is flat.
func (p *polygon) fans() bool {
	for i := 2; i < len(p.flat); i++ {
		if p.turn(0, int32(i-1), int32(i)) <= 0 {
			return false
		}
	}
	return true
}

// turn is twice the area of the triangle a b c, positive where it turns left.
func (p *polygon) turn(a, b, c int32) float64 {
	return r2.Cross(r2.Sub(p.flat[b], p.flat[a]), r2.Sub(p.flat[c], p.flat[a]))
}

// ears cuts off ears until three corners are left.
func (p *polygon) ears(m *Mesh, outline []uint32) (ok bool) {
	n := int32(len(outline))
	p.next, p.prev = p.next[:0], p.prev[:0]
	for i := range n {
		p.next = append(p.next, (i+1)%n)
		p.prev = append(p.prev, (i+n-1)%n)
	}
	ok = true
	at := int32(0)
	for left := n; left > 3; left-- {
		ear, sound := p.ear(at, left)
		ok = ok && sound
		before, after := p.prev[ear], p.next[ear]
		m.AddTriangle(outline[before], outline[ear], outline[after])
		p.next[before], p.prev[after] = after, before
		at = after // going on from here gives fewer needles than staying
	}
	m.AddTriangle(outline[p.prev[at]], outline[at], outline[p.next[at]])
	return ok && p.turn(p.prev[at], at, p.next[at]) >= 0
}

// ear returns a corner that may be cut off: at best one with an area, else one
// on a straight line, else (sound is false) whichever comes first.
func (p *polygon) ear(at, left int32) (ear int32, sound bool) {
	straight := int32(-1)
	i := at
	for range left {
		switch turn := p.turn(p.prev[i], i, p.next[i]); {
		case turn > 0 && p.empty(i, left):
			return i, true
		case turn == 0 && straight < 0:
			straight = i
		}
		i = p.next[i]
	}
	if straight >= 0 {
		return straight, true
	}
	return at, false
}

// empty reports whether the triangle at corner b holds no other corner of the
// ring, inside or on its edges. Corners in the same place as one of the three
// do not count: an outline with a hole visits the ends of its bridge twice.
func (p *polygon) empty(b, left int32) bool {
	a, c := p.prev[b], p.next[b]
	i := p.next[c]
	for range left - 3 {
		q := p.flat[i]
		if q != p.flat[a] && q != p.flat[b] && q != p.flat[c] &&
			p.turn(a, b, i) >= 0 && p.turn(b, c, i) >= 0 && p.turn(c, a, i) >= 0 {
			return false
		}
		i = p.next[i]
	}
	return true
}
