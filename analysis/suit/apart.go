package suit

import (
	"cmp"
	"slices"
)

// apart returns spans of which no two meet, as many as there can be, by index,
// the lowest first. Each needs a scale of its own, and a scale at the end of
// each serves all the others: there are no fewer scales than these that serve
// all spans, and as many do.
//
// Taking the span that ends first, dropping all that meet it, and going on with
// what remains is the algorithm of F. Gavril, "Algorithms for minimum coloring,
// maximum clique, minimum covering by cliques, and maximum independent set of a
// chordal graph", SIAM J. Comput. 1 (1972), 180–187, for intervals.
func apart(spans []span) []int {
	order := make([]int, len(spans))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(spans[a].hi, spans[b].hi) })
	var out []int
	for _, i := range order {
		if len(out) == 0 || !spans[i].holds(spans[out[len(out)-1]].hi) {
			out = append(out, i)
		}
	}
	return out
}
