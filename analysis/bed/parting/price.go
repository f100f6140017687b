package parting

import (
	"math"

	"gambeson/analysis/bed/frame"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// Prices of a cut, in part diagonals of seam. The order of what matters is the
// project's own; the amounts are guesses that keep it.
const (
	priceNear  = 100.0 // near a place to keep clear of
	priceWhole = 30.0  // no seam along the limb where one is wished
	priceLone  = 0.7   // without a mirror image in a plane of symmetry
	priceFlake = 2.0   // a piece of no depth; less the deeper it is
	priceBody  = 1.0   // a piece in two bodies
	priceShave = 4.0   // a seam all of which meets the wall at a slant
	priceLong  = 0.5   // pieces of which one is much longer than the other
	priceOver  = 2.0   // what remains being twice too large
	priceAskew = 0.05  // a plane that is not its own mirror image
)

const (
	// keepClear is how far a seam stays from a measured station: there the
	// body is tightest, and glue and files change the girth.
	keepClear = 10.0
	// steep is the cosine of the angle to a station from which on a plane goes
	// along the limb and not round it: 45°.
	steep = math.Sqrt2 / 2
	// flake is the depth in mm from which on a piece is no flake.
	flake = 30.0
	// slant is the sine of the angle between wall and seam below which the edges
	// of the pieces are too sharp to print and to glue: 45°.
	slant = math.Sqrt2 / 2
	// shaved is the share of a seam at a slant from which on the cut shaves a
	// piece off the part rather than parts it. One piece more is a fair price for
	// not doing that. A guess.
	shaved = 0.3
)

// reach returns how far from its middle along the unit vector n a seam square
// to n is near the place. ok is false where the seam runs along the limb: it
// must cross every station then.
func (p Place) reach(n r3.Vec) (reach float64, ok bool) {
	cos := math.Abs(r3.Dot(p.Normal, n))
	if !p.Rim && cos < steep {
		return 0, false
	}
	sin := math.Sqrt(math.Max(0, 1-cos*cos))
	return keepClear + p.Radius*sin, true
}

// near reports whether a seam in plane q comes near the place.
func (p Place) near(q section.Plane) bool {
	reach, ok := p.reach(q.Normal)
	return ok && math.Abs(r3.Dot(q.Normal, r3.Sub(p.At, q.Point))) < reach
}

// holds reports whether r has something of a place.
func (s *search) holds(r *region, p Place) bool {
	for k, of := range r.spans {
		a := s.axis(k)
		at := r3.Dot(a, p.At)
		cos := r3.Dot(a, p.Normal)
		wide := p.Radius * math.Sqrt(math.Max(0, 1-cos*cos))
		if at+wide < of.low || at-wide > of.high {
			return false
		}
	}
	return true
}

// nearPlaces returns how many places of r a seam comes near. A seam along the
// limb that is wished goes through rims.
func (s *search) nearPlaces(r *region, q section.Plane) int {
	near := 0
	halving := s.want.Halves && s.isHalving(q)
	for _, p := range s.want.Clear {
		if !(halving && p.Rim) && p.near(q) && s.holds(r, p) {
			near++
		}
	}
	return near
}

// price returns what a cut costs, and how many places it comes near.
func (s *search) price(r *region, l look) (price float64, near int) {
	near = s.nearPlaces(r, l.plane)
	price = l.seam/s.scale + priceNear*float64(near) + priceShave*l.slant
	for _, d := range l.depth {
		price += priceFlake * max(0, 1-d/flake)
	}
	price += priceLong * math.Abs(l.depth[0]-l.depth[1]) / (l.depth[0] + l.depth[1])
	return price, near
}

// shaves reports whether a cut takes a mere shaving off.
func (l *look) shaves() bool {
	return l.slant > shaved || min(l.depth[0], l.depth[1]) < flake/2
}

// askew returns in how many planes of symmetry p is not its own image.
func (s *search) askew(p section.Plane) int {
	n := 0
	for _, m := range s.mirrors {
		if !samePlane(p, frame.MirroredPlane(m, p), frame.TwinWithin*s.scale) {
			n++
		}
	}
	return n
}

// uneven returns how many cuts have no mirror image, summed over the planes of
// symmetry; less than one for each that has one near the place where it should be.
func (s *search) uneven(cuts []*option) float64 {
	sum := 0.0
	for _, m := range s.mirrors {
		for _, c := range cuts {
			sum += s.astray(m, c, cuts)
		}
	}
	return sum
}

// inPlace is the share of the most that a twin may be astray up to which it is where
// it should be (a guess).
const inPlace = 0.01

// astray returns how far the nearest of cuts, which may be c itself, is from the
// mirror image of c in m: as a share of the most that one may be, 1 where none is so
// near.
func (s *search) astray(m section.Plane, c *option, cuts []*option) float64 {
	image := frame.MirroredPlane(m, c.plane)
	middle := frame.Mirrored(m, c.middle)
	least := 1.0
	for _, d := range cuts {
		if samePlane(image, d.plane, frame.TwinWithin*s.scale) {
			// At the middle of the seam, for the planes need not be level.
			off := math.Abs(r3.Dot(image.Normal, r3.Sub(d.middle, image.Point)))
			least = min(least, max(off, r3.Norm(r3.Sub(middle, d.middle))/2)/(frame.TwinWithin*s.scale))
		}
	}
	return least
}

// samePlane reports whether two planes are one where they cut: they face the
// same way or opposite ways, and lie within some distance of each other.
func samePlane(p, q section.Plane, within float64) bool {
	return frame.Same(p.Normal, q.Normal) && math.Abs(r3.Dot(p.Normal, r3.Sub(q.Point, p.Point))) < within
}
