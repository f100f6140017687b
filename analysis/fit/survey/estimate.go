package survey

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Names of the sexes as Estimate takes them; "" is either.
const (
	Female = "female"
	Male   = "male"
)

// reading is one number that the wearer gave.
type reading struct {
	key     string // as given
	measure int    // index in Measures
	side    bool   // of the other side of the body
	value   float64
	log     float64
	noise   float64 // variance of log about the body's own
}

// Estimate returns what is to be expected of the body whose readings are given:
// mm by the name of the measure, "weight" in kg, at least one. A name with a
// suffix ".left" or ".right" is a reading of the other side of the body; see
// Side. With sex "" both sexes are taken as equally likely before the readings
// are looked at, and the answer is a mixture of both.
//
// An error names a reading that is no measure or not above zero.
func Estimate(given map[string]float64, sex string) (Body, error) {
	measures := Measures()
	readings, err := read(measures, given)
	if err != nil {
		return Body{}, err
	}
	return estimate(measures, readings, sex)
}

// read orders the readings as Measures does and gives each its error.
func read(measures []Measure, given map[string]float64) ([]reading, error) {
	var out []reading
	for _, key := range slices.Sorted(maps.Keys(given)) {
		name, side := parted(key)
		i := index(measures, name)
		v := given[key]
		switch {
		case i < 0 || side != "" && (measures[i].Sides == 0 || side != "left" && side != "right"):
			return nil, fmt.Errorf("%q is no measure of the survey", key)
		case !(v > 0) || math.IsInf(v, 0):
			return nil, fmt.Errorf("%s is %v, which is no measure of a body", key, v)
		}
		r := reading{key: key, measure: i, side: side != "", value: v, log: math.Log(v)}
		r.noise = measures[i].Tape * measures[i].Tape / (v * v)
		if r.side {
			r.noise += measures[i].Sides * measures[i].Sides
		}
		out = append(out, r)
	}
	if len(out) == 0 {
		return nil, errors.New("no measure is given to estimate the others from")
	}
	slices.SortStableFunc(out, func(a, b reading) int { return cmp.Compare(a.measure, b.measure) })
	return out, nil
}

// estimate conditions each sex on the readings and weighs them.
func estimate(measures []Measure, readings []reading, sex string) (Body, error) {
	all, err := populations()
	if err != nil {
		return Body{}, err
	}
	b := Body{measures: measures, readings: readings}
	for _, p := range all {
		if sex != "" && sex != p.sex {
			continue
		}
		part, err := p.given(readings)
		if err != nil {
			return Body{}, err
		}
		b.parts = append(b.parts, part)
	}
	if len(b.parts) == 0 {
		return Body{}, fmt.Errorf("sex %q is neither %s nor %s", sex, Female, Male)
	}
	b.weigh()
	b.combine()
	return b, nil
}

// part is what is known of the body if it is of one sex: normal in the
// logarithms.
type part struct {
	sex    string
	chance float64 // that the body is of this sex, by all readings
	// log of how likely the readings are together
	likely float64
	mean   []float64
	cov    *mat.SymDense
	// left is, for each reading, what the others say of it.
	left []leftOut
}

// leftOut is the normal that all other readings predict for one reading, and
// the log of how likely the reading is under it.
type leftOut struct{ mean, sd, likely float64 }

// given conditions a population on readings of it. With K the covariance of
// the readings, their errors in it, and C the covariance of all measures with
// the readings, the mean moves by C·K⁻¹·(reading − mean) and the covariance
// shrinks by C·K⁻¹·Cᵀ.
func (p population) given(readings []reading) (part, error) {
	n, all := len(readings), len(p.logMean)
	k, c, off := mat.NewSymDense(n, nil), mat.NewDense(n, all, nil), mat.NewVecDense(n, nil)
	for a, r := range readings {
		off.SetVec(a, r.log-p.logMean[r.measure])
		for b := a; b < n; b++ {
			k.SetSym(a, b, p.logCov.At(r.measure, readings[b].measure))
		}
		k.SetSym(a, a, k.At(a, a)+r.noise)
		for j := range all {
			c.Set(a, j, p.logCov.At(r.measure, j))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(k) {
		return part{}, errors.New("the readings cannot be told apart: their covariance is singular")
	}
	var pull mat.VecDense
	var gain mat.Dense
	if err := errors.Join(chol.SolveVecTo(&pull, off), chol.SolveTo(&gain, c)); err != nil {
		return part{}, fmt.Errorf("conditioning on the readings: %w", err)
	}
	out := part{sex: p.sex, mean: slices.Clone(p.logMean), cov: mat.NewSymDense(all, nil)}
	out.likely = -(mat.Dot(off, &pull) + chol.LogDet() + float64(n)*math.Log(2*math.Pi)) / 2
	var move mat.VecDense
	move.MulVec(c.T(), &pull)
	var cut mat.Dense
	cut.Mul(c.T(), &gain)
	for i := range all {
		out.mean[i] += move.AtVec(i)
		for j := i; j < all; j++ {
			out.cov.SetSym(i, j, p.logCov.At(i, j)-cut.At(i, j))
		}
	}
	return out, out.leaveOut(&chol, readings, &pull)
}

// leaveOut fills left: with K⁻¹ at hand, leaving reading a out predicts it with
// variance 1/K⁻¹[a,a], off by pull[a]/K⁻¹[a,a].
func (p *part) leaveOut(chol *mat.Cholesky, readings []reading, pull *mat.VecDense) error {
	var inverse mat.SymDense
	if err := chol.InverseTo(&inverse); err != nil {
		return fmt.Errorf("conditioning on the readings: %w", err)
	}
	for a, r := range readings {
		v := 1 / inverse.At(a, a)
		l := leftOut{mean: r.log - v*pull.AtVec(a), sd: math.Sqrt(v)}
		l.likely = distuv.Normal{Mu: l.mean, Sigma: l.sd}.LogProb(r.log)
		p.left = append(p.left, l)
	}
	return nil
}

// chances turns logs of likelihoods into shares that sum to 1.
func chances(likely []float64) []float64 {
	top, sum := slices.Max(likely), 0.0
	out := make([]float64, len(likely))
	for i, l := range likely {
		out[i] = math.Exp(l - top)
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}
