package hull

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// flatWithin is how far from the plane of a face, in grains, the corners of
// others may lie to be one flat with it: flat facets turned in space have been
// moved by float32 at both ends, and are met again at some distance.
const flatWithin = 4

// flats gathers the faces, whose numbers are those of h, into flats: from the
// largest face that is left over neighbours with all corners in its plane.
func (q *quick) flats(h *Hull) []Flat {
	order, area := q.bySize()
	of := make([]bool, len(q.faces))
	out := make([]Flat, 0, len(q.faces))
	room := make([]int32, 0, 3*len(q.faces)) // for the corners of all
	var group []int32
	for _, f := range order {
		if of[f] {
			continue
		}
		of[f] = true
		group = append(group[:0], f)
		for k := 0; k < len(group); k++ {
			for _, g := range q.faces[group[k]].across {
				if !of[g] && q.flush(f, g) {
					of[g] = true
					group = append(group, g)
				}
			}
		}
		flat := q.flat(h, group, area, room[len(room):])
		room = room[:len(room)+len(flat.Points)]
		out = append(out, flat)
	}
	slices.SortStableFunc(out, func(a, b Flat) int { return cmp.Compare(b.Area, a.Area) })
	return out
}

// flush reports whether all corners of g lie in the plane of f.
func (q *quick) flush(f, g int32) bool {
	for _, v := range q.faces[g].v {
		if math.Abs(q.faces[f].over(q.spots[v].at.vec())) > flatWithin*q.l.grain {
			return false
		}
	}
	return r3.Dot(q.faces[f].unit, q.faces[g].unit) > 0
}

// flat makes one flat of a group of faces, the largest first. Its corners take
// up the room.
func (q *quick) flat(h *Hull, group []int32, area []float64, room []int32) Flat {
	f := Flat{Points: room}
	var n r3.Vec
	for _, g := range group {
		f.Area += area[g] / (q.l.scale * q.l.scale)
		n = r3.Add(n, r3.Scale(area[g], q.faces[g].unit))
		f.Points = append(f.Points, h.Faces[g][:]...)
	}
	f.Normal = unit(n)
	slices.Sort(f.Points)
	f.Points = slices.Compact(f.Points)
	f.Points = f.Points[:len(f.Points):len(f.Points)]
	return f
}

// unit returns a vector at length 1. Those here are neither so long nor so short
// that their squares are out of range.
func unit(v r3.Vec) r3.Vec { return r3.Scale(1/math.Sqrt(r3.Norm2(v)), v) }

// bySize returns the faces from the largest to the smallest, and the area of
// each in square units.
func (q *quick) bySize() (order []int32, area []float64) {
	order, area = make([]int32, len(q.faces)), make([]float64, len(q.faces))
	for f := range q.faces {
		n := q.faces[f].n
		order[f] = int32(f)
		area[f] = math.Sqrt(r3.Norm2(r3.Vec{X: float64(n[0]), Y: float64(n[1]), Z: float64(n[2])})) / 2
	}
	slices.SortFunc(order, func(f, g int32) int { return cmp.Or(cmp.Compare(area[g], area[f]), cmp.Compare(f, g)) })
	return order, area
}
