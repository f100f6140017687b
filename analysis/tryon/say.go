package tryon

import (
	"fmt"
	"math"
)

// Sentence says the plan in one sentence. part and band are what they are called:
// "greave", "calf".
func (p Plan) Sentence(part, band string) string {
	switch {
	case p.Next > 0:
		return fmt.Sprintf("Print the %s band at %s first (%s): that saves %s on average against printing the %s at once.",
			band, scale(p.Next), hours(p.BandHours), hours(p.Saved), part)
	case p.Settled:
		return fmt.Sprintf("No test is needed: at %s the %s, once on, fits with a chance of %s.", scale(p.Print), part, chance(p.Chance))
	}
	return fmt.Sprintf("No test is worth its hours: at %s the %s, once on, fits with a chance of %s, so %s are lost on average, and no %s band saves more than it takes.",
		scale(p.Print), part, chance(p.Chance), hours(p.Lost), band)
}

// scale writes a percent with no more decimals than it has.
func scale(percent float64) string {
	return fmt.Sprintf("%g %%", math.Round(10*percent)/10)
}

// hours writes hours, and minutes below one.
func hours(h float64) string {
	if h < 1 {
		return fmt.Sprintf("%.0f min", 60*h)
	}
	return fmt.Sprintf("%.1f h", h)
}

// chance writes a chance in percent, and never says certain.
func chance(p float64) string {
	if p > 0.99 {
		return "more than 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}
