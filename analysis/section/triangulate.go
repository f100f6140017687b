package section

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Triangulate fills the area that loops enclose with triangles and returns
// their corners, three indices into points each. A loop is a list of indices,
// the first not repeated at its end; one that turns anticlockwise has the
// material inside, one that turns clockwise is a hole in a loop round it.
// Loops may lie in one another to any depth and may cross.
//
// Whatever the loops are, each of their edges is an edge of the triangles in
// its own direction, and all other edges of the triangles cancel in pairs: so
// triangles laid on the border of a surface close it, and their signed areas
// sum to those of the loops. Where the loops neither cross nor touch, the
// triangles do not overlap and all turn anticlockwise.
//
// No points are added. The time is about n·log n for n points in few loops,
// and n times the number of holes for many; up to n² where what follows each other
// does not lie together (0.8 s for 10,000 points of spikes about one place).
func Triangulate(points []r2.Vec, loops [][]uint32) []uint32 {
	var out []uint32
	loops = slices.DeleteFunc(slices.Clone(loops), func(loop []uint32) bool { return len(loop) < 3 })
	todo := polygons(points, loops)
	for k := 0; k < len(todo); k++ {
		p := todo[k]
		c := newClipper(points, p)
		for _, hole := range fromLeft(points, p.holes) {
			if !c.bridge(hole) {
				alone := lone(points, hole)
				alone.turned = alone.turned != p.turned
				todo = append(todo, alone)
			}
		}
		first := len(out)
		out = append(out, c.clip()...)
		for i := first; p.turned && i < len(out); i += 3 {
			out[i+1], out[i+2] = out[i+2], out[i+1]
		}
	}
	return out
}

// polygon is a loop and the holes in it, as indices into points: outer turns
// anticlockwise, holes clockwise. Where turned is set the loops were the
// other way round.
type polygon struct {
	outer  []uint32
	holes  [][]uint32
	turned bool
}

// lone returns the polygon of a loop without holes.
func lone(points []r2.Vec, loop []uint32) polygon {
	if chainOf(points, loop).Area() >= 0 {
		return polygon{outer: loop}
	}
	return polygon{outer: reversed(loop), turned: true}
}

// polygons sorts loops into polygons by their winding. Going inward through
// the loops round a place, one that turns like the last still open loop lies
// over it as a polygon of its own, one that turns the other way is a hole in
// it; so overlapping solids are each filled for themselves, and so are shells
// turned inside out.
func polygons(points []r2.Vec, loops [][]uint32) []polygon {
	chains := make([]Chain, len(loops))
	for i, loop := range loops {
		chains[i] = chainOf(points, loop)
	}
	n := newNesting(chains)
	home := make([]int, len(loops)) // of each hole: the loop it is a hole in; of others: themselves
	place := make([]int, len(loops))
	var out []polygon
	for k, i := range n.order {
		home[i] = n.home(i, n.order[:k], home)
		if home[i] == i {
			place[i] = len(out)
			out = append(out, lone(points, loops[i]))
			continue
		}
		hole := loops[i]
		p := &out[place[home[i]]]
		if p.turned {
			hole = reversed(hole)
		}
		p.holes = append(p.holes, hole)
	}
	return out
}

// home returns which of the larger loops i is a hole in, given their homes, or
// i itself where it is a hole in none.
func (n *nesting) home(i int, larger, homes []int) int {
	var open []int
	for _, j := range larger {
		if !n.within(i, j) {
			continue
		}
		if homes[j] == j {
			open = append(open, j)
		} else if at := slices.Index(open, homes[j]); at >= 0 {
			open = slices.Delete(open, at, at+1)
		}
	}
	turns := n.areas[i] >= 0
	for _, j := range slices.Backward(open) {
		if n.holdsWhole(j, i) && (n.areas[j] >= 0) != turns {
			return j
		}
	}
	return i
}

// holdsWhole reports whether loop j holds all of loop i, as far as three of
// its pieces tell: overlapping solids have loops that cross.
func (n *nesting) holdsWhole(j, i int) bool {
	inner := n.chains[i]
	for k := range 3 {
		if !n.chains[j].Contains(inner.middle(k * len(inner.Points) / 3)) {
			return false
		}
	}
	return true
}

func chainOf(points []r2.Vec, loop []uint32) Chain {
	c := Chain{Points: make([]r2.Vec, len(loop)), Closed: true}
	for i, v := range loop {
		c.Points[i] = points[v]
	}
	return c
}

func reversed(loop []uint32) []uint32 {
	loop = slices.Clone(loop)
	slices.Reverse(loop)
	return loop
}

// fromLeft returns holes, each beginning at its leftmost point, sorted by it.
func fromLeft(points []r2.Vec, holes [][]uint32) [][]uint32 {
	out := make([][]uint32, len(holes))
	for i, hole := range holes {
		first := 0
		for k, v := range hole {
			if compare(points[v], points[hole[first]]) < 0 {
				first = k
			}
		}
		out[i] = slices.Concat(hole[first:], hole[:first])
	}
	slices.SortStableFunc(out, func(a, b []uint32) int { return compare(points[a[0]], points[b[0]]) })
	return out
}

// clipper cuts a polygon into triangles by clipping ears, after its holes
// have been joined to it by bridges (two edges that lie on each other): D.
// Eberly, "Triangulation by Ear Clipping", Geometric Tools 2002. An ear is a
// convex corner whose triangle holds no other corner.
//
// The polygon is a ring of nodes; its inside is on the left. A point at a
// bridge has several nodes.
type clipper struct {
	points     []r2.Vec // of the caller
	at         []r2.Vec // of each node: its place
	v          []uint32 // of each node: its index in points
	prev, next []int32
	queue      []int32
	turn       []int32 // of each node: its last place in the queue; -1 when clipped
	left       int     // nodes in the ring
	cursor     int32   // where leastBad goes on looking
	tree       tree
	out        []uint32
}

func newClipper(points []r2.Vec, p polygon) *clipper {
	n := len(p.outer)
	for _, hole := range p.holes {
		n += len(hole) + 2
	}
	c := &clipper{
		points: points,
		at:     make([]r2.Vec, 0, n), v: make([]uint32, 0, n),
		prev: make([]int32, 0, n), next: make([]int32, 0, n),
	}
	c.ring(p.outer)
	return c
}

// ring adds nodes for loop, joined in a ring, and returns the first.
func (c *clipper) ring(loop []uint32) int32 {
	first, n := int32(len(c.v)), int32(len(loop))
	for i, v := range loop {
		c.v = append(c.v, v)
		c.at = append(c.at, c.points[v])
		c.prev = append(c.prev, first+(int32(i)+n-1)%n)
		c.next = append(c.next, first+(int32(i)+1)%n)
	}
	return first
}

// bridge joins a hole, which begins at its leftmost point, to the ring by an
// edge there and back. It reports false where no node can be seen from there,
// as when the hole crosses the ring.
func (c *clipper) bridge(hole []uint32) bool {
	near := c.seen(c.points[hole[0]])
	if near < 0 {
		return false
	}
	first := c.ring(hole)
	last := c.prev[first]
	// near → first … last → first again → near again → what came after near.
	again := c.copyOf(first)
	back := c.copyOf(near)
	after := c.next[near]
	c.join(near, first)
	c.join(last, again)
	c.join(again, back)
	c.join(back, after)
	return true
}

func (c *clipper) copyOf(node int32) int32 {
	c.v = append(c.v, c.v[node])
	c.at = append(c.at, c.at[node])
	c.prev = append(c.prev, -1)
	c.next = append(c.next, -1)
	return int32(len(c.v) - 1)
}

func (c *clipper) join(a, b int32) { c.next[a], c.prev[b] = b, a }

// seen returns a node of the ring that p, the leftmost point of a hole, sees:
// of the edge met first by a ray to the left the end farther left or, where
// others stand in the triangle between, the one at the least angle to the
// ray. It returns -1 where the ray meets nothing.
func (c *clipper) seen(p r2.Vec) int32 {
	node, x := int32(-1), math.Inf(-1)
	for i, a := range c.at {
		b := c.at[c.next[i]]
		if a.Y < p.Y || b.Y > p.Y || a.Y == b.Y {
			continue // the ring goes down where its inside is to the right
		}
		meets := a.X + (p.Y-a.Y)*(b.X-a.X)/(b.Y-a.Y)
		if meets > p.X || meets <= x {
			continue
		}
		x = meets
		node = int32(i)
		if b.X < a.X {
			node = c.next[i]
		}
	}
	if node < 0 {
		return -1
	}
	return c.clearest(p, r2.Vec{X: x, Y: p.Y}, node)
}

// clearest returns node, or of the nodes in the triangle of p, hit and node
// the one at the least angle to the ray from p to hit.
func (c *clipper) clearest(p, hit r2.Vec, node int32) int32 {
	corner := c.at[node]
	least := math.Inf(1)
	best := int32(-1)
	for i, q := range c.at {
		if q.X > p.X || q.X < corner.X || !c.opensTo(int32(i), p) {
			continue
		}
		if !holds(p, hit, corner, q) && !holds(p, corner, hit, q) {
			continue
		}
		angle := abs(q.Y-p.Y) / (p.X - q.X)
		if q == p {
			angle = 0
		}
		if best < 0 || angle < least || angle == least && q.X > c.at[best].X {
			best, least = int32(i), angle
		}
	}
	if best < 0 {
		return node
	}
	return best
}

// opensTo reports whether the inside of the ring at node lies towards p.
func (c *clipper) opensTo(node int32, p r2.Vec) bool {
	a, b, d := c.at[c.prev[node]], c.at[node], c.at[c.next[node]]
	if side(a, b, d) > 0 {
		return side(b, d, p) >= 0 && side(a, b, p) >= 0
	}
	return side(b, d, p) >= 0 || side(a, b, p) >= 0
}

// side is twice the signed area of a, b, p: positive where p is to the left.
func side(a, b, p r2.Vec) float64 { return r2.Cross(r2.Sub(b, a), r2.Sub(p, a)) }

// holds reports whether p lies in the triangle a, b, c, which turns
// anticlockwise, or on its border.
func holds(a, b, c, p r2.Vec) bool {
	return side(a, b, p) >= 0 && side(b, c, p) >= 0 && side(c, a, p) >= 0
}

// clip returns the triangles of the ring.
//
// Nodes wait in a queue, and the neighbours of an ear go to its end, so that
// every second corner goes first and the triangles stay broad. Only the
// neighbours of an ear can become ears by its clipping, so a simple polygon
// is done in 3n tests at most. Where the queue runs dry the ring is not
// simple: the least bad corner is clipped whatever it holds.
func (c *clipper) clip() []uint32 {
	c.tree = newTree(c.at)
	c.turn = make([]int32, len(c.v))
	c.queue = make([]int32, 0, 3*len(c.v))
	for i := range c.v {
		c.wait(int32(i))
	}
	c.left = len(c.v)
	patience := searches * c.left
	for k := 0; c.left > 3; k++ {
		var node int32
		if k < len(c.queue) {
			if node = c.queue[k]; c.turn[node] != int32(k) || !c.ear(node) {
				continue
			}
		} else {
			node = c.leastBad(&patience)
			k = len(c.queue) - 1
		}
		c.take(node)
	}
	for node, k := range c.turn {
		if k >= 0 {
			c.emit(int32(node))
			break
		}
	}
	return c.out
}

// searches is how many times, on average, each node may be looked at for a
// least bad corner before any is taken: it bounds the time on hopeless rings.
// A guess.
const searches = 64

// wait puts a node at the end of the queue and notes whether it may stand in
// the way of ears: a strictly convex corner never does.
func (c *clipper) wait(node int32) {
	c.turn[node] = int32(len(c.queue))
	c.queue = append(c.queue, node)
	c.tree.set(node, c.bend(node) <= 0)
}

// take clips node off the ring.
func (c *clipper) take(node int32) {
	c.emit(node)
	c.turn[node] = -1
	c.tree.set(node, false)
	c.left--
	a, b := c.prev[node], c.next[node]
	c.join(a, b)
	c.wait(a)
	c.wait(b)
}

// spike reports whether the ring goes back from node to where it came from.
func (c *clipper) spike(node int32) bool { return c.at[c.prev[node]] == c.at[c.next[node]] }

// emit adds the triangle of node, but not one with the same point twice: its
// other two edges cancel each other.
func (c *clipper) emit(node int32) {
	u, v, w := c.v[c.prev[node]], c.v[node], c.v[c.next[node]]
	if u != v && v != w && w != u {
		c.out = append(c.out, u, v, w)
	}
}

// bend is positive at a convex corner.
func (c *clipper) bend(node int32) float64 {
	return side(c.at[c.prev[node]], c.at[node], c.at[c.next[node]])
}

// ear reports whether node is an ear, or the tip of a spike.
func (c *clipper) ear(node int32) bool {
	if c.spike(node) {
		return true
	}
	if c.bend(node) <= 0 {
		return false
	}
	prev, next := c.prev[node], c.next[node]
	a, b, d := c.at[prev], c.at[node], c.at[next]
	return !c.tree.any(a, b, d, func(other int32) bool {
		return other != prev && other != node && other != next && holds(a, b, d, c.at[other])
	})
}

// leastBad returns the node to clip where there is no ear: the next that does
// not bend the wrong way and holds no corner strictly inside, else the one
// with the smallest triangle; any, when patience is spent.
func (c *clipper) leastBad(patience *int) int32 {
	best, least := int32(-1), math.Inf(1)
	for range c.turn {
		node := c.cursor
		c.cursor = (c.cursor + 1) % int32(len(c.turn))
		if c.turn[node] < 0 {
			continue
		}
		bend := c.bend(node)
		if best < 0 || abs(bend) < least {
			best, least = node, abs(bend)
		}
		if *patience--; *patience < 0 {
			break
		}
		if bend == 0 || bend > 0 && c.holdsNone(node) {
			return node
		}
	}
	return best
}

func (c *clipper) holdsNone(node int32) bool {
	a, b, d := c.at[c.prev[node]], c.at[node], c.at[c.next[node]]
	return !c.tree.any(a, b, d, func(other int32) bool {
		p := c.at[other]
		return side(a, b, p) > 0 && side(b, d, p) > 0 && side(d, a, p) > 0
	})
}

// tree finds which of the points that are set lie in a triangle: a balanced
// tree of boxes over stretches of them in their order. That is along the loops, so
// what follows each other lies together, and nothing need be sorted.
type tree struct {
	at    []r2.Vec
	isSet []bool
	boxes []box   // box k holds the boxes 2k and 2k+1; the last half are at the bottom
	count []int32 // of each box: how many points in it are set
}

// leafSize is how many points are looked at one by one. Measured on the plans
// of the benchmark: 16 is as fast as 4 and 8, and bounds what hopeless loops take.
const leafSize = 16

// newTree returns a tree with no point set.
func newTree(at []r2.Vec) tree {
	size := 1
	for size*leafSize < len(at) {
		size *= 2
	}
	t := tree{at: at, isSet: make([]bool, len(at)), boxes: make([]box, 2*size), count: make([]int32, 2*size)}
	for k := range size {
		t.boxes[size+k] = boxOf(t.leaf(size + k))
	}
	for k := size - 1; k > 0; k-- {
		t.boxes[k] = t.boxes[2*k].with(t.boxes[2*k+1].low).with(t.boxes[2*k+1].high)
	}
	return t
}

// leaf returns the points of a box at the bottom.
func (t *tree) leaf(k int) []r2.Vec {
	first := min(leafSize*(k-len(t.boxes)/2), len(t.at))
	return t.at[first:min(first+leafSize, len(t.at))]
}

// set puts point i in or out.
func (t *tree) set(i int32, in bool) {
	if t.isSet[i] == in {
		return
	}
	t.isSet[i] = in
	by := int32(1)
	if !in {
		by = -1
	}
	for k := len(t.boxes)/2 + int(i)/leafSize; k > 0; k /= 2 {
		t.count[k] += by
	}
}

// any reports whether hit is true for any of the set points; only those that
// may lie in the triangle a, b, c are asked.
func (t *tree) any(a, b, c r2.Vec, hit func(int32) bool) bool {
	around := emptyBox().with(a).with(b).with(c)
	var stack [64]int32
	stack[0] = 1
	for depth := 1; depth > 0; {
		depth--
		k := stack[depth]
		if t.count[k] == 0 || !t.boxes[k].meets(&around) || t.boxes[k].apart(a, b) || t.boxes[k].apart(b, c) || t.boxes[k].apart(c, a) {
			continue
		}
		if 2*int(k) < len(t.boxes) {
			stack[depth], stack[depth+1] = 2*k, 2*k+1
			depth += 2
			continue
		}
		first := leafSize * (int(k) - len(t.boxes)/2)
		for i := first; i < min(first+leafSize, len(t.at)); i++ {
			if t.isSet[i] && hit(int32(i)) {
				return true
			}
		}
	}
	return false
}
