package section

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// setAside moves copies, all but the first of equal pieces, from ends to
// copies, and reports whether there were any. A copy stays where its going
// would leave more pieces coming to a node than going, or fewer, where they
// were as many: then it belongs to another solid on the same facet.
func (tr *tracer) setAside() bool {
	aside := tr.doubles()
	before, after := make([]int, len(tr.keys)), make([]int, len(tr.keys)) // pieces going minus coming, of each node
	at := map[int32][]int{}                                               // copies, by node
	for s, double := range aside {
		for side, node := range tr.ends[2*s : 2*s+2] {
			by := 1 - 2*side
			before[node] += by
			if double {
				at[node] = append(at[node], s)
			} else {
				after[node] += by
			}
		}
	}
	var queue []int32
	for node := range before {
		queue = append(queue, int32(node))
	}
	for len(queue) > 0 {
		node := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if before[node] != 0 || after[node] == 0 {
			continue
		}
		for _, s := range at[node] {
			if aside[s] {
				aside[s] = false
				after[tr.ends[2*s]]++
				after[tr.ends[2*s+1]]--
				queue = append(queue, tr.ends[2*s], tr.ends[2*s+1])
			}
		}
	}
	kept := tr.ends[:0]
	for s, gone := range aside {
		if from, to := tr.ends[2*s], tr.ends[2*s+1]; gone {
			tr.copies = append(tr.copies, from, to)
		} else {
			kept = append(kept, from, to)
		}
	}
	tr.ends = kept
	return len(tr.copies) > 0
}

// doubles reports for each piece whether one before it runs between the same
// nodes in the same direction.
func (tr *tracer) doubles() []bool {
	order := make([]int32, len(tr.ends)/2)
	for s := range order {
		order[s] = int32(s)
	}
	compare := func(s, t int32) int {
		return cmp.Or(cmp.Compare(tr.ends[2*s], tr.ends[2*t]), cmp.Compare(tr.ends[2*s+1], tr.ends[2*t+1]))
	}
	slices.SortStableFunc(order, compare)
	double := make([]bool, len(order))
	for i := 1; i < len(order); i++ {
		double[order[i]] = compare(order[i-1], order[i]) == 0
	}
	return double
}

// untie makes mates of the ends that meet at knots: nodes with more than two
// ends, where the plane crosses a non-manifold edge.
//
// Ends whose run comes back to a knot are paired before those whose run ends
// in the open, so a fin on a wall does not open the loop of the wall.
func (tr *tracer) untie() {
	var at []int32
	for i, node := range tr.ends {
		if tr.degree[node] > 2 {
			tr.mate[i] = -1
			at = append(at, int32(i))
		}
	}
	if len(at) == 0 {
		return
	}
	slices.SortStableFunc(at, func(a, b int32) int { return cmp.Compare(tr.ends[a], tr.ends[b]) })
	knots := slices.Collect(groups(at, func(a, b int32) bool { return tr.ends[a] == tr.ends[b] }))
	loose := tr.loosen(knots)
	for _, knot := range knots {
		var bound, free []int32
		for _, e := range knot {
			if loose[e] {
				free = append(free, e)
			} else {
				bound = append(bound, e)
			}
		}
		left := tr.match(bound)
		tr.matchStraight(append(free, left...))
	}
}

// loosen reports for each end at a knot whether its run ends in the open, or
// at a knot that has no other run to send it on with.
func (tr *tracer) loosen(knots [][]int32) []bool {
	loose := make([]bool, len(tr.ends))
	knotOf := map[int32]int{} // by node
	bound := make([]int, len(knots))
	var queue []int // knots where one bound end is left alone
	free := func(e int32) {
		if k := knotOf[tr.ends[e]]; !loose[e] {
			loose[e] = true
			if bound[k]--; bound[k] == 1 {
				queue = append(queue, k)
			}
		}
	}
	for k, knot := range knots {
		knotOf[tr.ends[knot[0]]] = k
		bound[k] = len(knot)
	}
	for _, knot := range knots {
		for _, e := range knot {
			if tr.degree[tr.ends[tr.last(e)]] == 1 {
				free(e)
			}
		}
	}
	for len(queue) > 0 {
		k := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if i := slices.IndexFunc(knots[k], func(e int32) bool { return !loose[e] }); i >= 0 {
			only := knots[k][i]
			free(only)
			free(tr.last(only))
		}
	}
	return loose
}

// match pairs ends at one knot and returns those left over. Where as many
// pieces come as go, each solid that meets the knot keeps its own corner.
func (tr *tracer) match(ends []int32) (left []int32) {
	balance := 0
	for _, e := range ends {
		balance += 1 - 2*int(e&1)
	}
	if balance == 0 {
		tr.matchCorners(ends)
		return nil
	}
	return tr.matchStraight(ends)
}

// matchCorners pairs as many coming as going ends so that their corners do
// not cross: going anticlockwise round the knot, the material of a corner
// begins at a piece that goes and ends at one that comes, like brackets.
func (tr *tracer) matchCorners(ends []int32) {
	type spoke struct {
		angle float64
		e     int32
	}
	spokes := make([]spoke, len(ends))
	for i, e := range ends {
		d := tr.toward(e)
		spokes[i] = spoke{math.Atan2(d.Y, d.X), e}
	}
	// Of two at one angle the coming one first: it ends a corner where the
	// next begins, as between two boxes that share a face.
	slices.SortFunc(spokes, func(a, b spoke) int {
		return cmp.Or(cmp.Compare(a.angle, b.angle), cmp.Compare(b.e&1, a.e&1), cmp.Compare(a.e, b.e))
	})
	// Begin where no bracket is open: after the deepest point.
	depth, deepest, begin := 0, 0, 0
	for i, s := range spokes {
		depth += 1 - 2*int(s.e&1)
		if depth < deepest {
			deepest, begin = depth, i+1
		}
	}
	var open []int32
	for i := range spokes {
		e := spokes[(begin+i)%len(spokes)].e
		if e&1 == 0 {
			open = append(open, e)
			continue
		}
		other := open[len(open)-1]
		open = open[:len(open)-1]
		tr.mate[e], tr.mate[other] = other, e
	}
}

// many is the number of ends at one knot above which the straightest pairs
// are no longer looked for, so that a fan of triangles round one edge costs
// no more than its size. A guess; real parts have three or four.
const many = 32

// matchStraight pairs the ends that go on most straight, coming ones with
// going ones first, and returns what is left over.
func (tr *tracer) matchStraight(ends []int32) (left []int32) {
	type couple struct {
		bend float64
		a, b int32
	}
	var couples []couple
	for i, a := range ends {
		others := ends[i+1:]
		if len(ends) > many {
			others = others[:min(1, len(others))]
		}
		for _, b := range others {
			bend := r2.Dot(tr.toward(a), tr.toward(b)) // -1 is straight on
			if a&1 == b&1 {
				bend += 4
			}
			couples = append(couples, couple{bend, a, b})
		}
	}
	slices.SortStableFunc(couples, func(a, b couple) int { return cmp.Compare(a.bend, b.bend) })
	for _, c := range couples {
		if tr.mate[c.a] < 0 && tr.mate[c.b] < 0 {
			tr.mate[c.a], tr.mate[c.b] = c.b, c.a
		}
	}
	for _, e := range ends {
		if tr.mate[e] < 0 {
			left = append(left, e)
		}
	}
	return left
}

// toward returns the unit vector in the plane from the node of end e along
// its run, past pieces of no length; zero if there are only such.
func (tr *tracer) toward(e int32) r2.Vec {
	here := tr.f.flat(tr.places[tr.ends[e]])
	for at := e; ; {
		d := r2.Sub(tr.f.flat(tr.places[tr.ends[at^1]]), here)
		if length := math.Hypot(d.X, d.Y); length > 0 {
			return r2.Vec{X: d.X / length, Y: d.Y / length}
		}
		at = tr.mate[at^1]
		if at < 0 || at == e {
			return r2.Vec{}
		}
	}
}

// groups yields the stretches of s whose neighbours are the same.
func groups[T any](s []T, same func(a, b T) bool) func(yield func([]T) bool) {
	return func(yield func([]T) bool) {
		for from := 0; from < len(s); {
			to := from + 1
			for to < len(s) && same(s[to-1], s[to]) {
				to++
			}
			if !yield(s[from:to]) {
				return
			}
			from = to
		}
	}
}
