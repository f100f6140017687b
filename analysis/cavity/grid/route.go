package grid

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// door is where a way enters or leaves a pocket.
type door struct {
	at    r3.Vec  // in space
	cell  int32   // beside it, −1 where there is none
	cells []int32 // beside the whole patch

	far    []float64 // of each cell, how far it is from the patch; nil where that is not known yet
	before []int32   // of each cell, the one before it on the best way from cell
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
	return d
}

// look finds how far the cells are from each door where that is not known, and the best ways from the
// first starts of them to the later ones.
func (c *cells) look(doors []door, starts int) {
	starts = max(min(starts, len(doors)-1), 0)
	goals := make([][]int32, starts) // told before anyone writes to a door
	for i := range goals {
		goals[i] = cellsOf(doors[i+1:])
	}
	mesh.Share(starts+len(doors), c.workers, func(i, _ int) {
		if i >= starts {
			if d := &doors[i-starts]; d.far == nil {
				d.far = c.spread(d.cells)
			}
			return
		}
		if d := &doors[i]; d.cell >= 0 && len(goals[i]) > 0 {
			d.before = c.centred(d.cell, goals[i])
		}
	})
}

// cellsOf returns the cells beside doors, where they have one.
func cellsOf(doors []door) (out []int32) {
	for _, d := range doors {
		if d.cell >= 0 {
			out = append(out, d.cell)
		}
	}
	return out
}

// Way is a way through a pocket, as far as voxels tell.
type Way struct {
	From, To int // patches of the pocket; To is −1 where it leads to none
	Steps    []Step
	Reach    float64 // mm, how far the wall is on average
	Side     [2]bool // the patch at its start, or at its end, reaches along its side
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
// passes by. So many workers look at once.
func (a *Air) Ways(p *Pocket, patches []int, starts, workers int) []Way {
	c := a.newCells(p, workers)
	doors := make([]door, len(patches))
	for n, k := range patches {
		doors[n] = c.door(&p.Patches[k])
	}
	var side [2]bool
	if len(doors) == 2 {
		side = c.toEnds(doors, patches, p)
	}
	c.look(doors, starts)
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
				way.Side = side
				out = append(out, way)
			}
		}
	}
	return out
}

const (
	// wraps is how much further from the other door some of a patch must be than the
	// rest, in widths of the pocket, for it to reach along the side of the way (a guess).
	wraps = 0.5
	// ahead is the cosine of the angle between the way in by one opening and the way out by
	// the other up to which that lies straight ahead, as the open sole of a boot does,
	// however long it is (a guess).
	ahead = 0.8
	// lastOf is the part of such a stretch that is the way's end, and late where on it the
	// wall must still go more than half of the way round: on the last part of a rim that is
	// cut at a slant it does not (guesses).
	lastOf, late = 0.3, 0.75
	// halfRound is the cover in degrees from which on a wall goes more than half of the
	// way round, as far as rays tell (a guess).
	halfRound = 200
)

// toEnds moves the doors of two patches to the ends of the way between them. A patch that
// wraps an end and the open side of a shell lets air out all along it: fronts that spread
// from all of it lie aslant.
func (c *cells) toEnds(doors []door, patches []int, p *Pocket) (side [2]bool) {
	for i := range doors {
		d, other := &doors[i], &doors[1-i]
		if d.cell < 0 || other.cell < 0 {
			return side
		}
		far := c.spread(other.cells)
		other.far = far
		least, most := math.Inf(1), 0.0
		for _, k := range d.cells {
			if !math.IsInf(far[k], 1) {
				least, most = min(least, far[k]), max(most, far[k])
			}
		}
		width := 2 * p.radius / float64(c.size)
		if most-least < wraps*width || r3.Dot(p.Patches[patches[i]].Facing, p.Patches[patches[1-i]].Facing) < -ahead {
			continue
		}
		last := slices.DeleteFunc(slices.Clone(d.cells), func(k int32) bool { return far[k] < most-lastOf*(most-least) })
		cell := slices.MaxFunc(last, func(k, l int32) int { return cmp.Compare(c.wide[k], c.wide[l]) })
		if c.coverAt(far, (least+most)/2) < halfRound || c.coverAt(far, least+late*(most-least)) < halfRound {
			continue // a slanted rim, or a plate goes on there, which holds nothing
		}
		side[i] = true
		d.cells, d.cell, d.at, d.far = last, cell, c.space(c.at[cell].place()), nil
	}
	return side
}

// coverAt returns the most degrees of the way round the direction in which a distance grows
// in which wall is met from a wide place so far away.
func (c *cells) coverAt(far []float64, distance float64) (most float64) {
	const wide, looked = 0.95, 64 // against the widest; places
	var there []int32
	widest := 0.0
	for i, d := range far {
		if math.Abs(d-distance) <= 1 {
			there = append(there, int32(i))
			widest = max(widest, c.wide[i])
		}
	}
	there = slices.DeleteFunc(there, func(k int32) bool { return c.wide[k] < wide*widest })
	var run r3.Vec
	for _, k := range there {
		run = r3.Add(run, c.rise(far, k))
	}
	if run == (r3.Vec{}) {
		return 0
	}
	for i := 0; i < len(there); i += 1 + len(there)/looked {
		at := c.at[there[i]]
		middle := voxel{at.x*c.size + c.size/2, at.y*c.size + c.size/2, at.z*c.size + c.size/2}
		most = max(most, c.air.coverAcross(middle, r3.Unit(run)))
	}
	return most
}

// rise is the direction in which a distance grows at a cell, as its neighbours tell.
func (c *cells) rise(far []float64, k int32) (run r3.Vec) {
	for i := range c.around {
		step := &c.around[i]
		if to := c.number[c.place[k]+step.by]; to >= 0 && !math.IsInf(far[to], 1) {
			run = r3.Add(run, r3.Scale(far[to]-far[k], step.slope))
		}
	}
	return run
}

// between returns the way from one door to each of the others; one without
// steps where there is none.
func (c *cells) between(from door, to []door) []Way {
	out := make([]Way, len(to))
	if from.cell < 0 {
		return out
	}
	for i, d := range to {
		if d.cell < 0 {
			continue
		}
		way := c.way(from.before, d.cell)
		out[i].Reach = c.clearance(way)
		out[i].Steps = make([]Step, len(way)+2)
		mesh.Share(len(way), c.workers, func(n, worker int) {
			f, g := c.front(from.far, way[n], worker), c.front(d.far, way[n], worker)
			g.run = r3.Scale(-1, g.run)
			if g.better(f) {
				f = g
			}
			out[i].Steps[n+1] = Step{f.middle, f.run}
		})
		out[i].Steps[0].At, out[i].Steps[len(way)+1].At = from.at, d.at
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
	way := c.way(c.centred(from.cell, []int32{deepest}), deepest)
	w.Reach = c.clearance(way)
	w.add(from.at, r3.Vec{})
	for n, k := range way {
		if left := from.far[deepest] - from.far[k]; n > 1 && left*float64(c.size)*c.air.Pitch < w.Reach {
			break
		}
		f := c.front(from.far, k, 0)
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

// watch is what a worker remembers of the fronts it has looked at.
type watch struct {
	seen   []int32 // the last front that each cell was found on
	fronts int32   // how many there were
	queue  []int32
}

// front returns the front that cell k lies on, by the distances given, seen by
// one of the workers.
func (c *cells) front(far []float64, k int32, worker int) front {
	const thick = 0.75 // cells to either side
	w := &c.watches[worker]
	if len(w.seen) == 0 {
		w.seen = make([]int32, len(c.at))
	}
	w.fronts++
	w.seen[k] = w.fronts
	var middle, run r3.Vec
	queue := append(w.queue[:0], k)
	for i := 0; i < len(queue); i++ {
		at := queue[i]
		place, d := c.place[at], far[at]
		middle = r3.Add(middle, c.at[at].place())
		var own r3.Vec
		for n := range c.around {
			step := &c.around[n]
			to := c.number[place+step.by]
			if to < 0 {
				continue
			}
			there := far[to]
			if math.IsInf(there, 1) {
				continue
			}
			own = r3.Add(own, r3.Scale(there-d, step.slope))
			if math.Abs(there-far[k]) <= thick && w.seen[to] != w.fronts {
				w.seen[to] = w.fronts
				queue = append(queue, to)
			}
		}
		run = r3.Add(run, unit(own))
	}
	w.queue = queue
	n := float64(len(queue))
	return front{
		middle: c.space(r3.Scale(1/n, middle)), run: unit(c.air.Frame.Turn(run)),
		flat: r3.Norm(run) / n, cells: len(queue),
	}
}
