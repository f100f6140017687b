package section

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"
)

// Chain is a run of straight pieces in a plane, in plane coordinates (mm).
// A closed chain goes on from its last point to its first, which is not
// repeated. The material lies to the left of a chain where the facets of the
// mesh face outward: outer loops turn anticlockwise as seen against the
// plane's Normal, holes clockwise. The zero Chain is empty, of length 0.
type Chain struct {
	Points []r2.Vec
	Closed bool
}

// Length returns the length of the chain in mm, the closing piece included.
func (c Chain) Length() float64 {
	// The squares of what float32 holds do not leave float64.
	var sum float64
	for i := 1; i < len(c.Points); i++ {
		sum += math.Sqrt(r2.Norm2(r2.Sub(c.Points[i], c.Points[i-1])))
	}
	if c.Closed && len(c.Points) > 1 {
		sum += math.Sqrt(r2.Norm2(r2.Sub(c.Points[0], c.Points[len(c.Points)-1])))
	}
	return sum
}

// Area returns the signed area in mm² inside a closed chain: positive where
// it turns anticlockwise. An open chain has area 0.
func (c Chain) Area() float64 {
	if !c.Closed || len(c.Points) < 3 {
		return 0
	}
	// Summed about a point of the chain, so that a loop far from the plane's
	// Point loses no digits.
	var sum float64
	origin := c.Points[0]
	last := r2.Vec{}
	for _, p := range c.Points[1:] {
		p = r2.Sub(p, origin)
		sum += r2.Cross(last, p)
		last = p
	}
	return sum / 2
}

// HullGirth returns the length in mm of the tape drawn tight round the chain:
// the perimeter of its convex hull. Points on one line count twice their
// distance, as a tape would.
func (c Chain) HullGirth() float64 {
	room, ok := hullRoom.Get().(*[]r2.Vec)
	if !ok {
		room = new([]r2.Vec)
	}
	defer hullRoom.Put(room)
	*room = appendHull((*room)[:0], c.Points)
	return Chain{Points: *room, Closed: true}.Length()
}

// hullRoom has room for hulls of which only the length is kept.
var hullRoom sync.Pool

// Size returns how far the chain reaches along the plane's axes, in mm.
func (c Chain) Size() (u, v float64) {
	if len(c.Points) == 0 {
		return 0, 0
	}
	b := boxOf(c.Points)
	return b.high.X - b.low.X, b.high.Y - b.low.Y
}

// Contains reports whether p lies inside a closed chain (odd number of walls
// crossed on the way out). For a point on the chain itself the answer may be
// either. Nothing lies inside an open chain.
func (c Chain) Contains(p r2.Vec) bool {
	if !c.Closed || len(c.Points) < 3 {
		return false
	}
	inside := false
	a := c.Points[len(c.Points)-1]
	for _, b := range c.Points {
		if (a.Y > p.Y) != (b.Y > p.Y) {
			// Which side of the piece a-b; its upper end decides the sign.
			side := r2.Cross(r2.Sub(b, a), r2.Sub(p, a))
			if (side > 0) == (b.Y > a.Y) {
				inside = !inside
			}
		}
		a = b
	}
	return inside
}

// middle returns the middle of piece i, where chains that touch seldom do.
func (c Chain) middle(i int) r2.Vec {
	return r2.Scale(0.5, r2.Add(c.Points[i], c.Points[(i+1)%len(c.Points)]))
}

// box is the smallest rectangle round some points.
type box struct{ low, high r2.Vec }

// emptyBox returns the box of no points, which is inside out.
func emptyBox() box {
	return box{low: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, high: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
}

func boxOf(points []r2.Vec) box {
	b := emptyBox()
	for _, p := range points {
		b = b.with(p)
	}
	return b
}

func (b box) with(p r2.Vec) box {
	return box{
		low:  r2.Vec{X: min(b.low.X, p.X), Y: min(b.low.Y, p.Y)},
		high: r2.Vec{X: max(b.high.X, p.X), Y: max(b.high.Y, p.Y)},
	}
}

func (b box) holds(p r2.Vec) bool {
	return b.low.X <= p.X && p.X <= b.high.X && b.low.Y <= p.Y && p.Y <= b.high.Y
}

// meets reports whether the boxes have a point in common.
func (b *box) meets(c *box) bool {
	return b.low.X <= c.high.X && c.low.X <= b.high.X && b.low.Y <= c.high.Y && c.low.Y <= b.high.Y
}

// apart reports whether the whole box lies to the right of the line from p to q.
func (b box) apart(p, q r2.Vec) bool {
	leftmost := b.low
	if q.X > p.X {
		leftmost.Y = b.high.Y
	}
	if q.Y < p.Y {
		leftmost.X = b.high.X
	}
	return side(p, q, leftmost) < 0
}

// nesting knows which chains lie in which. Chains that cross are judged by
// the middle of the first piece of the smaller.
type nesting struct {
	chains []Chain
	areas  []float64 // of each chain, signed
	boxes  []box
	order  []int // the chains from the largest area to the smallest
}

func newNesting(chains []Chain) nesting {
	n := nesting{
		chains: chains,
		areas:  make([]float64, len(chains)),
		boxes:  make([]box, len(chains)),
		order:  make([]int, len(chains)),
	}
	for i, c := range chains {
		n.order[i], n.areas[i], n.boxes[i] = i, c.Area(), boxOf(c.Points)
	}
	slices.SortStableFunc(n.order, func(i, j int) int { return cmp.Compare(abs(n.areas[j]), abs(n.areas[i])) })
	return n
}

// within reports whether chain i, which comes later in order, lies in chain j.
// Of two that lie on each other the later is inside.
func (n *nesting) within(i, j int) bool {
	if len(n.chains[i].Points) == 0 || !n.chains[j].Closed {
		return false
	}
	if n.boxes[i] == n.boxes[j] && abs(n.areas[j])-abs(n.areas[i]) <= 1e-12*abs(n.areas[j]) {
		return true
	}
	p := n.chains[i].middle(0)
	return n.boxes[j].holds(p) && n.chains[j].Contains(p)
}

// around returns for each chain the index of the closed chain directly round
// it, -1 where there is none.
func (n *nesting) around() []int {
	round := make([]int, len(n.chains))
	for k, i := range n.order {
		round[i] = -1
		for _, j := range slices.Backward(n.order[:k]) {
			if n.within(i, j) {
				round[i] = j
				break
			}
		}
	}
	return round
}
