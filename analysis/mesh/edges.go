package mesh

import (
	"slices"

	"gambeson/analysis/pages"
)

// use is one use of an edge: a facet, and which way round it runs there.
type use uint32

func (u use) facet() uint32 { return uint32(u >> 1) }

// back reports whether the facet runs from the higher corner to the lower.
func (u use) back() bool { return u&1 == 1 }

// eachEdge calls f once for every edge of m, with its two corners and all uses
// of it in the order of their facets. The edges come in the order of their
// lower corner, then of the higher one. A facet that has a corner twice has
// no edges. The uses hold until f returns.
//
// Edges are gathered at their lower corner by counting, and sorted there:
// three on average, more only round the hub of a fan.
func (m *Mesh) eachEdge(f func(low, high uint32, uses []use)) {
	starts, sides := m.sidesByLow()
	var keys []uint64 // higher corner << 32 | use
	var uses []use
	for low := range m.Vertices() {
		keys, uses = keys[:0], uses[:0]
		for _, side := range sides[starts[low]:starts[low+1]] {
			a, b := m.T[side], m.T[next(side)]
			key := uint64(b)<<32 | uint64(side/3)<<1
			if a > b {
				key = uint64(a)<<32 | uint64(side/3)<<1 | 1
			}
			keys = append(keys, key)
		}
		sortFew(keys)
		for _, key := range keys {
			uses = append(uses, use(key))
		}
		for i := 0; i < len(keys); {
			j := i + 1
			for j < len(keys) && keys[j]>>32 == keys[i]>>32 {
				j++
			}
			f(uint32(low), uint32(keys[i]>>32), uses[i:j])
			i = j
		}
	}
}

// sidesByLow sorts the sides of all facets by their lower corner: those of
// corner v are sides[starts[v]:starts[v+1]]. Side i runs from m.T[i] to the
// next corner of its facet.
func (m *Mesh) sidesByLow() (starts, sides []uint32) {
	starts = pages.Make[uint32](m.Vertices() + 1)
	for t := 0; t < len(m.T); t += 3 {
		a, b, c := m.T[t], m.T[t+1], m.T[t+2]
		if _, twice := repeated(a, b, c); !twice {
			starts[min(a, b)]++
			starts[min(b, c)]++
			starts[min(c, a)]++
		}
	}
	sum := uint32(0)
	for v, n := range starts {
		sum += n
		starts[v] = sum // where they end, for now
	}
	sides = pages.Full[uint32](int(sum))
	put := func(low, side uint32) {
		starts[low]--
		sides[starts[low]] = side
	}
	for t := len(m.T) - 3; t >= 0; t -= 3 {
		a, b, c := m.T[t], m.T[t+1], m.T[t+2]
		if _, twice := repeated(a, b, c); !twice {
			put(min(c, a), uint32(t+2))
			put(min(b, c), uint32(t+1))
			put(min(a, b), uint32(t))
		}
	}
	return starts, sides
}

// next returns the place in T of the next corner of the same facet.
func next(side uint32) uint32 {
	if side%3 == 2 {
		return side - 2
	}
	return side + 1
}

// sortFew sorts keys, of which there are most often three.
func sortFew(keys []uint64) {
	if len(keys) > 16 {
		slices.Sort(keys)
		return
	}
	for i := 1; i < len(keys); i++ {
		k, j := keys[i], i
		for ; j > 0 && keys[j-1] > k; j-- {
			keys[j] = keys[j-1]
		}
		keys[j] = k
	}
}
