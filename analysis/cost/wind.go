package cost

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// bands knows which pieces cross a height. The plane is parted into strips
// along x.
type bands struct {
	low, height float64
	starts      []int32
	items       []int32
	edges       []edge // of each piece
	hits        []hit
}

// edge is a piece from its beginning to that of the next.
type edge struct{ from, to r2.Vec }

// hit is where a line along x crosses a piece, which goes up (1) or down (-1).
type hit struct {
	x  float64
	up int
}

// bandHeight is the least height of a band, mm.
const bandHeight = 0.5

func (b *bands) lay(pieces []piece) {
	low, high := extent(pieces)
	n := int(min((high.Y-low.Y)/bandHeight, 4096)) + 1
	b.low, b.height = low.Y, max((high.Y-low.Y)/float64(n), 1e-9)
	b.starts = resize(b.starts, n+1)
	clear(b.starts)
	b.edges = resize(b.edges, len(pieces))
	for i := range pieces {
		b.edges[i] = edge{pieces[i].a, pieces[pieces[i].next].a}
		from, to := b.span(i)
		for k := from; k <= to; k++ {
			b.starts[k+1]++
		}
	}
	for k := 1; k < len(b.starts); k++ {
		b.starts[k] += b.starts[k-1]
	}
	b.items = resize(b.items, int(b.starts[n]))
	for i := range pieces {
		from, to := b.span(i)
		for k := from; k <= to; k++ {
			b.items[b.starts[k]] = int32(i)
			b.starts[k]++
		}
	}
	copy(b.starts[1:], b.starts[:n])
	b.starts[0] = 0
}

// work returns how many pairs of pieces share a band.
func (b *bands) work() float64 { return pairs(b.starts) }

// pairs returns how many pairs share a place, where starts says where the items
// of each place begin.
func pairs(starts []int32) float64 {
	var sum float64
	for k := 1; k < len(starts); k++ {
		n := float64(starts[k] - starts[k-1])
		sum += n * n
	}
	return sum
}

func (b *bands) at(y float64) int {
	return min(max(int((y-b.low)/b.height), 0), len(b.starts)-2)
}

// span returns the first and the last band that piece i meets.
func (b *bands) span(i int) (from, to int) {
	from, to = b.at(b.edges[i].from.Y), b.at(b.edges[i].to.Y)
	return min(from, to), max(from, to)
}

// winding returns how often the outlines wind round the place just left of the
// middle of piece i.
func (b *bands) winding(pieces []piece, i int) int {
	self := &pieces[i]
	p := r2.Add(self.a, r2.Scale(self.l/2, self.u))
	k := b.at(p.Y)
	around := 0
	for _, j := range b.items[b.starts[k]:b.starts[k+1]] {
		if int(j) == i {
			continue
		}
		if x, up := b.edges[j].crossing(p.Y); up != 0 && x > p.X {
			around += up
		}
	}
	// Seen along x from just above p.Y: on the left of a piece that goes up, and
	// below one that goes back, the piece itself is still to be crossed.
	if _, up := b.edges[i].crossing(p.Y); up > 0 || up == 0 && self.u.X < 0 {
		around++
	}
	return around
}

// crossing returns where the line along x just above the height y crosses the
// piece, and whether upward (1) or downward (-1); 0 where it does not.
func (e *edge) crossing(y float64) (x float64, up int) {
	from, to := e.from, e.to
	if (from.Y > y) == (to.Y > y) {
		return 0, 0
	}
	x = from.X + (y-from.Y)/(to.Y-from.Y)*(to.X-from.X)
	if to.Y > y {
		return x, 1
	}
	return x, -1
}

// area returns the area round which the outlines wind, from a line along x
// through the middle of each band.
func (b *bands) area() float64 {
	var sum float64
	for k := range len(b.starts) - 1 {
		y := b.low + (float64(k)+0.5)*b.height
		b.hits = b.hits[:0]
		for _, j := range b.items[b.starts[k]:b.starts[k+1]] {
			if x, up := b.edges[j].crossing(y); up != 0 {
				b.hits = append(b.hits, hit{x, up})
			}
		}
		sum += covered(b.hits) * b.height
	}
	return sum
}

// covered returns how much of a line lies where the outlines wind round it.
func covered(hits []hit) float64 {
	slices.SortFunc(hits, func(a, b hit) int { return cmp.Compare(a.x, b.x) })
	var sum float64
	around := 0
	for i, h := range hits {
		if around != 0 {
			sum += h.x - hits[i-1].x
		}
		around += h.up
	}
	return sum
}

// resize returns s with length n, its content undefined.
func resize[T any](s []T, n int) []T {
	if n <= cap(s) {
		return s[:n]
	}
	return make([]T, n, n+n/4)
}
