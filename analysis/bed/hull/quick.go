package hull

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"gambeson/analysis/mesh"
	"gambeson/analysis/pages"

	"gonum.org/v1/gonum/spatial/r3"
)

// quick grows a convex polyhedron point by point: C. B. Barber, D. P. Dobkin,
// H. Huhdanpaa, "The Quickhull Algorithm for Convex Hulls", ACM Transactions
// on Mathematical Software 22 (1996), 469–483. Every face keeps the points
// seen above it in a list; the farthest of a list is taken in next, the faces
// that it sees go, and a cone from it to their border takes their place.
//
// Which faces a point sees is decided exactly, so that those it sees hang
// together, no new face is without area, and a point above a face that goes is
// above one of those that come, or inside.
type quick struct {
	l     lattice
	spots []spot
	faces []face
	todo  []int32 // faces that may have a list
	seen  []int32 // faces that went last,
	came  []int32 // those that came instead,
	waits []int32 // and the points above those that went
	spare []int32 // places of faces that are gone
}

// spot is a point that was taken.
type spot struct {
	at    point
	id    uint32 // its vertex in the mesh
	next  int32  // the next in its list, -1 at the end
	first int32  // the new face whose border edge begins there
}

type face struct {
	v      [3]int32 // corners, counter-clockwise from outside
	across [3]int32 // the face across the edge from corner k to the next
	n      [3]int64 // exact, of no particular length
	unit   r3.Vec   // n at length 1
	d      float64  // unit·p on the face
	list   int32    // points above: the first, the farthest first of all; -1 for none
	far    float64  // how far that one is above
	gone   bool
}

// newQuick returns a polyhedron for the hull of so many vertices.
func newQuick(l lattice, vertices int) *quick {
	// Of a large part one vertex in a hundred is a corner, each of two faces.
	return &quick{l: l, faces: pages.Room[face](vertices / 50)}
}

// take adds the point p of vertex v.
func (q *quick) take(p point, v uint32) int32 {
	q.spots = append(q.spots, spot{at: p, id: v, next: -1, first: -1})
	return int32(len(q.spots) - 1)
}

// begin sets up the tetrahedron of four vertices that span one.
func (q *quick) begin(m *mesh.Mesh, simplex [4]uint32) {
	for _, v := range simplex {
		q.take(q.l.place(m.At(v)), v)
	}
	corners := [4]int32{0, 1, 2, 3}
	if above(normal(q.spots[0].at, q.spots[1].at, q.spots[2].at), q.spots[0].at, q.spots[3].at) {
		corners = [4]int32{1, 0, 2, 3}
	}
	a, b, c, d := corners[0], corners[1], corners[2], corners[3]
	for _, v := range [4][3]int32{{a, b, c}, {b, a, d}, {c, b, d}, {a, c, d}} {
		q.add(v)
	}
	q.faces[0].across = [3]int32{1, 2, 3}
	q.faces[1].across = [3]int32{0, 3, 2}
	q.faces[2].across = [3]int32{0, 1, 3}
	q.faces[3].across = [3]int32{0, 2, 1}
}

func (q *quick) add(v [3]int32) int32 {
	f := face{v: v, n: normal(q.spots[v[0]].at, q.spots[v[1]].at, q.spots[v[2]].at), list: -1}
	f.unit = unit(r3.Vec{X: float64(f.n[0]), Y: float64(f.n[1]), Z: float64(f.n[2])})
	f.d = r3.Dot(f.unit, q.spots[v[0]].at.vec())
	if n := len(q.spare); n > 0 {
		at := q.spare[n-1]
		q.spare = q.spare[:n-1]
		q.faces[at] = f
		return at
	}
	q.faces = append(q.faces, f)
	return int32(len(q.faces) - 1)
}

// over returns how far p lies above f.
func (f *face) over(p r3.Vec) float64 {
	return f.unit.X*p.X + f.unit.Y*p.Y + f.unit.Z*p.Z - f.d
}

// encloseAll grows the polyhedron until it holds all vertices. Most lie inside
// already and are never taken: of a large part some are taken in first, so that
// the polyhedron is nearly that of all.
func (q *quick) encloseAll(m *mesh.Mesh) {
	if n := m.Vertices(); n > 16*samples {
		random := rand.New(rand.NewPCG(1, 1)) // any will do, but the same each time
		some := make([]uint32, samples)
		for k := range some {
			some[k] = random.Uint32N(uint32(n))
		}
		q.enclose(m, some)
	}
	q.enclose(m, nil)
}

// samples is how many vertices are taken in before the others: by trial, of
// parts of 200,000 to 5 million triangles.
const samples = 4096

// enclose grows the polyhedron until it holds some vertices, all where none are
// named.
func (q *quick) enclose(m *mesh.Mesh, some []uint32) {
	q.sweep()
	outside := q.look(m, some)
	n := len(q.spots)
	for _, run := range outside {
		n += len(run)
	}
	q.spots = append(pages.Room[spot](n), q.spots...)
	for _, run := range outside {
		for _, v := range run {
			q.put(m, v)
		}
	}
	q.grow()
}

// numbers returns those of all faces.
func (q *quick) numbers() []int32 {
	out := make([]int32, len(q.faces))
	for f := range out {
		out[f] = int32(f)
	}
	return out
}

// sight is a vertex outside and the first face that it sees.
type sight struct {
	id   uint32
	face int32
}

// put takes a vertex and puts it into the list of the face that it sees.
func (q *quick) put(m *mesh.Mesh, s sight) {
	p := q.l.place(m.At(s.id))
	q.list(s.face, q.take(p, s.id), q.faces[s.face].over(p.vec()))
}

// look finds those of some vertices (nil: of all) that are outside, in their
// order, run after run: each processor looks at some. The faces stay as they are
// meanwhile.
func (q *quick) look(m *mesh.Mesh, some []uint32) [][]sight {
	n := len(some)
	if some == nil {
		n = m.Vertices()
	}
	var c *compass
	if n > worthCompass {
		c = newCompass(q)
	}
	var all []int32
	if c == nil {
		all = q.numbers()
	}
	outside := make([][]sight, runs(n, worth))
	inRuns(n, worth, func(run, from, to int) {
		out := pages.Room[sight]((to - from) / 8)
		for k := from; k < to; k++ {
			v := uint32(k)
			if some != nil {
				v = some[k]
			}
			may := all
			if c != nil {
				inside, sees, near := c.tell(q.l.exact(m.At(v)))
				if sees >= 0 {
					out = append(out, sight{id: v, face: sees})
				}
				if inside || sees >= 0 {
					continue
				}
				may = near
			}
			if s, ok := q.sight(m, v, may); ok {
				out = append(out, s)
			}
		}
		outside[run] = out
	})
	return outside
}

// worthCompass is how many vertices are worth a compass, which is made of all
// faces for each of its 864 squares.
const worthCompass = 1000

// worth is how many vertices are worth the start of a goroutine.
const worth = 10_000

// runs returns in how many runs n things are taken, of which so many are worth
// the start of a goroutine.
func runs(n, worth int) int { return max(1, min(runtime.GOMAXPROCS(0), n/worth)) }

// inRuns calls f for the numbers below n in runs of equal length at once, and
// waits.
func inRuns(n, worth int, f func(run, from, to int)) {
	parts := runs(n, worth)
	var group sync.WaitGroup
	for run := range parts {
		group.Go(func() { f(run, n*run/parts, n*(run+1)/parts) })
	}
	group.Wait()
}

// sight looks for the first of some faces that vertex v sees.
func (q *quick) sight(m *mesh.Mesh, v uint32, some []int32) (sight, bool) {
	p := q.l.place(m.At(v))
	at := p.vec()
	for _, f := range some {
		g := &q.faces[f]
		over := g.over(at)
		if over > -surely && (over > surely || above(g.n, q.spots[g.v[0]].at, p)) {
			return sight{id: v, face: f}, true
		}
	}
	return sight{}, false
}

// sweep drops the faces that are gone, in order to look through the others.
func (q *quick) sweep() {
	place := make([]int32, len(q.faces))
	kept := q.faces[:0]
	for i, f := range q.faces {
		if !f.gone {
			place[i] = int32(len(kept))
			kept = append(kept, f)
		}
	}
	for i := range kept {
		for k, g := range kept[i].across {
			kept[i].across[k] = place[g]
		}
	}
	q.faces, q.spare = kept, q.spare[:0]
}

// list puts point p, which lies over above face f, into its list.
func (q *quick) list(f, p int32, over float64) {
	g := &q.faces[f]
	switch {
	case g.list < 0:
		q.todo = append(q.todo, f)
		fallthrough
	case over > g.far:
		q.spots[p].next = g.list
		g.list, g.far = p, over
	default:
		q.spots[p].next, q.spots[g.list].next = q.spots[g.list].next, p
	}
}

// grow takes in the points of all lists.
func (q *quick) grow() {
	for len(q.todo) > 0 {
		f := q.todo[len(q.todo)-1]
		if q.faces[f].gone || q.faces[f].list < 0 {
			q.todo = q.todo[:len(q.todo)-1]
			continue
		}
		q.takeIn(f)
	}
}

// takeIn makes the farthest point above f a corner of the polyhedron.
func (q *quick) takeIn(f int32) {
	p := q.faces[f].list
	q.faces[f].list = q.spots[p].next
	q.see(p, f)
	q.came = q.came[:0]
	for _, g := range q.seen {
		q.cone(p, g)
	}
	for _, g := range q.came {
		// The face's edge from the border's end to p is the next one's from p.
		after := q.spots[q.faces[g].v[1]].first
		q.faces[g].across[1], q.faces[after].across[2] = after, g
	}
	q.handOn()
	q.spare = append(q.spare, q.seen...)
}

// surely is a distance in units far beyond the rounding of over: coordinates
// have 26 bits, over 53.
const surely = 1e-3

// sees reports whether p is above f, exactly.
func (q *quick) sees(p, f int32) bool {
	g := &q.faces[f]
	if over := g.over(q.spots[p].at.vec()); math.Abs(over) > surely {
		return over > 0
	}
	return above(g.n, q.spots[g.v[0]].at, q.spots[p].at)
}

// see collects in seen the faces that p sees, from f on, and marks them gone.
func (q *quick) see(p, f int32) {
	q.seen = append(q.seen[:0], f)
	q.faces[f].gone = true
	for k := 0; k < len(q.seen); k++ {
		for _, g := range q.faces[q.seen[k]].across {
			if !q.faces[g].gone && q.sees(p, g) {
				q.faces[g].gone = true
				q.seen = append(q.seen, g)
			}
		}
	}
}

// cone adds faces from p to those edges of g, which is gone, that border on
// faces that stay.
func (q *quick) cone(p, g int32) {
	for k, stays := range q.faces[g].across {
		if q.faces[stays].gone {
			continue
		}
		a, b := q.faces[g].v[k], q.faces[g].v[(k+1)%3]
		f := q.add([3]int32{a, b, p})
		q.came = append(q.came, f)
		q.spots[a].first = f
		q.faces[f].across[0] = stays
		for j, v := range q.faces[stays].v {
			if v == b {
				q.faces[stays].across[j] = f
			}
		}
	}
}

// handOn gives the points of the faces that went to the faces that came.
func (q *quick) handOn() {
	q.waits = q.waits[:0]
	for _, g := range q.seen {
		for p := q.faces[g].list; p >= 0; p = q.spots[p].next {
			q.waits = append(q.waits, p)
		}
	}
	for _, p := range q.waits {
		for _, f := range q.came {
			if q.sees(p, f) {
				q.list(f, p, q.faces[f].over(q.spots[p].at.vec()))
				break
			}
		}
	}
}

// hull returns the polyhedron.
func (q *quick) hull(m *mesh.Mesh) *Hull {
	q.sweep()
	h := &Hull{Faces: make([][3]int32, len(q.faces))}
	place := make([]int32, len(q.spots))
	for i, f := range q.faces {
		for k, v := range f.v {
			if place[v] == 0 {
				h.Points = append(h.Points, m.At(q.spots[v].id))
				place[v] = int32(len(h.Points))
			}
			h.Faces[i][k] = place[v] - 1
		}
	}
	return h
}
