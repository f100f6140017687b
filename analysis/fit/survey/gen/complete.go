package main

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// normal is a distribution of the logarithms of measures.
type normal struct {
	names []string
	mean  []float64
	cov   *mat.SymDense
}

// relation is a straight line in the logarithms: the measure is at + the sum of
// slopes times what its neighbours are above from. Variance is what is left.
type relation struct {
	measure  string
	by       []string
	at       float64
	from     []float64
	slopes   []float64
	variance float64
}

func (n normal) index(name string) int { return slices.Index(n.names, name) }

// line returns the regression of a measure on others.
func (n normal) line(measure string, by []string) (relation, error) {
	y := n.index(measure)
	k, c := mat.NewSymDense(len(by), nil), mat.NewVecDense(len(by), nil)
	r := relation{measure: measure, by: by, at: n.mean[y]}
	for a, name := range by {
		i := n.index(name)
		c.SetVec(a, n.cov.At(i, y))
		r.from = append(r.from, n.mean[i])
		for b := a; b < len(by); b++ {
			k.SetSym(a, b, n.cov.At(i, n.index(by[b])))
		}
	}
	var chol mat.Cholesky
	var slopes mat.VecDense
	if !chol.Factorize(k) || chol.SolveVecTo(&slopes, c) != nil {
		return r, fmt.Errorf("%s cannot be told from %v", measure, by)
	}
	r.slopes = slopes.RawVector().Data
	r.variance = n.cov.At(y, y) - mat.Dot(&slopes, c)
	return r, nil
}

// at returns where the line goes for the means of n.
func (n normal) at(r relation) float64 {
	v := r.at
	for a, name := range r.by {
		v += r.slopes[a] * (n.mean[n.index(name)] - r.from[a])
	}
	return v
}

// extend adds measures by their relations to those that n has. What is left of
// each has the covariance rest and goes with nothing else. With A the unit
// matrix over the rows of slopes, the covariance becomes A·cov·Aᵀ plus rest in
// its corner, which has no negative eigenvalue where cov and rest have none.
func (n normal) extend(relations []relation, rest *mat.SymDense) normal {
	old, all := len(n.names), len(n.names)+len(relations)
	a := mat.NewDense(all, old, nil)
	for i := range old {
		a.Set(i, i, 1)
	}
	out := normal{names: slices.Clone(n.names), mean: slices.Clone(n.mean), cov: mat.NewSymDense(all, nil)}
	for k, r := range relations {
		for s, name := range r.by {
			a.Set(old+k, n.index(name), r.slopes[s])
		}
		out.names, out.mean = append(out.names, r.measure), append(out.mean, n.at(r))
	}
	var half, full mat.Dense
	half.Mul(a, n.cov)
	full.Mul(&half, a.T())
	for i := range all {
		for j := i; j < all; j++ {
			v := full.At(i, j)
			if i >= old {
				v += rest.At(i-old, j-old)
			}
			out.cov.SetSym(i, j, v)
		}
	}
	return out
}

// remains returns the covariance of what each relation leaves of its measure,
// in the survey that they come from.
func (n normal) remains(relations []relation) *mat.SymDense {
	w := mat.NewDense(len(relations), len(n.names), nil)
	for k, r := range relations {
		w.Set(k, n.index(r.measure), 1)
		for s, name := range r.by {
			w.Set(k, n.index(name), -r.slopes[s])
		}
	}
	var half, full mat.Dense
	half.Mul(w, n.cov)
	full.Mul(&half, w.T())
	out := mat.NewSymDense(len(relations), nil)
	for i := range relations {
		for j := i; j < len(relations); j++ {
			out.SetSym(i, j, full.At(i, j))
		}
	}
	return out
}

// picked returns the distribution of the named measures in that order.
func (n normal) picked(names []string) normal {
	out := normal{names: names, mean: make([]float64, len(names)), cov: mat.NewSymDense(len(names), nil)}
	for i, one := range names {
		out.mean[i] = n.mean[n.index(one)]
		for j := i; j < len(names); j++ {
			out.cov.SetSym(i, j, n.cov.At(n.index(one), n.index(names[j])))
		}
	}
	return out
}

// length returns mean and standard deviation of measure i itself, of which n
// has the logarithm.
func (n normal) length(i int) (mean, sd float64) {
	mean = math.Exp(n.mean[i] + n.cov.At(i, i)/2)
	return mean, mean * math.Sqrt(math.Expm1(n.cov.At(i, i)))
}
