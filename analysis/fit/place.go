package fit

import "slices"

// Place is a place along a limb, or a length: a sum of shares of measures and
// of a length, mm.
type Place struct {
	terms []term
	mm    float64
}

type term struct {
	measure string
	share   float64
}

func mm(x float64) Place                    { return Place{mm: x} }
func of(measure string) Place               { return share(measure, 1) }
func share(measure string, x float64) Place { return Place{terms: []term{{measure, x}}} }
func (p Place) plus(x float64) Place        { p.mm += x; return p }
func (p Place) less(measure string) Place   { return p.times(measure, -1) }
func (p Place) times(measure string, x float64) Place {
	p.terms = append(slices.Clone(p.terms), term{measure, x})
	return p
}

// In returns the place in a body.
func (p Place) In(body func(measure string) float64) float64 {
	sum := p.mm
	for _, t := range p.terms {
		sum += t.share * body(t.measure)
	}
	return sum
}

// measures lists what the place depends on.
func (p Place) measures() []string {
	var out []string
	for _, t := range p.terms {
		out = append(out, t.measure)
	}
	return out
}

const (
	// kneecap is from the middle of the kneecap to where a shell above or below
	// it ends, mm (common practice, no source; a kneecap is about 45 mm high, from
	// memory).
	kneecap = 60
	// roundKnee and roundElbow are how far above and below the joint a usual shell of its own
	// reaches, so that one of twice that sits in the middle; overKnee and overElbow how far
	// one with lames does at the most, mm (common practice, no source).
	roundKnee, roundElbow = 90, 65
	overKnee, overElbow   = 120, 90
	// hipJoint is how far above the crotch the outer rim of a thigh shell may
	// reach, mm (common practice, no source).
	hipJoint = 60
)

// ankleHeight is where the leg is thinnest: 137.17 mm above the floor in men of
// 1773.43 mm (USAF 1967, 2420 men).
func ankleHeight() Place { return share("stature", 137.17/1773.43) }

// lowerThighHeight is the upper edge of the kneecap, where ANSUR takes the
// girth: half of its height of about 45 mm above its middle (from memory).
func lowerThighHeight() Place { return of("knee_height").plus(22) }

// thighHeight is the fold under the seat: 22.8 mm (men) and 27.0 mm (women)
// below the crotch (ANSUR 1988, means reckoned from its people).
func thighHeight() Place { return of("crotch_height").plus(-25) }

// hipHeight is where the seat stands out most: 42.2 mm (men) and 51.3 mm
// (women) above the crotch, SD 20 (ANSUR II, reckoned from its people).
func hipHeight() Place { return of("crotch_height").plus(46) }

// chestHeight lies 0.491 (men) and 0.450 (women) of the back waist length above
// the waist (ANSUR II, reckoned from its people).
func chestHeight() Place { return of("waist_height").times("back_waist_length", 0.471) }

// neckBaseHeight: the root of the neck at the spine lies 0.965 (men) and 0.978
// (women) of the back waist length above the waist, the side of the neck 10 mm
// lower (ANSUR II and ANSUR 1988, reckoned from their people), and the collar's
// seam in front lower still: 30 mm in the mean (common practice, no source).
func neckBaseHeight() Place {
	return of("waist_height").times("back_waist_length", 0.971).plus(-30)
}

// neckHeight is just below the larynx: about 45 mm above the root of the neck
// (common practice, no source).
func neckHeight() Place { return neckBaseHeight().plus(45) }

// upperArmPlace is the thickest place of the upper arm: 190.06 mm below the tip
// of the shoulder (USAF 1967), by the length of the upper arm in men of the
// same height, 338.5 mm (ANSUR II).
func upperArmPlace() Place { return share("upper_arm_length", 190.06/338.5) }

// forearmPlace is the thickest place of the bent forearm: about a quarter of
// its length below the elbow (from memory).
func forearmPlace() Place { return of("upper_arm_length").times("lower_arm_length", 0.25) }

func wristPlace() Place { return of("upper_arm_length").times("lower_arm_length", 1) }

// handPlace is the line of the knuckles: half of the hand past the wrist (the
// palm ends at 0.60 of it, ANSUR II; the knuckles lie a finger's breadth before
// that, from memory).
func handPlace() Place { return wristPlace().times("hand_length", 0.5) }

// headPlace is the largest way round the head, above the brows: about 90 mm
// below the crown (from memory; the ear's hole lies 131 mm below it in men, 126 mm
// in women, ANSUR II).
func headPlace() Place { return mm(-90) }

// Along the way into a boot the bend lies between heel and instep crease, about
// 0.7 of the height of the outer ankle above the floor and 0.22 of the foot
// before its heel (from memory). From there back up to the thinnest place of
// the leg, and forward to the instep at half of the foot (common practice, no
// source) and to the ball at 0.74 of it (ANSUR II, 0.741 and 0.739).
func ankleBeforeBend() Place { return share("stature", -137.17/1773.43).times("ankle_height", 0.7) }
func instepPastBend() Place  { return share("foot_length", 0.5-0.22) }
func ballPastBend() Place    { return share("foot_length", 0.74-0.22) }
