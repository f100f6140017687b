package section

import (
	"math"
	"slices"

	"gambeson/analysis/mesh"
	"gambeson/analysis/pages"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Flaws says what could not be capped where a mesh was parted. The zero Flaws
// is a clean parting: parts of a closed mesh are closed.
type Flaws struct {
	// OpenChains is how many chains of the cut were left without a cap
	// because they are open, and OpenLength their length in mm.
	OpenChains int
	OpenLength float64
	// Gaps is how many gaps between the ends of open chains were bridged by
	// straight pieces, GapLength mm in all, so that a cap could be made.
	Gaps      int
	GapLength float64
	// Lost is how many triangles were left out because a corner of theirs is
	// not a finite number.
	Lost int
	// Where is an end of the first open chain or gap; zero where there is none.
	Where r3.Vec
}

// Any reports whether there is any flaw.
func (f Flaws) Any() bool { return f != Flaws{} }

// And returns the flaws of both f and g.
func (f Flaws) And(g Flaws) Flaws {
	if f.OpenChains+f.Gaps == 0 {
		f.Where = g.Where
	}
	f.OpenChains += g.OpenChains
	f.OpenLength += g.OpenLength
	f.Gaps += g.Gaps
	f.GapLength += g.GapLength
	f.Lost += g.Lost
	return f
}

// Halves parts m by p and closes both halves by caps in p. The vertices of
// the cut are the same to the bit in both. A closed mesh gives two closed
// halves (either may be empty) whose volumes sum to its own; each shell and
// each loop is capped by its winding, so walls may overlap. Vertices on the
// plane stay as they are and facets in the plane are replaced by cap where
// they belong to a half: nothing is left of a part that only touches p.
//
// Where the surface is open the cut is made all the same, and f says what was
// left without a cap. A closed chain is always capped, even if it is that of
// a single sheet. Where p is no plane all of m is above.
func Halves(m *mesh.Mesh, p Plane) (above, below *mesh.Mesh, f Flaws) {
	m, lost := sound(m)
	fr, ok := p.frame()
	if !ok {
		return m.Clone(), &mesh.Mesh{}, Flaws{Lost: lost}
	}
	below, f = keep(m, fr)
	fr.over = true
	above, g := keep(m, fr)
	if g.OpenLength+g.GapLength > f.OpenLength+f.GapLength {
		f = g
	}
	f.Lost = lost
	return above, below, f
}

// Slab returns the material of m between two parallel planes: where n·x is in
// [from, to], n being the unit vector along normal. It is closed by caps in
// both planes as Halves does it. The zero vector, and to ≤ from, give an
// empty mesh.
func Slab(m *mesh.Mesh, normal r3.Vec, from, to float64) (*mesh.Mesh, Flaws) {
	n, ok := direction(normal)
	low, lowOK := Plane{Point: r3.Scale(from, n), Normal: n}.frame()
	high, highOK := Plane{Point: r3.Scale(to, n), Normal: n}.frame()
	if !ok || !lowOK || !highOK || !(from < to) {
		return &mesh.Mesh{}, Flaws{}
	}
	low.over = true
	m, f := keepZone(m, low, high)
	m, g := keep(m, high)
	return m, f.And(g)
}

// keepZone returns what keep(m, low) does, but leaves out triangles that lie
// wholly above high, and so all that have corners which are no numbers: such a
// corner is below low or above high.
func keepZone(m *mesh.Mesh, low, high frame) (*mesh.Mesh, Flaws) {
	const overLow, overHigh = 1, 2
	side := pages.Make[uint8](m.Vertices())
	inRuns(len(side), func(_, from, to int) {
		for v := from; v < to; v++ {
			h, slack := height(low.n, m.At(uint32(v)))
			var s uint8
			if h-slack > low.high { // low.above
				s = overLow
			}
			if h+slack >= high.low { // high.above
				s |= overHigh
			}
			side[v] = s
		}
	})
	inside := make([][]uint32, runs(m.Triangles())) // of each run: the first corners of triangles
	crossed := make([][]hit, len(inside))
	inRuns(m.Triangles(), func(run, from, to int) {
		var within []uint32
		var hits []hit
		for i := 3 * from; i < 3*to; i += 3 {
			a, b, c := side[m.T[i]], side[m.T[i+1]], side[m.T[i+2]]
			all, some := a&b&c, a|b|c
			switch {
			case all == some && some != overLow:
				// Wholly below low or above high.
			case all&overLow != 0:
				within = append(within, uint32(i))
			case some&overLow != 0:
				hits = append(hits, newHit(i/3, uint(a&overLow|b&overLow<<1|c&overLow<<2)))
			}
		}
		inside[run], crossed[run] = within, hits
	})
	within, hits := slices.Concat(inside...), slices.Concat(crossed...)
	p := newPart(m, len(within)+3*len(hits))
	for _, i := range within {
		p.add(p.take(m.T[i]), p.take(m.T[i+1]), p.take(m.T[i+2]))
	}
	return p.out, p.close(low, hits)
}

// sound returns m without the triangles that have a corner which is not a
// finite number, and how many there were.
func sound(m *mesh.Mesh) (*mesh.Mesh, int) {
	if m.Finite() {
		return m, 0
	}
	p := newPart(m, m.Triangles())
	lost := 0
	for t := range m.Triangles() {
		a, b, c := m.T[3*t], m.T[3*t+1], m.T[3*t+2]
		if finite(m.At(a)) && finite(m.At(b)) && finite(m.At(c)) {
			p.add(p.take(a), p.take(b), p.take(c))
		} else {
			lost++
		}
	}
	return p.out, lost
}

// keep returns what m has above f where f.over is set, else what it has
// below, capped.
func keep(m *mesh.Mesh, f frame) (*mesh.Mesh, Flaws) {
	whole := uint(0)
	if f.over {
		whole = 7
	}
	up := sides(m, &f)
	kept := 0
	var hits []hit
	for i := 0; i+2 < len(m.T); i += 3 {
		switch pattern := up.pattern(m.T[i], m.T[i+1], m.T[i+2]); pattern {
		case whole:
			kept++
		case 0, 7:
		default:
			hits = append(hits, newHit(i/3, pattern))
		}
	}
	p := newPart(m, kept+3*len(hits))
	for i := 0; i+2 < len(m.T); i += 3 {
		if up.pattern(m.T[i], m.T[i+1], m.T[i+2]) == whole {
			p.add(p.take(m.T[i]), p.take(m.T[i+1]), p.take(m.T[i+2]))
		}
	}
	return p.out, p.close(f, hits)
}

// close adds the kept pieces of the triangles hits, and the caps.
func (p *part) close(f frame, hits []hit) Flaws {
	tr := &tracer{m: p.from}
	tr.collect(f, hits)
	p.cut(tr)
	flaws := Flaws{Lost: tr.lost}
	for more := true; more; {
		tr.trace()
		flaws = flaws.And(p.cap(tr))
		// Duplicate triangles are a skin of their own, capped like the first.
		tr.ends, tr.copies = tr.copies, nil
		more = len(tr.ends) > 0
	}
	return flaws
}

// part is a mesh in the making out of triangles of another.
type part struct {
	from, out *mesh.Mesh
	index     []uint32 // of each vertex of from: 1 + its index in out, 0 where not taken

	// Points of the cut: nodes that float32 can tell apart.
	onCut map[[3]float32]uint32 // by their place
	ids   []uint32              // of each: its index in out
	nodes []uint32              // of each node of the tracer: its point
}

// newPart returns an empty part with room for about so many triangles.
func newPart(from *mesh.Mesh, triangles int) *part {
	// A closed surface has half as many vertices as triangles (Euler).
	n := triangles/2 + triangles/16
	return &part{
		from: from,
		out: &mesh.Mesh{
			X: make([]float32, 0, n), Y: make([]float32, 0, n), Z: make([]float32, 0, n),
			T: make([]uint32, 0, 3*triangles),
		},
		index: make([]uint32, from.Vertices()),
	}
}

// take returns the index in out of vertex v of from.
func (p *part) take(v uint32) uint32 {
	if p.index[v] == 0 {
		p.out.X = append(p.out.X, p.from.X[v])
		p.out.Y = append(p.out.Y, p.from.Y[v])
		p.out.Z = append(p.out.Z, p.from.Z[v])
		p.index[v] = uint32(len(p.out.X))
	}
	return p.index[v] - 1
}

// add adds a triangle unless two of its corners are the same.
func (p *part) add(a, b, c uint32) {
	if a != b && b != c && c != a {
		p.out.T = append(p.out.T, a, b, c)
	}
}

// quad adds the quadrangle a, b, c, d, parted by its shorter diagonal.
func (p *part) quad(a, b, c, d uint32) {
	if r3.Norm2(r3.Sub(p.out.At(a), p.out.At(c))) <= r3.Norm2(r3.Sub(p.out.At(b), p.out.At(d))) {
		p.add(a, b, c)
		p.add(a, c, d)
		return
	}
	p.add(b, c, d)
	p.add(b, d, a)
}

// cut adds the kept pieces of the triangles that tr has collected.
func (p *part) cut(tr *tracer) {
	over := tr.f.over
	p.onCut = make(map[[3]float32]uint32, len(tr.keys))
	p.nodes = make([]uint32, len(tr.keys))
	for node, at := range tr.places {
		p.nodes[node] = p.point(at)
	}
	for s, h := range tr.pieces {
		from, to := p.ids[p.nodes[tr.ends[2*s]]], p.ids[p.nodes[tr.ends[2*s+1]]]
		lone, left, right, up := h.corners(p.from)
		switch {
		case up && over:
			p.add(p.take(lone), from, to)
		case up:
			p.quad(from, p.take(left), p.take(right), to)
		case over:
			p.quad(to, p.take(left), p.take(right), from)
		default:
			p.add(p.take(lone), to, from)
		}
	}
}

// point returns the point of the cut for a node.
func (p *part) point(at r3.Vec) uint32 {
	key := [3]float32{float32(at.X), float32(at.Y), float32(at.Z)}
	known, ok := p.onCut[key]
	if !ok {
		known = uint32(len(p.ids))
		p.onCut[key] = known
		p.ids = append(p.ids, p.out.AddVertex(at))
	}
	return known
}

// cap closes the cut along the runs of tr.
func (p *part) cap(tr *tracer) Flaws {
	var loops, open [][]uint32
	for _, r := range tr.runs {
		line := make([]uint32, 0, r.to-r.from)
		for _, node := range tr.line[r.from:r.to] {
			line = append(line, p.nodes[node])
		}
		if r.closed {
			loops = append(loops, line)
		} else {
			open = append(open, line)
		}
	}
	points := make([]r2.Vec, len(p.ids))
	for i, id := range p.ids {
		points[i] = tr.f.flat(p.out.At(id))
	}
	bridged, flaws := bridgeGaps(points, open)
	if flaws.Any() {
		flaws.Where = p.out.At(p.ids[open[0][0]])
	}
	loops = append(loops, bridged...)
	for i := range loops {
		loops[i] = tidy(loops[i])
	}
	caps := Triangulate(points, loops)
	for i := 0; i < len(caps); i += 3 {
		a, b, c := p.ids[caps[i]], p.ids[caps[i+1]], p.ids[caps[i+2]]
		if tr.f.over {
			b, c = c, b
		}
		p.add(a, b, c)
	}
	return flaws
}

// tidy returns a loop without points named twice in a row and without there
// and back: the two sides of such a spike close each other.
func tidy(loop []uint32) []uint32 {
	out := loop[:0:len(loop)]
	for _, v := range loop {
		switch n := len(out); {
		case n > 0 && out[n-1] == v:
		case n > 1 && out[n-2] == v:
			out = out[:n-1]
		default:
			out = append(out, v)
		}
	}
	for n := len(out); n > 1; n = len(out) {
		switch {
		case out[n-1] == out[0]:
			out = out[:n-1]
		case out[n-2] == out[0]:
			out = out[:n-1]
		case out[n-1] == out[1]:
			out = out[1:]
		default:
			return out
		}
	}
	return out
}

// gapShare is how much of a loop may be gaps for it to be capped all the
// same. A guess: every fiftieth facet missing leaves a fiftieth; a gutter that
// goes 300° round leaves a sixth and is open on purpose.
const gapShare = 0.1

// mostOpen is the number of open chains above which no gaps are bridged, as
// every end is compared with every start. A guess; a part has a few.
const mostOpen = 5000

// bridgeGaps joins open lines, lists of indices into points, to loops where
// the end of one and the start of the next are nearest to each other and the
// gaps are short. What is left open, and the gaps, it returns as flaws.
func bridgeGaps(points []r2.Vec, lines [][]uint32) (loops [][]uint32, f Flaws) {
	after := nextLines(points, lines)
	done := make([]bool, len(lines))
	for i := range lines {
		if done[i] {
			continue
		}
		var loop []uint32
		var members []int
		var gaps float64
		k := i
		for k >= 0 && !done[k] {
			done[k] = true
			members = append(members, k)
			loop = append(loop, lines[k]...)
			if after[k] >= 0 {
				gaps += gap(points, lines[k], lines[after[k]])
			}
			k = after[k]
		}
		if k == i && gaps <= gapShare*chainOf(points, loop).Length() {
			loops = append(loops, loop)
			f.Gaps += len(members)
			f.GapLength += gaps
			continue
		}
		for _, j := range members {
			f.OpenChains++
			c := chainOf(points, lines[j])
			c.Closed = false
			f.OpenLength += c.Length()
		}
	}
	return loops, f
}

// nextLines returns for each line the one whose start is nearest to its end,
// where its end is the nearest to that start too; -1 for none.
func nextLines(points []r2.Vec, lines [][]uint32) []int {
	after, before := nearest(points, lines, gap), nearest(points, lines, func(points []r2.Vec, a, b []uint32) float64 {
		return gap(points, b, a)
	})
	for i, j := range after {
		if j >= 0 && before[j] != i {
			after[i] = -1
		}
	}
	return after
}

// nearest returns for each line the one at the least distance, itself included.
func nearest(points []r2.Vec, lines [][]uint32, distance func([]r2.Vec, []uint32, []uint32) float64) []int {
	out := make([]int, len(lines))
	for i, line := range lines {
		out[i] = -1
		if len(lines) > mostOpen {
			continue
		}
		least := math.Inf(1)
		for j, other := range lines {
			if d := distance(points, line, other); d < least {
				out[i], least = j, d
			}
		}
	}
	return out
}

// gap returns the distance from the end of line a to the start of line b.
func gap(points []r2.Vec, a, b []uint32) float64 {
	return r2.Norm(r2.Sub(points[b[0]], points[a[len(a)-1]]))
}
