package section

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Thickness is how thick the wall is in one place.
type Thickness struct {
	MM   float64
	At   r2.Vec  // on its inside, in plane coordinates
	Span float64 // mm of the loop that it stands for
}

const (
	thickStep  = 2.0  // mm between two places that are measured, at most
	thickest   = 15.0 // mm: more is no wall but a solid
	onWall     = 1e-3 // mm: the loop runs along the wall itself
	leastThick = 1e-3 // mm: what lies nearer is the same surface
)

// Thicknesses measures the wall round a loop of air, square to the loop and in
// the plane of the section, all along it. loop is anticlockwise and runs along
// chains of the section; where it bridges a gap, and where the wall has no other
// side, nothing is measured. Where shells lap over each other the wall ends where
// the last of them does.
func (s Section) Thicknesses(loop []r2.Vec) []Thickness {
	grid := newPieces(s.Chains)
	var out []Thickness
	passed := 0.0 // mm of short pieces since the last place
	for i, from := range loop {
		along := r2.Sub(loop[(i+1)%len(loop)], from)
		length := r2.Norm(along)
		if passed += length; passed < thickStep/2 {
			continue
		}
		outward := r2.Vec{X: along.Y / length, Y: -along.X / length}
		steps := max(1, int(math.Ceil(length/thickStep)))
		for k := range steps {
			at := r2.Add(from, r2.Scale((float64(k)+0.5)/float64(steps), along))
			if mm, wall := grid.behind(at, outward); wall {
				out = append(out, Thickness{MM: mm, At: at, Span: passed / float64(steps)})
			}
		}
		passed = 0
	}
	return out
}

// pieces are the straight pieces of chains in square cells.
type pieces struct {
	all   []piece
	cells map[[2]int32][]int32
}

type piece struct{ from, to r2.Vec }

func newPieces(chains []Chain) *pieces {
	p := &pieces{cells: map[[2]int32][]int32{}}
	for _, c := range chains {
		for i := 1; i < len(c.Points); i++ {
			p.add(piece{c.Points[i-1], c.Points[i]})
		}
		if c.Closed && len(c.Points) > 1 {
			p.add(piece{c.Points[len(c.Points)-1], c.Points[0]})
		}
	}
	return p
}

func cellOf(x float64) int32 { return int32(math.Floor(x / thickest)) }

func (p *pieces) add(s piece) {
	n := int32(len(p.all))
	p.all = append(p.all, s)
	over(s, func(cell [2]int32) { p.cells[cell] = append(p.cells[cell], n) })
}

// over calls do with every cell that the box of s meets.
func over(s piece, do func([2]int32)) {
	for x := cellOf(min(s.from.X, s.to.X)); x <= cellOf(max(s.from.X, s.to.X)); x++ {
		for y := cellOf(min(s.from.Y, s.to.Y)); y <= cellOf(max(s.from.Y, s.to.Y)); y++ {
			do([2]int32{x, y})
		}
	}
}

// crossed is where a ray leaves or enters a solid.
type crossed struct {
	piece  int32
	t      float64
	leaves bool
}

// behind returns how thick the wall is at a place on its inside, outwards; wall
// is false where the place is on no wall, or the wall has no other side.
func (p *pieces) behind(at, out r2.Vec) (mm float64, wall bool) {
	ray := piece{r2.Sub(at, r2.Scale(onWall, out)), r2.Add(at, r2.Scale(thickest, out))}
	var room [8]crossed
	hits := room[:0]
	over(ray, func(cell [2]int32) {
		for _, n := range p.cells[cell] {
			t, leaves, ok := meet(at, out, p.all[n])
			if ok && t > -onWall && t < thickest && !slices.ContainsFunc(hits, func(h crossed) bool { return h.piece == n }) {
				hits = append(hits, crossed{n, t, leaves})
			}
		}
	})
	// Where the ray comes in decides which way is in: facets may be turned round.
	entered, in := false, false
	for _, h := range hits {
		if math.Abs(h.t) <= onWall {
			entered, in = true, h.leaves
		}
	}
	if !entered {
		return 0, false
	}
	depth := 0
	for t := -onWall; ; {
		next, ok := after(hits, t)
		if !ok {
			return 0, false
		}
		for _, h := range hits {
			if h.t == next {
				if h.leaves == in {
					depth++
				} else {
					depth--
				}
			}
		}
		if depth <= 0 && next > leastThick {
			return next, true
		}
		t = next
	}
}

// after returns the nearest crossing beyond t.
func after(hits []crossed, t float64) (next float64, ok bool) {
	next = math.Inf(1)
	for _, h := range hits {
		if h.t > t {
			next = min(next, h.t)
		}
	}
	return next, !math.IsInf(next, 1)
}

// meet returns how far along a ray it meets a piece, and whether it passes to
// the piece's right. An end belongs to the piece that begins there.
func meet(at, dir r2.Vec, s piece) (t float64, right, ok bool) {
	a, b := r2.Cross(dir, r2.Sub(s.from, at)), r2.Cross(dir, r2.Sub(s.to, at))
	if (a >= 0) == (b >= 0) {
		return 0, false, false
	}
	share := a / (a - b)
	p := r2.Add(s.from, r2.Scale(share, r2.Sub(s.to, s.from)))
	return r2.Dot(r2.Sub(p, at), dir), b > a, true
}
