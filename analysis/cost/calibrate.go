package cost

import "math"

// Pair is one print that was made: what was forecast of it, uncorrected, and
// what it took. A number that is not known is 0.
type Pair struct {
	Forecast, Took Taken
	// Scale is the size it was printed at, as a share of that of the forecast.
	Scale float64
}

// Taken is what one print takes.
type Taken struct {
	Hours, Grams float64
}

// Calibration is what prints that were made say of the forecast: by what its
// hours and grams are to be multiplied, and the doubt of one forecast that was,
// as a share of it. The zero Calibration says nothing: use Calibrate(nil).
type Calibration struct {
	Hours   float64 `json:"hours"`
	HoursSD float64 `json:"hours_sd"`
	Grams   float64 `json:"grams"`
	GramsSD float64 `json:"grams_sd"`
	Prints  int     `json:"prints"` // that told something
}

// Doubt of the forecast before anything was printed, and of one print beside
// another on the same printer, as shares (common practice, no source: how a
// printer is set up shifts its times by a quarter; weights agree much better).
const (
	priorHours, spreadHours = 0.25, 0.08
	priorGrams, spreadGrams = 0.08, 0.03
)

// What a print takes goes with the second power of its size where it is a skin of
// lines and with the third where it is solid: between the two, and unsure by half
// a power.
const (
	power      = 2.5
	powerDoubt = 0.5
)

// Calibrate returns what pairs say of the forecast. The logarithm of what a print
// took against its forecast is normal: the same for all prints, of which the
// prior is 0 ± the prior doubt, plus each print's own part. So each pair is a
// measurement of the common part, and they join by their weights (the conjugate
// normal with known variance: Gelman et al., Bayesian Data Analysis, 3rd ed.,
// 2.5). Pairs without a forecast, or with numbers that make no sense, are left
// out.
func Calibrate(pairs []Pair) Calibration {
	hours, grams := prior(priorHours), prior(priorGrams)
	var c Calibration
	for _, p := range pairs {
		timed := hours.learn(p.Forecast.Hours, p.Took.Hours, p.Scale, spreadHours)
		weighed := grams.learn(p.Forecast.Grams, p.Took.Grams, p.Scale, spreadGrams)
		if timed || weighed {
			c.Prints++
		}
	}
	c.Hours, c.HoursSD = hours.says(spreadHours)
	c.Grams, c.GramsSD = grams.says(spreadGrams)
	return c
}

// belief is a normal belief about a logarithm: its weight is 1/variance, and
// sum the weight times the mean.
type belief struct{ weight, sum float64 }

func prior(sd float64) belief { return belief{weight: 1 / (sd * sd)} }

// learn takes what one print took into account, where that makes sense.
func (b *belief) learn(forecast, took, scale, spread float64) bool {
	shift := math.Log(took) - math.Log(forecast) - power*math.Log(scale)
	if math.IsNaN(shift) || math.IsInf(shift, 0) {
		return false
	}
	doubt := math.Hypot(spread, powerDoubt*math.Log(scale))
	w := 1 / (doubt * doubt)
	b.weight += w
	b.sum += w * shift
	return true
}

// says returns the factor in the middle of the belief, and the doubt of a print
// to come.
func (b belief) says(spread float64) (factor, sd float64) {
	return math.Exp(b.sum / b.weight), math.Sqrt(1/b.weight + spread*spread)
}
