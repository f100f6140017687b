package section

import (
	"context"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"

	"gambeson/analysis/mesh"
	"gambeson/analysis/pages"

	"gonum.org/v1/gonum/spatial/r3"
)

// Stream gives take the sections of the facets of a file by planes square to normal,
// each with its number, some at once, for those who want nothing else of the file: a
// section is good until take returns, what no plane meets is forgotten at once, and
// corners are joined for each plane alone, among the facets that it cuts.
//
// Which planes, through says: it is given how far the facets that have an area reach
// along the unit vector of normal, mm from the origin, and returns a point of each.
// The file is read once to find that out and once more for the sections, oftener
// where facets cross so many planes that memory would not hold it.
//
// The sections are those that Sweep gives of the mesh that Load makes of the file,
// to the bit, where Load finds no crack to join; only of a large file in no order,
// which Load sorts, the chains come in another order. A crack that a plane crosses
// leaves open chains here.
//
// It ends early with an error of reading the file, of take or of ctx.
func Stream(ctx context.Context, st *mesh.Stream, normal r3.Vec, through func(low, high float64) []r3.Vec, take func(i int, s Section) error) error {
	low, high, err := reach(ctx, st, normal)
	if err != nil {
		return err
	}
	out, frames, index := framed(normal, through(low, high))
	if err := giveNone(out, index, take); err != nil {
		return err
	}
	most := maxLevels
	for from := 0; from < len(frames); {
		batch := frames[from:min(from+most, len(frames))]
		met, ok, err := gather(ctx, st, batch)
		if err != nil {
			return err
		}
		if !ok {
			most = len(batch) / 2
			continue
		}
		if err := giveTurns(ctx, len(batch), func(tr *tracer, k int) error {
			tr.brief = true
			tr.gathered(met, k, batch[k])
			tr.trace()
			s := out[index[from+k]]
			s.Chains = tr.chains()
			return take(index[from+k], s)
		}); err != nil {
			return err
		}
		from += len(batch)
	}
	return nil
}

// reach returns how far the facets that have an area reach along the unit vector of
// normal: 0 and 0 where that is none, and where there are none.
func reach(ctx context.Context, st *mesh.Stream, normal r3.Vec) (low, high float64, err error) {
	n, _ := direction(normal)
	spans := make([][2]float64, st.Runs())
	for i := range spans {
		spans[i] = [2]float64{math.Inf(1), math.Inf(-1)}
	}
	axis := axisOf(n)
	err = st.Each(ctx, func(run int, facets []mesh.Facet) {
		low, high := spans[run][0], spans[run][1]
		for i := range facets {
			f := &facets[i]
			for k := range 3 {
				var h float64
				if axis >= 0 {
					h = float64(f.At(k, axis))
				} else {
					h, _ = height(n, corner(f, k))
				}
				if (h < low || h > high) && !thin(f) {
					low, high = min(low, h), max(high, h)
				}
			}
		}
		spans[run] = [2]float64{low, high}
	})
	for _, s := range spans {
		spans[0] = [2]float64{min(spans[0][0], s[0]), max(spans[0][1], s[1])}
	}
	if low, high = spans[0][0], spans[0][1]; low > high {
		return 0, 0, err
	}
	return low, high, err
}

// thin reports whether two corners of f are in one place, so that Load leaves it out.
func thin(f *mesh.Facet) bool {
	a, b, c := corner(f, 0), corner(f, 1), corner(f, 2)
	return a == b || b == c || c == a
}

// axisOf returns the axis along which n lies, forward, −1 where there is none.
func axisOf(n r3.Vec) int {
	return slices.Index([]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, n)
}

// corner returns the place of corner k of f.
func corner(f *mesh.Facet, k int) r3.Vec {
	return r3.Vec{X: float64(f.At(k, 0)), Y: float64(f.At(k, 1)), Z: float64(f.At(k, 2))}
}

// ranked is a facet that some planes of a sweep cross, with the ranks of its
// corners among their levels.
type ranked struct {
	at    [9]float32 // x, y and z of the first corner, of the second, of the third
	ranks [3]uint16
}

// gathered is the facets of a file that some parallel frames cross.
type gathered struct {
	runs    []gatheredRun
	level   []int // of each frame: its level
	corners corners
}

// gatheredRun is what a run of the file has of them.
type gatheredRun struct {
	blocks    [][]ranked
	n         int
	crossings int      // of facets with levels
	next      []int    // of each level: how many cross it; then where the next one goes in order
	order     []uint32 // the numbers of those that cross the first level, the second, …
}

// gatheredBlock is how many facets are given room at once: 2.9 MB, about a large
// page of memory.
const gatheredBlock = 1 << 16

func (r *gatheredRun) at(i uint32) *ranked { return &r.blocks[i/gatheredBlock][i%gatheredBlock] }

func (r *gatheredRun) add(f *mesh.Facet, ranks [3]uint16) {
	if r.n%gatheredBlock == 0 {
		r.blocks = append(r.blocks, pages.Room[ranked](gatheredBlock))
	}
	last := &r.blocks[len(r.blocks)-1]
	*last = append(*last, ranked{[9]float32{
		f.At(0, 0), f.At(0, 1), f.At(0, 2),
		f.At(1, 0), f.At(1, 1), f.At(1, 2),
		f.At(2, 0), f.At(2, 1), f.At(2, 2),
	}, ranks})
	r.n++
	least, greatest := min(ranks[0], ranks[1], ranks[2]), max(ranks[0], ranks[1], ranks[2])
	r.crossings += int(greatest - least)
	for k := least; k < greatest; k++ {
		r.next[k]++
	}
}

// sort puts the facets in the order of the levels, those of one in their own.
func (r *gatheredRun) sort() {
	sum := 0
	for k, n := range r.next {
		r.next[k] = sum
		sum += n
	}
	r.order = pages.Full[uint32](sum)
	for i := range uint32(r.n) {
		a, b, c := r.at(i).ranks[0], r.at(i).ranks[1], r.at(i).ranks[2]
		for k := min(a, b, c); k < max(a, b, c); k++ {
			r.order[r.next[k]] = i
			r.next[k]++
		}
	}
}

// crossing returns the numbers of the facets that cross level k.
func (r *gatheredRun) crossing(k int) []uint32 {
	if k == 0 {
		return r.order[:r.next[0]]
	}
	return r.order[r.next[k-1]:r.next[k]]
}

// gather returns the facets that the frames cross; false where that is more than can
// be held at once, unless it is of one frame.
func gather(ctx context.Context, st *mesh.Stream, frames []frame) (met *gathered, ok bool, err error) {
	l := newLevels(frames)
	g := &gathered{runs: make([]gatheredRun, st.Runs()), level: make([]int, len(frames)), corners: newCorners()}
	for k, i := range l.order {
		g.level[i] = k
	}
	for i := range g.runs {
		g.runs[i].next = make([]int, len(frames))
	}
	most := math.MaxInt
	if len(frames) > 1 {
		most = mostCrossings / len(g.runs)
	}
	n := frames[0].n
	axis := axisOf(n)
	err = st.Each(ctx, func(run int, facets []mesh.Facet) {
		r := &g.runs[run]
		for i := range facets {
			if r.crossings > most {
				return
			}
			f := &facets[i]
			var a, b, c float64
			if axis >= 0 {
				a, b, c = topOf(f.At(0, axis)), topOf(f.At(1, axis)), topOf(f.At(2, axis))
			} else {
				a, b, c = top(n, corner(f, 0)), top(n, corner(f, 1)), top(n, corner(f, 2))
			}
			least := l.rank(min(a, b, c))
			if int(least) == len(frames) || max(a, b, c) < l.d[least] {
				continue
			}
			r.add(f, [3]uint16{l.rankFrom(least, a), l.rankFrom(least, b), l.rankFrom(least, c)})
		}
	})
	if err != nil {
		return nil, false, err
	}
	if slices.ContainsFunc(g.runs, func(r gatheredRun) bool { return r.crossings > most }) {
		return nil, false, nil
	}
	inTurn(len(g.runs), func(first, step int) {
		for i := first; i < len(g.runs); i += step {
			g.runs[i].sort()
		}
	})
	return g, true, nil
}

// top returns how far along n a corner reaches, with its slack.
func top(n, p r3.Vec) float64 {
	h, slack := height(n, p)
	return h + slack
}

// topOf is top of a coordinate along its own axis.
func topOf(x float32) float64 {
	h := float64(x)
	return h + grain*max(h, -h)
}

// rankFrom is rank for what is known not to be below level from.
func (l *levels) rankFrom(from uint16, e float64) uint16 {
	for int(from) < len(l.d) && l.d[from] <= e {
		from++
	}
	return from
}

// corners names the corners of facets by what stands for their places: by 64 bits
// each, with numbers that no file can know, so that of the corners that planes meet
// no two are likely to be taken for one: not once in a thousand million files.
type corners [4]uint64

// newCorners returns names that nobody had before.
func newCorners() corners {
	return corners{rand.Uint64() | 1, rand.Uint64() | 1, rand.Uint64() | 1, rand.Uint64() | 1}
}

// name returns what stands for the place of corner k.
func (c *corners) name(r *ranked, k int) uint64 {
	x, y, z := math.Float32bits(r.at[3*k]), math.Float32bits(r.at[3*k+1]), math.Float32bits(r.at[3*k+2])
	return mixed(uint64(x)^c[0], uint64(y)<<32^uint64(z)^c[1])
}

// edge returns what stands for the edge between two named corners.
func (c *corners) edge(below, above uint64) uint64 { return mixed(below^c[2], above^c[3]) }

// mixed returns both halves of a product on each other, which hides its factors.
func mixed(a, b uint64) uint64 {
	high, low := bits.Mul64(a, b)
	return high ^ low
}

// gathered takes the pieces of the facets that frame i crosses, as collect does of
// those of a mesh.
func (tr *tracer) gathered(g *gathered, i int, f frame) {
	k := g.level[i]
	n := 0
	for r := range g.runs {
		n += len(g.runs[r].crossing(k))
	}
	tr.begin(f, n)
	for r := range g.runs {
		run := &g.runs[r]
		for _, number := range run.crossing(k) {
			tr.addFacet(run.at(number), uint16(k), &g.corners)
		}
	}
}

// addFacet takes the piece of a facet that crosses level k.
func (tr *tracer) addFacet(r *ranked, k uint16, c *corners) {
	lone, up := alone(above(r.ranks[0], k) | above(r.ranks[1], k)<<1 | above(r.ranks[2], k)<<2)
	left, right := (lone+1)%3, (lone+2)%3
	names := [3]uint64{c.name(r, 0), c.name(r, 1), c.name(r, 2)}
	if names[left] == names[right] {
		return
	}
	node := func(below, above int) int32 {
		id, known := tr.keyed(c.edge(names[below], names[above]))
		if !known {
			tr.put(tr.f.cross(r.place(below), r.place(above)))
		}
		return id
	}
	if up {
		tr.join(node(left, lone), node(right, lone))
	} else {
		tr.join(node(lone, right), node(lone, left))
	}
}

// place returns the place of corner k.
func (r *ranked) place(k int) r3.Vec {
	return r3.Vec{X: float64(r.at[3*k]), Y: float64(r.at[3*k+1]), Z: float64(r.at[3*k+2])}
}
