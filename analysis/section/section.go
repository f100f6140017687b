// Package section cuts meshes by planes: sections as chains, capped halves and
// capped slabs. Lengths are millimetres, computations float64.
package section

import (
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Section is where a plane meets a mesh.
type Section struct {
	Plane  Plane
	Chains []Chain
}

// Around returns the index of the innermost closed chain round p (plane
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
// it, -1 where there is none.
func (s Section) Nesting() []int {
	round := make([]int, len(s.Chains))
	for i, c := range s.Chains {
		round[i] = -1
		least := 0.0
		own := abs(c.Area())
		for j, other := range s.Chains {
			if j == i || len(c.Points) == 0 {
				continue
			}
			area := abs(other.Area())
			if area < own || area == own && j > i || !other.Contains(c.Points[0]) {
				continue
			}
			if round[i] < 0 || area < least {
				round[i], least = j, area
			}
		}
	}
	return round
}

// Cut returns the section of m by p.
//
// A vertex on the plane counts as above it, so every triangle is cut clean
// through or not at all and a closed mesh gives closed chains only. A section
// in the plane of facets is therefore its limit from below (from the side the
// Normal does not show to): the top of a box gives its outline, the bottom
// gives nothing.
func Cut(m *mesh.Mesh, p Plane) Section {
	s := Section{Plane: p}
	f, ok := p.frame()
	if !ok {
		return s
	}
	type edge struct{ below, above uint32 }
	height := func(v uint32) float64 { return r3.Dot(f.n, m.At(v)) }
	at := map[edge][]int{}
	var ends [][2]edge
	for t := range m.Triangles() {
		var seg [2]edge
		count := 0
		for k := range 3 {
			a, b := m.T[3*t+k], m.T[3*t+(k+1)%3]
			up := height(b) >= f.d
			if a == b || (height(a) >= f.d) == up {
				continue
			}
			if up {
				seg[1] = edge{a, b}
			} else {
				seg[0] = edge{b, a}
			}
			count++
		}
		if count == 2 && seg[0] != seg[1] {
			at[seg[0]] = append(at[seg[0]], len(ends))
			at[seg[1]] = append(at[seg[1]], len(ends))
			ends = append(ends, seg)
		}
	}
	point := func(e edge) r2.Vec {
		low, high := height(e.below), height(e.above)
		a, b := m.At(e.below), m.At(e.above)
		return f.flat(r3.Add(a, r3.Scale((f.d-low)/(high-low), r3.Sub(b, a))))
	}
	used := make([]bool, len(ends))
	walk := func(from int, side int) (points []r2.Vec, closed bool) {
		first := ends[from][1-side]
		for i := from; ; {
			used[i] = true
			e := ends[i][side]
			if e == first {
				return points, true
			}
			points = append(points, point(e))
			next := -1
			for _, j := range at[e] {
				if !used[j] {
					next = j
					break
				}
			}
			if next < 0 {
				return points, false
			}
			side = 0
			if ends[next][0] == e {
				side = 1
			}
			i = next
		}
	}
	for i := range ends {
		if used[i] {
			continue
		}
		points, closed := walk(i, 1)
		c := Chain{Points: append([]r2.Vec{point(ends[i][0])}, points...), Closed: closed}
		if !closed {
			back, _ := walk(i, 0)
			for _, p := range back[min(1, len(back)):] {
				c.Points = append([]r2.Vec{p}, c.Points...)
			}
		}
		s.Chains = append(s.Chains, c)
	}
	return s
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
