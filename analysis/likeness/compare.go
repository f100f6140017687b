package likeness

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Compare tells what the shape of one signature is of that of another. It
// takes a cut for an edit: see Became.
func Compare(old, new Signature) Relation {
	c := comparison{old: &old, new: &new}
	return c.compare()
}

// Became tells what m is of the older shape, of which only the signature is
// left. new must be the signature of m.
func Became(old, new Signature, m *mesh.Mesh) Relation {
	c := comparison{old: &old, new: &new, m: m}
	r := c.compare()
	// A tube cut square is the same tube rescaled along its axis; but who rescales
	// keeps the facets.
	if r.Kind == Edited || r.Axes != [3]float64{} && !c.cornersAgree(r.Map) {
		if cut, ok := c.cut(); ok {
			return cut
		}
	}
	return r
}

// comparison is one question.
type comparison struct {
	old, new *Signature
	m        *mesh.Mesh // of the new one, nil where it is not at hand
}

// candidate is a map that may explain the new shape.
type candidate struct {
	Map
	alike bool // keeps all angles
	boxes bool // takes boxes to boxes: every axis comes to lie along an axis
}

// The degrees of proof.
const (
	refuted = iota // something speaks against it, or nothing for it
	likely         // all integrals agree
	certain        // and so do places on the surface
)

// compare returns the relation by the first map that is certain, else by the
// first that is likely.
func (c *comparison) compare() Relation {
	if c.old.Corners == c.new.Corners && c.old.Surface == c.new.Surface && c.old.Solid == c.new.Solid {
		return Relation{Kind: Same, Percent: 100, Map: Map{Linear: identity}}
	}
	if !(c.old.Surface.Weight > 0) || !(c.new.Surface.Weight > 0) {
		return Relation{Kind: Edited}
	}
	var best *candidate
	for by := range c.candidates {
		proof := c.proof(by)
		if proof == certain {
			return c.relation(by)
		}
		if proof == likely && best == nil {
			best = &by
		}
	}
	// Turning of a part that looks alike all round is told by its corners only.
	for by := range c.keyed {
		if c.proof(by) == certain {
			return c.relation(by)
		}
	}
	if best != nil {
		return c.relation(*best)
	}
	return Relation{Kind: Edited}
}

// grain returns how far rounding may have moved a place that was mapped.
func (c *comparison) grain(by Map) float64 {
	grow := 0.0
	for k := range 3 {
		grow = math.Max(grow, math.Hypot(math.Hypot(by.Linear[0][k], by.Linear[1][k]), by.Linear[2][k]))
	}
	return c.new.Grain + grow*c.old.Grain
}

// proof tries a map on all that is known of both shapes.
func (c *comparison) proof(by candidate) int {
	grain := c.grain(by.Map)
	if by.boxes && !c.boxesAgree(by.Map, grain) || !c.plausible(by, grain) || by.alike && !c.surfacesAgree(by.Map, grain) {
		return refuted
	}
	corners, solids := c.cornersAgree(by.Map), c.old.Closed && c.new.Closed
	switch {
	case corners:
		// What lies between the middle of the corners and the facets can be
		// compared even where a part is open.
		old, new := c.old.Solid.about(vector(c.old.Corners.About)), c.new.Solid.about(vector(c.new.Corners.About))
		if !c.solidsAgree(by, old, new) {
			return refuted
		}
	case solids:
		if !c.solidsAgree(by, c.old.Solid, c.new.Solid) {
			return refuted
		}
	case !by.alike:
		return refuted
	}
	proof := c.placesAgree(by, grain)
	if proof == likely && !by.alike && (c.m != nil || !corners) {
		// So many factors fit the moments of two tubes with other numbers of sides.
		return refuted
	}
	return proof
}

// surfacesAgree compares the integrals over the surfaces, for a map that keeps
// angles.
func (c *comparison) surfacesAgree(by Map, grain float64) bool {
	area := math.Cbrt(math.Pow(determinant(by.Linear), 2))
	m := c.old.Surface.mapped(by, area)
	return m.near(&c.new.Surface, slack{area*c.old.AreaDoubt + c.new.AreaDoubt, grain, c.new.radius()})
}

// cornersAgree reports whether the facets may be the same ones.
func (c *comparison) cornersAgree(by Map) bool {
	if c.old.Triangles != c.new.Triangles {
		return false
	}
	m := c.old.Corners.mapped(by, 1)
	return m.near(&c.new.Corners, slack{1e-9 * m.Weight, c.grain(by), c.new.radius()})
}

// least is how many grains a map must move or bend a part at its rim by turning
// and rescaling, if at all. Nobody does less on purpose, and so little can stand
// in for a small edit.
const least = 16

// plausible reports whether a map turns and rescales by more than could be an
// edit's doing, and whether the area grew as it may.
func (c *comparison) plausible(by candidate, grain float64) bool {
	little := least * grain / c.new.radius()
	off := func(a matrix) float64 {
		sum := 0.0
		for i := range 3 {
			for j := range 3 {
				sum = math.Max(sum, math.Abs(a[i][j]-identity[i][j]))
			}
		}
		return sum
	}
	if by.Linear != identity && off(by.Linear) < little {
		return false
	}
	if by.alike {
		return true
	}
	square := product(transposed(by.Linear), by.Linear)
	values, _, ok := eigen(square)
	size := roots(diagonal(values))
	if !ok || size[2]-size[0] < little*size[2] {
		return false
	}
	area, doubt := c.new.Surface.Weight, c.new.AreaDoubt+size[2]*size[2]*c.old.AreaDoubt
	return area >= size[0]*size[1]*c.old.Surface.Weight-doubt && area <= size[1]*size[2]*c.old.Surface.Weight+doubt
}

// boxesAgree reports whether the map takes the one box to the other.
func (c *comparison) boxesAgree(by Map, grain float64) bool {
	a, b := array(by.At(vector(c.old.Low))), array(by.At(vector(c.old.High)))
	for k := range 3 {
		if math.Abs(math.Min(a[k], b[k])-c.new.Low[k]) > 2*grain || math.Abs(math.Max(a[k], b[k])-c.new.High[k]) > 2*grain {
			return false
		}
	}
	return true
}

// solidsAgree compares what the surfaces bound. Facets may have been turned
// round all at once.
func (c *comparison) solidsAgree(by candidate, old, new Moments) bool {
	grain, volume := c.grain(by.Map), math.Abs(determinant(by.Linear))
	doubt := slack{volume*c.old.VolumeDoubt + c.new.VolumeDoubt, grain, c.new.radius()}
	if !by.alike {
		// The area, and with it the doubt, grew by at most the square of the
		// greatest factor.
		grow := (grain - c.new.Grain) / c.old.Grain
		doubt.weight = grow*grow*grow*c.old.VolumeDoubt + c.new.VolumeDoubt
	}
	for _, sign := range []float64{1, -1} {
		if m := old.mapped(by.Map, sign*volume); m.near(&new, doubt) {
			return true
		}
	}
	return false
}

// reach is how many grains a mapped place may lie off the surface.
const reach = 4

// placesAgree tries the map on places of the old surface.
func (c *comparison) placesAgree(by candidate, grain float64) int {
	if c.anchorsAgree(by.Map, grain) {
		return certain
	}
	switch {
	case c.m != nil:
		for _, on := range touched(c.m, c.places(by.Map), reach*grain) {
			if !on {
				if by.boxes {
					return refuted
				}
				return likely
			}
		}
		return certain
	case by.boxes:
		return certain
	}
	return likely
}

// places returns where the map takes the sampled places.
func (c *comparison) places(by Map) []r3.Vec {
	out := make([]r3.Vec, len(c.old.Sample))
	for i, p := range c.old.Sample {
		out[i] = by.At(widened(p))
	}
	return out
}

// anchorsAgree reports whether both files hold their facets in the same order
// and the map takes those that are known of one to those of the other.
func (c *comparison) anchorsAgree(by Map, grain float64) bool {
	if c.old.Triangles != c.new.Triangles || len(c.old.Anchors) != len(c.new.Anchors) || len(c.old.Anchors) == 0 {
		return false
	}
	for i, p := range c.old.Anchors {
		if !(r3.Norm(r3.Sub(by.At(widened(p)), widened(c.new.Anchors[i]))) <= reach*grain) {
			return false
		}
	}
	return true
}
