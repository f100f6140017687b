package parting

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// block is some triangles of a region that lie together, so that a cut that
// passes them by need not look at each.
type block struct {
	triangles []int32
	vertices  []uint32 // of those, each once
	spans     []span   // along all axes
}

// blocksAcross is how many blocks the longest side of a region has. Found by
// timing.
const blocksAcross = 12

// blocks returns the blocks of r.
func (s *search) blocks(r *region) []block {
	if r.blocks != nil {
		return r.blocks
	}
	r.along = make([]float64, 0, r.m.Vertices()*len(r.spans))
	for v := range r.m.Vertices() {
		for k := range r.spans {
			r.along = append(r.along, r3.Dot(s.axis(k), r.m.At(uint32(v))))
		}
	}
	box := r.m.Bounds()
	sides := box.Size()
	pitch := max(sides.X, sides.Y, sides.Z, 1e-9) / blocksAcross
	index := make(map[[3]int8]int)
	for t := range r.m.Triangles() {
		a, b, c := r.m.Corners(t)
		mid := r3.Sub(r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c))), box.Min)
		cell := [3]int8{int8(mid.X / pitch), int8(mid.Y / pitch), int8(mid.Z / pitch)}
		i, ok := index[cell]
		if !ok {
			i = len(r.blocks)
			index[cell] = i
			r.blocks = append(r.blocks, block{spans: make([]span, len(r.spans))})
			for k := range r.blocks[i].spans {
				r.blocks[i].spans[k] = nothing
			}
		}
		of := &r.blocks[i]
		of.triangles = append(of.triangles, int32(t))
		of.vertices = append(of.vertices, r.m.T[3*t:3*t+3]...)
	}
	for i := range r.blocks {
		of := &r.blocks[i]
		slices.Sort(of.vertices)
		of.vertices = slices.Compact(of.vertices)
		for _, v := range of.vertices {
			for k, x := range r.at(v) {
				of.spans[k].take(x)
			}
		}
	}
	return r.blocks
}

// at returns where vertex v is on each axis; the blocks must have been asked for.
func (r *region) at(v uint32) []float64 {
	axes := len(r.spans)
	return r.along[int(v)*axes:][:axes]
}

// axisAlong returns which axis of the frames n is, −1 where it is none.
func (s *search) axisAlong(n r3.Vec) int {
	for k := range 3 * len(s.frames) {
		if s.axis(k) == n {
			return k
		}
	}
	return -1
}

// along returns a span that holds that of the block along n, which is the axis
// of that number: its own span then, else that of its box in the first frame.
func (b *block) along(s *search, n r3.Vec, axis int) span {
	if axis >= 0 {
		return b.spans[axis]
	}
	var mid, half float64
	for k := range 3 {
		cos := r3.Dot(n, s.axis(k))
		mid += cos * (b.spans[k].low + b.spans[k].high) / 2
		half += math.Abs(cos) * b.spans[k].size() / 2
	}
	return span{mid - half, mid + half}
}
