package mesh

import (
	"math"
	"runtime"
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
	numbers := make([][]uint32, len(shards)) // of each shard but the first: number in the mesh by own number
	seen := make([]filter, len(shards)-1)    // of all but the last, which is earlier than none
	for i := range seen {
		seen[i] = newFilter(shards[i].ix, workers)
	}
	n := len(shards[0].ix.at)
	for i := 1; i < len(shards); i++ {
		sh := &shards[i]
		numbers[i] = pages.Make[uint32](len(sh.ix.at))
		spread(len(sh.ix.at), workers, func(from, to int) {
			sh.known(numbers[i][from:to], from, shards[:i], seen, numbers)
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
				n := inMesh(numbers[i], uint32(from+v))
				m.X[n], m.Y[n], m.Z[n] = p.x, p.y, p.z
			}
		})
		if i == 0 {
			continue
		}
		spread(len(sh.t), workers, func(from, to int) {
			for j, v := range sh.t[from:to] {
				sh.t[from+j] = numbers[i][v]
			}
		})
		m.T = joined(m.T, sh.t)
	}
	return m
}

// inMesh returns the number in the mesh of corner v of a shard; that of the first
// one, whose numbers are nil, stays as it is.
func inMesh(numbers []uint32, v uint32) uint32 {
	if numbers == nil {
		return v
	}
	return numbers[v]
}

// joined returns one slice of two that lie in one array, moved together only where
// there is a gap.
func joined(a, b []uint32) []uint32 {
	if len(b) > 0 && cap(a) >= len(a)+len(b) && &a[:len(a)+1][len(a)] == &b[0] {
		return a[:len(a)+len(b)]
	}
	return append(a, b...)
}

const unknown = math.MaxUint32

// batch is how many corners are looked up together: the slots of all of them,
// a cache line each, fit the second-level cache.
const batch = 512

// known fills in the numbers in the mesh of the corners of sh, from the given
// one on, as earlier shards know them, unknown where none does.
func (sh *shard) known(number []uint32, from int, earlier []shard, seen []filter, numbers [][]uint32) {
	for v := range number {
		number[v] = unknown
	}
	for len(number) > 0 {
		n := min(batch, len(number))
		for i := range earlier {
			sh.knownBy(earlier[i].ix, seen[i], number[:n], sh.ix.at[from:from+n], numbers[i])
		}
		number, from = number[n:], from+n
	}
}

// knownBy fills in the numbers that are still unknown of a batch of corners
// which the index of an earlier shard knows. It looks at the slots of all first,
// so that memory is not waited for one after the other.
func (sh *shard) knownBy(ix *index, seen filter, number []uint32, places []point, numbers []uint32) {
	var likely [batch]uint16
	n := 0
	touched := uint32(0)
	for j, p := range places {
		if number[j] == unknown && seen.may(ix.hash(p)) {
			touched |= ix.touch(p)
			likely[n] = uint16(j)
			n++
		}
	}
	runtime.KeepAlive(touched)
	for _, j := range likely[:n] {
		if v, ok := ix.find(places[j]); ok {
			number[j] = inMesh(numbers, v)
		}
	}
}

// filter remembers hashes, by one bit each, in a small space: it may take one
// for known that is not, but overlooks none.
type filter []uint64

// newFilter returns a filter of all corners of an index, with room for eight
// bits or more for each. Each worker remembers a run of them.
func newFilter(ix *index, workers int) filter {
	size := 1
	for 64*size < 8*len(ix.at) {
		size *= 2
	}
	var mutex sync.Mutex
	var all filter
	spread(len(ix.at), workers, func(from, to int) {
		f := make(filter, size)
		for _, p := range ix.at[from:to] {
			bit := f.bit(ix.hash(p))
			f[bit/64] |= 1 << (bit % 64)
		}
		mutex.Lock()
		defer mutex.Unlock()
		if all == nil {
			all = f
			return
		}
		for i, bits := range f {
			all[i] |= bits
		}
	})
	return all
}

func (f filter) bit(h uint64) uint64 { return h >> 16 & uint64(64*len(f)-1) }

// may reports whether a hash may have been remembered.
func (f filter) may(h uint64) bool {
	bit := f.bit(h)
	return f[bit/64]>>(bit%64)&1 == 1
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
