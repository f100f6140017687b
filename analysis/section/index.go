package section

import (
	"math"
	"math/bits"
	"slices"
	"sync"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Index makes many cuts of one mesh by planes of any direction cheap: each
// costs about what it cuts, not what the mesh holds. It is a list of boxes
// round a few triangles each, in boxes round a few boxes each.
//
// An Index may be used by many goroutines at once. The mesh must not change
// while it is in use.
type Index struct {
	m     *mesh.Mesh
	order []uint32 // the triangles, near ones together; nil where they lie so in the mesh
	inner []r3.Box // of each blockSize triangles
	outer []r3.Box // of each blockSize inner boxes
	spare sync.Pool
}

// blockSize is how many triangles share a box. Measured on 200,000 triangles:
// 8 and 16 are the fastest to cut, 64 take twice as long.
const blockSize = 16

// NewIndex returns an index of m. It costs about as much as a few cuts, or
// as sorting the triangles where they lie in the file in no order.
func NewIndex(m *mesh.Mesh) *Index {
	x := &Index{m: m}
	x.inner = x.blocks()
	if x.scattered() {
		x.order = nearby(m)
		x.inner = x.blocks()
	}
	for block := range slices.Chunk(x.inner, blockSize) {
		around := nothing()
		for _, b := range block {
			around = include(include(around, b.Min), b.Max)
		}
		x.outer = append(x.outer, around)
	}
	return x
}

// Cut returns the same as Cut of the mesh by p, bit for bit.
func (x *Index) Cut(p Plane) Section {
	s := Section{Plane: p}
	f, ok := p.frame()
	if !ok {
		return s
	}
	tr, ok := x.spare.Get().(*tracer)
	if !ok {
		tr = &tracer{m: x.m}
	}
	tr.hits = x.crossing(&f, tr.hits[:0])
	s.Chains = tr.cut(f, tr.hits)
	x.spare.Put(tr)
	return s
}

// crossing appends to hits what crossing returns for the whole mesh.
func (x *Index) crossing(f *frame, hits []hit) []hit {
	for i, around := range x.outer {
		if !f.meets(around) {
			continue
		}
		for j := i * blockSize; j < min((i+1)*blockSize, len(x.inner)); j++ {
			if f.meets(x.inner[j]) {
				hits = x.crossingBlock(f, j, hits)
			}
		}
	}
	if x.order != nil {
		slices.Sort(hits)
	}
	return hits
}

func (x *Index) crossingBlock(f *frame, block int, hits []hit) []hit {
	m := x.m
	for k := block * blockSize; k < min((block+1)*blockSize, m.Triangles()); k++ {
		t := x.triangle(k)
		var pattern uint
		for i, v := range m.T[3*t : 3*t+3] {
			if f.above(m.At(v)) {
				pattern |= 1 << i
			}
		}
		if pattern != 0 && pattern != 7 {
			hits = append(hits, newHit(int(t), pattern))
		}
	}
	return hits
}

func (x *Index) triangle(k int) uint32 {
	if x.order == nil {
		return uint32(k)
	}
	return x.order[k]
}

// meets reports whether the plane may part the vertices in the box, by more
// than their float32 grain.
func (f *frame) meets(b r3.Box) bool {
	var low, high float64
	for _, axis := range [3][3]float64{{f.n.X, b.Min.X, b.Max.X}, {f.n.Y, b.Min.Y, b.Max.Y}, {f.n.Z, b.Min.Z, b.Max.Z}} {
		n, least, most := axis[0], axis[1], axis[2]
		slack := 2 * grain * abs(n) * max(abs(least), abs(most))
		if n < 0 {
			least, most = most, least
		}
		low += n*least - slack
		high += n*most + slack
	}
	// Put so that a box that is not a number is met.
	return !(low > f.high) && !(high < f.low)
}

// blocks returns the boxes of each blockSize triangles in order.
func (x *Index) blocks() []r3.Box {
	n := x.m.Triangles()
	out := make([]r3.Box, 0, (n+blockSize-1)/blockSize)
	for from := 0; from < n; from += blockSize {
		around := nothing()
		for k := from; k < min(from+blockSize, n); k++ {
			a, b, c := x.m.Corners(int(x.triangle(k)))
			around = include(include(include(around, a), b), c)
		}
		out = append(out, around)
	}
	return out
}

// scattered reports whether the boxes are so large that it pays to sort the
// triangles: in mesh order those of a shell of n blocks are about 1/√n of it.
func (x *Index) scattered() bool {
	whole := nothing()
	var sum float64
	for _, b := range x.inner {
		whole = include(include(whole, b.Min), b.Max)
		sum += r3.Norm(b.Size())
	}
	n := float64(len(x.inner))
	return n > 8 && sum/n > 4/math.Sqrt(n)*r3.Norm(whole.Size())
}

// nearby returns the triangles of m along a Morton curve: by the bits of the
// grid cell of their first corner, x, y and z in turn.
func nearby(m *mesh.Mesh) []uint32 {
	b := m.Bounds()
	size := b.Size()
	cell := max(size.X, size.Y, size.Z) / 1023
	keys := make([]uint64, m.Triangles())
	for t := range keys {
		p := r3.Sub(m.At(m.T[3*t]), b.Min)
		key := spread(p.X/cell)<<2 | spread(p.Y/cell)<<1 | spread(p.Z/cell)
		keys[t] = key<<32 | uint64(t)
	}
	slices.Sort(keys)
	order := make([]uint32, len(keys))
	for i, key := range keys {
		order[i] = uint32(key)
	}
	return order
}

// spread returns the ten bits of x with two free bits between each.
func spread(x float64) uint64 {
	var out uint64
	for rest := uint64(min(max(x, 0), 1023)); rest != 0; rest &= rest - 1 {
		out |= 1 << (3 * bits.TrailingZeros64(rest))
	}
	return out
}

// nothing returns the box of no points, which is inside out.
func nothing() r3.Box {
	inf := math.Inf(1)
	return r3.Box{Min: r3.Vec{X: inf, Y: inf, Z: inf}, Max: r3.Vec{X: -inf, Y: -inf, Z: -inf}}
}

// include returns the smallest box round b and p, not a number where p is not.
func include(b r3.Box, p r3.Vec) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y), Z: min(b.Min.Z, p.Z)},
		Max: r3.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y), Z: max(b.Max.Z, p.Z)},
	}
}
