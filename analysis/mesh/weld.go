package mesh

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"

	"gambeson/analysis/pages"

	"gonum.org/v1/gonum/spatial/r3"
)

// weld joins corners of m that lie within its tolerance on both sides of a
// crack, and drops the facets that this leaves without area and the vertices
// that no facet uses. Only the loose ones, at the edge of a crack or of the surface,
// are looked at: what has none stays as it is, bit for bit. It returns how
// many corners were joined to others, within which tolerance, and the facets
// that were dropped.
func (m *Mesh) weld(ctx context.Context, loose []uint32) (joined int, tolerance float64, thin Defect, err error) {
	if len(loose) == 0 {
		return 0, 0, Defect{}, ctx.Err()
	}
	tolerance = m.tolerance()
	to, joined, err := m.leaders(ctx, loose, tolerance)
	if joined == 0 || err != nil {
		return 0, tolerance, Defect{}, err
	}
	kept := m.T[:0]
	for t := range m.Triangles() {
		a, b, c := to[m.T[3*t]], to[m.T[3*t+1]], to[m.T[3*t+2]]
		if v, twice := repeated(a, b, c); twice {
			thin.count(m.At(v))
			continue
		}
		kept = append(kept, a, b, c)
	}
	m.T = kept
	m.compact()
	return joined, tolerance, thin, nil
}

// loose returns, in order, the vertices at which edges of m have no
// counterpart that runs the other way: where a surface ends, cracks or is
// turned over. At any other vertex every neighbour is as often the next round
// a facet as the one before, so numbers drawn for the neighbours, added for
// one and taken away for the other, leave nothing. (The numbers are hashes;
// one vertex in 4·10⁹ is overlooked.)
func (m *Mesh) loose() []uint32 {
	n := m.Triangles()
	runs := make([][]uint32, max(1, min(runtime.GOMAXPROCS(0), n/worthAWorker)))
	Share(len(runs), runtime.GOMAXPROCS(0), func(i, _ int) { runs[i] = m.left(n*i/len(runs), n*(i+1)/len(runs)) })
	found := make([][]uint32, len(runs)) // by a part of the vertices each
	Share(len(runs), runtime.GOMAXPROCS(0), func(part, _ int) {
		from, to := m.Vertices()*part/len(runs), m.Vertices()*(part+1)/len(runs)
		sum := runs[0][from:to]
		for _, run := range runs[1:] {
			for i, l := range run[from:to] {
				sum[i] += l
			}
		}
		for i, l := range sum {
			if l != 0 {
				found[part] = append(found[part], uint32(from+i))
			}
		}
	})
	return slices.Concat(found...)
}

// left returns for every vertex what the facets from … to (not included) leave
// of the numbers of its neighbours.
func (m *Mesh) left(from, to int) []uint32 {
	left := pages.Make[uint32](m.Vertices())
	for t := 3 * from; t < 3*to; t += 3 {
		a, b, c := m.T[t], m.T[t+1], m.T[t+2]
		ha, hb, hc := draw(a), draw(b), draw(c)
		left[a] += hb - hc
		left[b] += hc - ha
		left[c] += ha - hb
	}
	return left
}

// draw returns a number for v that looks drawn at random: the last step of
// Austin Appleby's MurmurHash3, public domain.
func draw(v uint32) uint32 {
	v ^= v >> 16
	v *= 0x85ebca6b
	v ^= v >> 13
	v *= 0xc2b2ae35
	return v ^ v>>16
}

// leaders returns for every vertex the one that is to stand for it, and how
// many are not their own. In order, each loose vertex joins the first leader
// within the tolerance, or becomes one. So no vertex moves farther than that
// (chains of close vertices are not drawn together), and since leaders keep
// their distance only so many of them find room in a cube of space: the
// search stays short whatever the file holds.
func (m *Mesh) leaders(ctx context.Context, loose []uint32, tolerance float64) (to []uint32, joined int, err error) {
	to = pages.Make[uint32](m.Vertices())
	for v := range to {
		to[v] = uint32(v)
	}
	cubes := newCubes(m, 4*tolerance, len(loose))
	// Beyond this the numbers of the cubes would not fit, and float32 tells
	// no places apart that are so close.
	far := float32(min(tolerance*(1<<40), math.MaxFloat32))
	for i, v := range loose {
		if i%stlChunk == 0 && ctx.Err() != nil {
			return nil, 0, ctx.Err()
		}
		if max(m.X[v], m.Y[v], m.Z[v]) > far || min(m.X[v], m.Y[v], m.Z[v]) < -far {
			continue
		}
		if leader, ok := cubes.near(v, tolerance); ok {
			to[v] = leader
			joined++
		} else {
			cubes.add(v)
		}
	}
	return to, joined, nil
}

// cubes holds vertices of a mesh by the cube of space that they lie in.
type cubes struct {
	m     *Mesh
	edge  float64
	seed  uint32   // keeps a file from being made to crowd one slot
	heads []uint32 // by hash: the last vertex added of some cubes, + 1
	next  []uint32 // parallel to added: the vertex added before it, + 1
	added []uint32
}

func newCubes(m *Mesh, edge float64, n int) *cubes {
	size := 16
	for size < 2*n {
		size *= 2
	}
	return &cubes{m: m, edge: edge, seed: rand.Uint32(), heads: make([]uint32, size)}
}

// add adds vertex v.
func (c *cubes) add(v uint32) {
	head := c.head(c.cube(c.m.At(v)))
	c.added, c.next = append(c.added, v), append(c.next, *head)
	*head = uint32(len(c.added))
}

// near returns the first vertex added that is no farther from v than a
// distance less than the edge of a cube.
func (c *cubes) near(v uint32, distance float64) (uint32, bool) {
	p := c.m.At(v)
	low, high := c.cube(r3.Sub(p, vec(distance))), c.cube(r3.Add(p, vec(distance)))
	best, found := uint32(0), false
	for x := low[0]; x <= high[0]; x++ {
		for y := low[1]; y <= high[1]; y++ {
			for z := low[2]; z <= high[2]; z++ {
				for at := *c.head([3]int64{x, y, z}); at != 0; at = c.next[at-1] {
					w := c.added[at-1]
					if (!found || w < best) && r3.Norm2(r3.Sub(p, c.m.At(w))) <= distance*distance {
						best, found = w, true
					}
				}
			}
		}
	}
	return best, found
}

// cube returns the numbers of the cube that holds p.
func (c *cubes) cube(p r3.Vec) [3]int64 {
	p = r3.Scale(1/c.edge, p)
	return [3]int64{int64(math.Floor(p.X)), int64(math.Floor(p.Y)), int64(math.Floor(p.Z))}
}

// head returns the slot of a cube. Cubes may share a slot, which costs time
// and nothing else; draw spreads them.
func (c *cubes) head(cube [3]int64) *uint32 {
	h := draw(uint32(cube[0]) ^ draw(uint32(cube[1])^draw(uint32(cube[2])^c.seed)))
	return &c.heads[h&uint32(len(c.heads)-1)]
}

// compact drops the vertices that no facet uses. The others keep their order.
func (m *Mesh) compact() {
	const unused = math.MaxUint32
	number := pages.Make[uint32](m.Vertices())
	for v := range number {
		number[v] = unused
	}
	for _, v := range m.T {
		number[v] = 0
	}
	n := uint32(0)
	for v := range number {
		if number[v] == unused {
			continue
		}
		number[v] = n
		m.X[n], m.Y[n], m.Z[n] = m.X[v], m.Y[v], m.Z[v]
		n++
	}
	m.X, m.Y, m.Z = m.X[:n], m.Y[:n], m.Z[:n]
	for i, v := range m.T {
		m.T[i] = number[v]
	}
}
