package section

import (
	"math"
	"slices"
	"sync"

	"gambeson/analysis/mesh"
	"gambeson/analysis/pages"

	"gonum.org/v1/gonum/spatial/r3"
)

// Index makes many cuts of one mesh by planes of any direction cheap: each
// costs about what it cuts, not what the mesh holds. It is a list of boxes
// round a few triangles each, in boxes round a few boxes each, and so on.
//
// An Index may be used by many goroutines at once. The mesh must not change
// while it is in use.
type Index struct {
	m     *mesh.Mesh
	order []uint32   // the triangles, near ones together; nil where they lie so in the mesh
	boxes [][]r3.Box // of each blockSize triangles, of each blockSize of those, …; the last are few
	spare sync.Pool
}

// blockSize is how many triangles, or boxes, share a box. Measured on 200,000
// triangles: 8 and 16 are the fastest to cut, 64 take twice as long.
const blockSize = 16

// NewIndex returns an index of m. It costs about as much as a few cuts, or
// as sorting the triangles where they lie in the file in no order.
func NewIndex(m *mesh.Mesh) *Index {
	x := &Index{m: m}
	if x.scattered() {
		x.order = nearby(m)
	}
	inner := make([]r3.Box, blocksOf(m.Triangles()))
	inRuns(len(inner), func(_, from, to int) {
		for i := from; i < to; i++ {
			inner[i] = x.box(i)
		}
	})
	x.boxes = append(x.boxes, inner)
	for len(inner) > blockSize {
		var outer []r3.Box
		for block := range slices.Chunk(inner, blockSize) {
			around := nothing()
			for _, b := range block {
				around = include(include(around, b.Min), b.Max)
			}
			outer = append(outer, around)
		}
		x.boxes = append(x.boxes, outer)
		inner = outer
	}
	return x
}

// blocksOf returns how many blocks n triangles make.
func blocksOf(n int) int { return (n + blockSize - 1) / blockSize }

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

// Visit calls visit for the triangles that may lie in a region: those of which all boxes
// round them meet it. They come in no order that means anything.
func (x *Index) Visit(meets func(box *r3.Box) bool, visit func(t int)) {
	x.visitBoxes(len(x.boxes)-1, 0, len(x.boxes[len(x.boxes)-1]), meets, visit)
}

// visitBoxes is Visit for the boxes from … to (not included) of a level.
func (x *Index) visitBoxes(level, from, to int, meets func(box *r3.Box) bool, visit func(t int)) {
	for i := from; i < to; i++ {
		switch {
		case !meets(&x.boxes[level][i]):
		case level > 0:
			x.visitBoxes(level-1, i*blockSize, min((i+1)*blockSize, len(x.boxes[level-1])), meets, visit)
		default:
			for k := i * blockSize; k < min((i+1)*blockSize, x.m.Triangles()); k++ {
				visit(int(x.triangle(k)))
			}
		}
	}
}

// crossing appends to hits what crossing returns for the whole mesh.
func (x *Index) crossing(f *frame, hits []hit) []hit {
	level := len(x.boxes) - 1
	hits = x.crossingBoxes(f, level, 0, len(x.boxes[level]), hits)
	if x.order != nil {
		slices.Sort(hits)
	}
	return hits
}

// crossingBoxes appends the hits in the boxes from … to (not included) of a
// level.
func (x *Index) crossingBoxes(f *frame, level, from, to int, hits []hit) []hit {
	for i := from; i < to; i++ {
		switch {
		case !f.meets(&x.boxes[level][i]):
		case level == 0:
			hits = x.crossingBlock(f, i, hits)
		default:
			hits = x.crossingBoxes(f, level-1, i*blockSize, min((i+1)*blockSize, len(x.boxes[level-1])), hits)
		}
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
func (f *frame) meets(b *r3.Box) bool {
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

// box returns the box of the triangles of block i.
func (x *Index) box(i int) r3.Box {
	around := nothing()
	for k := i * blockSize; k < min((i+1)*blockSize, x.m.Triangles()); k++ {
		a, b, c := x.m.Corners(int(x.triangle(k)))
		around = include(include(include(around, a), b), c)
	}
	return around
}

// scattered reports whether the boxes are so large that it pays to sort the
// triangles. In the order of nearby those of a shell of n blocks are about
// 3.5/√n of it (measured, 20,000 to 2,000,000 triangles). Strips along the rings
// of a limb may be longer, and are yet met by fewer planes across it: only at
// more than twice as much are they taken out of their order. A thousand boxes
// show it.
func (x *Index) scattered() bool {
	n := blocksOf(x.m.Triangles())
	looks := min(n, 1000)
	whole := nothing()
	var sum float64
	for i := range looks {
		b := x.box(n * i / looks)
		whole = include(include(whole, b.Min), b.Max)
		sum += r3.Norm(b.Size())
	}
	return n > 8 && sum/float64(looks) > 8/math.Sqrt(float64(n))*r3.Norm(whole.Size())
}

// nearby returns the triangles of m along a Morton curve: by the bits of the
// grid cell of their first corner, x, y and z in turn, those in one cell in
// their order.
func nearby(m *mesh.Mesh) []uint32 {
	b := m.Bounds()
	size := b.Size()
	cell := max(size.X, size.Y, size.Z) / 1023
	keys := pages.Full[uint32](m.Triangles())
	inRuns(len(keys), func(_, from, to int) {
		for t := from; t < to; t++ {
			p := r3.Sub(m.At(m.T[3*t]), b.Min)
			keys[t] = spread(p.X/cell)<<2 | spread(p.Y/cell)<<1 | spread(p.Z/cell)
		}
	})
	return byKey(keys)
}

// byKey returns the numbers of keys of 30 bits in the order of the keys, equal
// ones in their own: ten bits after the other from the lowest, each sorted by
// counting (Knuth, The Art of Computer Programming 3, 5.2.5).
func byKey(keys []uint32) []uint32 {
	const digit = 1 << 10
	from, to := pages.Full[uint32](len(keys)), pages.Full[uint32](len(keys))
	for i := range from {
		from[i] = uint32(i)
	}
	for shift := 0; shift < 30; shift += 10 {
		counts := make([][digit]uint32, runs(len(keys)))
		inRuns(len(keys), func(run, first, end int) {
			for _, i := range from[first:end] {
				counts[run][keys[i]>>shift%digit]++
			}
		})
		sum := uint32(0)
		for d := range digit {
			for run := range counts {
				n := counts[run][d]
				counts[run][d] = sum
				sum += n
			}
		}
		inRuns(len(keys), func(run, first, end int) {
			for _, i := range from[first:end] {
				next := &counts[run][keys[i]>>shift%digit]
				to[*next] = i
				*next++
			}
		})
		from, to = to, from
	}
	return from
}

// spread returns the ten bits of x with two free bits between each.
func spread(x float64) uint32 {
	n := uint32(min(max(x, 0), 1023))
	// Each step moves the upper half of every group of bits away.
	n = (n | n<<16) & 0x030000ff
	n = (n | n<<8) & 0x0300f00f
	n = (n | n<<4) & 0x030c30c3
	return (n | n<<2) & 0x09249249
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
