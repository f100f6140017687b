package parting

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// block is some triangles of a region that lie together, so that a cut that
// passes them by need not look at each.
type block struct {
	triangles []int32
	spans     []span // along all axes
}

// blocksAcross is how many blocks the longest side of a region has. Found by
// timing.
const blocksAcross = 12

// blocks returns the blocks of r.
func (s *search) blocks(r *region) []block {
	if r.blocks != nil {
		return r.blocks
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
		for k := range of.spans {
			axis := s.axis(k)
			of.spans[k].take(r3.Dot(axis, a))
			of.spans[k].take(r3.Dot(axis, b))
			of.spans[k].take(r3.Dot(axis, c))
		}
	}
	return r.blocks
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
