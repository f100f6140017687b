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
	recall
}

// add adds a facet of corners of the shard. Where a surface goes on round a corner
// every neighbour is as often the next round a facet as the one before, so that
// numbers drawn for the neighbours, added for one and taken away for the other,
// leave nothing; what is left shows where it ends, cracks or is turned over. (One
// corner in 4·10⁹ is overlooked.)
func (sh *shard) add(a, b, c uint32) {
	if v, twice := repeated(a, b, c); twice {
		sh.thin.count(sh.ix.at[v].vec())
		return
	}
	sh.t = append(sh.t, a, b, c)
	at := sh.ix.at
	da, db, dc := at[a].drawn, at[b].drawn, at[c].drawn
	at[a].left += db - dc
	at[b].left += dc - da
	at[c].left += da - db
}

// repeated returns the corner that a facet has more than once, if any.
func repeated(a, b, c uint32) (uint32, bool) {
	if b == c {
		return b, true
	}
	return a, a == b || a == c
}

// merge returns the mesh of shards that follow each other in a file, and in order
// the vertices that are loose: of whose neighbours something is left. A corner seen
// by several of the shards gets the number that the first one gives it, so the mesh
// is the one that a single shard would have made.
//
// The facets of all shards lie in one array, in order, perhaps with gaps; they
// are moved together there.
func merge(shards []shard, workers int) (m *Mesh, loose []uint32) {
	numbers := make([][]uint32, len(shards)) // of each shard but the first: number in the mesh by own number
	seen := make([]filter, len(shards)-1)    // of all but the last, which is earlier than none
	for i := range seen {
		seen[i] = newFilter(shards[i].ix, workers)
	}
	n := len(shards[0].ix.at)
	for i := 1; i < len(shards); i++ {
		sh := &shards[i]
		numbers[i] = pages.Full[uint32](len(sh.ix.at))
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
	m = &Mesh{X: pages.Full[float32](n), Y: pages.Full[float32](n), Z: pages.Full[float32](n), T: shards[0].t}
	left := pages.Make[uint32](n)
	for i, sh := range shards {
		spread(len(sh.ix.at), workers, func(from, to int) {
			for v, c := range sh.ix.at[from:to] {
				n := inMesh(numbers[i], uint32(from+v))
				m.X[n], m.Y[n], m.Z[n] = c.x, c.y, c.z
				left[n] += c.left
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
	for v, l := range left {
		if l != 0 {
			loose = append(loose, uint32(v))
		}
	}
	return m, loose
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
			sh.knownBy(earlier[i].ix, &seen[i], number[:n], sh.ix.at[from:from+n], numbers[i])
		}
		number, from = number[n:], from+n
	}
}

// knownBy fills in the numbers that are still unknown of a batch of corners
// which the index of an earlier shard knows. It looks at the slots of all first,
// so that memory is not waited for one after the other.
func (sh *shard) knownBy(ix *index, seen *filter, number []uint32, corners []corner, numbers []uint32) {
	var likely [batch]uint16
	n := 0
	touched := uint32(0)
	for j := range corners {
		if number[j] == unknown && seen.may(&corners[j]) {
			touched |= ix.touch(corners[j].point)
			likely[n] = uint16(j)
			n++
		}
	}
	runtime.KeepAlive(touched)
	for _, j := range likely[:n] {
		if v, ok := ix.find(corners[j].point); ok {
			number[j] = inMesh(numbers, v)
		}
	}
}

// filter remembers corners by the box round them and, in a small space, by one bit
// of the number drawn for each: it may take one for known that is not, but overlooks
// none.
type filter struct {
	low, high point
	bits      []uint64
}

// newFilter returns a filter of all corners of an index, with room for eight
// bits or more for each. Each worker remembers a run of them.
func newFilter(ix *index, workers int) filter {
	size := 1
	for 64*size < 8*len(ix.at) {
		size *= 2
	}
	var mutex sync.Mutex
	all := emptyFilter(size)
	spread(len(ix.at), workers, func(from, to int) {
		f := emptyFilter(size)
		for _, c := range ix.at[from:to] {
			f.low = point{min(f.low.x, c.x), min(f.low.y, c.y), min(f.low.z, c.z)}
			f.high = point{max(f.high.x, c.x), max(f.high.y, c.y), max(f.high.z, c.z)}
			bit := f.bit(c.drawn)
			f.bits[bit/64] |= 1 << (bit % 64)
		}
		mutex.Lock()
		defer mutex.Unlock()
		all.add(f)
	})
	return all
}

// emptyFilter returns a filter that remembers nothing in so many times 64 bits.
func emptyFilter(size int) filter {
	const most = math.MaxFloat32
	return filter{low: point{most, most, most}, high: point{-most, -most, -most}, bits: make([]uint64, size)}
}

// add remembers what another filter of the same size does.
func (f *filter) add(other filter) {
	f.low = point{min(f.low.x, other.low.x), min(f.low.y, other.low.y), min(f.low.z, other.low.z)}
	f.high = point{max(f.high.x, other.high.x), max(f.high.y, other.high.y), max(f.high.z, other.high.z)}
	for i, bits := range other.bits {
		f.bits[i] |= bits
	}
}

func (f *filter) bit(drawn uint32) uint64 { return uint64(drawn) & uint64(64*len(f.bits)-1) }

// may reports whether a corner may have been remembered.
func (f *filter) may(c *corner) bool {
	if c.x < f.low.x || c.y < f.low.y || c.z < f.low.z || c.x > f.high.x || c.y > f.high.y || c.z > f.high.z {
		return false
	}
	bit := f.bit(c.drawn)
	return f.bits[bit/64]>>(bit%64)&1 == 1
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
