package mesh

import (
	"context"
	"math"

	"gambeson/analysis/pages"
)

// A file may list its triangles in any order. Where those that follow each other
// lie anywhere, each corner looked up is a walk to memory, here and in all that
// is done with the mesh later. Such a file is sorted first: by the regions of
// space its triangles begin in, each small enough for its corners to stay in the
// second-level cache. Within a region the order is that of the file.

const (
	// regionFacets is how many triangles of a surface a region should hold.
	// Found by trial: 1,000 to 8,000 differ little.
	regionFacets = 3000

	// mostRegions keeps the number of a region in 16 bits, and the ends of all
	// regions, one line of memory each, in the second-level cache.
	mostRegions = 8192
)

// regions divides a box into equal cubes, numbered along x, then y, then z. What
// lies outside of the box belongs to the cubes at its faces.
type regions struct {
	low     point
	inverse float32 // 1 / edge of a cube
	count   [3]int32
}

// regionsOf returns the regions for n triangles of a typical area, of which some
// corners are known.
func regionsOf(some []point, n int, facet float64) regions {
	low, high := some[0], some[0]
	for _, p := range some {
		low = point{min(low.x, p.x), min(low.y, p.y), min(low.z, p.z)}
		high = point{max(high.x, p.x), max(high.y, p.y), max(high.z, p.z)}
	}
	r := regions{low: low}
	size := [3]float64{float64(high.x) - float64(low.x), float64(high.y) - float64(low.y), float64(high.z) - float64(low.z)}
	longest := max(size[0], size[1], size[2])
	edge := math.Sqrt(facet * min(regionFacets, float64(n)))
	if !(edge > longest/mostRegions) { // facets without area, or very small ones
		edge = longest / mostRegions
	}
	edge = min(edge, longest)
	for ; ; edge *= 1.2 {
		total := 1.0
		for k, s := range size {
			total *= math.Floor(s/edge) + 1
			r.count[k] = int32(min(s/edge, mostRegions)) + 1
		}
		if !(total > mostRegions) {
			break
		}
	}
	if r.inverse = float32(1 / edge); !(r.inverse < math.MaxFloat32) {
		r.inverse, r.count = 1, [3]int32{1, 1, 1} // all in one place
	}
	return r
}

// len returns how many regions there are.
func (r *regions) len() int { return int(r.count[0]) * int(r.count[1]) * int(r.count[2]) }

// of returns the number of the region of p, which is finite.
func (r *regions) of(p point) uint16 {
	x := along((p.x-r.low.x)*r.inverse, r.count[0])
	y := along((p.y-r.low.y)*r.inverse, r.count[1])
	z := along((p.z-r.low.z)*r.inverse, r.count[2])
	return uint16((z*r.count[1]+y)*r.count[0] + x)
}

// along returns which of n cubes in a row holds a place.
func along(at float32, n int32) int32 { return int32(max(0, min(at, float32(n-1)))) }

// sortSTL returns the corners of n triangles of a binary STL, three each, sorted
// by region. The file is read twice: to count what each region holds, and to put
// each triangle in its place.
func sortSTL(ctx context.Context, s *source, n, workers int, r regions) ([]point, error) {
	region := pages.Full[uint16](n)
	ends := make([][]int, workers) // of each worker: by region, how many it has, then where the next one goes
	errs := make([]error, workers)
	pass := func(f func(next []int, first int, chunk []byte)) error {
		spread(workers, workers, func(part, _ int) {
			errs[part] = s.chunksSTL(ctx, n*part/workers, n*(part+1)/workers, func(first int, chunk []byte) error {
				if bad := notFiniteSTL(chunk); bad >= 0 {
					return damagedSTL(chunk, first, bad)
				}
				f(ends[part], first, chunk)
				return nil
			})
		})
		return firstOf(errs)
	}
	for i := range ends {
		ends[i] = make([]int, r.len())
	}
	if err := pass(func(has []int, first int, chunk []byte) {
		for i := first; len(chunk) >= stlFacet; i, chunk = i+1, chunk[stlFacet:] {
			region[i] = r.of(cornerSTL(chunk, 0))
			has[region[i]]++
		}
	}); err != nil {
		return nil, err
	}
	place := 0
	for at := range r.len() {
		for _, has := range ends {
			has[at], place = place, place+has[at]
		}
	}
	sorted := pages.Full[point](3 * n)
	err := pass(func(next []int, first int, chunk []byte) {
		for i := first; len(chunk) >= stlFacet; i, chunk = i+1, chunk[stlFacet:] {
			to := (*[3]point)(sorted[3*next[region[i]]:])
			next[region[i]]++
			to[0], to[1], to[2] = cornerSTL(chunk, 0), cornerSTL(chunk, 1), cornerSTL(chunk, 2)
		}
	})
	return sorted, err
}

// addAll adds triangles of finite corners, three each.
func (sh *shard) addAll(ctx context.Context, corners []point) error {
	for len(corners) > 0 {
		if err := ctx.Err(); err != nil {
			return err
		}
		some := corners[:min(3*stlChunk, len(corners))]
		corners = corners[len(some):]
		for ; len(some) >= 3; some = some[3:] {
			sh.add(sh.ix.corner(some[0]), sh.ix.corner(some[1]), sh.ix.corner(some[2]))
		}
	}
	return nil
}
