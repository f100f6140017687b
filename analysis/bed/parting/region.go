package parting

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// region is what of a part lies between some cuts.
type region struct {
	m     *mesh.Mesh
	spans []span // along the axes of all frames, three by three
	// pieces is how many pieces it makes: 1 where it fits, else no more than a
	// straight grid along one of the frames makes.
	pieces int
	bodies int
	along  []float64 // of each vertex: its place on each axis; nil until asked for

	options []option // nil until looked for
	looked  bool
}

// span is a stretch along an axis.
type span struct{ low, high float64 }

var nothing = span{math.Inf(1), math.Inf(-1)}

func (s span) size() float64 { return max(0, s.high-s.low) }

func (s *span) take(x float64) {
	if x < s.low {
		s.low = x
	}
	if x > s.high {
		s.high = x
	}
}

// newRegion returns the region of m.
func (s *search) newRegion(m *mesh.Mesh) *region {
	r := &region{m: m, spans: make([]span, 3*len(s.frames))}
	for k := range r.spans {
		r.spans[k] = nothing
		axis := s.axis(k)
		for v := range m.Vertices() {
			r.spans[k].take(r3.Dot(axis, m.At(uint32(v))))
		}
	}
	r.pieces = s.grid(r.spans)
	r.bodies = 1
	if r.pieces <= hopeful {
		if s.space.Fits(m) {
			r.pieces = 1
		} else {
			r.pieces = max(2, r.pieces)
		}
	}
	r.bodies = len(bodies(m, s.frames))
	return r
}

// hopeful is the number of cells of a grid up to which a region may still fit
// as it is. A box of length ℓ laid cornerwise in another of sides 1 is no
// longer than √3: cells up to twice as long each way, and slim ones.
const hopeful = 4

func (s *search) axis(k int) r3.Vec { return s.frames[k/3][k%3] }

// grid returns how many cells the smallest straight grid has that parts a box
// of these spans in one of the frames into boxes that fit.
func (s *search) grid(spans []span) int {
	for n := 1; n <= mostPieces; n++ {
		for f := 0; f < len(spans); f += 3 {
			x, y, z := spans[f].size(), spans[f+1].size(), spans[f+2].size()
			for a := 1; a <= n; a++ {
				if n%a != 0 {
					continue
				}
				for b := 1; b <= n/a; b++ {
					if n/a%b != 0 {
						continue
					}
					c := n / a / b
					if s.space.Box(r3.Vec{X: x / float64(a), Y: y / float64(b), Z: z / float64(c)}) {
						return n
					}
				}
			}
		}
	}
	return mostPieces + 1
}

// look is what a cut of a region would give, as far as boxes tell.
type look struct {
	plane  section.Plane
	pieces [2]int     // below and above
	depth  [2]float64 // how far each goes from the plane
	seam   float64    // length of the outlines
	middle r3.Vec     // of the seam
}

func (l *look) total() int { return l.pieces[0] + l.pieces[1] }

// look looks at a cut of r. ok is false where all is on one side.
func (s *search) look(r *region, p section.Plane) (l look, ok bool) {
	s.measure(r)
	n := r3.Unit(p.Normal)
	d := r3.Dot(n, p.Point)
	axes := len(r.spans)
	var spans [2][]span
	for side := range spans {
		spans[side] = make([]span, axes)
		for k := range spans[side] {
			spans[side][k] = nothing
		}
	}
	l.plane = p
	over := make([]float64, r.m.Vertices())
	for v := range over {
		h := r3.Dot(n, r.m.At(uint32(v))) - d
		over[v] = h
		side := 0
		if h > 0 {
			side = 1
			l.depth[1] = max(l.depth[1], h)
		} else {
			l.depth[0] = max(l.depth[0], -h)
		}
		to := spans[side]
		for k, x := range r.along[v*axes : (v+1)*axes] {
			to[k].take(x)
		}
	}
	if l.depth[0] <= thin || l.depth[1] <= thin {
		return l, false
	}
	var ends [3]r3.Vec
	for t := 0; t+2 < len(r.m.T); t += 3 {
		met := 0
		for k := range 3 {
			u, v := r.m.T[t+k], r.m.T[t+(k+1)%3]
			if (over[u] > 0) == (over[v] > 0) {
				continue
			}
			a, b := r.m.At(u), r.m.At(v)
			at := r3.Add(a, r3.Scale(over[u]/(over[u]-over[v]), r3.Sub(b, a)))
			ends[met] = at
			met++
			if u > v {
				continue // its neighbour asks too
			}
			for k := range axes {
				x := r3.Dot(s.axis(k), at)
				spans[0][k].take(x)
				spans[1][k].take(x)
			}
		}
		if met == 2 {
			length := math.Sqrt(r3.Norm2(r3.Sub(ends[1], ends[0])))
			l.seam += length
			l.middle = r3.Add(l.middle, r3.Scale(length/2, r3.Add(ends[0], ends[1])))
		}
	}
	if l.seam > 0 {
		l.middle = r3.Scale(1/l.seam, l.middle)
	}
	for side := range spans {
		l.pieces[side] = s.grid(spans[side])
	}
	return l, true
}

// thin is how far a piece must go from a cut not to be a mere flake. A guess.
const thin = 1.0

// measure finds the place of each vertex on each axis.
func (s *search) measure(r *region) {
	if r.along != nil {
		return
	}
	axes := len(r.spans)
	r.along = make([]float64, r.m.Vertices()*axes)
	for v := range r.m.Vertices() {
		p := r.m.At(uint32(v))
		for k := range axes {
			r.along[v*axes+k] = r3.Dot(s.axis(k), p)
		}
	}
}
