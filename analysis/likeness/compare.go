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
	if r.Kind == Edited {
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
	refuted  = iota
	likely   // all integrals agree
	certain  // and so do places on the surface
	unproved = refuted
)

// compare returns the relation by the first map that is certain, else by the
// first that is likely.
func (c *comparison) compare() Relation {
	if c.old.Empty() || c.new.Empty() {
		if c.old.Empty() && c.new.Empty() {
			return Relation{Kind: Same, Percent: 100, Map: Map{Linear: identity}}
		}
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
	grain, radius := c.grain(by.Map), c.new.radius()
	volume := math.Abs(determinant(by.Linear))
	if by.boxes && !c.boxesAgree(by.Map, grain) {
		return refuted
	}
	corners := false
	if c.old.Triangles == c.new.Triangles {
		m := c.old.Corners.mapped(by.Map, 1)
		corners = m.near(&c.new.Corners, slack{1e-9 * m.Weight, grain, radius})
	}
	if by.alike {
		area := math.Cbrt(volume * volume)
		m := c.old.Surface.mapped(by.Map, area)
		if !m.near(&c.new.Surface, slack{area*c.old.AreaDoubt + c.new.AreaDoubt, grain, radius}) {
			return refuted
		}
	}
	switch {
	case corners && !c.solidsAgree(by, c.old.Solid.about(vector(c.old.Corners.About)), c.new.Solid.about(vector(c.new.Corners.About))):
		return refuted
	case !corners && c.old.Closed && c.new.Closed && !c.solidsAgree(by, c.old.Solid, c.new.Solid):
		return refuted
	case !corners && !by.alike && !(c.old.Closed && c.new.Closed):
		return unproved
	}
	proof := c.placesAgree(by, grain)
	if proof == likely && !by.alike && (c.m != nil || !corners) {
		// So many factors fit the moments of two tubes with other numbers of sides.
		return unproved
	}
	return proof
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
