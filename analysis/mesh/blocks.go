package mesh

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// blockFacets is how many facets are looked at in one go: their corners fit
// the first-level cache.
const blockFacets = 2048

// blocks returns how many blocks the facets of m make.
func (m *Mesh) blocks() int { return (m.Triangles() + blockFacets - 1) / blockFacets }

// block returns the corners of the facets of block i.
func (m *Mesh) block(i int) []uint32 {
	return m.T[3*blockFacets*i : min(3*blockFacets*(i+1), len(m.T))]
}

// sum returns the sums of what f returns for the facets of m, whose corners it is
// given block by block, on all processors. The blocks are added in their order: the
// sums are the same to the bit however many take part.
func (m *Mesh) sum(f func(corners []uint32) (a, b float64)) (a, b float64) {
	parts := make([][2]float64, m.blocks())
	each(len(parts), func(i int) { parts[i][0], parts[i][1] = f(m.block(i)) })
	for _, part := range parts {
		a, b = a+part[0], b+part[1]
	}
	return a, b
}

// each calls f for the numbers below n, on all processors, and waits.
func each(n int, f func(i int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers <= 1 {
		for i := range n {
			f(i)
		}
		return
	}
	var next atomic.Int64
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(i)
			}
		})
	}
	group.Wait()
}
