package parting

import (
	"math"

	"gambeson/analysis/bed/hull"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// Opens reports whether a plane along one of the limb's ways opens m: no closed ring
// is left round that way on either side of it. Part makes such a cut first where
// Halves and Anyhow are set and there is one, so that every piece is open.
func Opens(m *mesh.Mesh, want Wish) bool {
	if m.Triangles() == 0 {
		return false
	}
	want.Halves, want.Anyhow = true, true
	s := newSearch(thinned(m), anySpace, want) // few triangles show as well where planes may go
	s.part = m
	for _, f := range s.families(s.root) {
		for _, p := range f.planes {
			if !s.isHalving(p) {
				continue
			}
			if _, ok := s.divide(s.root, p); ok {
				return true
			}
		}
	}
	return false
}

// anySpace takes everything.
var anySpace = Space{
	Fits: func(*hull.Hull, r3.Vec) bool { return true },
	Box:  func(r3.Vec, int) bool { return true },
}

// mouth is the share of a ring's width inside, square to a cut along the limb, that
// the cut must leave to each side: less would leave a piece that is open, but closes
// round the body farther than it can be slipped over it. Of a round ring the narrower
// mouth is then 2·√(¼·¾) = 0.87 of its diameter. The share is a guess. A seam that is
// only wished need not leave it: rings that the body passes closed are among these.
const mouth = 0.25

// ringsOf returns the closed rings of a part round a way, as points of the innermost
// wall of each. A station where the part is open has none.
func ringsOf(part *section.Index, w []section.Plane) [][]r3.Vec {
	var out [][]r3.Vec
	for _, p := range w {
		cut := part.Cut(p)
		k, ok := cut.Around(p.Flat(p.Point))
		if !ok {
			continue
		}
		var ring []r3.Vec
		for _, q := range cut.Chains[k].Points {
			ring = append(ring, p.Lift(q))
		}
		out = append(out, ring)
	}
	return out
}

// opens reports whether a plane goes through all rings round the limb's way of that
// number, with a mouth on both sides where it is wanted anyhow. What goes round a ring's
// inside has then to cross the plane, so that neither side holds all of it.
func (s *search) opens(limb int, p section.Plane) bool {
	if s.rings == nil {
		s.rings = make([][][]r3.Vec, len(s.limbs))
		part := section.NewIndex(s.part)
		for i, w := range s.limbs {
			s.rings[i] = ringsOf(part, w)
		}
	}
	least := 0.0
	if s.want.Anyhow {
		least = mouth
	}
	for _, ring := range s.rings[limb] {
		at := nothing
		for _, q := range ring {
			at.take(r3.Dot(p.Normal, r3.Sub(q, p.Point)))
		}
		if math.Min(-at.low, at.high) <= least*at.size() {
			return false
		}
	}
	return true
}
