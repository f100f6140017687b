package likeness

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// How many places are kept. Anchors prove a map of places to places, four
// would do; of sampled places so many are needed that hardly any cut misses
// all, and they are most of a signature's length.
const (
	anchorCount = 24
	sampleCount = 96
	poolCount   = 1024 // places that the sample is chosen from
)

// anchors returns the middles of facets evenly spaced in the order of m.
func anchors(m *mesh.Mesh) [][3]float32 {
	n := min(anchorCount, m.Triangles())
	out := make([][3]float32, n)
	for i := range out {
		a, b, c := m.Corners(i * m.Triangles() / n)
		out[i] = rounded(r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c))))
	}
	return out
}

func rounded(p r3.Vec) [3]float32 { return [3]float32{float32(p.X), float32(p.Y), float32(p.Z)} }

func widened(p [3]float32) r3.Vec {
	return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}
}

// directions are the 13 lines through the middle of a cube and its corners,
// the middles of its sides and of its edges.
var directions = [13]r3.Vec{
	{X: 1}, {Y: 1}, {Z: 1},
	{X: 1, Y: 1}, {X: 1, Y: -1}, {X: 1, Z: 1}, {X: 1, Z: -1}, {Y: 1, Z: 1}, {Y: 1, Z: -1},
	{X: 1, Y: 1, Z: 1}, {X: 1, Y: 1, Z: -1}, {X: 1, Y: -1, Z: 1}, {X: -1, Y: 1, Z: 1},
}

// sample returns the outermost corners of m in 26 directions, and places on
// its surface as far from each other and from those as can be (Gonzalez 1985).
// areas are those of its facets, total their sum.
func sample(m *mesh.Mesh, areas []float32, total float64, workers int) [][3]float32 {
	pool := spread(m, areas, total)
	gap := make([]float64, len(pool)) // squared, to the nearest place chosen
	for i := range gap {
		gap[i] = math.Inf(1)
	}
	var out [][3]float32
	choose := func(p r3.Vec) {
		if q := rounded(p); !slices.Contains(out, q) {
			out = append(out, q)
		}
		for i, q := range pool {
			gap[i] = min(gap[i], r3.Norm2(r3.Sub(q, p)))
		}
	}
	for _, p := range outermost(m, workers) {
		choose(p)
	}
	for len(out) < sampleCount && len(pool) > 0 {
		far := 0
		for i := range gap {
			if gap[i] > gap[far] {
				far = i
			}
		}
		if gap[far] == 0 {
			break
		}
		choose(pool[far])
	}
	return out
}

// spread returns places evenly spread over the surface: one at each of so many
// equal steps of area, in the facet where it falls by the additive recurrence
// of the plastic number (Roberts 2018), which leaves no gaps.
func spread(m *mesh.Mesh, areas []float32, total float64) []r3.Vec {
	if !(total > 0) {
		return nil
	}
	pool := make([]r3.Vec, 0, poolCount)
	step := total / poolCount
	at := step / 2
	sum := 0.0
	for t, area := range areas {
		for sum += float64(area); sum > at && len(pool) < poolCount; at += step {
			k := float64(len(pool) + 1)
			u, v := math.Mod(k*0.7548776662466927, 1), math.Mod(k*0.5698402909980532, 1)
			if u+v > 1 {
				u, v = 1-u, 1-v
			}
			a, b, c := m.Corners(t)
			pool = append(pool, r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a)))))
		}
	}
	return pool
}

// end is the corner of a mesh that lies farthest one way.
type end struct {
	height float64 // along that way
	v      int     // −1 where there is none
}

// ends are the farthest corners both ways along each of the directions.
type ends struct{ low, high [13]end }

// outermost returns, for both ways along each of the directions, the corner of
// m that lies farthest that way, of several the first.
func outermost(m *mesh.Mesh, workers int) []r3.Vec {
	used := make([]bool, m.Vertices())
	for _, v := range m.T {
		used[v] = true
	}
	workers = max(workers, 1)
	parts := make([]ends, workers)
	mesh.Share(workers, workers, func(k, _ int) {
		parts[k] = endsOf(m, used, len(used)*k/workers, len(used)*(k+1)/workers)
	})
	all := parts[0]
	for _, part := range parts[1:] {
		for i := range directions {
			if part.low[i].height < all.low[i].height {
				all.low[i] = part.low[i]
			}
			if part.high[i].height > all.high[i].height {
				all.high[i] = part.high[i]
			}
		}
	}
	var out []r3.Vec
	for _, e := range append(all.low[:], all.high[:]...) {
		if e.v >= 0 {
			out = append(out, m.At(uint32(e.v)))
		}
	}
	return out
}

// endsOf returns the ends among the used vertices first … last−1.
func endsOf(m *mesh.Mesh, used []bool, first, last int) (e ends) {
	for i := range directions {
		e.low[i], e.high[i] = end{math.Inf(1), -1}, end{math.Inf(-1), -1}
	}
	for v := first; v < last; v++ {
		x, y, z := float64(m.X[v]), float64(m.Y[v]), float64(m.Z[v])
		if sum := x + y + z; !used[v] || sum-sum != 0 {
			continue
		}
		heights := [...]float64{x, y, z, x + y, x - y, x + z, x - z, y + z, y - z, x + y + z, x + y - z, x - y + z, y + z - x}
		for i, h := range heights {
			if h < e.low[i].height {
				e.low[i] = end{h, v}
			}
			if h > e.high[i].height {
				e.high[i] = end{h, v}
			}
		}
	}
	return e
}

// touched reports which of the points lie within reach of the surface of m.
func touched(m *mesh.Mesh, points []r3.Vec, reach float64) []bool {
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(points[i].X, points[j].X) })
	xs := make([]float64, len(points))
	for k, i := range order {
		xs[k] = points[i].X
	}
	// start finds the first point from x on without a search.
	start := newRuler(xs)
	on := make([]bool, len(points))
	for t := range m.Triangles() {
		ia, ib, ic := m.T[3*t], m.T[3*t+1], m.T[3*t+2]
		low := float64(min(m.X[ia], m.X[ib], m.X[ic])) - reach
		high := float64(max(m.X[ia], m.X[ib], m.X[ic])) + reach
		for k := start.from(low); k < len(xs) && xs[k] <= high; k++ {
			i := order[k]
			p := points[i]
			if on[i] || xs[k] < low ||
				p.Y < float64(min(m.Y[ia], m.Y[ib], m.Y[ic]))-reach || p.Y > float64(max(m.Y[ia], m.Y[ib], m.Y[ic]))+reach ||
				p.Z < float64(min(m.Z[ia], m.Z[ib], m.Z[ic]))-reach || p.Z > float64(max(m.Z[ia], m.Z[ib], m.Z[ic]))+reach {
				continue
			}
			a, b, c := m.Corners(t)
			on[i] = r3.Norm2(r3.Sub(p, closest(p, a, b, c))) <= reach*reach
		}
	}
	return on
}

// ruler finds places in a rising list.
type ruler struct {
	low, per float64
	first    []int // per mark, the first entry at or after it
}

func newRuler(xs []float64) ruler {
	const marks = 256
	r := ruler{first: make([]int, marks+1)}
	if len(xs) == 0 || !(xs[len(xs)-1] > xs[0]) {
		return ruler{first: []int{0}}
	}
	r.low, r.per = xs[0], marks/(xs[len(xs)-1]-xs[0])
	k := 0
	for i := range r.first {
		for k < len(xs) && (xs[k]-r.low)*r.per < float64(i) {
			k++
		}
		r.first[i] = k
	}
	return r
}

// from returns an entry before which all are less than x.
func (r ruler) from(x float64) int {
	mark := (x - r.low) * r.per
	if !(mark > 0) {
		return 0
	}
	return r.first[min(int(mark), len(r.first)-1)]
}

// closest returns the place of the triangle abc nearest to p (Ericson 2005,
// section 5.1.5).
func closest(p, a, b, c r3.Vec) r3.Vec {
	ab, ac, ap := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(p, a)
	d1, d2 := r3.Dot(ab, ap), r3.Dot(ac, ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := r3.Sub(p, b)
	d3, d4 := r3.Dot(ab, bp), r3.Dot(ac, bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return r3.Add(a, r3.Scale(d1/(d1-d3), ab))
	}
	cp := r3.Sub(p, c)
	d5, d6 := r3.Dot(ab, cp), r3.Dot(ac, cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return r3.Add(a, r3.Scale(d2/(d2-d6), ac))
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return r3.Add(b, r3.Scale((d4-d3)/((d4-d3)+(d5-d6)), r3.Sub(c, b)))
	}
	sum := va + vb + vc
	return r3.Add(a, r3.Add(r3.Scale(vb/sum, ab), r3.Scale(vc/sum, ac)))
}
