package section

import (
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// tracer joins the pieces in which a plane meets single triangles into runs.
// It is made once and used for many planes, so that its memory is reused.
//
// A node is an edge of the mesh that crosses the plane; both triangles at the
// edge name the same node, so pieces are joined by number, never by distance.
// A piece has two ends: piece s runs from the node ends[2s], an edge that its
// triangle goes down, to ends[2s+1], one that it goes up, which has the
// material on its left where the triangle faces outward. An end is named by
// its place in ends; end e and end e^1 belong to one piece.
type tracer struct {
	m *mesh.Mesh
	f frame

	keys   []uint64 // of each node: vertex below, vertex above; or what stands for both
	places []r3.Vec // of each node: its point in space
	slots  []int32  // hash table: node + 1, 0 where empty

	ends   []int32
	pieces []hit   // of each piece: its triangle
	copies []int32 // as ends: pieces of duplicate triangles, set aside
	bad    bool    // whether any node is no place
	lost   int     // how many triangles have a corner that is not finite

	mate   []int32 // of each end: the end it goes on to, -1 for none
	first  []int32 // of each node: the first end there
	degree []int32 // of each node: how many ends meet there
	used   []bool  // of each piece: already in a run

	hits []hit   // triangles that the plane crosses, for those who find them
	line []int32 // the nodes of all runs, one run after the other
	runs []run

	brief  bool     // chains are good until the next plane
	points []r2.Vec // theirs, then
	list   []Chain
}

// run is a part of tracer.line: the nodes of one chain in order.
type run struct {
	from, to int
	closed   bool
}

// collect takes the pieces of the triangles hits, all of which have corners
// on both sides of the plane, and forgets the plane before.
func (tr *tracer) collect(f frame, hits []hit) {
	tr.begin(f, len(hits))
	for _, h := range hits {
		tr.add(h)
	}
}

// begin forgets the plane before, and makes room for about n pieces.
func (tr *tracer) begin(f frame, n int) {
	tr.f, tr.bad, tr.lost = f, false, 0
	tr.keys, tr.places = tr.keys[:0], tr.places[:0]
	tr.ends, tr.pieces, tr.copies = tr.ends[:0], tr.pieces[:0], tr.copies[:0]
	size := 16
	for size < 3*n {
		size *= 2
	}
	tr.slots = resize(tr.slots, size)
	clear(tr.slots)
}

// add takes the piece of a triangle. Triangles with a corner that is not
// finite, or with one corner named twice, have none.
func (tr *tracer) add(h hit) {
	lone, left, right, up := h.corners(tr.m)
	if left == right {
		return
	}
	var from, to int32
	if up {
		from, to = tr.node(left, lone), tr.node(right, lone)
	} else {
		from, to = tr.node(lone, right), tr.node(lone, left)
	}
	if tr.join(from, to) {
		tr.pieces = append(tr.pieces, h)
	}
}

// join adds a piece between two nodes, and reports whether both are places.
func (tr *tracer) join(from, to int32) bool {
	if tr.bad && (!finite(tr.places[from]) || !finite(tr.places[to])) {
		tr.lost++
		return false
	}
	tr.ends = append(tr.ends, from, to)
	return true
}

// node returns the node of the edge between two vertices, new or known.
func (tr *tracer) node(below, above uint32) int32 {
	id, known := tr.keyed(uint64(below)<<32 | uint64(above))
	if !known {
		tr.put(tr.f.cross(tr.m.At(below), tr.m.At(above)))
	}
	return id
}

// put gives the newest node its place.
func (tr *tracer) put(at r3.Vec) {
	tr.bad = tr.bad || !finite(at)
	tr.places = append(tr.places, at)
}

// keyed returns the node of a key. Where it is a new one, its place is missing.
func (tr *tracer) keyed(key uint64) (id int32, known bool) {
	mask := uint64(len(tr.slots) - 1)
	// Fibonacci hashing (Knuth, The Art of Computer Programming 3, 6.4).
	i := key * 0x9E3779B97F4A7C15 >> 32 & mask
	for ; tr.slots[i] != 0; i = (i + 1) & mask {
		if id := tr.slots[i] - 1; tr.keys[id] == key {
			return id, true
		}
	}
	tr.keys = append(tr.keys, key)
	tr.slots[i] = int32(len(tr.keys))
	return int32(len(tr.keys) - 1), false
}

// trace joins the pieces in ends into runs. Of pieces that lie between the
// same nodes in the same direction (duplicate triangles) only the first is
// used and the others are moved to copies, as far as that opens no loop.
func (tr *tracer) trace() {
	tr.line, tr.runs = tr.line[:0], tr.runs[:0]
	if tr.pair() {
		if tr.setAside() {
			tr.pair()
		}
		tr.untie()
	}
	tr.used = resize(tr.used, len(tr.ends)/2)
	clear(tr.used)
	for s := range tr.used {
		if !tr.used[s] {
			tr.follow(int32(2 * s))
		}
	}
}

// pair makes mates of the two ends that meet at each simple node, and reports
// whether any node may hold a duplicate: where more than two ends meet, or
// two of the same two pieces at both their ends.
func (tr *tracer) pair() (doubtful bool) {
	tr.mate = resize(tr.mate, len(tr.ends))
	tr.first = resize(tr.first, len(tr.keys))
	tr.degree = resize(tr.degree, len(tr.keys))
	clear(tr.degree)
	for i, node := range tr.ends {
		e := int32(i)
		tr.mate[e] = -1
		tr.degree[node]++
		switch tr.degree[node] {
		case 1:
			tr.first[node] = e
		case 2:
			other := tr.first[node]
			tr.mate[e], tr.mate[other] = other, e
			doubtful = doubtful || tr.ends[e^1] == tr.ends[other^1]
		default:
			doubtful = true
		}
	}
	return doubtful
}

// follow appends the run that holds the piece of end e. It goes with the
// pieces, or with most of their length where they disagree.
func (tr *tracer) follow(e int32) {
	start := e
	from := len(tr.line)
	closed, with, against := tr.walk(start)
	if !closed {
		// The run ended in the open: take it again from there, whole.
		last := tr.last(start)
		tr.line = tr.line[:from]
		start = last
		_, with, against = tr.walk(start)
	}
	if with == 0 || against > 0 && tr.along(start) < 0 {
		slices.Reverse(tr.line[from:])
	}
	tr.runs = append(tr.runs, run{from: from, to: len(tr.line), closed: closed})
}

// walk appends the nodes met from end e on, through its piece and on through
// mates, until it is back at e (which is not repeated) or in the open. It counts
// the pieces that it goes along with, and against.
func (tr *tracer) walk(e int32) (closed bool, with, against int32) {
	for at := e; ; {
		tr.used[at/2] = true
		against += at & 1
		with += 1 - at&1
		tr.line = append(tr.line, tr.ends[at])
		next := tr.mate[at^1]
		if next < 0 {
			tr.line = append(tr.line, tr.ends[at^1])
			return false, with, against
		}
		if next == e {
			return true, with, against
		}
		at = next
	}
}

// last returns the end in the open that a walk from e comes to.
func (tr *tracer) last(e int32) int32 {
	for at := e; ; {
		next := tr.mate[at^1]
		if next < 0 {
			return at ^ 1
		}
		at = next
	}
}

// along returns how much further the walk from end e goes with its pieces
// than against them. Lengths are |Δx|+|Δy|+|Δz|: enough to find the majority.
func (tr *tracer) along(e int32) float64 {
	var sum float64
	for at := e; ; {
		d := r3.Sub(tr.places[tr.ends[at^1]], tr.places[tr.ends[at]])
		length := abs(d.X) + abs(d.Y) + abs(d.Z)
		if at&1 == 0 {
			sum += length
		} else {
			sum -= length
		}
		next := tr.mate[at^1]
		if next < 0 || next == e {
			return sum
		}
		at = next
	}
}

// chains returns the runs as chains in plane coordinates. Points that fall
// together with the one before are left out, and so are chains that shrink to
// a point, or closed ones to a line.
func (tr *tracer) chains() []Chain {
	if len(tr.runs) == 0 {
		return nil
	}
	var points []r2.Vec
	var chains []Chain
	if tr.brief {
		points, chains = tr.points[:0], tr.list[:0]
	}
	points, chains = slices.Grow(points, len(tr.line)), slices.Grow(chains, len(tr.runs))
	if tr.brief {
		tr.points, tr.list = points, chains
	}
	for _, r := range tr.runs {
		start := len(points)
		for _, node := range tr.line[r.from:r.to] {
			p := tr.f.flat(tr.places[node])
			if len(points) == start || points[len(points)-1] != p {
				points = append(points, p)
			}
		}
		least := 2
		if r.closed {
			least = 3
			for len(points)-start > 1 && points[len(points)-1] == points[start] {
				points = points[:len(points)-1]
			}
		}
		if len(points)-start < least {
			points = points[:start]
			continue
		}
		chains = append(chains, Chain{Points: points[start:len(points):len(points)], Closed: r.closed})
	}
	return chains
}

// resize returns s with length n, its content undefined.
func resize[T any](s []T, n int) []T {
	if n <= cap(s) {
		return s[:n]
	}
	return make([]T, n, n+n/4)
}
