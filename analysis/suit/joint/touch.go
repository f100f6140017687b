package joint

import "math"

// straight is the angle, in degrees, that stands for rims that never meet.
const straight = 180

// rims are the two rims at a joint, seen square to the plane in which it bends.
// Each is a disc square to its own part of the limb, from which its shell runs
// straight on; both have their middles on one straight line as long as the limb
// is straight. The joint's axis crosses that line, or passes it at the distance
// axis towards the side on which the rims meet. Lengths are mm.
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
// where they overlap, 180 where they never do. It falls with either radius and
// grows with either distance.
//
// With the axis as origin and x towards the side on which they meet, the upper
// disc is the piece of the line y = above that ends at x = p, the lower one
// that of y = −below that ends at x = q; the edges are a = √(p² + above²) and
// b = √(q² + below²) away from the axis. Bending by θ turns the lower part up.
//
//   - a = b: edge meets edge, where both angles under which they are seen from
//     the axis are used up: θ = atan2(above, p) + atan2(below, q), for equal rims
//     equally far from an axis in the middle 2·atan(gap/2/radius).
//   - b < a: the lower edge, on its circle, comes to the line of the upper disc
//     at θ = atan2(below, q) + asin(above/b), on the disc since b < a.
//   - If it does so after 90° only, or never (b < above), it passes below and
//     the upper edge meets the wall behind it, the line x = q of the lower part:
//     θ = atan2(above, p) + acos(q/a). Both are 90° at once.
//   - a < b: the same with the parts changed.
//
// An axis that lies outside a part, on the side where the rims meet, is taken
// to keep them apart.
func (r rims) touch() float64 { return r.beside(0) }

// beside is touch in the plane at a distance from the one in the middle, where
// the discs are as wide as their chords. No point leaves its plane as the joint
// bends, and with the shorter chords they touch later: the middle decides.
func (r rims) beside(z float64) float64 {
	if r.gap() <= 0 {
		return 0
	}
	p, q := chord(r.upper, z)-r.axis, chord(r.lower, z)-r.axis
	if !(p > 0 && q > 0) {
		return straight
	}
	angle := 0.0
	if math.Hypot(q, r.below) <= math.Hypot(p, r.above) {
		angle = meet(q, r.below, p, r.above)
	} else {
		angle = meet(p, r.above, q, r.below)
	}
	return min(max(angle*180/math.Pi, 0), straight)
}

// meet is the angle in radians at which two parts touch of which the first has
// the edge nearer to the axis: out from it and away along the limb.
func meet(out, away, farOut, farAway float64) float64 {
	near, far := math.Hypot(out, away), math.Hypot(farOut, farAway)
	if farAway < near {
		onDisc := math.Atan2(away, out) + math.Asin(max(farAway/near, -1))
		if onDisc <= math.Pi/2 {
			return onDisc
		}
	}
	return math.Atan2(farAway, farOut) + math.Acos(min(out/far, 1))
}

// chord is half the chord of a disc at a distance z from its middle, NaN where
// the disc has none.
func chord(radius, z float64) float64 { return math.Sqrt((radius - z) * (radius + z)) }

// cut is what to take off the rims on the side where they meet, each by its
// share, so that the joint bends that far: a distance in mm. ok is false where most does not do.
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
