package section

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// nest returns for each chain the index of the closed chain directly round
// it, -1 where there is none, and all indices from the largest area to the
// smallest. Of chains with equal areas the first is outside. Chains that
// cross are judged by the first point of the smaller.
func nest(chains []Chain) (round, order []int) {
	round, order = make([]int, len(chains)), make([]int, len(chains))
	areas := make([]float64, len(chains))
	boxes := make([]box, len(chains))
	for i, c := range chains {
		order[i], areas[i], boxes[i] = i, abs(c.Area()), boxOf(c.Points)
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(areas[j], areas[i]) })
	for k, i := range order {
		round[i] = -1
		if len(chains[i].Points) == 0 {
			continue
		}
		p := chains[i].Points[0]
		for _, j := range slices.Backward(order[:k]) {
			if boxes[j].holds(p) && chains[j].Contains(p) {
				round[i] = j
				break
			}
		}
	}
	return round, order
}

// polygon is a loop and the holes in it, as indices into points: outer turns
// anticlockwise, holes clockwise. Where turned is set the loops were the
// other way round.
type polygon struct {
	outer  []uint32
	holes  [][]uint32
	turned bool
}

// lone is the polygon of a loop without holes.
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
	round, order := nest(chains)
	var out []polygon
	at := make([]int, len(loops)) // of each outer loop: its place in out
	open := make([]*outer, len(loops))
	for _, i := range order {
		if len(loops[i]) < 3 {
			continue
		}
		var within *outer
		if round[i] >= 0 {
			within = open[round[i]]
		}
		positive := chains[i].Area() >= 0
		if home := within.home(chains, i); home != nil && home.positive != positive {
			hole := loops[i]
			if positive {
				hole = reversed(hole)
			}
			out[at[home.loop]].holes = append(out[at[home.loop]].holes, hole)
			open[i] = within.without(home)
			continue
		}
		at[i] = len(out)
		out = append(out, lone(points, loops[i]))
		open[i] = &outer{loop: i, positive: positive, beyond: within}
	}
	return out
}

// outer is a loop that is open at some place, and those open beyond it; nil
// is none.
type outer struct {
	loop     int
	positive bool
	beyond   *outer
}

// home returns the innermost of o and those beyond, all that turn alike, that
// holds chain i whole, as far as three of its points tell: overlapping solids
// have loops that cross. It returns nil where none does.
func (o *outer) home(chains []Chain, i int) *outer {
	points := chains[i].Points
	for ; o != nil; o = o.beyond {
		c := chains[o.loop]
		if c.Contains(points[0]) && c.Contains(points[len(points)/3]) && c.Contains(points[2*len(points)/3]) {
			return o
		}
	}
	return nil
}

// without returns o and those beyond it but one.
func (o *outer) without(one *outer) *outer {
	if o == one {
		return o.beyond
	}
	return &outer{loop: o.loop, positive: o.positive, beyond: o.beyond.without(one)}
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
