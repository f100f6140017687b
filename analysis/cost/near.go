package cost

import "gonum.org/v1/gonum/spatial/r2"

// near knows which pieces lie near a place. The plane is parted into square
// cells, at most mostCells of them.
type near struct {
	low           r2.Vec
	cell          float64
	across, along int
	starts        []int32 // of each cell and one more: its first place in items
	items         []int32
	boxes         [][4]int32 // of each piece: the cells it meets
}

const mostCells = 1 << 16

// lay sorts the kept pieces into cells of that size or larger.
func (g *near) lay(pieces []piece, cell float64) {
	low, high := extent(pieces)
	g.low, g.cell = low, cell
	size := r2.Sub(high, low)
	for (size.X/g.cell+1)*(size.Y/g.cell+1) > mostCells {
		g.cell *= 2
	}
	g.across, g.along = int(size.X/g.cell)+1, int(size.Y/g.cell)+1
	g.starts = resize(g.starts, g.across*g.along+1)
	clear(g.starts)
	g.boxes = resize(g.boxes, len(pieces))
	for i := range pieces {
		p := &pieces[i]
		if !p.kept {
			continue
		}
		b := r2.Add(p.a, r2.Scale(p.l, p.u))
		g.boxes[i] = g.cells(min(p.a.X, b.X), min(p.a.Y, b.Y), max(p.a.X, b.X), max(p.a.Y, b.Y))
		g.each(g.boxes[i], func(c int) { g.starts[c+1]++ })
	}
	for c := 1; c < len(g.starts); c++ {
		g.starts[c] += g.starts[c-1]
	}
	g.items = resize(g.items, int(g.starts[len(g.starts)-1]))
	for i := range pieces {
		if pieces[i].kept {
			g.each(g.boxes[i], func(c int) {
				g.items[g.starts[c]] = int32(i)
				g.starts[c]++
			})
		}
	}
	// Each start has moved on to the next cell's.
	copy(g.starts[1:], g.starts[:len(g.starts)-1])
	g.starts[0] = 0
}

// work returns how many pairs of pieces share a cell.
func (g *near) work() float64 { return pairs(g.starts) }

// cells returns the range of cells that a box meets.
func (g *near) cells(x0, y0, x1, y1 float64) [4]int32 {
	at := func(x, low float64, most int) int32 {
		return int32(min(max(int((x-low)/g.cell), 0), most-1))
	}
	return [4]int32{at(x0, g.low.X, g.across), at(y0, g.low.Y, g.along), at(x1, g.low.X, g.across), at(y1, g.low.Y, g.along)}
}

func (g *near) each(b [4]int32, f func(cell int)) {
	for y := b[1]; y <= b[3]; y++ {
		for x := b[0]; x <= b[2]; x++ {
			f(int(y)*g.across + int(x))
		}
	}
}

// ball returns the radius, at most most, of the largest ball in the material
// that touches the rim in the middle of piece i: how deep it is there until
// another part of the rim is nearer.
//
// A ball of radius r that touches the rim at p and lies on the side of the unit
// vector n touches a line through a with the unit vector m into the material
// where r = m·(p−a)/(1−m·n), and a point q where r = |q−p|²/(2·n·(q−p)).
func (g *near) ball(pieces []piece, i int, most float64) float64 {
	self := &pieces[i]
	n := self.n
	p := r2.Add(self.a, r2.Scale(self.l/2, self.u))
	mid := r2.Add(p, r2.Scale(most, n))
	r := most
	b := g.cells(mid.X-most, mid.Y-most, mid.X+most, mid.Y+most)
	for y := b[1]; y <= b[3]; y++ {
		first, last := int(y)*g.across+int(b[0]), int(y)*g.across+int(b[2])
		for _, j := range g.items[g.starts[first]:g.starts[last+1]] {
			if int(j) == i || j == self.prev || j == self.next {
				continue
			}
			q := &pieces[j]
			dx, dy := q.a.X-p.X, q.a.Y-p.Y
			if ahead := 2 * (n.X*dx + n.Y*dy); ahead*r > dx*dx+dy*dy {
				r = (dx*dx + dy*dy) / ahead
			}
			off := -(q.n.X*dx + q.n.Y*dy)
			ex, ey := n.X-q.n.X, n.Y-q.n.Y
			apart := (ex*ex + ey*ey) / 2 // 1−m·n with all its digits
			if off <= 0 || off >= r*apart {
				continue
			}
			t := off / apart
			if touch := (t*ex-dx)*q.u.X + (t*ey-dy)*q.u.Y; touch >= 0 && touch <= q.l {
				r = t
			}
		}
	}
	return r
}

// extent returns the box round the pieces, zero where there are none.
func extent(pieces []piece) (low, high r2.Vec) {
	for i := range pieces {
		a := pieces[i].a
		if i == 0 {
			low, high = a, a
		}
		low = r2.Vec{X: min(low.X, a.X), Y: min(low.Y, a.Y)}
		high = r2.Vec{X: max(high.X, a.X), Y: max(high.Y, a.Y)}
	}
	return low, high
}
