package assembly

import (
	"math"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// weld returns the pieces without their cut faces, joined where these ended
// and along borders; ok is false where that leaves more edges open than the
// pieces had.
func (j *joint) weld() (m *mesh.Mesh, ok bool) {
	s := j.seam()
	s.merge()
	s.cancel()
	s.drop()
	out := s.left()
	open := 0
	for _, p := range j.surfaces {
		open += p.odd
	}
	return out, newSurface(out, 1).odd <= open
}

// seam is the pieces of a joint on the way to being welded.
type seam struct {
	m     *mesh.Mesh // all of them
	gone  []bool     // by facet: belongs to a cut face
	onCut []bool     // by vertex: a corner of a cut face
	ends  []bool     // by vertex: where the surface ended before
	doubt []uint32   // facets that may belong to a cut face: see drop
}

func (j *joint) seam() *seam {
	m := j.whole()
	s := &seam{m: m, gone: make([]bool, m.Triangles()), onCut: make([]bool, m.Vertices()), ends: make([]bool, m.Vertices())}
	before := make([]uint32, len(j.pieces)) // facets of the pieces before
	for i := 1; i < len(j.pieces); i++ {
		before[i] = before[i-1] + uint32(j.pieces[i-1].Triangles())
	}
	for _, c := range j.cuts {
		for _, t := range c.facets {
			s.gone[before[c.piece]+t] = true
			for _, v := range j.pieces[c.piece].T[3*t : 3*t+3] {
				s.onCut[j.first[c.piece]+v] = true
			}
		}
	}
	for i, p := range j.surfaces {
		for t := range p.normals {
			at := before[i] + uint32(t)
			if on := s.corners(at); on == 3 || on > 0 && p.thin(t) {
				s.doubt = append(s.doubt, at)
			}
		}
		for _, d := range p.open {
			s.ends[j.first[i]+d.from], s.ends[j.first[i]+d.to] = true, true
		}
	}
	for _, t := range s.doubt { // a corner of a cut may have nothing but slivers
		for _, v := range m.T[3*t : 3*t+3] {
			s.onCut[v] = true
		}
	}
	return s
}

// corners counts the corners of a facet that are corners of a cut face.
func (s *seam) corners(t uint32) (n int) {
	for _, v := range s.m.T[3*t : 3*t+3] {
		if s.onCut[v] {
			n++
		}
	}
	return n
}

// same is the distance, as a share of the coordinates, up to which two corners
// on a cut are one: each was rounded to float32, 2⁻²⁴ of them, and may have
// been turned or scaled since.
const same = 0x1p-22

// merge gives corners at cuts and borders that lie in the same place one
// number.
func (s *seam) merge() {
	box := s.m.Bounds()
	reach := same * (r3.Norm(box.Min) + r3.Norm(box.Max))
	cubes := cubes{edge: 4 * reach, of: map[[3]int64][]uint32{}}
	to := make([]uint32, s.m.Vertices())
	for v := range to {
		to[v] = uint32(v)
		if s.onCut[v] || s.ends[v] {
			to[v] = cubes.first(s.m, uint32(v), reach)
		}
	}
	for i, v := range s.m.T {
		s.m.T[i] = to[v]
	}
}

// cubes holds vertices by the cube of space that they lie in.
type cubes struct {
	edge float64
	of   map[[3]int64][]uint32
}

func (c cubes) at(p r3.Vec) [3]int64 {
	return [3]int64{int64(math.Floor(p.X / c.edge)), int64(math.Floor(p.Y / c.edge)), int64(math.Floor(p.Z / c.edge))}
}

// first returns the vertex first added within reach of v; v, which it adds,
// where there is none.
func (c cubes) first(m *mesh.Mesh, v uint32, reach float64) uint32 {
	p := m.At(v)
	low, high := c.at(r3.Sub(p, vec(reach))), c.at(r3.Add(p, vec(reach)))
	for x := low[0]; x <= high[0]; x++ {
		for y := low[1]; y <= high[1]; y++ {
			for z := low[2]; z <= high[2]; z++ {
				for _, w := range c.of[[3]int64{x, y, z}] {
					if r3.Norm2(r3.Sub(p, m.At(w))) <= reach*reach {
						return w
					}
				}
			}
		}
	}
	c.of[c.at(p)] = append(c.of[c.at(p)], v)
	return v
}

// cancel takes out facets in doubt that lie on each other, two by two, and
// those that merging left without area.
func (s *seam) cancel() {
	lone := map[[3]uint32]uint32{}
	for _, t := range s.doubt {
		key := [3]uint32(s.m.T[3*t : 3*t+3])
		slices.Sort(key[:])
		if key[0] == key[1] || key[1] == key[2] {
			s.gone[t] = true
		}
		if s.gone[t] {
			continue
		}
		if other, known := lone[key]; known {
			s.gone[t], s.gone[other] = true, true
			delete(lone, key)
			continue
		}
		lone[key] = t
	}
}

// drop decides which of the facets in doubt belong to the cut faces: those that
// are the third, or the only one, at most of their edges. In doubt are facets
// with all their corners on a cut, which slivers part from its faces, and the
// slivers.
func (s *seam) drop() {
	odd := map[[2]uint32]bool{}
	for _, t := range s.doubt {
		for _, e := range s.edges(t) {
			odd[e] = false
		}
	}
	toggle := func(t uint32) {
		for _, e := range s.edges(t) {
			if now, asked := odd[e]; asked {
				odd[e] = !now
			}
		}
	}
	for t, gone := range s.gone {
		if !gone {
			toggle(uint32(t))
		}
	}
	for again := true; again; { // each round but the last drops one at least
		again = false
		for _, t := range s.doubt {
			n := 0
			for _, e := range s.edges(t) {
				if odd[e] {
					n++
				}
			}
			if n >= 2 && !s.gone[t] {
				s.gone[t], again = true, true
				toggle(t)
			}
		}
	}
}

// edges returns the edges of a facet, the lower corner first.
func (s *seam) edges(t uint32) (out [3][2]uint32) {
	for k := range out {
		a, b := s.m.T[3*t+uint32(k)], s.m.T[3*t+uint32(k+1)%3]
		out[k] = [2]uint32{min(a, b), max(a, b)}
	}
	return out
}

// left returns the facets that stay, with the vertices they use.
func (s *seam) left() *mesh.Mesh {
	out := &mesh.Mesh{}
	const unused = ^uint32(0)
	number := make([]uint32, s.m.Vertices())
	for v := range number {
		number[v] = unused
	}
	for t, gone := range s.gone {
		if gone {
			continue
		}
		for _, v := range s.m.T[3*t : 3*t+3] {
			if number[v] == unused {
				number[v] = uint32(out.Vertices())
				out.X, out.Y, out.Z = append(out.X, s.m.X[v]), append(out.Y, s.m.Y[v]), append(out.Z, s.m.Z[v])
			}
			out.T = append(out.T, number[v])
		}
	}
	return out
}
