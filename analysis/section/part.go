package section

import (
	"math"
	"sync"

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
	var g Flaws
	over := fr
	over.over = true
	var both sync.WaitGroup
	both.Go(func() { below, f = keep(m, fr) })
	both.Go(func() { above, g = keep(m, over) })
	both.Wait()
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
	z := zoneOf(m, low, high)
	room := len(z.within) + 3*(len(z.low)+len(z.high))
	if !z.both {
		var above, below *cut
		var both sync.WaitGroup
		both.Go(func() { above = newCut(m, low, z.low) })
		both.Go(func() { below = newCut(m, high, z.high) })
		p := newPart(m, room)
		p.addAll(z.within)
		both.Wait()
		f := p.close(above)
		return p.out, f.And(p.close(below))
	}
	p := newPart(m, room)
	p.addAll(z.within)
	// What both cross is cut by one after the other.
	for _, h := range z.high {
		p.addAll([]uint32{3 * uint32(h>>3)})
	}
	f := p.close(newCut(m, low, z.low))
	m, g := keep(p.out, high)
	return m, f.And(g)
}

// zone is what of a mesh reaches between two parallel planes.
type zone struct {
	within []uint32 // triangles wholly between: the place of the first corner in T
	low    []hit    // those that the lower plane crosses
	high   []hit    // those that only the upper one crosses
	both   bool     // whether any is crossed by both
}

// Bits of a vertex that say which of the two planes of a zone it is above.
const overLow, overHigh = 1, 2

// zoneOf returns what m has over low and not over high. Triangles with a corner
// that is no number are in none of the lists but where a plane crosses them:
// such a corner is below low or above high.
func zoneOf(m *mesh.Mesh, low, high frame) zone {
	side := overWhich(m, low, high)
	some := make([]zone, runs(m.Triangles()))
	inRuns(m.Triangles(), func(run, from, to int) {
		// A slab is thin: most triangles are outside of it.
		z := zone{within: make([]uint32, 0, (to-from)/8)}
		corners := m.T[3*from : 3*to]
		for i := 3 * from; len(corners) >= 3; i, corners = i+3, corners[3:] {
			// Most lie outside, and so do those about them: four at a time.
			for len(corners) >= 12 && outside(side, (*[12]uint32)(corners)) {
				i, corners = i+12, corners[12:]
			}
			if len(corners) == 0 {
				break
			}
			a, b, c := side[corners[0]], side[corners[1]], side[corners[2]]
			all, any := a&b&c, a|b|c
			switch {
			case all == any && any != overLow:
				// Wholly below low or above high.
			case all == any:
				z.within = append(z.within, uint32(i))
			case all&overLow != 0:
				z.high = append(z.high, newHit(i/3, uint(a>>1|b>>1<<1|c>>1<<2)))
			case any&overLow != 0:
				z.low = append(z.low, newHit(i/3, uint(a&overLow|b&overLow<<1|c&overLow<<2)))
				z.both = z.both || any&overHigh != 0
			}
		}
		some[run] = z
	})
	z := some[0]
	for _, more := range some[1:] {
		z.within, z.low = append(z.within, more.within...), append(z.low, more.low...)
		z.high, z.both = append(z.high, more.high...), z.both || more.both
	}
	return z
}

// outside reports whether the corners of four triangles all lie below or all above
// both planes.
func outside(side []uint8, c *[12]uint32) bool {
	s := side[c[0]]
	return s != overLow && side[c[1]] == s && side[c[2]] == s && side[c[3]] == s &&
		side[c[4]] == s && side[c[5]] == s && side[c[6]] == s && side[c[7]] == s &&
		side[c[8]] == s && side[c[9]] == s && side[c[10]] == s && side[c[11]] == s
}

// overWhich returns of each vertex which of two parallel planes it is above.
func overWhich(m *mesh.Mesh, low, high frame) []uint8 {
	side := pages.Full[uint8](m.Vertices())
	n := low.n
	below, beyond := min(low.low, high.low), max(low.high, high.high)
	inRuns(len(side), func(_, from, to int) {
		side := side[from:to]
		xs, ys, zs := m.X[from:to][:len(side)], m.Y[from:to][:len(side)], m.Z[from:to][:len(side)]
		for v := range side {
			p := r3.Vec{X: float64(xs[v]), Y: float64(ys[v]), Z: float64(zs[v])}
			h, most := r3.Dot(n, p), loose(p)
			var s uint8
			switch {
			case h+most < below:
			case h-most > beyond:
				s = overLow | overHigh
			case h-most > low.high && h+most < high.low:
				s = overLow
			default: // near a plane, or no number
				if low.above(p) {
					s = overLow
				}
				if high.above(p) {
					s |= overHigh
				}
			}
			side[v] = s
		}
	})
	return side
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
	return p.out, p.close(newCut(m, f, hits))
}

// part is a mesh in the making out of triangles of another.
type part struct {
	from, out *mesh.Mesh
	index     []uint32 // of each vertex of from: 1 + its index in out, 0 where not taken
}

// newPart returns an empty part with room for about so many triangles.
func newPart(from *mesh.Mesh, triangles int) *part {
	// A closed surface has half as many vertices as triangles (Euler).
	n := triangles/2 + triangles/16
	return &part{
		from: from,
		out: &mesh.Mesh{
			X: pages.Room[float32](n), Y: pages.Room[float32](n), Z: pages.Room[float32](n),
			T: pages.Room[uint32](3 * triangles),
		},
		index: pages.Make[uint32](from.Vertices()),
	}
}

// addAll adds triangles of from, of which the places of the first corners in its
// T are given, as they are.
func (p *part) addAll(first []uint32) {
	for _, i := range first {
		p.add(p.take(p.from.T[i]), p.take(p.from.T[i+1]), p.take(p.from.T[i+2]))
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

// close adds the kept pieces of the triangles that were cut, and the caps.
func (p *part) close(c *cut) Flaws {
	ids := make([]uint32, len(c.points)) // of each point: its index in out
	for i, at := range c.points {
		p.out.X, p.out.Y, p.out.Z = append(p.out.X, at[0]), append(p.out.Y, at[1]), append(p.out.Z, at[2])
		ids[i] = uint32(p.out.Vertices() - 1)
	}
	for s, h := range c.pieces {
		from, to := ids[c.ends[2*s]], ids[c.ends[2*s+1]]
		lone, left, right, up := h.corners(p.from)
		switch {
		case up && c.over:
			p.add(p.take(lone), from, to)
		case up:
			p.quad(from, p.take(left), p.take(right), to)
		case c.over:
			p.quad(to, p.take(left), p.take(right), from)
		default:
			p.add(p.take(lone), to, from)
		}
	}
	for i := 0; i < len(c.caps); i += 3 {
		p.add(ids[c.caps[i]], ids[c.caps[i+1]], ids[c.caps[i+2]])
	}
	return c.flaws
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
