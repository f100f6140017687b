package grid

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"
)

// mostCells is about how many cells a way is sought in: sections put it right
// afterwards, so coarse cells do.
const mostCells = 60_000

// cells is a pocket in cubes of a few voxels each, to seek ways in.
type cells struct {
	air        *Air
	size       int32 // voxels along the edge of a cell
	nx, ny, nz int32
	number     []int32   // of the cell at a place, −1 where it holds no air of the pocket
	at         []voxel   // places of the cells, in cells
	wide       []float64 // greatest distance from a voxel of each to the wall, in voxels
	greatest   float64

	seen   []int32 // the last front that each cell was found on
	fronts int32   // how many there were
	queue  []int32
}

func (a *Air) newCells(p *Pocket) *cells {
	size := int32(math.Ceil(math.Cbrt(float64(p.count) / mostCells)))
	up := func(n int) int32 { return (int32(n) + size - 1) / size }
	c := &cells{air: a, size: size, nx: up(a.nx), ny: up(a.ny), nz: up(a.nz), greatest: p.radius}
	c.number = make([]int32, c.nx*c.ny*c.nz)
	for i := range c.number {
		c.number[i] = -1
	}
	a.each(p.voxels, func(x, y, z int) {
		v := voxel{int32(x), int32(y), int32(z)}
		n := &c.number[c.index(v)]
		if *n < 0 {
			*n = int32(len(c.at))
			c.at = append(c.at, voxel{v.x / size, v.y / size, v.z / size})
			c.wide = append(c.wide, 0)
		}
		c.wide[*n] = max(c.wide[*n], float64(a.distance(v)))
	})
	for i, d := range c.wide {
		c.wide[i] = math.Sqrt(d)
	}
	return c
}

// index returns the index in number of the cell that a voxel lies in.
func (c *cells) index(v voxel) int32 {
	return (v.z/c.size*c.ny+v.y/c.size)*c.nx + v.x/c.size
}

// near returns the cell of the pocket nearest to a voxel, looking no further
// than the cells round its own; −1 where there is none.
func (c *cells) near(v voxel) int32 {
	best, least := int32(-1), math.Inf(1)
	for n := range int32(27) {
		d := voxel{c.size * (n%3 - 1), c.size * (n/3%3 - 1), c.size * (n/9 - 1)}
		w := v.plus(d)
		if w.x < 0 || w.y < 0 || w.z < 0 || w.x/c.size >= c.nx || w.y/c.size >= c.ny || w.z/c.size >= c.nz {
			continue
		}
		if k := c.number[c.index(w)]; k >= 0 && r3.Norm(d.place()) < least {
			best, least = k, r3.Norm(d.place())
		}
	}
	return best
}

// space returns a place in cells as a point in space.
func (c *cells) space(p r3.Vec) r3.Vec {
	p = r3.Add(r3.Scale(float64(c.size), p), r3.Scale(float64(c.size-1)/2, r3.Vec{X: 1, Y: 1, Z: 1}))
	return c.air.space(p)
}

// reach returns for every cell the length of the shortest way from the starts,
// in cells, and the cell before it on that way, −1 at a start. Where centred, a
// way near the wall counts as longer, by the square of how much narrower it is
// there than in the widest place. Cells that cannot be reached are infinitely
// far.
func (c *cells) reach(starts []int32, centred bool) (far []float64, before []int32) {
	far, before = make([]float64, len(c.at)), make([]int32, len(c.at))
	for i := range far {
		far[i], before[i] = math.Inf(1), -1
	}
	var q queue
	for _, k := range starts {
		far[k] = 0
		q.push(0, k)
	}
	around := neighbours()
	for len(q) > 0 {
		d, k := q.pop()
		if d > far[k] {
			continue
		}
		for _, step := range around {
			to := c.cell(c.at[k].plus(step.to))
			if to < 0 {
				continue
			}
			length := step.length
			if centred {
				narrow := 2 * c.greatest / (c.wide[k] + c.wide[to])
				length *= narrow * narrow
			}
			if d+length < far[to] {
				far[to], before[to] = d+length, k
				q.push(far[to], to)
			}
		}
	}
	return far, before
}

// neighbour is one of the 26 places round a place.
type neighbour struct {
	to     voxel
	length float64
	slope  r3.Vec // what a rise of 1 on the way there adds to the gradient
}

func neighbours() (out [26]neighbour) {
	i := 0
	for n := range int32(27) {
		if to := (voxel{n%3 - 1, n/3%3 - 1, n/9 - 1}); to != (voxel{}) {
			length := r3.Norm(to.place())
			out[i] = neighbour{to, length, r3.Scale(1/(length*length), to.place())}
			i++
		}
	}
	return out
}

// cell returns the number of the cell at a place in cells, −1 for none.
func (c *cells) cell(v voxel) int32 {
	if v.x < 0 || v.y < 0 || v.z < 0 || v.x >= c.nx || v.y >= c.ny || v.z >= c.nz {
		return -1
	}
	return c.number[(v.z*c.ny+v.y)*c.nx+v.x]
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

// door is where a way enters or leaves a pocket.
type door struct {
	at    r3.Vec  // in space
	cell  int32   // beside it, −1 where there is none
	cells []int32 // beside the whole patch
	far   []float64
}

// door returns the middle of a patch, or where that is no wide place of it the
// nearest one that is.
func (c *cells) door(p *Patch) door {
	wide := func(v voxel) bool {
		return c.air.at(c.air.air, v) && math.Sqrt(float64(c.air.distance(v))) >= 0.9*p.radius
	}
	middle := voxel{int32(math.Round(p.center.X)), int32(math.Round(p.center.Y)), int32(math.Round(p.center.Z))}
	d := door{at: c.air.space(p.center), cell: -1}
	if wide(middle) {
		d.cell = c.near(middle)
	}
	least := math.Inf(1)
	if d.cell >= 0 {
		least = 0
	}
	for _, v := range p.voxels {
		k := c.near(v)
		if k < 0 {
			continue
		}
		d.cells = append(d.cells, k)
		if far := r3.Norm(r3.Sub(v.place(), p.center)); far < least && wide(v) {
			least = far
			d.at, d.cell = c.air.space(v.place()), k
		}
	}
	slices.Sort(d.cells)
	d.cells = slices.Compact(d.cells)
	d.far, _ = c.reach(d.cells, false)
	return d
}

// Way is a way through a pocket, as far as voxels tell.
type Way struct {
	From, To int // patches of the pocket; To is −1 where it leads to none
	Steps    []Step
	Reach    float64 // mm, how far the wall is on average
}

// Step is a place on a way.
type Step struct {
	At  r3.Vec
	Run r3.Vec // the direction in which the air runs there, of any length; zero where not known
}

// Ways returns the ways through a pocket between the patches listed, each to
// each other from the first starts of them; for one patch, from end to end of a
// gutter, else to the place that is furthest from the patch.
//
// A way goes through the middles of fronts: the cells that lie equally far from
// a door. Near the door they are parallel to it, round a bend they fan, and
// where the air branches they part. Of the fronts of both doors the flatter one
// counts, for a front that has come out of a narrow branch or round a bend
// spreads; of two flat ones the smaller, for a front runs into the branches it
// passes by. The doors are looked at by so many workers at once.
func (a *Air) Ways(p *Pocket, patches []int, starts, workers int) []Way {
	c := a.newCells(p)
	doors := make([]door, len(patches))
	var group sync.WaitGroup
	for w := range min(workers, len(doors)) {
		group.Go(func() {
			for n := w; n < len(doors); n += workers {
				doors[n] = c.door(&p.Patches[patches[n]])
			}
		})
	}
	group.Wait()
	var out []Way
	if len(doors) == 1 {
		way, ok := c.gutter(p)
		if !ok {
			way, ok = c.deep(doors[0])
		}
		if way.From, way.To = patches[0], -1; ok {
			out = append(out, way)
		}
	}
	for n := range min(starts, len(doors)) {
		for m, way := range c.between(doors[n], doors[n+1:]) {
			if way.From, way.To = patches[n], patches[n+1+m]; len(way.Steps) > 1 {
				out = append(out, way)
			}
		}
	}
	return out
}

// between returns the way from one door to each of the others; one without
// steps where there is none.
func (c *cells) between(from door, to []door) []Way {
	out := make([]Way, len(to))
	if from.cell < 0 || len(to) == 0 {
		return out
	}
	_, before := c.reach([]int32{from.cell}, true)
	for i, d := range to {
		if d.cell < 0 {
			continue
		}
		way := c.way(before, d.cell)
		out[i].Reach = c.clearance(way)
		out[i].add(from.at, r3.Vec{})
		for _, k := range way {
			f, g := c.front(from.far, k), c.front(d.far, k)
			g.run = r3.Scale(-1, g.run)
			if g.better(f) {
				f = g
			}
			out[i].add(f.middle, f.run)
		}
		out[i].add(d.at, r3.Vec{})
		out[i].complete()
	}
	return out
}

// deep returns the way from a door to the place that is furthest from it, but
// for the last stretch, as long as the air is wide there: it may go straight
// on, for what is furthest is some corner.
func (c *cells) deep(from door) (w Way, ok bool) {
	if from.cell < 0 {
		return Way{}, false
	}
	deepest := from.cell
	for k, d := range from.far {
		if !math.IsInf(d, 1) && d > from.far[deepest] {
			deepest = int32(k)
		}
	}
	_, before := c.reach([]int32{from.cell}, true)
	way := c.way(before, deepest)
	w.Reach = c.clearance(way)
	w.add(from.at, r3.Vec{})
	for n, k := range way {
		if left := from.far[deepest] - from.far[k]; n > 1 && left*float64(c.size)*c.air.Pitch < w.Reach {
			break
		}
		f := c.front(from.far, k)
		w.add(f.middle, f.run)
	}
	w.complete()
	return w, len(w.Steps) > 1
}

// add adds a step; without a run of its own, an end takes its neighbour's.
func (w *Way) add(at, run r3.Vec) { w.Steps = append(w.Steps, Step{at, run}) }

func (w *Way) complete() {
	n := len(w.Steps)
	if n < 3 {
		return
	}
	if w.Steps[0].Run == (r3.Vec{}) {
		w.Steps[0].Run = w.Steps[1].Run
	}
	if w.Steps[n-1].Run == (r3.Vec{}) {
		w.Steps[n-1].Run = w.Steps[n-2].Run
	}
}

// clearance returns the mean distance of cells to the wall, in mm.
func (c *cells) clearance(way []int32) float64 {
	sum := 0.0
	for _, k := range way {
		sum += c.wide[k]
	}
	return sum / float64(max(len(way), 1)) * c.air.Pitch
}

// front is a connected set of cells that lie equally far from a door.
type front struct {
	middle r3.Vec  // in space
	run    r3.Vec  // the unit direction in which the distance grows, in space
	flat   float64 // how alike that direction is all over, 1 for a plane
	cells  int
}

// better reports whether f says better than g how the air runs.
func (f front) better(g front) bool {
	const alike = 0.03 // a guess: fronts in a straight tube differ by less
	if d := f.flat - g.flat; math.Abs(d) > alike {
		return d > 0
	}
	return f.cells < g.cells
}

// front returns the front that cell k lies on, by the distances given.
func (c *cells) front(far []float64, k int32) front {
	const thick = 0.75 // cells to either side
	var middle, run r3.Vec
	around := neighbours()
	if len(c.seen) == 0 {
		c.seen = make([]int32, len(c.at))
	}
	c.fronts++
	c.seen[k] = c.fronts
	queue := append(c.queue[:0], k)
	for i := 0; i < len(queue); i++ {
		at := queue[i]
		middle = r3.Add(middle, c.at[at].place())
		var own r3.Vec
		for _, step := range around {
			to := c.cell(c.at[at].plus(step.to))
			if to < 0 || math.IsInf(far[to], 1) {
				continue
			}
			own = r3.Add(own, r3.Scale(far[to]-far[at], step.slope))
			if c.seen[to] != c.fronts && math.Abs(far[to]-far[k]) <= thick {
				c.seen[to] = c.fronts
				queue = append(queue, to)
			}
		}
		run = r3.Add(run, unit(own))
	}
	c.queue = queue
	n := float64(len(queue))
	return front{
		middle: c.space(r3.Scale(1/n, middle)), run: unit(c.air.Frame.Turn(run)),
		flat: r3.Norm(run) / n, cells: len(queue),
	}
}
