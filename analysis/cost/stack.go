package cost

import (
	"cmp"
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// stack is a part as a pile of layers, from 0 at the bed.
type stack struct {
	m      *mesh.Mesh
	up     r3.Vec // unit
	low    float64
	layers int
	s      Settings
	// flat and sloped are for each layer the area in mm² near a top or a bottom:
	// under level facets, where walls take their part of it, and under slopes, what
	// lies beyond the walls.
	flat, sloped []float64
	// turns is for each layer the area of facets, seen from above, between its
	// middle and that of the next: by so much at most their areas differ.
	turns []float64
}

// layer is what is known of one layer.
type layer struct {
	area   float64 // of the section, mm²
	walls  float64 // area under lines of wall, mm²
	inside float64 // area left for fill, mm²
	rim    float64 // length of its rim, mm
	// wallTime and moves are the seconds along walls and between lines.
	wallTime, moves float64
}

// blend returns the layer at a share of the way from a to b.
func blend(a, b layer, share float64) layer {
	mix := func(x, y float64) float64 { return x + share*(y-x) }
	return layer{
		area: mix(a.area, b.area), walls: mix(a.walls, b.walls), inside: mix(a.inside, b.inside), rim: mix(a.rim, b.rim),
		wallTime: mix(a.wallTime, b.wallTime), moves: mix(a.moves, b.moves),
	}
}

// mostLayers bounds the memory, whatever the sizes are: 10 m in layers of 0.1 mm.
const mostLayers = 100_000

// stackOf piles up m; ok is false where it has no height or there is no up.
func stackOf(m *mesh.Mesh, up r3.Vec, s Settings) (st *stack, ok bool) {
	up = r3.Unit(up)
	low, high := math.Inf(1), math.Inf(-1)
	for v := range m.Vertices() {
		h := r3.Dot(up, m.At(uint32(v)))
		low, high = min(low, h), max(high, h)
	}
	// A layer is printed where its middle is in the part.
	layers := math.Ceil((high-low)/s.Layer - 0.5 - 1e-6)
	if !(high > low) || !(layers <= mostLayers) {
		return nil, false
	}
	st = &stack{m: m, up: up, low: low, layers: max(1, int(layers)), s: s}
	st.layFacets()
	return st, true
}

// middle returns the height of the middle of layer i along up.
func (st *stack) middle(i int) float64 { return st.low + (float64(i)+0.5)*st.s.Layer }

// layFacets finds flat, sloped and turns.
//
// Under a facet that leans by b from the level, what is within n layers of
// height h below it is n·h·cos b thick, square to it; walls of the width r take
// r·sin b of that. Volumes are spread evenly over the layers they lie in.
func (st *stack) layFacets() {
	s := st.s
	n := max(leastSkin, math.Round(skin/s.Layer))
	depth, width := n*s.Layer, float64(s.Walls)*s.Nozzle
	flat, sloped, turns := newTally(st.layers), newTally(st.layers), newTally(st.layers)
	for t := range st.m.Triangles() {
		a, b, c := st.m.Corners(t)
		square := r3.Scale(0.5, r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
		area := math.Sqrt(r3.Norm2(square)) // r3.Norm takes care of overflow, and for it most of this pass
		across := r3.Dot(square, st.up)     // of the facet seen from above; up where it is a top
		if !(area > 0) {
			continue
		}
		ha, hb, hc := r3.Dot(st.up, a)-st.low, r3.Dot(st.up, b)-st.low, r3.Dot(st.up, c)-st.low
		low, high := min(ha, hb, hc), max(ha, hb, hc)
		turns.spread(low/s.Layer-0.5, high/s.Layer-0.5, math.Abs(across))
		if s.Sheet || across == 0 {
			continue
		}
		level := math.Abs(across) / area
		lean := math.Sqrt(max(0, 1-level*level))
		free := 1 - width*lean/(depth*level)
		if free <= 0 {
			continue
		}
		if across > 0 {
			low -= depth
		} else {
			high += depth
		}
		// Layers whose middle is in the depth.
		from, to := math.Ceil(low/s.Layer-0.5-1e-4), math.Floor(high/s.Layer-0.5+1e-4)
		volume := math.Abs(across) * depth * free
		flat.spread(from, to, volume*free/s.Layer)
		sloped.spread(from, to, volume*(1-free)/s.Layer)
	}
	st.flat, st.sloped, st.turns = flat.sums(), sloped.sums(), turns.sums()
}

// tally sums amounts spread over ranges of a row of places. It holds the
// differences from one place to the next.
type tally []float64

func newTally(n int) tally { return make(tally, n+1) }

// spread adds an amount in equal parts to the places from floor(from) to
// floor(to); the part of those off the row is lost.
func (t tally) spread(from, to, amount float64) {
	from, to = math.Floor(from), math.Floor(to)
	if to < from {
		to = from
	}
	each := amount / (to - from + 1)
	last := float64(len(t) - 2)
	if to < 0 || from > last {
		return
	}
	t[int(max(from, 0))] += each
	t[int(min(to, last))+1] -= each
}

// sums returns the amount at each place.
func (t tally) sums() []float64 {
	out := make([]float64, len(t)-1)
	var sum float64
	for i := range out {
		sum += t[i]
		out[i] = max(0, sum)
	}
	return out
}

// cuts returns the numbers of at most that many layers to be cut, ascending:
// the first two, which differ in speed, the last, both sides of where the
// section changes the most, and the rest so that as much height as change lies
// between any two.
func (st *stack) cuts(most int) []int {
	n := st.layers
	if n <= most {
		all := make([]int, n)
		for i := range all {
			all[i] = i
		}
		return all
	}
	want := map[int]bool{0: true, 1: true, n - 1: true}
	steps := make([]int, n-1)
	var change float64
	for i := range steps {
		steps[i] = i
		change += st.turns[i]
	}
	slices.SortStableFunc(steps, func(i, j int) int { return cmp.Compare(st.turns[j], st.turns[i]) })
	for _, i := range steps[:min(len(steps), most/6)] {
		want[i], want[i+1] = true, true
	}
	// Numbers that are there already leave room for others: all is used.
	for rest := most - len(want); rest > 0; rest = most - len(want) {
		before, way, next := len(want), 0.0, 0.5
		for i := range n - 1 {
			step := 0.5 / float64(n-1)
			if change > 0 {
				step += 0.5 * st.turns[i] / change
			}
			if way += step * float64(rest); way >= next {
				want[i] = true
				next = math.Floor(way) + 0.5
				if next <= way {
					next++
				}
			}
		}
		if len(want)-before < rest/4+1 {
			break
		}
	}
	out := make([]int, 0, len(want))
	for i := range want {
		out = append(out, i)
	}
	slices.Sort(out)
	return out
}

// cutLayers cuts the layers of the numbers given; ok is false where one of them
// would take too much work.
func (st *stack) cutLayers(numbers []int, workers int) (cut []layer, ok bool) {
	through := make([]r3.Vec, len(numbers))
	for k, i := range numbers {
		through[k] = r3.Scale(st.middle(i), st.up)
	}
	sections := section.Sweep(st.m, st.up, through)
	out := make([]layer, len(numbers))
	var failed atomic.Bool
	workers = max(1, min(workers, len(numbers)))
	var all sync.WaitGroup
	for w := range workers {
		all.Go(func() {
			o := outline{}
			for k := w; k < len(numbers) && !failed.Load(); k += workers {
				l, ok := o.layer(sections[k], st.s, st.s.speed(numbers[k]))
				if !ok {
					failed.Store(true)
				}
				out[k] = l
			}
		})
	}
	all.Wait()
	return out, !failed.Load()
}
