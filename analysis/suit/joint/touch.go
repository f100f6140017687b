package joint

import "math"

// straight is the angle, in degrees, that stands for rims that never meet.
const straight = 180

// rims are the two rims at a joint, seen square to the plane in which it bends.
// Each is a disc square to its own part of the limb, both with their middles on
// one straight line as long as the limb is straight: the line that the joint's
// axis crosses, or passes at the distance axis towards the side on which the
// rims meet. Lengths are mm.
//
// The zero rims lie on their axis and touch at once.
type rims struct {
	above, below float64 // from the axis up to the upper rim, down to the lower; negative past it
	upper, lower float64 // radii
	axis         float64
}

// gap is the distance of the rims along the straight limb.
func (r rims) gap() float64 { return r.above + r.below }

// touch returns by how many degrees the joint bends before the rims touch: 0
// where they overlap, 180 where they never do.
//
// With the axis as origin and x towards the side on which they meet, the upper
// disc is the piece of the line y = above that ends at x = p, the lower one
// that of y = −below that ends at q. Bending by θ turns the lower one up. Its
// edge, on a circle of radius b = √(q² + below²), starts at the angle
// −atan2(below, q) and meets the line of the upper disc at asin(above/b), so
//
//	θ = atan2(below, q) + asin(above/b).
//
// It meets the disc, not the line beyond it, where b ≤ a = √(p² + above²). In
// the other case the edge of the upper disc meets the lower one first, and the
// same holds with the parts changed. Where a = b both edges meet, and for equal
// radii, an axis in the middle and rims equally far from it
// θ = 2·atan(gap/2/radius). A disc whose edge does not reach past the axis
// swings away and never meets the other.
//
// It falls with either radius and grows with either distance up to 90°. Beyond,
// an edge that is set back from the axis swings on a greater circle, and with
// its distance the angle falls towards 90° until both edges reach equally far;
// from there on it grows again.
func (r rims) touch() float64 { return r.beside(0) }

// beside is touch for the chords of both discs at a distance from the plane in
// which the joint bends. It is least in that plane, for the edges reach
// furthest there.
func (r rims) beside(z float64) float64 {
	if r.gap() <= 0 {
		return 0
	}
	p, q := chord(r.upper, z)-r.axis, chord(r.lower, z)-r.axis
	if !(p > 0 && q > 0) {
		return straight
	}
	far, near := math.Hypot(p, r.above), math.Hypot(q, r.below)
	angle := 0.0
	if near <= far {
		angle = swing(r.below, q, r.above, near)
	} else {
		angle = swing(r.above, p, r.below, far)
	}
	return min(max(angle*180/math.Pi, 0), straight)
}

// chord is half the chord of a disc at a distance z from its middle, NaN where
// the disc has none.
func chord(radius, z float64) float64 { return math.Sqrt((radius - z) * (radius + z)) }

// swing is the angle by which an edge at the distance out from the axis and
// away from it along the limb, reach from it in all, comes to the line at the
// distance line on the other side: never, where it does not reach that far.
func swing(away, out, line, reach float64) float64 {
	if line >= reach {
		return math.Pi
	}
	return math.Atan2(away, out) + math.Asin(max(line/reach, -1))
}

// cut is what to take off the rims on the side where they meet, each by its
// share, so that the joint bends that far: a distance in mm. It halves an interval, for what does more than the joint does
// now is all that is further back (see touch); ok is false where most does not
// do.
func (r rims) cut(degrees, upper, lower, most float64) (mm float64, ok bool) {
	back := func(mm float64) float64 {
		c := r
		c.above += mm * upper
		c.below += mm * lower
		return c.touch()
	}
	low, high := 0.0, most
	if !(back(high) >= degrees) {
		return 0, false
	}
	for range 50 {
		if mid := (low + high) / 2; back(mid) < degrees {
			low = mid
		} else {
			high = mid
		}
	}
	return high, true
}

// width is how much of the upper and of the lower rim, in mm along it, touches
// before the joint has bent that far: what a cut has to span.
func (r rims) width(degrees float64) (upper, lower float64) {
	low, high := 0.0, min(r.upper, r.lower)
	for range 50 {
		if mid := (low + high) / 2; r.beside(mid) < degrees {
			low = mid
		} else {
			high = mid
		}
	}
	arc := func(radius float64) float64 { return 2 * radius * math.Asin(min(high/radius, 1)) }
	return arc(r.upper), arc(r.lower)
}
