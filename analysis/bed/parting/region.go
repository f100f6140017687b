package parting

import (
	"math"
	"slices"

	"gambeson/analysis/bed/frame"
	"gambeson/analysis/bed/hull"
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
	rests  []bool    // for each axis of the frames: whether it can stand along it
	over   float64   // how many times it is too large, by boxes; 1 where it fits
	blocks []block   // nil until asked for
	along  []float64 // of each vertex: its place on each axis; with the blocks

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
	r := &region{m: m, spans: spansOf(m, s.frames)}
	h := hull.Of(m)
	r.rests = s.restsOf(h)
	r.pieces = s.space.grid(r.spans, r.rests)
	if r.pieces <= hopeful {
		if s.space.Fits(h, frame.Middle(m)) {
			r.pieces = 1
		} else {
			r.pieces = max(2, r.pieces)
		}
	}
	r.over = 1
	if r.pieces > 1 {
		r.over = s.space.over(r.spans)
	}
	r.bodies = len(bodies(m, s.frames))
	return r
}

const (
	// broadRest is the share of a hull's surface from which on a part can be
	// laid on a face of it, whatever its weight. A guess.
	broadRest = 0.02
	// sameRest is the cosine above which a face is square to an axis: 0.6°.
	sameRest = 0.99995
)

// restsOf returns for each axis of the frames whether what has that hull can be
// laid so that it is upright, as far as broad faces tell. It can always stand as
// it lies in its file.
func (s *search) restsOf(h *hull.Hull) []bool {
	out := make([]bool, 3*len(s.frames))
	enough := broadRest * h.Area()
	for k := range out {
		axis := s.axis(k)
		out[k] = math.Abs(axis.Z) > sameRest
		for _, f := range h.Flats {
			if f.Area < enough {
				break
			}
			out[k] = out[k] || math.Abs(r3.Dot(f.Normal, axis)) > sameRest
		}
	}
	return out
}

// hopeful is the number of cells of a grid up to which a region may still fit
// as it is. A box of length ℓ laid cornerwise in another of sides 1 is no
// longer than √3: cells up to twice as long each way, and slim ones.
const hopeful = 4

func (s *search) axis(k int) r3.Vec { return s.axes[k] }

// grid returns how many cells the smallest straight grid has that parts a box
// of these spans in one of the frames into boxes that fit. A cell stands along
// an axis along which the whole rests or is cut.
func (s Space) grid(spans []span, rests []bool) int {
	for n := 1; n <= mostPieces; n++ {
		for f := 0; f < len(spans); f += 3 {
			if _, ok := s.cells(spans[f:f+3], rests[f:f+3], n); ok {
				return n
			}
		}
	}
	return mostPieces + 1
}

// smallest returns how many cells each way the smallest grid in one frame has;
// one of all where there is none.
func (s Space) smallest(spans []span, rests []bool) [3]int {
	for n := 1; n <= mostPieces; n++ {
		if each, ok := s.cells(spans, rests, n); ok {
			return each
		}
	}
	return [3]int{1, 1, 1}
}

// cells returns a grid of n cells in one frame that fit.
func (s Space) cells(spans []span, rests []bool, n int) ([3]int, bool) {
	for a := 1; a <= n; a++ {
		if n%a != 0 {
			continue
		}
		for b := 1; b <= n/a; b++ {
			if each := [3]int{a, b, n / a / b}; n/a%b == 0 && s.cell(spans, rests, each) {
				return each, true
			}
		}
	}
	return [3]int{}, false
}

// cell reports whether a cell of the grid with so many each way fits.
func (s Space) cell(spans []span, rests []bool, n [3]int) bool {
	sides := r3.Vec{X: spans[0].size() / float64(n[0]), Y: spans[1].size() / float64(n[1]), Z: spans[2].size() / float64(n[2])}
	for up := range n {
		if (rests[up] || n[up] > 1) && s.Box(sides, up) {
			return true
		}
	}
	return false
}

// over returns how many times a box of these spans in one of the frames is
// larger than one that fits, to a hundredth; 1 where it fits.
func (s Space) over(spans []span) float64 {
	low, high := 1.0, 32.0
	for high-low > 0.01 {
		mid := math.Sqrt(low * high)
		fits := false
		for f := 0; f < len(spans) && !fits; f += 3 {
			sides := r3.Scale(1/mid, r3.Vec{X: spans[f].size(), Y: spans[f+1].size(), Z: spans[f+2].size()})
			fits = s.Box(sides, 0) || s.Box(sides, 1) || s.Box(sides, 2)
		}
		if fits {
			high = mid
		} else {
			low = mid
		}
	}
	return low
}

// look is what a cut of a region would give, as far as boxes tell.
type look struct {
	plane  section.Plane
	pieces [2]int     // below and above
	depth  [2]float64 // how far each goes from the plane
	seam   float64    // length of the outlines
	slant  float64    // share of those at a slant to the wall
	middle r3.Vec     // of the seam
}

func (l *look) total() int { return l.pieces[0] + l.pieces[1] }

// look looks at a cut of r. ok is false where all is on one side.
func (s *search) look(r *region, p section.Plane) (l look, ok bool) {
	l.plane = p
	n := p.Normal
	if !(r3.Norm2(n) > 0.5) { // of a way without direction
		return l, false
	}
	c := cutting{s: s, r: r, n: n, d: r3.Dot(n, p.Point), look: &l}
	s.over = slices.Grow(s.over[:0], r.m.Vertices())[:r.m.Vertices()]
	c.over = s.over
	c.spans, c.met = [2][]span(s.scratch[:2]), s.scratch[2]
	for _, spans := range s.scratch {
		for k := range spans {
			spans[k] = nothing
		}
	}
	axis := s.axisAlong(n)
	for i := range s.blocks(r) {
		b := &r.blocks[i]
		at := b.along(s, n, axis)
		switch {
		case at.low > c.d:
			c.takeBlock(1, b, at.high-c.d)
		case at.high <= c.d:
			c.takeBlock(0, b, c.d-at.low)
		default:
			c.takeVertices(b)
			for _, t := range b.triangles {
				c.takeTriangle(t)
			}
		}
	}
	if l.depth[0] <= thin || l.depth[1] <= thin {
		return l, false
	}
	for k, of := range c.met {
		for side := range c.spans {
			c.spans[side][k].take(of.low)
			c.spans[side][k].take(of.high)
		}
	}
	if l.seam > 0 {
		l.middle = r3.Scale(1/l.seam, l.middle)
		l.slant /= l.seam
	}
	rests := r.rests
	if axis >= 0 && !rests[axis] {
		rests = slices.Clone(rests)
		rests[axis] = true
	}
	for side := range c.spans {
		l.pieces[side] = s.space.grid(c.spans[side], rests)
	}
	return l, true
}

// thin is how far a piece must go from a cut not to be a mere flake. A guess.
const thin = 1.0

// cutting gathers what a look sees on both sides of a plane.
type cutting struct {
	s     *search
	r     *region
	n     r3.Vec
	d     float64
	spans [2][]span
	met   []span    // of what the plane meets, which both sides have
	over  []float64 // of each vertex near the plane: how far over it
	*look
}

func (c *cutting) takeBlock(side int, b *block, depth float64) {
	c.depth[side] = max(c.depth[side], depth)
	for k := range b.spans {
		c.spans[side][k].take(b.spans[k].low)
		c.spans[side][k].take(b.spans[k].high)
	}
}

// takePoint takes a point that the plane meets.
func (c *cutting) takePoint(p r3.Vec) {
	for k := range c.met {
		c.met[k].take(r3.Dot(c.s.axes[k], p))
	}
}

// takeVertices takes the vertices of a block that the plane meets.
func (c *cutting) takeVertices(b *block) {
	for _, v := range b.vertices {
		h := r3.Dot(c.n, c.r.m.At(v)) - c.d
		c.over[v] = h
		side := 0
		if h > 0 {
			side = 1
		}
		c.depth[side] = max(c.depth[side], math.Abs(h))
		to := c.spans[side]
		for i, x := range c.r.at(v) {
			to[i].take(x)
		}
	}
}

// takeTriangle takes what the plane meets of a triangle of such a block.
func (c *cutting) takeTriangle(t int32) {
	v := [3]uint32(c.r.m.T[3*t:])
	var ends [3]r3.Vec
	met := 0
	for k := range v {
		j := (k + 1) % 3
		h, g := c.over[v[k]], c.over[v[j]]
		if (h > 0) == (g > 0) {
			continue
		}
		a, b := c.r.m.At(v[k]), c.r.m.At(v[j])
		ends[met] = r3.Add(a, r3.Scale(h/(h-g), r3.Sub(b, a)))
		if h > 0 { // the triangle across that edge goes along it the other way
			c.takePoint(ends[met])
		}
		met++
	}
	if met == 2 {
		length := math.Sqrt(r3.Norm2(r3.Sub(ends[1], ends[0])))
		c.seam += length
		a, b, d := c.r.m.Corners(int(t))
		off := r3.Cross(r3.Sub(b, a), r3.Sub(d, a))
		if along := r3.Dot(off, c.n); along*along > slant*slant*r3.Norm2(off) {
			c.slant += length
		}
		c.middle = r3.Add(c.middle, r3.Scale(length/2, r3.Add(ends[0], ends[1])))
	}
}
