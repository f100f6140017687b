package mesh

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"gambeson/analysis/pages"

	"gonum.org/v1/gonum/spatial/r3"
)

// sheets gathers the facets of a mesh into sheets: what hangs together by
// edges with two facets. Sheets that meet at edges with more facets make up
// one shell.
type sheets struct {
	m *Mesh

	// of holds, before number, a union-find forest over the facets: the
	// number of a lower facet of the same sheet, or of the facet itself, and
	// in the lowest bit whether the two run round in different ways.
	// After number it holds the number of the sheet, and in the lowest bit
	// whether the facet is turned against the sheet's first.
	of    []uint32
	rims  []uint32    // facets at edges with an odd number of uses
	meets [][2]uint32 // facets whose sheets meet at edges with more than two uses
	all   []sheet
}

// sheet is one sheet.
type sheet struct {
	first          uint32 // facet
	facets, turned int
	rim            bool    // has an edge with an odd number of uses
	volume         float64 // mm³, seen as its first facet, then as the most; of use where there is no rim
	inward         bool    // its first facet faces the wrong way
}

func newSheets(m *Mesh) *sheets {
	s := &sheets{m: m, of: pages.Make[uint32](m.Triangles())}
	for t := range s.of {
		s.of[t] = uint32(t) << 1
	}
	return s
}

// root returns the first facet of the sheet of t as far as it is known, and
// whether t is turned against it. It splits the path on its way (Tarjan and
// van Leeuwen 1984).
func (s *sheets) root(t uint32) (root, turned uint32) {
	for {
		up := s.of[t]
		if up>>1 == t {
			return t, turned
		}
		s.of[t] = s.of[up>>1] ^ up&1
		turned ^= up & 1
		t = up >> 1
	}
}

// edge takes note of the uses of an edge. It returns false where two facets
// agree at this edge only if they disagree at another: a Möbius strip.
func (s *sheets) edge(uses []use) bool {
	if len(uses)%2 == 1 {
		for _, u := range uses {
			s.rims = append(s.rims, u.facet())
		}
	}
	if len(uses) == 2 {
		return s.join(uses[0], uses[1])
	}
	for _, u := range uses[1:] {
		s.meets = append(s.meets, [2]uint32{uses[0].facet(), u.facet()})
	}
	return true
}

// join puts two facets that share an edge into one sheet.
func (s *sheets) join(a, b use) bool {
	turned := uint32(0)
	if a.back() == b.back() {
		turned = 1
	}
	rootA, turnedA := s.root(a.facet())
	rootB, turnedB := s.root(b.facet())
	turned ^= turnedA ^ turnedB
	if rootA == rootB {
		return turned == 0
	}
	s.of[max(rootA, rootB)] = min(rootA, rootB)<<1 | turned
	return true
}

// number numbers the sheets in the order of their first facets, and measures
// them.
func (s *sheets) number() {
	mid := s.m.Bounds().Center()
	for t, up := range s.of {
		if up>>1 == uint32(t) {
			s.of[t] = uint32(len(s.all)) << 1
			s.all = append(s.all, sheet{first: uint32(t)})
		} else {
			s.of[t] = s.of[up>>1] ^ up&1 // a lower facet, already numbered
		}
		of := &s.all[s.of[t]>>1]
		of.facets++
		a, b, c := s.m.Corners(t)
		a, b, c = r3.Sub(a, mid), r3.Sub(b, mid), r3.Sub(c, mid)
		six := r3.Dot(a, r3.Cross(b, c))
		if s.of[t]&1 == 1 {
			of.turned++
			six = -six
		}
		of.volume += six / 6
	}
	for _, t := range s.rims {
		s.all[s.of[t]>>1].rim = true
	}
}

// shells returns the number of shells.
func (s *sheets) shells() int {
	hang := newGroups(len(s.all))
	n := len(s.all)
	for _, meet := range s.meets {
		if hang.join(s.of[meet[0]]>>1, s.of[meet[1]]>>1) {
			n--
		}
	}
	return n
}

// flipped counts the facets that face the wrong way, and returns them. Where facets of a sheet
// disagree the fewer are wrong, unless this leaves a sheet without a rim
// inside out.
func (s *sheets) flipped(d *Defect) (facets []uint32) {
	var negative []int
	for i := range s.all {
		sh := &s.all[i]
		if sh.inward = 2*sh.turned > sh.facets; sh.inward {
			sh.volume = -sh.volume
		}
		if !sh.rim && sh.volume < 0 {
			negative = append(negative, i)
		}
	}
	for _, i := range s.insideOut(negative) {
		s.all[i].inward = !s.all[i].inward
	}
	for t, of := range s.of {
		if (of&1 == 1) != s.all[of>>1].inward {
			d.count(s.m.centre(t))
			facets = append(facets, uint32(t))
		}
	}
	return facets
}

// mostLooked is how many sheets of negative volume are looked at, the largest
// first; the others are taken to bound hollows. A file with more is a sponge,
// and one shell in it turned inside out not worth minutes. (The bits of a
// uint64.)
const mostLooked = 64

// insideOut returns those of the sheets of negative volume that do not bound a
// hollow in the material of another sheet.
func (s *sheets) insideOut(negative []int) []int {
	slices.SortStableFunc(negative, func(a, b int) int { return cmp.Compare(s.all[a].volume, s.all[b].volume) })
	negative = negative[:min(len(negative), mostLooked)]
	if len(negative) == 0 {
		return nil
	}
	points := s.points(negative)
	around := s.boxesAround(points)
	var wound [mostLooked]int // how often the sheets of positive volume go round each point
	for t, of := range s.of {
		facing := 1
		if (of&1 == 1) != s.all[of>>1].inward {
			facing = -1
		}
		for set := around[of>>1]; set != 0; set &= set - 1 {
			i := bits.TrailingZeros64(set)
			wound[i] += facing * s.m.over(t, points[i])
		}
	}
	var out []int
	for i, n := range negative {
		if wound[i] <= 0 {
			out = append(out, n)
		}
	}
	return out
}

// points returns a point on the first facet of each of the sheets, at no
// round fraction of it: files are full of points exactly above each other.
func (s *sheets) points(of []int) []r3.Vec {
	var points []r3.Vec
	for _, i := range of {
		a, b, c := s.m.Corners(int(s.all[i].first))
		points = append(points, r3.Add(r3.Scale(0.3183, a), r3.Add(r3.Scale(0.2718, b), r3.Scale(0.4099, c))))
	}
	return points
}

// boxesAround returns for every sheet that has no rim and positive volume a
// set of those points that its box holds, as bits.
func (s *sheets) boxesAround(points []r3.Vec) []uint64 {
	boxes := make([]r3.Box, len(s.all))
	for i := range boxes {
		boxes[i] = r3.Box{Min: vec(math.Inf(1)), Max: vec(math.Inf(-1))}
	}
	for i, v := range s.m.T {
		p, box := s.m.At(v), &boxes[s.of[i/3]>>1]
		box.Min = r3.Vec{X: min(box.Min.X, p.X), Y: min(box.Min.Y, p.Y), Z: min(box.Min.Z, p.Z)}
		box.Max = r3.Vec{X: max(box.Max.X, p.X), Y: max(box.Max.Y, p.Y), Z: max(box.Max.Z, p.Z)}
	}
	around := make([]uint64, len(s.all))
	for i, box := range boxes {
		for j, p := range points {
			if !s.all[i].rim && s.all[i].volume > 0 && box.Contains(p) {
				around[i] |= 1 << j
			}
		}
	}
	return around
}

func vec(x float64) r3.Vec { return r3.Vec{X: x, Y: x, Z: x} }

// over returns 1 where facet t lies over p and faces up, −1 where it lies over
// p and faces down, else 0.
func (m *Mesh) over(t int, p r3.Vec) int {
	a, b, c := m.Corners(t)
	a, b, c = r3.Sub(a, p), r3.Sub(b, p), r3.Sub(c, p)
	// Twice the areas of the triangles that p makes with the sides, seen
	// from above.
	ab, bc, ca := a.X*b.Y-a.Y*b.X, b.X*c.Y-b.Y*c.X, c.X*a.Y-c.Y*a.X
	facing := 0
	switch {
	case ab > 0 && bc > 0 && ca > 0:
		facing = 1
	case ab < 0 && bc < 0 && ca < 0:
		facing = -1
	default:
		return 0
	}
	if (ab*c.Z+bc*a.Z+ca*b.Z)*float64(facing) > 0 {
		return facing
	}
	return 0
}
