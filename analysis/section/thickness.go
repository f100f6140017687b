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
	// Rim is how far, in mm along the outline of the wall, it is to the edge in
	// which its inside and its outside meet: half of the shorter way round from
	// one side to the other, less the wall itself. +Inf where two outlines bound it,
	// as in a ring that is closed.
	Rim float64
	// Wide is how wide the wall is in the section from edge to edge, in mm: half
	// of its outline; +Inf where Rim is.
	Wide float64
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
			if t, wall := grid.behind(at, outward); wall {
				t.Span = passed / float64(steps)
				out = append(out, t)
			}
		}
		passed = 0
	}
	return out
}

// pieces are the straight pieces of chains in square cells.
type pieces struct {
	all   []piece
	at    []onChain // of each piece
	long  []float64 // of each chain, mm
	cells map[[2]int32][]int32
}

// onChain is where a piece begins on the outline that it belongs to.
type onChain struct {
	chain int32
	mm    float64
}

type piece struct{ from, to r2.Vec }

func newPieces(chains []Chain) *pieces {
	p := &pieces{cells: map[[2]int32][]int32{}}
	for _, c := range chains {
		p.long = append(p.long, 0)
		for i := 1; i < len(c.Points); i++ {
			p.add(piece{c.Points[i-1], c.Points[i]})
		}
		if c.Closed && len(c.Points) > 1 {
			p.add(piece{c.Points[len(c.Points)-1], c.Points[0]})
		}
		if !c.Closed { // its ends do not meet: no way round is the shorter one
			p.long[len(p.long)-1] = math.Inf(1)
		}
	}
	return p
}

func cellOf(x float64) int32 { return int32(math.Floor(x / thickest)) }

// add takes the next piece of the last chain in.
func (p *pieces) add(s piece) {
	n, chain := int32(len(p.all)), len(p.long)-1
	p.all = append(p.all, s)
	p.at = append(p.at, onChain{int32(chain), p.long[chain]})
	p.long[chain] += r2.Norm(r2.Sub(s.to, s.from))
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

// round returns how far a place on the inside of a wall is from the edge of the
// wall along its outline, and how wide the wall is; outside lies on the other
// side, mm away.
func (p *pieces) round(inner int32, inside r2.Vec, outer int32, outside r2.Vec, mm float64) (rim, wide float64) {
	from, to := p.at[inner], p.at[outer]
	if from.chain != to.chain {
		return math.Inf(1), math.Inf(1)
	}
	way := math.Abs(to.mm + r2.Norm(r2.Sub(outside, p.all[outer].from)) - from.mm - r2.Norm(r2.Sub(inside, p.all[inner].from)))
	long := p.long[from.chain]
	return max(0, min(way, long-way)-mm) / 2, long / 2
}

// behind returns the wall at a place on its inside, outwards; wall is false where
// the place is on no wall, or the wall has no other side.
func (p *pieces) behind(at, out r2.Vec) (t Thickness, wall bool) {
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
	entered, in, inner := false, false, int32(0)
	for _, h := range hits {
		if math.Abs(h.t) <= onWall {
			entered, in, inner = true, h.leaves, h.piece
		}
	}
	if !entered {
		return Thickness{}, false
	}
	depth := 0
	for far := -onWall; ; {
		next, ok := after(hits, far)
		if !ok {
			return Thickness{}, false
		}
		outer := int32(0)
		for _, h := range hits {
			if h.t == next {
				outer = h.piece
				if h.leaves == in {
					depth++
				} else {
					depth--
				}
			}
		}
		if depth <= 0 && next > leastThick {
			t = Thickness{MM: next, At: at}
			t.Rim, t.Wide = p.round(inner, at, outer, r2.Add(at, r2.Scale(next, out)), next)
			return t, true
		}
		far = next
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
