package mesh

import (
	"math"
	"sync"

	"gambeson/analysis/pages"
)

// shard is what one goroutine gathered: the corners and facets of a run of a
// file, the facets without area counted but left out.
type shard struct {
	ix   *index
	t    []uint32 // three corners a facet, numbers of ix
	thin Defect
}

// add adds a facet of corners of the shard.
func (sh *shard) add(a, b, c uint32) {
	if v, twice := repeated(a, b, c); twice {
		sh.thin.count(sh.ix.at[v].vec())
		return
	}
	sh.t = append(sh.t, a, b, c)
}

// repeated returns the corner that a facet has more than once, if any.
func repeated(a, b, c uint32) (uint32, bool) {
	if b == c {
		return b, true
	}
	return a, a == b || a == c
}

// merge returns the mesh of shards that follow each other in a file. A corner
// seen by several of them gets the number that the first one gives it, so the
// mesh is the one that a single shard would have made.
//
// The facets of all shards lie in one array, in order, perhaps with gaps; they
// are moved together there.
func merge(shards []shard, workers int) *Mesh {
	numbers := make([][]uint32, len(shards)) // of each shard: number in the mesh by own number
	n := 0
	for i, sh := range shards {
		numbers[i] = pages.Make[uint32](len(sh.ix.at))
		spread(len(sh.ix.at), workers, func(from, to int) {
			sh.known(numbers[i][from:to], from, shards[:i], numbers)
		})
		for v, number := range numbers[i] {
			if number == unknown {
				numbers[i][v] = uint32(n)
				n++
			}
		}
	}
	m := &Mesh{X: pages.Make[float32](n), Y: pages.Make[float32](n), Z: pages.Make[float32](n), T: shards[0].t}
	for i, sh := range shards {
		spread(len(sh.ix.at), workers, func(from, to int) {
			for v, p := range sh.ix.at[from:to] {
				n := numbers[i][from+v]
				m.X[n], m.Y[n], m.Z[n] = p.x, p.y, p.z
			}
		})
		if i == 0 {
			continue // its numbers are the mesh's
		}
		spread(len(sh.t), workers, func(from, to int) {
			for j, v := range sh.t[from:to] {
				sh.t[from+j] = numbers[i][v]
			}
		})
		m.T = append(m.T, sh.t...)
	}
	return m
}

const unknown = math.MaxUint32

// known fills in the numbers in the mesh of the corners of sh, from the given
// one on, as earlier shards know them, unknown where none does.
func (sh *shard) known(number []uint32, from int, earlier []shard, numbers [][]uint32) {
	for v := range number {
		number[v] = unknown
	}
	for i := range earlier {
		for j, p := range sh.ix.at[from : from+len(number)] {
			if number[j] != unknown || !earlier[i].ix.reaches(p) {
				continue
			}
			if n, ok := earlier[i].ix.find(p); ok {
				number[j] = numbers[i][n]
			}
		}
	}
}

// spread calls f for the numbers below n in runs of equal length, one for each
// worker at once, and waits for all.
func spread(n, workers int, f func(from, to int)) {
	workers = max(workers, 1)
	var group sync.WaitGroup
	for part := range workers {
		group.Go(func() { f(n*part/workers, n*(part+1)/workers) })
	}
	group.Wait()
}
