package mesh

import "runtime"

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
	Share(len(parts), runtime.GOMAXPROCS(0), func(i, _ int) { parts[i][0], parts[i][1] = f(m.block(i)) })
	for _, part := range parts {
		a, b = a+part[0], b+part[1]
	}
	return a, b
}
