package survey

import "math"

// Alone returns what the summary holds of one measure in one sex: its mean, and
// mean and standard deviation of its logarithm; for tests outside the package.
func Alone(sex, measure string) (mean, logMean, logSD float64) {
	all, err := populations()
	if err != nil {
		panic(err)
	}
	i := index(Measures(), measure)
	for _, p := range all {
		if p.sex == sex {
			return p.mean[i], p.logMean[i], math.Sqrt(p.logCov.At(i, i))
		}
	}
	panic("no such sex: " + sex)
}
