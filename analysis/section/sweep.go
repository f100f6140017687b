package section

import (
	"cmp"
	"slices"
	"sort"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Sweep returns the sections of m by the planes square to normal through each
// of the points, in their order: the same as Cut on each, bit for bit, for
// the price of one pass over the mesh and of what is cut.
func Sweep(m *mesh.Mesh, normal r3.Vec, through []r3.Vec) []Section {
	out := make([]Section, 0, len(through))
	tr := tracer{m: m}
	for batch := range slices.Chunk(through, maxLevels) {
		frames := make([]frame, len(batch))
		valid := true
		for i, p := range batch {
			var ok bool
			frames[i], ok = Plane{Point: p, Normal: normal}.frame()
			valid = valid && ok
		}
		if !valid {
			for _, p := range batch {
				out = append(out, Cut(m, Plane{Point: p, Normal: normal}))
			}
			continue
		}
		for i, hits := range crossings(m, frames) {
			s := Section{Plane: Plane{Point: batch[i], Normal: normal}}
			s.Chains = tr.cut(frames[i], hits)
			out = append(out, s)
		}
	}
	return out
}

// maxLevels is how many planes one pass takes: as many as a uint16 counts.
const maxLevels = 1<<16 - 1

// crossings returns for each of the parallel frames what crossing returns for
// it alone.
func crossings(m *mesh.Mesh, frames []frame) [][]uint32 {
	l := newLevels(frames)
	rank := make([]uint16, m.Vertices())
	for v := range rank {
		h, slack := frames[0].height(m, uint32(v))
		rank[v] = l.rank(h + slack)
	}
	// A triangle crosses the levels from its lowest corner's rank up to its
	// highest corner's. Counted first, so that all lists share one array.
	var hits []uint32
	count := make([]int, len(frames)+1)
	for i := 0; i+2 < len(m.T); i += 3 {
		a, b, c := rank[m.T[i]], rank[m.T[i+1]], rank[m.T[i+2]]
		low, high := min(a, b, c), max(a, b, c)
		if low == high {
			continue
		}
		hits = append(hits, uint32(i/3))
		for k := low; k < high; k++ {
			count[k+1]++
		}
	}
	for k := 1; k < len(count); k++ {
		count[k] += count[k-1]
	}
	all := make([]uint32, count[len(frames)])
	next := slices.Clone(count[:len(frames)])
	for _, t := range hits {
		a, b, c := rank[m.T[3*t]], rank[m.T[3*t+1]], rank[m.T[3*t+2]]
		for k := min(a, b, c); k < max(a, b, c); k++ {
			all[next[k]] = t
			next[k]++
		}
	}
	out := make([][]uint32, len(frames))
	for k, i := range l.order {
		out[i] = all[count[k]:count[k+1]]
	}
	return out
}

// levels is a set of distances along one direction, sorted.
type levels struct {
	d     []float64
	order []int // of each level: its place in the list it came from
	start []int // of each of as many equal bins from the first level to the last: the first level not below it
	bins  float64
}

func newLevels(frames []frame) levels {
	l := levels{d: make([]float64, len(frames)), order: make([]int, len(frames))}
	for i := range l.order {
		l.order[i] = i
	}
	slices.SortStableFunc(l.order, func(i, j int) int { return cmp.Compare(frames[i].d, frames[j].d) })
	for k, i := range l.order {
		l.d[k] = frames[i].d
	}
	n := len(l.d)
	if l.bins = float64(n) / (l.d[n-1] - l.d[0]); l.bins > 1e300 {
		l.bins = 0
	}
	l.start = make([]int, n+2)
	for b := range l.start {
		l.start[b] = sort.Search(n, func(k int) bool { return int((l.d[k]-l.d[0])*l.bins) >= b })
	}
	return l
}

// rank returns how many levels are not above e: exactly those whose frame has
// a vertex above it that reaches e.
func (l *levels) rank(e float64) uint16 {
	n := len(l.d)
	if !(e >= l.d[0]) {
		return 0
	}
	if e >= l.d[n-1] {
		return uint16(n)
	}
	b := int((e - l.d[0]) * l.bins)
	low, high := l.start[b], l.start[b+1]
	for low < high {
		if mid := (low + high) / 2; l.d[mid] <= e {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return uint16(low)
}
