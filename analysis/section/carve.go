package section

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Carve parts the material of m along a convex region, the points that are
// above none of the sides: inside is what m has there, outside is all the
// rest. Both are solids of their own, without walls in them: a closed mesh
// gives two closed ones (either may be empty) whose volumes sum to its own,
// and where they meet they have the same triangles, turned the other way.
//
// Only triangles that meet the region are cut; the others are in outside or
// inside as they are. A facet in a side belongs to the part whose material it
// bounds. Each shell is capped by its winding, as Halves does it, so walls may
// overlap; f says, for all sides in sum, what could not be capped.
//
// Without sides all of m is inside. Where a side is no plane none of it is.
func Carve(m *mesh.Mesh, sides []Plane) (inside, outside *mesh.Mesh, f Flaws) {
	m, lost := sound(m)
	f.Lost = lost
	frames := make([]frame, len(sides))
	for i, p := range sides {
		var ok bool
		if frames[i], ok = p.frame(); !ok {
			return &mesh.Mesh{}, m.Clone(), f
		}
	}
	c := newCarving(m)
	for i := range frames {
		f = f.And(c.cut(frames[i]))
	}
	c.collapse()
	c.fill()
	return c.inside(), c.outside(), f
}

// carving is a mesh on its way into a region, cut by one side after the other.
//
// What is left of it, whole triangles, faces and lids, is always a surface as
// closed as the mesh was. When the last side has been cut that is the inside.
// The outside is the mesh less the inside, and as the difference of two closed
// surfaces it is closed too: each triangle gives what its own face leaves of
// it, and each lid is turned round. Neither depends on what rounding does to
// the place of a vertex, only on that both use the same one.
type carving struct {
	m     *mesh.Mesh  // not changed
	grown *mesh.Mesh  // its vertices and, behind them, those of the cuts; in the end T holds the caps
	whole []int32     // triangles that no side has cut
	faces faces       // pieces of triangles
	lids  []lid       // in the sides so far
	split []edgePoint // vertices that cuts made on edges of the mesh

	// The cut being made.
	f    frame
	side []int8 // of each vertex: below -1, on the side 0, above 1
	rims []rim
	tr   *tracer
	ids  []uint32 // of each node of the tracer: its vertex
}

// faces are convex polygons, one after the other.
type faces struct {
	corners []uint32
	along   []uint8 // of each corner: the edge, 0 to 2, of the triangle on which the face goes on from there, or chord
	ends    []int   // of each face: where its corners end
	origin  []int32 // of each face: the triangle it is part of
}

// chord is an edge of a face within its triangle.
const chord = 3

// lid is a part of what closes the mesh in one side: a polygon, with its
// holes. Only its border is kept, edges from one vertex to another that form
// loops with the lid on their left, and is filled when all cuts are made: else
// cuts would run across the triangles of lids and leave vertices that nothing
// needs. Where shells overlap each has lids of its own.
type lid struct {
	f     frame
	edges [][2]uint32
}

// edgePoint is a vertex that a cut made on an edge of the mesh.
type edgePoint struct {
	edge uint64 // edgeOf its ends
	v    uint32
}

// edgeOf names an edge: the lower vertex, then the higher.
func edgeOf(a, b uint32) uint64 { return uint64(min(a, b))<<32 | uint64(max(a, b)) }

// rim is an edge of a face with both ends on the side: from the corner low to
// high, or back.
type rim struct {
	low, high uint32
	back      bool
	kept      bool // the face stays below the side
}

func newCarving(m *mesh.Mesh) *carving {
	c := &carving{
		m:     m,
		grown: &mesh.Mesh{X: slices.Clone(m.X), Y: slices.Clone(m.Y), Z: slices.Clone(m.Z)},
		whole: make([]int32, 0, m.Triangles()),
	}
	for t := range m.Triangles() {
		if distinct(m.T[3*t], m.T[3*t+1], m.T[3*t+2]) {
			c.whole = append(c.whole, int32(t))
		}
	}
	return c
}

func distinct(a, b, c uint32) bool { return a != b && b != c && c != a }

// corners returns the corners of triangle t of the mesh.
func (c *carving) corners(t int32) []uint32 { return c.m.T[3*t : 3*t+3] }

// span returns where face i has its corners.
func (s *faces) span(i int) (from, to int) {
	if i > 0 {
		from = s.ends[i-1]
	}
	return from, s.ends[i]
}

// at returns the corners of face i.
func (s *faces) at(i int) []uint32 {
	from, to := s.span(i)
	return s.corners[from:to]
}

// copy adds face i of other.
func (s *faces) copy(other *faces, i int) {
	from, to := other.span(i)
	s.corners = append(s.corners, other.corners[from:to]...)
	s.along = append(s.along, other.along[from:to]...)
	s.end(other.origin[i])
}

// corner adds a corner to the face that the next call of end completes.
func (s *faces) corner(v uint32, along uint8) {
	s.corners = append(s.corners, v)
	s.along = append(s.along, along)
}

// end completes a face, or takes it back if it has fewer than three corners.
func (s *faces) end(origin int32) {
	from := 0
	if n := len(s.ends); n > 0 {
		from = s.ends[n-1]
	}
	if len(s.corners)-from < 3 {
		s.corners, s.along = s.corners[:from], s.along[:from]
		return
	}
	s.ends = append(s.ends, len(s.corners))
	s.origin = append(s.origin, origin)
}

// triangle adds triangle t of m.
func (s *faces) triangle(m *mesh.Mesh, t int32) {
	s.corners = append(s.corners, m.T[3*t:3*t+3]...)
	s.along = append(s.along, 0, 1, 2)
	s.end(t)
}

// cut takes away what lies above f and closes the rest there.
func (c *carving) cut(f frame) Flaws {
	c.f = f
	c.judge()
	crossed := c.sift()
	c.newTracer(&crossed)
	for i := range crossed.ends {
		c.clip(&crossed, i)
	}
	for i := range c.lids {
		c.clipLid(&c.lids[i])
	}
	c.joinRims()
	return c.close()
}

// judge finds the side of each vertex. One that float32 could have moved off
// the plane is on it.
func (c *carving) judge() {
	c.side = resize(c.side, c.grown.Vertices())
	for v := range c.side {
		h, slack := height(c.f.n, c.grown.At(uint32(v)))
		switch {
		case h+slack < c.f.low:
			c.side[v] = -1
		case h-slack > c.f.high:
			c.side[v] = 1
		default:
			c.side[v] = 0
		}
	}
}

// sift takes away what does not stay as it is, and returns of that what
// crosses the plane.
func (c *carving) sift() (crossed faces) {
	c.rims = c.rims[:0]
	stay := c.whole[:0]
	for _, t := range c.whole {
		switch c.fate(c.corners(t), t) {
		case stays:
			stay = append(stay, t)
		case crosses:
			crossed.triangle(c.m, t)
		}
	}
	c.whole = stay
	old := c.faces
	c.faces = faces{}
	for i, origin := range old.origin {
		switch c.fate(old.at(i), origin) {
		case stays:
			c.faces.copy(&old, i)
		case crosses:
			crossed.copy(&old, i)
		}
	}
	return crossed
}

// What becomes of a face by a cut.
const (
	goes = iota
	stays
	crosses
)

// fate returns what becomes of a face, and notes its rims unless it crosses.
func (c *carving) fate(corners []uint32, origin int32) int {
	low, high := int8(1), int8(-1)
	for _, v := range corners {
		s := c.side[v]
		low, high = min(low, s), max(high, s)
	}
	fate := goes
	switch {
	case low > 0:
		return goes
	case low < 0 && high > 0:
		return crosses
	case high < 0:
		return stays
	case low < 0, high == 0 && c.facesUp(origin):
		fate = stays
	}
	for k, v := range corners {
		c.addRim(v, corners[(k+1)%len(corners)], fate == stays)
	}
	return fate
}

// facesUp reports whether a face of triangle t, which lies in the plane, has
// its material below. All faces of one triangle get the same answer.
func (c *carving) facesUp(t int32) bool {
	p, q, r := c.m.Corners(int(t))
	return r3.Dot(r3.Cross(r3.Sub(q, p), r3.Sub(r, p)), c.f.n) > 0
}

// addRim notes the edge from v to w of a face if both lie on the side.
func (c *carving) addRim(v, w uint32, kept bool) {
	if c.side[v] == 0 && c.side[w] == 0 {
		c.rims = append(c.rims, rim{low: min(v, w), high: max(v, w), back: v > w, kept: kept})
	}
}

// newTracer makes a tracer with room for the nodes of the cut.
func (c *carving) newTracer(crossed *faces) {
	// Each corner may make a node, each rim and each edge of a lid two.
	nodes := 3*len(crossed.corners) + 2*len(c.rims)
	for _, l := range c.lids {
		nodes += 4 * len(l.edges)
	}
	size := 16
	for size < nodes*3/2 {
		size *= 2
	}
	c.tr = &tracer{m: c.grown, f: c.f, slots: make([]int32, size)}
	c.ids = c.ids[:0]
}

// node returns the node of the edge between a vertex below and one above, or
// of a vertex on the side, which is given twice.
func (c *carving) node(below, above uint32) int32 {
	n := c.tr.node(below, above)
	if int(n) == len(c.ids) {
		v := below
		if below != above {
			v = c.grown.AddVertex(c.tr.places[n])
		}
		c.ids = append(c.ids, v)
	}
	return n
}

// clip keeps what face i of crossed has below the plane, and gives the tracer
// the pieces in which the two meet. (A convex face has one; of one that
// rounding has bent there may be more.)
func (c *carving) clip(crossed *faces, i int) {
	corners := crossed.at(i)
	from, _ := crossed.span(i)
	n := len(corners)
	first := slices.IndexFunc(corners, func(v uint32) bool { return c.side[v] < 0 })
	t := crossed.origin[i]
	var up int32 // the node where the walk round the face last left the kept side
	for k := first; k < first+n; k++ {
		v, w, along := corners[k%n], corners[(k+1)%n], crossed.along[from+k%n]
		switch here, next := c.side[v], c.side[w]; {
		case here <= 0 && next <= 0:
			c.faces.corner(v, along)
			c.addRim(v, w, true)
		case here == 0:
			up = c.node(v, v)
			c.faces.corner(v, chord)
		case here < 0:
			up = c.node(v, w)
			c.faces.corner(v, along)
			c.faces.corner(c.ids[up], chord)
			c.note(t, along, c.ids[up])
		case next < 0:
			down := c.node(w, v)
			c.faces.corner(c.ids[down], along)
			c.note(t, along, c.ids[down])
			c.tr.ends = append(c.tr.ends, down, up)
		case next == 0:
			c.tr.ends = append(c.tr.ends, c.node(w, w), up)
		}
	}
	c.faces.end(t)
}

// note remembers that v lies on an edge of triangle t, if it does.
func (c *carving) note(t int32, along uint8, v uint32) {
	if along != chord {
		corners := c.corners(t)
		c.split = append(c.split, edgePoint{edgeOf(corners[along], corners[(along+1)%3]), v})
	}
}

// clipLid keeps what a lid has below the plane, and gives the tracer the
// pieces in which the two meet.
func (c *carving) clipLid(l *lid) {
	if !c.crossesLid(l) {
		return
	}
	var kept [][2]uint32
	var line []landing
	for _, e := range l.edges {
		v, w := e[0], e[1]
		here, next := c.side[v], c.side[w]
		stays := here < 0 && next <= 0 || here == 0 && next < 0
		if here == 0 && next == 0 {
			stays = r3.Dot(r3.Cross(l.f.n, r3.Sub(c.grown.At(w), c.grown.At(v))), c.f.n) < 0
			c.addRim(v, w, stays)
		}
		by := 0
		if stays {
			by = 1
			kept = append(kept, e)
		}
		if here == 0 {
			line = append(line, landing{c.node(v, v), -by})
		}
		if next == 0 {
			line = append(line, landing{c.node(w, w), by})
		}
		switch {
		case here < 0 && next > 0:
			n := c.node(v, w)
			kept = append(kept, [2]uint32{v, c.ids[n]})
			line = append(line, landing{n, 1})
		case here > 0 && next < 0:
			n := c.node(w, v)
			kept = append(kept, [2]uint32{c.ids[n], w})
			line = append(line, landing{n, -1})
		}
	}
	l.edges = c.closeLine(kept, line, r3.Cross(c.f.n, l.f.n))
}

// crossesLid reports whether a lid has some of its border below the plane and
// some above. One that has not stays as it is or goes; one that lies in the
// plane is made again.
func (c *carving) crossesLid(l *lid) bool {
	low, high := int8(1), int8(-1)
	for _, e := range l.edges {
		low, high = min(low, c.side[e[0]]), max(high, c.side[e[0]])
	}
	if low < 0 && high > 0 {
		return true
	}
	kept := low < 0
	for _, e := range l.edges {
		c.addRim(e[0], e[1], kept)
	}
	if !kept {
		l.edges = nil
	}
	return false
}

// landing is a node where the border of a lid comes to the line in which two
// sides meet, by 1, leaves it, by -1, or only touches it from above.
type landing struct {
	node int32
	by   int
}

// closeLine adds to the border of a lid the stretches of a line along a
// direction that close it, and gives the tracer the same the other way round.
// Going along the line, the lid is there where its border has come to the line
// more often than it has left it.
func (c *carving) closeLine(border [][2]uint32, line []landing, along r3.Vec) [][2]uint32 {
	at := make([]float64, len(c.ids))
	for _, l := range line {
		at[l.node] = r3.Dot(along, c.grown.At(c.ids[l.node]))
	}
	slices.SortFunc(line, func(a, b landing) int {
		return cmp.Or(cmp.Compare(at[a.node], at[b.node]), cmp.Compare(a.node, b.node), cmp.Compare(a.by, b.by))
	})
	depth, last := 0, int32(-1)
	for stop := range groups(line, func(a, b landing) bool { return a.node == b.node }) {
		here := stop[0].node
		from, to := last, here
		if depth < 0 {
			from, to = to, from
		}
		for range max(depth, -depth) {
			border = append(border, [2]uint32{c.ids[from], c.ids[to]})
			c.tr.ends = append(c.tr.ends, to, from)
		}
		for _, l := range stop {
			depth += l.by
		}
		last = here
	}
	return border
}

// joinRims gives the tracer the pieces along edges on the side that have a
// kept face at one hand and a dropped one at the other.
func (c *carving) joinRims() {
	same := func(a, b rim) bool { return a.low == b.low && a.high == b.high }
	slices.SortFunc(c.rims, func(a, b rim) int {
		return cmp.Or(cmp.Compare(a.low, b.low), cmp.Compare(a.high, b.high))
	})
	for edge := range groups(c.rims, same) {
		var kept, dropped int // how many go from low to high more than back
		for _, r := range edge {
			by := 1
			if r.back {
				by = -1
			}
			if r.kept {
				kept += by
			} else {
				dropped += by
			}
		}
		// The lid goes along its edge the other way than the kept face.
		from, to := edge[0].high, edge[0].low
		if kept < 0 {
			from, to = to, from
		}
		for range min(max(kept, -kept), max(dropped, -dropped)) {
			c.tr.ends = append(c.tr.ends, c.node(from, from), c.node(to, to))
		}
	}
}

// close makes the lids in the side that has been cut.
func (c *carving) close() Flaws {
	points := c.lay(c.f, c.ids)
	loops, flaws := c.loops(c.tr, c.ids, points)
	for _, p := range polygons(points, loops) {
		l := lid{f: c.f}
		for _, loop := range append(p.holes, p.outer) {
			if p.turned {
				loop = reversed(loop)
			}
			for k, n := range loop {
				l.edges = append(l.edges, [2]uint32{c.ids[n], c.ids[loop[(k+1)%len(loop)]]})
			}
		}
		c.lids = append(c.lids, l)
	}
	return flaws
}

// lay returns the places of vertices in a plane.
func (c *carving) lay(f frame, ids []uint32) []r2.Vec {
	points := make([]r2.Vec, len(ids))
	for i, v := range ids {
		points[i] = f.flat(c.grown.At(v))
	}
	return points
}

// loops joins the pieces of tr to loops of its nodes, of which ids are the
// vertices and points the places. Gaps are bridged as Halves does it.
func (c *carving) loops(tr *tracer, ids []uint32, points []r2.Vec) (loops [][]uint32, f Flaws) {
	for len(tr.ends) > 0 {
		tr.trace()
		some, flaws := tr.loops(points, func(node int32) uint32 { return uint32(node) }, func(n uint32) r3.Vec { return c.grown.At(ids[n]) })
		loops, f = append(loops, some...), f.And(flaws)
		// Duplicate triangles are a skin of their own, closed like the first.
		tr.ends, tr.copies = tr.copies, nil
	}
	return slices.DeleteFunc(loops, func(loop []uint32) bool { return len(loop) < 3 }), f
}

// fill makes the triangles of all lids.
func (c *carving) fill() {
	index := map[uint32]int32{} // of each vertex: its node
	for _, l := range c.lids {
		clear(index)
		tr := &tracer{m: c.grown, f: l.f}
		var ids []uint32
		node := func(v uint32) int32 {
			n, ok := index[v]
			if !ok {
				n = int32(len(ids))
				index[v], ids = n, append(ids, v)
				tr.keys, tr.places = append(tr.keys, 0), append(tr.places, c.grown.At(v))
			}
			return n
		}
		for _, e := range l.edges {
			if e[0] != e[1] {
				tr.ends = append(tr.ends, node(e[0]), node(e[1]))
			}
		}
		points := c.lay(l.f, ids)
		loops, _ := c.loops(tr, ids, points)
		for _, n := range Triangulate(points, loops) {
			c.grown.T = append(c.grown.T, ids[n])
		}
	}
}

// collapse makes one of the two ends of each edge that the cuts have left
// without length, as float32 has it, in faces, in lids and on the edges of the
// mesh alike. Vertices of the mesh stay apart.
func (c *carving) collapse() {
	same := c.sameVertices()
	if len(same) == 0 {
		return
	}
	for k, v := range c.faces.corners {
		c.faces.corners[k] = same.root(v)
	}
	for k, p := range c.split {
		c.split[k].v = same.root(p.v)
	}
	for _, l := range c.lids {
		for k, e := range l.edges {
			l.edges[k] = [2]uint32{same.root(e[0]), same.root(e[1])}
		}
	}
}

// sameVertices returns which vertices are one.
func (c *carving) sameVertices() aliases {
	own := uint32(c.m.Vertices())
	same := aliases{}
	join := func(v, w uint32) {
		if max(v, w) < own || c.grown.At(v) != c.grown.At(w) {
			return
		}
		if v, w = same.root(v), same.root(w); v != w && max(v, w) >= own {
			same[max(v, w)] = min(v, w)
		}
	}
	for i := range c.faces.ends {
		corners := c.faces.at(i)
		for k, v := range corners {
			join(v, corners[(k+1)%len(corners)])
		}
	}
	for _, l := range c.lids {
		for _, e := range l.edges {
			join(e[0], e[1])
		}
	}
	return same
}

// aliases names for a vertex another, lower by number, that it is one with.
type aliases map[uint32]uint32

// root returns the lowest vertex that v is one with.
func (a aliases) root(v uint32) uint32 {
	for {
		w, ok := a[v]
		if !ok {
			return v
		}
		v = w
	}
}

// inside returns what is left as a mesh.
func (c *carving) inside() *mesh.Mesh {
	out := newPart(c.grown, len(c.whole)+len(c.faces.corners)-2*len(c.faces.ends)+c.grown.Triangles())
	for _, t := range c.whole {
		out.polygon(c.corners(t))
	}
	for i := range c.faces.ends {
		out.polygon(c.faces.at(i))
	}
	for t := range c.grown.Triangles() {
		out.facet(c.grown.T[3*t], c.grown.T[3*t+1], c.grown.T[3*t+2])
	}
	return out.out
}

// polygon adds a convex polygon, clipped corner by corner along its shortest
// diagonals.
func (p *part) polygon(corners []uint32) {
	if len(corners) > 3 {
		corners = slices.Clone(corners)
	}
	for n := len(corners); n > 3; n = len(corners) {
		tip, least := 0, math.Inf(1)
		for k := range corners {
			d := r3.Norm2(r3.Sub(p.from.At(corners[(k+1)%n]), p.from.At(corners[(k+n-1)%n])))
			if d < least {
				tip, least = k, d
			}
		}
		p.facet(corners[(tip+n-1)%n], corners[tip], corners[(tip+1)%n])
		corners = slices.Delete(corners, tip, tip+1)
	}
	p.facet(corners[0], corners[1], corners[2])
}

// facet adds a triangle of vertices of from.
func (p *part) facet(a, b, c uint32) { p.add(p.take(a), p.take(b), p.take(c)) }

// outside returns what is left of the mesh without the inside.
func (c *carving) outside() *mesh.Mesh {
	out := newPart(c.grown, c.m.Triangles())
	r := newRemains(c)
	for t := range c.m.Triangles() {
		r.add(out, t)
	}
	for t := range c.grown.Triangles() {
		out.facet(c.grown.T[3*t], c.grown.T[3*t+2], c.grown.T[3*t+1])
	}
	return out.out
}

// remains knows what the faces leave of the triangles of a mesh.
type remains struct {
	c      *carving
	face   []int32     // of each triangle: its face + 1, 0 where it has none, -1 where it is whole inside
	points []edgePoint // those of faces, by edge, from its lower end on
	spans  map[uint64][2]int
	ends   vertexSet // ends of edges with points

	// The triangle at hand: its vertices, their places in a plane, and the
	// edges of what is left of it. A triangle is laid out with its corners at
	// (0, 0), (1, 0) and (0, 1), so that no rounding bends its edges.
	corners [3]uint32
	v       []uint32
	at      []r2.Vec
	edges   []remainEdge
}

// remainEdge is an edge of what is left of a triangle, between two places in remains.v.
type remainEdge struct {
	from, to uint32
	ofFace   bool // against an edge of the face; else along the triangle's own
	used     bool
}

func newRemains(c *carving) *remains {
	r := &remains{
		c:     c,
		face:  make([]int32, c.m.Triangles()),
		spans: map[uint64][2]int{},
		ends:  make(vertexSet, (c.m.Vertices()+63)/64),
	}
	for _, t := range c.whole {
		r.face[t] = -1
	}
	made := make(vertexSet, (c.grown.Vertices()+63)/64) // vertices of faces
	for i, t := range c.faces.origin {
		r.face[t] = int32(i) + 1
		for _, v := range c.faces.at(i) {
			made.put(v)
		}
	}
	for _, p := range c.split {
		if made.has(p.v) != 0 {
			r.points = append(r.points, p)
		}
	}
	slices.SortFunc(r.points, func(p, q edgePoint) int {
		return cmp.Or(cmp.Compare(p.edge, q.edge), cmp.Compare(r.along(p), r.along(q)), cmp.Compare(p.v, q.v))
	})
	r.points = slices.Compact(r.points)
	from := 0
	for span := range groups(r.points, func(p, q edgePoint) bool { return p.edge == q.edge }) {
		edge := span[0].edge
		r.spans[edge] = [2]int{from, from + len(span)}
		r.ends.put(uint32(edge >> 32))
		r.ends.put(uint32(edge))
		from += len(span)
	}
	return r
}

func (s vertexSet) put(v uint32) { s[v>>6] |= 1 << (v & 63) }

// along returns where a point lies on its edge: 0 at the lower end, 1 at the higher.
func (r *remains) along(p edgePoint) float64 {
	low, high := r.c.grown.At(uint32(p.edge>>32)), r.c.grown.At(uint32(p.edge))
	along := r3.Sub(high, low)
	return share(r3.Dot(r3.Sub(r.c.grown.At(p.v), low), along) / r3.Norm2(along))
}

// share returns x within [0, 1], in steps of 2⁻⁴⁰, so that 1 − share is exact.
func share(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	return math.Round(min(x, 1)*0x1p40) * 0x1p-40
}

// add adds to out what is left of triangle t.
func (r *remains) add(out *part, t int) {
	a, b, c := r.c.m.T[3*t], r.c.m.T[3*t+1], r.c.m.T[3*t+2]
	if r.face[t] < 0 || !distinct(a, b, c) {
		return
	}
	var face []uint32
	if i := r.face[t]; i > 0 {
		face = r.c.faces.at(int(i - 1))
	}
	p := r.ends.pattern(a, b, c)
	if face == nil && (p == 0 || p&(p-1) == 0) {
		out.facet(a, b, c)
		return
	}
	r.layOut([3]uint32{a, b, c})
	r.takeOut(face)
	loops := r.loops()
	if len(loops) == 1 && len(loops[0]) == 3 {
		out.facet(r.v[loops[0][0]], r.v[loops[0][1]], r.v[loops[0][2]])
		return
	}
	triangles := Triangulate(r.at, loops)
	for i := 0; i < len(triangles); i += 3 {
		out.facet(r.v[triangles[i]], r.v[triangles[i+1]], r.v[triangles[i+2]])
	}
}

// layOut takes a triangle at hand, with the points on its edges.
func (r *remains) layOut(corners [3]uint32) {
	r.corners, r.v, r.at, r.edges = corners, r.v[:0], r.at[:0], r.edges[:0]
	places := [3]r2.Vec{{}, {X: 1}, {Y: 1}}
	for k := range 3 {
		v, w := corners[k], corners[(k+1)%3]
		r.v, r.at = append(r.v, v), append(r.at, places[k])
		if span, ok := r.spans[edgeOf(v, w)]; ok {
			r.layEdge(v, w, places[k], places[(k+1)%3], r.points[span[0]:span[1]])
		}
	}
	n := uint32(len(r.v))
	for i := range n {
		r.edges = append(r.edges, remainEdge{from: i, to: (i + 1) % n})
	}
}

// layEdge adds the points of the edge that goes from v to w.
func (r *remains) layEdge(v, w uint32, from, to r2.Vec, points []edgePoint) {
	for i := range points {
		p := points[i]
		if v > w {
			p = points[len(points)-1-i]
		}
		if p.v == r.v[len(r.v)-1] || p.v == w {
			continue // collapsed
		}
		s := r.along(p)
		if v > w {
			s = 1 - s
		}
		r.v = append(r.v, p.v)
		r.at = append(r.at, r2.Vec{X: from.X*(1-s) + to.X*s, Y: from.Y*(1-s) + to.Y*s})
	}
}

// takeOut takes a face out of the triangle at hand.
func (r *remains) takeOut(face []uint32) {
	for k, v := range face {
		from, to := r.place(face[(k+1)%len(face)]), r.place(v)
		if from == to {
			continue // collapsed
		}
		against := slices.IndexFunc(r.edges, func(e remainEdge) bool { return e.from == to && e.to == from && !e.ofFace })
		if against >= 0 {
			r.edges = slices.Delete(r.edges, against, against+1)
		} else {
			r.edges = append(r.edges, remainEdge{from: from, to: to, ofFace: true})
		}
	}
}

// place returns where vertex v is in r.v, and adds it where it is not.
func (r *remains) place(v uint32) uint32 {
	if i := slices.Index(r.v, v); i >= 0 {
		return uint32(i)
	}
	m := r.c.grown
	a, b, c := m.At(r.corners[0]), m.At(r.corners[1]), m.At(r.corners[2])
	x, y, p := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(m.At(v), a)
	n := r3.Cross(x, y)
	area := r3.Dot(n, n)
	r.v = append(r.v, v)
	r.at = append(r.at, r2.Vec{X: share(r3.Dot(r3.Cross(p, y), n) / area), Y: share(r3.Dot(r3.Cross(x, p), n) / area)})
	return uint32(len(r.v) - 1)
}

// loops joins the edges to loops. Where the face touches the triangle's own
// edges they go from one on to the other, so that the pockets between the two
// are loops of their own.
func (r *remains) loops() [][]uint32 {
	var loops [][]uint32
	for i, start := range r.edges {
		if r.edges[i].used {
			continue
		}
		var loop []uint32
		for k := i; k >= 0; {
			r.edges[k].used = true
			loop = append(loop, r.edges[k].from)
			if r.edges[k].to == start.from {
				break
			}
			k = r.after(k)
		}
		loops = append(loops, loop)
	}
	return loops
}

// after returns an edge that goes on from the end of edge k, -1 where all are used.
func (r *remains) after(k int) int {
	next := -1
	for i, e := range r.edges {
		if e.from == r.edges[k].to && !e.used && (next < 0 || e.ofFace != r.edges[k].ofFace) {
			next = i
		}
	}
	return next
}
