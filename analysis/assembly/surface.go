package assembly

import (
	"math"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// surface is a mesh with what its facets have between them.
type surface struct {
	m       *mesh.Mesh
	normals [][3]float32 // by facet, of length 1; zero where it is too thin to have one
	root    []uint32     // by facet: a lower facet of the same face, or itself
	open    []side       // edges with one facet
	odd     int          // number of edges with an odd number of facets
}

// side is an edge as one facet has it.
type side struct{ from, to, facet uint32 }

// face is facets that hang together without a crease.
type face struct {
	facets []uint32
	area   float64
}

// thinnest is the height, as a share of the coordinates, below which the
// rounding of its corners to float32 (2⁻²⁴ of them) may turn a facet by more
// than a few degrees. One that joined its neighbours all the same would lead
// round a crease.
const thinnest = 0x1p-19

func newSurface(m *mesh.Mesh, workers int) *surface {
	n := m.Triangles()
	s := &surface{m: m, normals: make([][3]float32, n), root: make([]uint32, n)}
	box := m.Bounds()
	thin := thinnest * (r3.Norm(box.Min) + r3.Norm(box.Max))
	m.EachChunk(workers, func(k mesh.Chunk) {
		for t := k.First; t < k.End; t++ {
			a, b, c := m.Corners(t)
			ab, ac := r3.Sub(b, a), r3.Sub(c, a)
			cross := r3.Cross(ab, ac)
			s.root[t] = uint32(t)
			longest := math.Sqrt(max(r3.Norm2(ab), r3.Norm2(ac), r3.Norm2(r3.Sub(c, b))))
			if twice := length(cross); twice > thin*longest {
				cross = r3.Scale(1/twice, cross)
				s.normals[t] = [3]float32{float32(cross.X), float32(cross.Y), float32(cross.Z)}
			}
		}
	})
	s.meet(workers)
	return s
}

// area returns the area of a facet in mm².
func area(m *mesh.Mesh, t int) float64 {
	a, b, c := m.Corners(t)
	return length(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
}

// length is that of v, without the care for overflow that r3.Norm takes and
// that costs most of the time of a pass over all facets.
func length(v r3.Vec) float64 { return math.Sqrt(r3.Norm2(v)) }

// thin reports whether a facet is too thin to have a direction.
func (s *surface) thin(t int) bool { return s.normals[t] == [3]float32{} }

// normal returns the normal of a facet.
func (s *surface) normal(t uint32) r3.Vec {
	n := s.normals[t]
	return r3.Vec{X: float64(n[0]), Y: float64(n[1]), Z: float64(n[2])}
}

// side returns side number i: that from corner T[i] to the next of its facet.
func (s *surface) side(i uint32) side {
	t, next := i/3, i+1
	if next%3 == 0 {
		next -= 3
	}
	return side{s.m.T[i], s.m.T[next], t}
}

// meetings is what is found at the edges of some lower corners.
type meetings struct {
	pairs [][2]uint32 // facets of one face
	open  []side
	odd   int
}

// meet puts the facets at every edge with two of them into one face unless
// there is a crease, and notes the edges with one.
func (s *surface) meet(workers int) {
	found := make([]meetings, max(workers, 1))
	n := s.m.Vertices()
	mesh.Share(len(found), len(found), func(part, _ int) {
		found[part] = s.meetings(uint32(n*part/len(found)), uint32(n*(part+1)/len(found)))
	})
	for _, f := range found {
		for _, pair := range f.pairs {
			s.join(pair[0], pair[1])
		}
		s.open = append(s.open, f.open...)
		s.odd += f.odd
	}
}

// meetings looks at the edges whose lower corner is from one on, up to another.
func (s *surface) meetings(from, to uint32) (found meetings) {
	starts, sides := s.sidesByLow(from, to)
	found.pairs = make([][2]uint32, 0, len(sides)/2)
	var at []uint64 // higher corner << 32 | side
	for low := range to - from {
		at = at[:0]
		for _, i := range sides[starts[low]:starts[low+1]] {
			d := s.side(i)
			at = append(at, uint64(max(d.from, d.to))<<32|uint64(i))
		}
		slices.Sort(at)
		for i := 0; i < len(at); {
			j := i + 1
			for j < len(at) && at[j]>>32 == at[i]>>32 {
				j++
			}
			found.odd += (j - i) % 2
			switch first := s.side(uint32(at[i])); j - i {
			case 1:
				found.open = append(found.open, first)
			case 2:
				second := s.side(uint32(at[i+1]))
				if first.from != second.from && r3.Dot(s.normal(first.facet), s.normal(second.facet)) >= crease {
					found.pairs = append(found.pairs, [2]uint32{first.facet, second.facet})
				}
			}
			i = j
		}
	}
	return found
}

// join makes two facets of one face.
func (s *surface) join(a, b uint32) {
	a, b = s.find(a), s.find(b)
	s.root[max(a, b)] = min(a, b)
}

func (s *surface) find(t uint32) uint32 {
	for s.root[t] != t {
		s.root[t] = s.root[s.root[t]]
		t = s.root[t]
	}
	return t
}

// sidesByLow sorts the numbers of the sides whose lower corner is from one on, up
// to another, by that corner: those at corner v are
// sides[starts[v-from]:starts[v-from+1]].
func (s *surface) sidesByLow(from, to uint32) (starts, sides []uint32) {
	starts = make([]uint32, to-from+1)
	each := func(f func(low, i uint32)) {
		for i := 0; i+2 < len(s.m.T); i += 3 {
			a, b, c := s.m.T[i], s.m.T[i+1], s.m.T[i+2]
			if low := min(a, b) - from; low < to-from && a != b {
				f(low, uint32(i))
			}
			if low := min(b, c) - from; low < to-from && b != c {
				f(low, uint32(i+1))
			}
			if low := min(c, a) - from; low < to-from && c != a {
				f(low, uint32(i+2))
			}
		}
	}
	each(func(low, _ uint32) { starts[low]++ })
	sum := uint32(0)
	for v, n := range starts {
		sum += n
		starts[v] = sum // where they end, for now
	}
	sides = make([]uint32, sum)
	each(func(low, i uint32) {
		starts[low]--
		sides[starts[low]] = i
	})
	return starts, sides
}

// faces lists the faces by their first facet.
func (s *surface) faces() []face {
	var out []face
	number := make([]int, len(s.root))
	for t := range s.root {
		first := s.find(uint32(t))
		if first == uint32(t) {
			number[t] = len(out)
			out = append(out, face{})
		}
		f := &out[number[first]]
		f.facets = append(f.facets, uint32(t))
		f.area += area(s.m, t)
	}
	return out
}

// borders chains the edges with one facet and parts the chains at corners.
// What is shorter than least is a hole where a facet is missing.
func (s *surface) borders(least float64) []Border {
	after := map[uint32]int{} // by its first corner: 1 + the number of an open side
	for i, d := range s.open {
		if _, forked := after[d.from]; forked {
			after[d.from] = 0 // where borders meet, none goes on
			continue
		}
		after[d.from] = i + 1
	}
	entered := make([]bool, len(s.open))
	for _, d := range s.open {
		if next := after[d.to]; next > 0 && s.straight(d, s.open[next-1]) {
			entered[next-1] = true
		}
	}
	done := make([]bool, len(s.open))
	var out []Border
	chain := func(i int) {
		b := Border{Line: []r3.Vec{s.m.At(s.open[i].from)}}
		length := 0.0
		for !done[i] {
			done[i] = true
			d := s.open[i]
			length += r3.Norm(r3.Sub(s.m.At(d.to), s.m.At(d.from)))
			b.Line, b.Out = append(b.Line, s.m.At(d.to)), append(b.Out, s.out(d))
			next := after[d.to]
			if next == 0 || !s.straight(d, s.open[next-1]) {
				break
			}
			i = next - 1
		}
		if length >= least {
			out = append(out, b)
		}
	}
	for i := range s.open { // first those that begin at a corner, then rings
		if !entered[i] {
			chain(i)
		}
	}
	for i := range s.open {
		if !done[i] {
			chain(i)
		}
	}
	return out
}

// straight reports whether a border goes on from one side to the next without
// a corner.
func (s *surface) straight(a, b side) bool {
	u := r3.Sub(s.m.At(a.to), s.m.At(a.from))
	v := r3.Sub(s.m.At(b.to), s.m.At(b.from))
	return r3.Dot(u, v) >= corner*r3.Norm(u)*r3.Norm(v)
}

// out returns the direction in the surface away from it at an open side. The
// surface lies on the left of a side, seen from outside.
func (s *surface) out(d side) r3.Vec {
	along := r3.Sub(s.m.At(d.to), s.m.At(d.from))
	out := r3.Cross(along, s.normal(d.facet))
	if n := r3.Norm(out); n > 0 {
		return r3.Scale(1/n, out)
	}
	return r3.Vec{}
}
