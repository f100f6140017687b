package mesh

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"
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
		sh.thin.count(r3.Vec{X: float64(sh.ix.x[v]), Y: float64(sh.ix.y[v]), Z: float64(sh.ix.z[v])})
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
	first := shards[0]
	m := &Mesh{X: first.ix.x, Y: first.ix.y, Z: first.ix.z, T: first.t}
	numbers := [][]uint32{nil} // of each shard: number in m by own number; nil: the same
	for i, sh := range shards[1:] {
		number := make([]uint32, len(sh.ix.x))
		spread(len(number), workers, func(_, from, to int) {
			sh.known(number[from:to], from, shards[:i+1], numbers)
		})
		for v, n := range number {
			if n == unknown {
				number[v] = uint32(len(m.X))
				m.X, m.Y, m.Z = append(m.X, sh.ix.x[v]), append(m.Y, sh.ix.y[v]), append(m.Z, sh.ix.z[v])
			}
		}
		spread(len(sh.t), workers, func(_, from, to int) {
			for j, v := range sh.t[from:to] {
				sh.t[from+j] = number[v]
			}
		})
		m.T = append(m.T, sh.t...)
		numbers = append(numbers, number)
	}
	return m
}

const unknown = math.MaxUint32

// known fills in the numbers in the mesh of the corners of sh from number
// from on, as earlier shards know them, unknown where none does.
func (sh *shard) known(number []uint32, from int, earlier []shard, numbers [][]uint32) {
	for v := range number {
		number[v] = unknown
	}
	for i := range earlier {
		box := earlier[i].mesh().Bounds()
		for j := range number {
			x, y, z := sh.ix.x[from+j], sh.ix.y[from+j], sh.ix.z[from+j]
			if number[j] != unknown || !inside(box, x, y, z) {
				continue
			}
			if n, ok := earlier[i].ix.find(x, y, z); ok {
				number[j] = n
				if numbers[i] != nil {
					number[j] = numbers[i][n]
				}
			}
		}
	}
}

func inside(box r3.Box, x, y, z float32) bool {
	return float64(x) >= box.Min.X && float64(x) <= box.Max.X &&
		float64(y) >= box.Min.Y && float64(y) <= box.Max.Y &&
		float64(z) >= box.Min.Z && float64(z) <= box.Max.Z
}

// spread calls f for the numbers below n in runs of equal length, one for each
// worker at once, and waits for all.
func spread(n, workers int, f func(part, from, to int)) {
	var group sync.WaitGroup
	for part := range workers {
		group.Go(func() { f(part, n*part/workers, n*(part+1)/workers) })
	}
	group.Wait()
}

// mesh returns what the shard gathered as a mesh that shares its columns.
func (sh *shard) mesh() *Mesh { return &Mesh{X: sh.ix.x, Y: sh.ix.y, Z: sh.ix.z, T: sh.t} }
