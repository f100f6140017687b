package assembly

import (
	"math"
	"math/bits"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// tree finds the facets of a mesh near a place: a tree of boxes, each with
// half of the facets of the one above it.
type tree struct {
	m       *mesh.Mesh
	facets  []uint32 // in the order of the leaves
	normals []r3.Vec // by facet, of length 1
	boxes   []r3.Box // the root is 1, the halves of i are 2i and 2i+1
	levels  int

	// While it is made:
	around []box    // by facet
	ranks  []uint64 // parallel to facets, to sort them by
}

// boxAround returns the box of facet t.
func boxAround(m *mesh.Mesh, t int) box {
	b := nowhere
	for _, v := range m.T[3*t : 3*t+3] {
		p := [3]float32{m.X[v], m.Y[v], m.Z[v]}
		b.take(&box{p, p})
	}
	return b
}

// fewFacets is the number of facets of a leaf up to which it is not halved.
const fewFacets = 4

func newTree(m *mesh.Mesh) *tree {
	n := m.Triangles()
	t := &tree{m: m, facets: make([]uint32, n), normals: make([]r3.Vec, n), around: make([]box, n), ranks: make([]uint64, n)}
	for i := range t.facets {
		t.facets[i], t.around[i] = uint32(i), boxAround(m, i)
		a, b, c := m.Corners(i)
		if cross := r3.Cross(r3.Sub(b, a), r3.Sub(c, a)); r3.Norm2(cross) > 0 {
			t.normals[i] = r3.Unit(cross)
		}
	}
	for len(t.facets)>>t.levels > fewFacets {
		t.levels++
	}
	t.boxes = make([]r3.Box, 2<<t.levels)
	t.split(1, 0, len(t.facets), 0)
	t.around, t.ranks = nil, nil
	return t
}

func (t *tree) split(node, from, to, level int) {
	around := nowhere
	for _, f := range t.facets[from:to] {
		around.take(&t.around[f])
	}
	box := around.wide()
	t.boxes[node] = box
	if level == t.levels {
		return
	}
	axis := widest(r3.Sub(box.Max, box.Min))
	ranks := t.ranks[from:to]
	for i, f := range t.facets[from:to] {
		ranks[i] = rising(t.middle(f, axis))<<32 | uint64(f)
	}
	mid := len(ranks) / 2
	if level+1 < t.levels {
		halve(ranks, mid)
	} else {
		slices.Sort(ranks) // the order in the leaves
	}
	for i, r := range ranks {
		t.facets[from+i] = uint32(r)
	}
	mid += from
	t.split(2*node, from, mid, level+1)
	t.split(2*node+1, mid, to, level+1)
}

// halve brings the n smallest of some different numbers to the front (Hoare,
// Communications of the ACM 4, 1961, Algorithm 65, Find).
func halve(of []uint64, n int) {
	for rounds := 2 * bits.Len(uint(len(of))); len(of) > 16; rounds-- {
		if rounds == 0 {
			break // an order that serves the pivots ill
		}
		a, b, c := of[0], of[len(of)/2], of[len(of)-1]
		pivot := max(min(a, b), min(max(a, b), c))
		i, j := 0, len(of)-1
		for i <= j {
			for of[i] < pivot {
				i++
			}
			for of[j] > pivot {
				j--
			}
			if i <= j {
				of[i], of[j] = of[j], of[i]
				i, j = i+1, j-1
			}
		}
		switch { // those before i are no greater than those behind j
		case n <= j:
			of = of[:j+1]
		case n >= i:
			of, n = of[i:], n-i
		default:
			return
		}
	}
	slices.Sort(of)
}

// middle returns three times the middle of a facet on an axis.
func (t *tree) middle(f uint32, axis int) float32 {
	column := [3][]float32{t.m.X, t.m.Y, t.m.Z}[axis]
	return column[t.m.T[3*f]] + column[t.m.T[3*f+1]] + column[t.m.T[3*f+2]]
}

// rising returns a number of 32 bits that is the greater the greater x is: the bits
// of a float32 are in order as they are but for the sign (IEEE 754, 3.4).
func rising(x float32) uint64 {
	b := math.Float32bits(x)
	if x < 0 {
		return uint64(^b)
	}
	return uint64(b | 1<<31)
}

// near returns the facet nearest to p, no further than reach, whose normal
// keeps to the side: side·(normal · n) ≥ facing. It returns the foot of p on
// it too.
func (t *tree) near(p, n r3.Vec, side, reach float64) (facet uint32, foot r3.Vec, ok bool) {
	best := reach * reach
	var look func(node, from, to, level int)
	look = func(node, from, to, level int) {
		if from == to || outside(t.boxes[node], p) > best {
			return
		}
		if level < t.levels {
			mid := (from + to) / 2
			look(2*node, from, mid, level+1)
			look(2*node+1, mid, to, level+1)
			return
		}
		for _, f := range t.facets[from:to] {
			if side*r3.Dot(n, t.normals[f]) < facing {
				continue
			}
			q := nearestOn(t.m, int(f), p)
			if d := r3.Norm2(r3.Sub(p, q)); d <= best {
				best, facet, foot, ok = d, f, q, true
			}
		}
	}
	look(1, 0, len(t.facets), 0)
	return facet, foot, ok
}

// outside returns the square of the distance of p from a box.
func outside(b r3.Box, p r3.Vec) float64 {
	x := max(0, b.Min.X-p.X, p.X-b.Max.X)
	y := max(0, b.Min.Y-p.Y, p.Y-b.Max.Y)
	z := max(0, b.Min.Z-p.Z, p.Z-b.Max.Z)
	return x*x + y*y + z*z
}

// nearestOn returns the point of facet t nearest to p (Ericson, Real-Time
// Collision Detection, 2005, 5.1.5).
func nearestOn(m *mesh.Mesh, t int, p r3.Vec) r3.Vec {
	a, b, c := m.Corners(t)
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
	if va <= 0 && d4 >= d3 && d5 >= d6 {
		return r3.Add(b, r3.Scale((d4-d3)/((d4-d3)+(d5-d6)), r3.Sub(c, b)))
	}
	if sum := va + vb + vc; sum > 0 {
		return r3.Add(a, r3.Add(r3.Scale(vb/sum, ab), r3.Scale(vc/sum, ac)))
	}
	return a
}

func vec(x float64) r3.Vec { return r3.Vec{X: x, Y: x, Z: x} }

// grown returns the box with p in it.
func grown(b r3.Box, p r3.Vec) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y), Z: min(b.Min.Z, p.Z)},
		Max: r3.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y), Z: max(b.Max.Z, p.Z)},
	}
}

// widest returns the axis, 0 to 2, along which v is longest.
func widest(v r3.Vec) int {
	switch {
	case v.X >= v.Y && v.X >= v.Z:
		return 0
	case v.Y >= v.Z:
		return 1
	}
	return 2
}
