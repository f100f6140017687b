package grid

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// mostCells is about how many cells a way is sought in: sections put it right
// afterwards, so coarse cells do.
const mostCells = 60_000

// cells is a pocket in cubes of a few voxels each, to seek ways in. They lie in
// a box that is one place larger on every side, so that every cell has all 26
// neighbours.
type cells struct {
	air      *Air
	workers  int
	size     int32     // voxels along the edge of a cell
	nx, ny   int32     // places along the box
	number   []int32   // of the cell at a place of the box, −1 where it holds no air of the pocket
	at       []voxel   // of each cell: which cube of the grid it is
	place    []int32   // of each cell: its place in the box
	wide     []float64 // of each cell: greatest distance from a voxel of it to the wall, in voxels
	greatest float64
	around   [26]neighbour
	watches  []watch // one for each worker
}

func (a *Air) newCells(p *Pocket, workers int) *cells {
	size := int32(math.Ceil(math.Cbrt(float64(p.count) / mostCells)))
	up := func(n int) int32 { return (int32(n)+size-1)/size + 2 }
	c := &cells{air: a, workers: max(workers, 1), size: size, nx: up(a.nx), ny: up(a.ny), greatest: p.radius}
	c.number = make([]int32, c.nx*c.ny*up(a.nz))
	for i := range c.number {
		c.number[i] = -1
	}
	cube := make([]int32, max(a.nx, a.ny, a.nz)) // of each place along an axis: the number of its cube
	for i := range cube {
		cube[i] = int32(i) / size
	}
	a.each(p.voxels, func(x, y, z int) {
		at := voxel{cube[x], cube[y], cube[z]}
		place := c.placeOf(at)
		n := c.number[place]
		if n < 0 {
			n = int32(len(c.at))
			c.number[place] = n
			c.at = append(c.at, at)
			c.place = append(c.place, place)
			c.wide = append(c.wide, 0)
		}
		if d := float64(a.distance(voxel{int32(x), int32(y), int32(z)})); d > c.wide[n] {
			c.wide[n] = d
		}
	})
	for i, d := range c.wide {
		c.wide[i] = math.Sqrt(d)
	}
	c.around = c.neighbours()
	c.watches = make([]watch, c.workers)
	return c
}

// index returns the place in the box of the cell that a voxel lies in, which is
// in the grid or at most a cell beside it.
func (c *cells) index(v voxel) int32 {
	s := c.size
	return c.placeOf(voxel{(v.x+s)/s - 1, (v.y+s)/s - 1, (v.z+s)/s - 1})
}

// placeOf returns the place in the box of a cube of the grid, which may be one beside it.
func (c *cells) placeOf(cube voxel) int32 {
	return ((cube.z+1)*c.ny+cube.y+1)*c.nx + cube.x + 1
}

// near returns the cell of the pocket nearest to a voxel of the grid, looking no
// further than the cells round its own; −1 where there is none.
func (c *cells) near(v voxel) int32 {
	own := c.index(v)
	best, least := int32(-1), math.Inf(1)
	if k := c.number[own]; k >= 0 {
		return k
	}
	for i := range c.around {
		step := &c.around[i]
		if k := c.number[own+step.by]; k >= 0 && step.length < least {
			best, least = k, step.length
		}
	}
	return best
}

// space returns a place in cells as a point in space.
func (c *cells) space(p r3.Vec) r3.Vec {
	p = r3.Add(r3.Scale(float64(c.size), p), r3.Scale(float64(c.size-1)/2, r3.Vec{X: 1, Y: 1, Z: 1}))
	return c.air.space(p)
}

// neighbour is one of the 26 places round a place.
type neighbour struct {
	by     int32 // how much further it stands in the box
	length float64
	slope  r3.Vec // what a rise of 1 on the way there adds to the gradient
}

func (c *cells) neighbours() (out [26]neighbour) {
	i := 0
	for n := range int32(27) {
		if to := (voxel{n%3 - 1, n/3%3 - 1, n/9 - 1}); to != (voxel{}) {
			length := r3.Norm(to.place())
			out[i] = neighbour{(to.z*c.ny+to.y)*c.nx + to.x, length, r3.Scale(1/(length*length), to.place())}
			i++
		}
	}
	return out
}

// spread returns for every cell the length of the shortest way from the starts,
// in cells. Cells that cannot be reached are infinitely far.
//
// The cells wait in buckets by the whole part of their distance (Dial,
// Communications of the ACM 12, 1969, 632–633): a step is no shorter than 1, so
// none of a bucket can shorten the way to another of it, and shorter than 2, so
// that three buckets do.
func (c *cells) spread(starts []int32) (far []float64) {
	far = make([]float64, len(c.at))
	for i := range far {
		far[i] = math.Inf(1)
	}
	var buckets [3][]int32
	for _, k := range starts {
		far[k] = 0
	}
	buckets[0] = append(buckets[0], starts...)
	done := make([]bool, len(c.at))
	for b := 0; len(buckets[0])+len(buckets[1])+len(buckets[2]) > 0; b++ {
		for _, k := range buckets[b%3] {
			if done[k] {
				continue
			}
			done[k] = true
			place, d := c.place[k], far[k]
			for i := range c.around {
				step := &c.around[i]
				to := c.number[place+step.by]
				if to < 0 {
					continue
				}
				if sum := d + step.length; sum < far[to] {
					if int(sum) != int(far[to]) || math.IsInf(far[to], 1) {
						bucket := &buckets[int(sum)%3]
						*bucket = append(*bucket, to)
					}
					far[to] = sum
				}
			}
		}
		buckets[b%3] = buckets[b%3][:0]
	}
	return far
}

// centred returns for every cell the one before it on the best way from a start,
// −1 there. A way near the wall counts as longer, by the square of how much
// narrower it is there than in the widest place. It goes no further than until
// the ways to all goals are found.
func (c *cells) centred(start int32, goals []int32) (before []int32) {
	far := make([]float64, len(c.at))
	before = make([]int32, len(c.at))
	for i := range far {
		far[i], before[i] = math.Inf(1), -1
	}
	open := slices.Compact(slices.Sorted(slices.Values(goals)))
	far[start] = 0
	var q queue
	q.push(0, start)
	for len(q) > 0 && len(open) > 0 {
		d, k := q.pop()
		if d > far[k] {
			continue
		}
		if i := slices.Index(open, k); i >= 0 {
			open = slices.Delete(open, i, i+1)
		}
		place := c.place[k]
		for i := range c.around {
			step := &c.around[i]
			to := c.number[place+step.by]
			if to < 0 || d+step.length >= far[to] {
				continue
			}
			narrow := 2 * c.greatest / (c.wide[k] + c.wide[to])
			if sum := d + step.length*(narrow*narrow); sum < far[to] {
				far[to], before[to] = sum, k
				q.push(sum, to)
			}
		}
	}
	return before
}

// way returns the cells from a start to the cell k.
func (c *cells) way(before []int32, k int32) []int32 {
	var out []int32
	for ; k >= 0; k = before[k] {
		out = append(out, k)
	}
	slices.Reverse(out)
	return out
}

// queue is a heap of cells by their distance.
type queue []waiting

type waiting struct {
	far  float64
	cell int32
}

func (q *queue) push(far float64, cell int32) {
	*q = append(*q, waiting{far, cell})
	h := *q
	for i := len(h) - 1; i > 0; {
		up := (i - 1) / 2
		if h[up].far <= h[i].far {
			break
		}
		h[up], h[i] = h[i], h[up]
		i = up
	}
}

func (q *queue) pop() (far float64, cell int32) {
	h := *q
	first := h[0]
	last := len(h) - 1
	h[0] = h[last]
	h = h[:last]
	for i := 0; ; {
		down := 2*i + 1
		if down >= last {
			break
		}
		if down+1 < last && h[down+1].far < h[down].far {
			down++
		}
		if h[i].far <= h[down].far {
			break
		}
		h[i], h[down] = h[down], h[i]
		i = down
	}
	*q = h
	return first.far, first.cell
}
