package hull

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// lattice rounds points to whole numbers of so small a unit that float32 does
// not tell them apart at the size of the part, and on which every decision of
// the hull is exact: coordinates lie within ±2²⁶, so that the differences of
// two fit 28 bits, a cross product 56 and its halves times a difference 58.
type lattice struct {
	mid   r3.Vec
	scale float64 // units per mm
	grain float64 // units that float32 may move a point, or tell it from the next: 2⁻²³ of the largest coordinate in mm
}

// reach is the largest coordinate on the lattice.
const reach = 1 << 26

type point [3]int32

func newLattice(box r3.Box) lattice {
	size := box.Size()
	half := max(size.X, size.Y, size.Z) / 2
	if half == 0 {
		half = 1
	}
	l := lattice{mid: box.Center(), scale: reach / half}
	far := half
	for _, p := range [2]r3.Vec{box.Min, box.Max} {
		far = max(far, math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z))
	}
	l.grain = 0x1p-23 * far * l.scale
	return l
}

// exact returns p in units, not yet rounded.
func (l lattice) exact(p r3.Vec) r3.Vec { return r3.Scale(l.scale, r3.Sub(p, l.mid)) }

func (l lattice) place(p r3.Vec) point {
	p = l.exact(p)
	return point{int32(math.RoundToEven(p.X)), int32(math.RoundToEven(p.Y)), int32(math.RoundToEven(p.Z))}
}

func (p point) vec() r3.Vec { return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])} }

// minus returns p − q, exactly.
func (p point) minus(q point) [3]int64 {
	return [3]int64{int64(p[0]) - int64(q[0]), int64(p[1]) - int64(q[1]), int64(p[2]) - int64(q[2])}
}

// normal returns (b − a) × (c − a), exactly.
func normal(a, b, c point) [3]int64 {
	u, v := b.minus(a), c.minus(a)
	return [3]int64{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
}

// above reports whether n·(p − a) > 0, exactly: n is taken apart into
// high·2²⁸ + low.
func above(n [3]int64, a, p point) bool {
	const half = 28
	d := p.minus(a)
	var high, low int64
	for k := range 3 {
		high += (n[k] >> half) * d[k]
		low += (n[k] & (1<<half - 1)) * d[k]
	}
	high += low >> half
	return high > 0 || high == 0 && low&(1<<half-1) > 0
}

// looks are the 13 directions with coordinates in −1…1, each with its opposite.
var looks = [13]r3.Vec{
	{X: 1}, {Y: 1}, {Z: 1},
	{X: 1, Y: 1}, {X: 1, Y: -1}, {Y: 1, Z: 1}, {Y: 1, Z: -1}, {Z: 1, X: 1}, {Z: 1, X: -1},
	{X: 1, Y: 1, Z: 1}, {X: 1, Y: 1, Z: -1}, {X: 1, Y: -1, Z: 1}, {X: 1, Y: -1, Z: -1},
}

// extremes returns the vertices farthest along each look and against it, the
// first of equals; some may be named more than once.
func extremes(m *mesh.Mesh) []uint32 {
	all := make([]ends, runs(m.Vertices(), worth))
	inRuns(m.Vertices(), worth, func(run, from, to int) { all[run] = endsOf(m, from, to) })
	e := all[0]
	for _, later := range all[1:] {
		for k := range looks {
			if later.low[k] < e.low[k] {
				e.low[k], e.at[2*k] = later.low[k], later.at[2*k]
			}
			if later.high[k] > e.high[k] {
				e.high[k], e.at[2*k+1] = later.high[k], later.at[2*k+1]
			}
		}
	}
	return e.at[:]
}

// ends are how far some vertices reach along each look, and which do.
type ends struct {
	low, high [len(looks)]float64
	at        [2 * len(looks)]uint32
}

// endsOf returns the ends of the vertices from … to (not included).
func endsOf(m *mesh.Mesh, from, to int) ends {
	var e ends
	for k := range looks {
		e.low[k], e.high[k] = math.Inf(1), math.Inf(-1)
	}
	for v := from; v < to; v++ {
		x, y, z := float64(m.X[v]), float64(m.Y[v]), float64(m.Z[v])
		along := [len(looks)]float64{
			x, y, z, x + y, x - y, y + z, y - z, z + x, z - x,
			x + y + z, x + y - z, x - y + z, x - y - z,
		}
		for k, d := range along {
			if d < e.low[k] {
				e.low[k], e.at[2*k] = d, uint32(v)
			}
			if d > e.high[k] {
				e.high[k], e.at[2*k+1] = d, uint32(v)
			}
		}
	}
	return e
}

// spread returns four vertices of m that span a tetrahedron, and rank 3. Where
// all points lie in a plane to the grain of the lattice, the first three span
// it and rank is 2; on a line the first two and it is 1; else 0.
func spread(m *mesh.Mesh, l lattice, some []uint32) (simplex [4]uint32, rank int) {
	best := 0.0
	for i, u := range some {
		for _, v := range some[:i] {
			if d := r3.Norm2(r3.Sub(m.At(u), m.At(v))); d > best {
				best, simplex[0], simplex[1] = d, v, u
			}
		}
	}
	a := m.At(simplex[0])
	along := r3.Unit(r3.Sub(m.At(simplex[1]), a))
	least := l.grain / l.scale
	if best <= least*least {
		return simplex, 0
	}
	far, d := farthest(m, func(p r3.Vec) float64 { return r3.Norm2(r3.Cross(along, r3.Sub(p, a))) })
	if d <= least*least {
		return simplex, 1
	}
	simplex[2] = far
	n := r3.Unit(r3.Cross(along, r3.Sub(m.At(far), a)))
	far, d = farthest(m, func(p r3.Vec) float64 { return math.Abs(r3.Dot(n, r3.Sub(p, a))) })
	if d <= 2*least {
		return simplex, 2
	}
	simplex[3] = far
	return simplex, 3
}

// farthest returns the vertex at the greatest distance, the first of equals.
func farthest(m *mesh.Mesh, distance func(r3.Vec) float64) (at uint32, most float64) {
	ats, mosts := make([]uint32, runs(m.Vertices(), worth)), make([]float64, runs(m.Vertices(), worth))
	inRuns(m.Vertices(), worth, func(run, from, to int) {
		for v := from; v < to; v++ {
			if d := distance(m.At(uint32(v))); d > mosts[run] {
				ats[run], mosts[run] = uint32(v), d
			}
		}
	})
	for run, d := range mosts {
		if d > most {
			at, most = ats[run], d
		}
	}
	return at, most
}
