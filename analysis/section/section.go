// Package section cuts meshes by planes: sections as chains of straight
// pieces, capped halves, capped slabs. Meshes may be of any quality. Lengths
// are millimetres; all is computed in float64, and the same edge of a mesh
// gives the same point to the bit whoever asks.
package section

import (
	"cmp"
	"context"
	"math"
	"runtime"
	"slices"
	"sort"
	"sync"
	"sync/atomic"

	"gambeson/analysis/mesh"
	"gambeson/analysis/pages"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Section is where a plane meets a mesh. The order of the chains, and where a
// closed one begins, follow the order of the triangles in the mesh.
type Section struct {
	Plane  Plane
	Chains []Chain
}

// Around returns the index of the innermost closed chain round p (in plane
// coordinates), the one of least area, and false where there is none.
func (s Section) Around(p r2.Vec) (int, bool) {
	best, least := -1, 0.0
	for i, c := range s.Chains {
		if !c.Contains(p) {
			continue
		}
		if area := abs(c.Area()); best < 0 || area < least {
			best, least = i, area
		}
	}
	return best, best >= 0
}

// Nesting returns for each chain the index of the closed chain directly round
// it, -1 where there is none. Chains that cross each other are judged by the
// middle of the first piece of the smaller.
func (s Section) Nesting() []int {
	n := newNesting(s.Chains)
	return n.around()
}

// Open reports whether a chain of the section does not close.
func (s Section) Open() bool {
	return slices.ContainsFunc(s.Chains, func(c Chain) bool { return !c.Closed })
}

// Cut returns the section of m by p.
//
// A vertex on the plane, or so near that float32 could not have told, counts
// as above it. Every triangle is therefore cut clean through or not at all,
// and a closed mesh gives closed chains only, whatever it has on the plane. A
// section in the plane of facets is the limit from below, from the side that
// the Normal does not show to: the top of a box gives its outline, the bottom
// nothing.
//
// Chains follow the edges of the mesh by number. Where more than two facets
// meet in an edge, the loop of each solid there closes on itself and a fin
// becomes a chain of its own; duplicate facets count once. An open mesh gives
// open chains. Points that fall together are one, and a closed chain that
// shrinks to a point or a line is none.
func Cut(m *mesh.Mesh, p Plane) Section {
	s := Section{Plane: p}
	if f, ok := p.frame(); ok {
		tr := tracer{m: m}
		s.Chains = tr.cut(f, crossing(m, &f))
	}
	return s
}

// cut returns the chains in which f meets the triangles hits.
func (tr *tracer) cut(f frame, hits []hit) []Chain {
	tr.collect(f, hits)
	tr.trace()
	return tr.chains()
}

// crossing returns the triangles of m with corners on both sides of f, in order.
func crossing(m *mesh.Mesh, f *frame) []hit {
	up := sides(m, f)
	var hits []hit
	for i := 0; i+2 < len(m.T); i += 3 {
		if pattern := up.pattern(m.T[i], m.T[i+1], m.T[i+2]); pattern != 0 && pattern != 7 {
			hits = append(hits, newHit(i/3, pattern))
		}
	}
	return hits
}

// hit is a triangle that a plane crosses: its index, times eight, and three
// bits that say which corners are above, the first corner's bit lowest. It
// has room for 2²⁹ triangles, a file of 27 GB.
type hit uint32

func newHit(t int, pattern uint) hit { return hit(t)<<3 | hit(pattern) }

// corners returns the corners of the triangle in their order round it from
// the one that is alone on its side; up says that this one is above.
func (h hit) corners(m *mesh.Mesh) (lone, left, right uint32, up bool) {
	t := h >> 3
	a, b, c := m.T[3*t], m.T[3*t+1], m.T[3*t+2]
	switch k, up := alone(uint(h & 7)); k {
	case 0:
		return a, b, c, up
	case 1:
		return b, c, a, up
	default:
		return c, a, b, up
	}
}

// alone returns which corner of a pattern is alone on its side, and whether that
// is above.
func alone(pattern uint) (corner int, up bool) {
	switch pattern {
	case 0b001, 0b110:
		return 0, pattern == 0b001
	case 0b010, 0b101:
		return 1, pattern == 0b010
	}
	return 2, pattern == 0b100
}

// vertexSet is a set of vertices, one bit each, so that it stays in the cache
// while the triangles stream by.
type vertexSet []uint64

func (s vertexSet) has(v uint32) uint { return uint(s[v>>6]>>(v&63)) & 1 }

// pattern returns which of three vertices are in the set, a bit for each.
func (s vertexSet) pattern(u, v, w uint32) uint { return s.has(u) | s.has(v)<<1 | s.has(w)<<2 }

// sides returns the set of the vertices of m above f.
func sides(m *mesh.Mesh, f *frame) vertexSet {
	up := make(vertexSet, (m.Vertices()+63)/64)
	for v := range m.Vertices() {
		if f.above(m.At(uint32(v))) {
			up[v>>6] |= 1 << (v & 63)
		}
	}
	return up
}

// Sweep returns the sections of m by the planes square to normal through each
// of the points, in their order: the same as Cut on each, bit for bit, for
// the price of two looks at each triangle and of what is cut, on all cores.
func Sweep(m *mesh.Mesh, normal r3.Vec, through []r3.Vec) []Section {
	out := make([]Section, len(through))
	// Nothing ends it before it is done.
	_ = sweep(context.Background(), m, normal, through, false, func(i int, s Section) error { out[i] = s; return nil })
	return out
}

// SweepEach gives take the sections that Sweep returns, each with its number, some
// at once, for those who do not keep them: a section is good until take returns.
// However many there are, memory is taken for some. It ends early with an error of
// take, or of ctx.
func SweepEach(ctx context.Context, m *mesh.Mesh, normal r3.Vec, through []r3.Vec, take func(i int, s Section) error) error {
	return sweep(ctx, m, normal, through, true, take)
}

// sweep is SweepEach; only if brief is set are sections no longer good then.
func sweep(ctx context.Context, m *mesh.Mesh, normal r3.Vec, through []r3.Vec, brief bool, take func(i int, s Section) error) error {
	out, frames, index := framed(normal, through)
	if err := giveNone(out, index, take); err != nil {
		return err
	}
	most := maxLevels
	for from := 0; from < len(frames); {
		batch := frames[from:min(from+most, len(frames))]
		hits, ok := crossings(m, batch)
		if !ok {
			most = len(batch) / 2
			continue
		}
		if err := giveTurns(ctx, len(batch), func(tr *tracer, k int) error {
			tr.m, tr.brief = m, brief
			s := out[index[from+k]]
			s.Chains = tr.cut(batch[k], hits[k])
			return take(index[from+k], s)
		}); err != nil {
			return err
		}
		from += len(batch)
	}
	return nil
}

// giveNone gives take the sections by what are no planes: all those that index does
// not have.
func giveNone(out []Section, index []int, take func(i int, s Section) error) error {
	for i := range out {
		if len(index) > 0 && index[0] == i {
			index = index[1:]
			continue
		}
		if err := take(i, out[i]); err != nil {
			return err
		}
	}
	return nil
}

// giveTurns calls f for the numbers below n on all processors, with a tracer of each,
// until one returns an error or ctx ends.
func giveTurns(ctx context.Context, n int, f func(tr *tracer, k int) error) error {
	group, ctx := errgroup.WithContext(ctx)
	workers := min(runtime.GOMAXPROCS(0), n)
	for first := range workers {
		group.Go(func() error {
			var tr tracer
			for k := first; k < n; k += workers {
				if err := ctx.Err(); err != nil {
					return err
				}
				if err := f(&tr, k); err != nil {
					return err
				}
			}
			return nil
		})
	}
	return group.Wait()
}

// framed returns the sections by the planes square to normal through each of the
// points, still empty, and the frames of those that are planes, with the place of
// each in out.
func framed(normal r3.Vec, through []r3.Vec) (out []Section, frames []frame, index []int) {
	out = make([]Section, len(through))
	for i, p := range through {
		out[i].Plane = Plane{Point: p, Normal: normal}
		if f, ok := out[i].Plane.frame(); ok {
			frames, index = append(frames, f), append(index, i)
		}
	}
	return out, frames, index
}

// inTurn calls f on all processors at once, for n things of which each takes the
// first and then every step-th, and waits.
func inTurn(n int, f func(first, step int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	var all sync.WaitGroup
	for w := range workers {
		all.Go(func() { f(w, workers) })
	}
	all.Wait()
}

// maxLevels is how many planes one pass takes: as many as a uint16 counts.
const maxLevels = 1<<16 - 1

// mostCrossings is how many times triangles are noted for levels at once: 4 bytes
// each. More of them are taken in several goes.
var mostCrossings = 1 << 25

// crossings returns for each of the parallel frames what crossing returns for
// it alone; false where that is more than can be held at once, unless it is of one
// frame. The triangles are sorted by counting, on all processors: each takes
// a run of them, and knows from the counts of all where to put its own.
func crossings(m *mesh.Mesh, frames []frame) ([][]hit, bool) {
	l := newLevels(frames)
	r := ranks{m: m, of: pages.Full[uint16](m.Vertices())}
	n := frames[0].n
	along := alongAxis(m, n)
	inRuns(m.Vertices(), func(_, from, to int) {
		if along != nil {
			for v, x := range along[from:to] {
				r.of[from+v] = l.rank(topOf(x))
			}
			return
		}
		for v := from; v < to; v++ {
			r.of[v] = l.rank(top(n, m.At(uint32(v))))
		}
	})
	counts := make([][]uint32, runs(m.Triangles())) // of each run, of each level; then where its next one goes
	most := math.MaxInt
	if len(frames) > 1 {
		most = mostCrossings / len(counts)
	}
	var many atomic.Bool
	inRuns(m.Triangles(), func(run, from, to int) {
		counts[run] = make([]uint32, len(frames))
		if r.count(counts[run], from, to, most) > most {
			many.Store(true)
		}
	})
	if many.Load() {
		return nil, false
	}
	starts := make([]uint32, len(frames)+1)
	sum := uint32(0)
	for k := range frames {
		starts[k] = sum
		for _, count := range counts {
			n := count[k]
			count[k] = sum
			sum += n
		}
	}
	starts[len(frames)] = sum
	all := pages.Full[hit](int(sum))
	inRuns(m.Triangles(), func(run, from, to int) { r.put(all, counts[run], from, to) })
	out := make([][]hit, len(frames))
	for k, i := range l.order {
		out[i] = all[starts[k]:starts[k+1]]
	}
	return out, true
}

// alongAxis returns the coordinates of the vertices of m along n where that is an
// axis, else nil.
func alongAxis(m *mesh.Mesh, n r3.Vec) []float32 {
	if axis := axisOf(n); axis >= 0 {
		return [3][]float32{m.X, m.Y, m.Z}[axis]
	}
	return nil
}

// ranks are the ranks of the vertices of a mesh among the levels of a sweep. A
// triangle crosses the levels from its lowest corner's rank up to its highest
// corner's.
type ranks struct {
	m  *mesh.Mesh
	of []uint16
}

// count adds how many of the triangles from … to (not included) cross each
// level, and returns their sum; it ends where that is more than most.
func (r *ranks) count(n []uint32, from, to, most int) (sum int) {
	corners := r.m.T[3*from : 3*to]
	for i := 0; i+2 < len(corners); i += 3 {
		a, b, c := r.of[corners[i]], r.of[corners[i+1]], r.of[corners[i+2]]
		least, greatest := min(a, b, c), max(a, b, c)
		if sum += int(greatest - least); sum > most {
			return sum
		}
		for k := least; k < greatest; k++ {
			n[k]++
		}
	}
	return sum
}

// put puts those triangles at the places next of the levels that they cross.
func (r *ranks) put(all []hit, next []uint32, from, to int) {
	corners := r.m.T[3*from : 3*to]
	for i := 0; i+2 < len(corners); i += 3 {
		a, b, c := r.of[corners[i]], r.of[corners[i+1]], r.of[corners[i+2]]
		for k := min(a, b, c); k < max(a, b, c); k++ {
			all[next[k]] = newHit(from+i/3, above(a, k)|above(b, k)<<1|above(c, k)<<2)
			next[k]++
		}
	}
}

// runs returns in how many runs n things are worth being taken, of which each
// costs about a nanosecond or two.
func runs(n int) int { return max(1, min(runtime.GOMAXPROCS(0), n/20_000)) }

// inRuns calls f for the numbers below n in runs of equal length at once, and
// waits.
func inRuns(n int, f func(run, from, to int)) {
	parts := runs(n)
	var all sync.WaitGroup
	for run := range parts {
		all.Go(func() { f(run, n*run/parts, n*(run+1)/parts) })
	}
	all.Wait()
}

// above returns 1 where a vertex of that rank is above level k, else 0.
func above(rank, k uint16) uint {
	if rank > k {
		return 1
	}
	return 0
}

// binsEach is how many bins there are for each level: of levels that lie evenly
// most bins then hold none, and seldom is a level looked at.
const binsEach = 4

// levels are the heights from which on vertices are above the planes of a
// sweep, sorted.
type levels struct {
	d     []float64
	order []int    // of each level: its place in the list it came from
	start []uint16 // of each of equal bins from the first level to the last: the first level not below it
	bins  float64
}

func newLevels(frames []frame) levels {
	l := levels{d: make([]float64, len(frames)), order: make([]int, len(frames))}
	for i := range l.order {
		l.order[i] = i
	}
	reach := func(i int) float64 { return frames[i].low }
	slices.SortStableFunc(l.order, func(i, j int) int { return cmp.Compare(reach(i), reach(j)) })
	for k, i := range l.order {
		l.d[k] = reach(i)
	}
	n := len(l.d)
	if l.bins = float64(binsEach*n) / (l.d[n-1] - l.d[0]); l.bins > 1e300 {
		l.bins = 0
	}
	l.start = make([]uint16, binsEach*n+2)
	for b := range l.start {
		l.start[b] = uint16(sort.Search(n, func(k int) bool { return int((l.d[k]-l.d[0])*l.bins) >= b }))
	}
	return l
}

// rank returns how many levels are not above e, the height of a vertex with
// its slack: those of the frames that have it above.
func (l *levels) rank(e float64) uint16 {
	n := len(l.d)
	if !(e >= l.d[0]) {
		return 0
	}
	if e >= l.d[n-1] {
		return uint16(n)
	}
	b := int((e - l.d[0]) * l.bins)
	low, high := l.start[b], l.start[b+1]
	for high-low > 2 { // where the levels lie close
		if mid := low + (high-low)/2; l.d[mid] <= e {
			low = mid + 1
		} else {
			high = mid
		}
	}
	if high-low == 2 && l.d[low] <= e {
		low++
	}
	// Of the levels left one at most is not above e: without a branch, which nobody
	// could guess.
	if l.d[low] <= e {
		low++
	}
	return low
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
