package survey

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
	"gonum.org/v1/gonum/stat/distuv"
	"gonum.org/v1/gonum/stat/samplemv"
)

// Draws returns n bodies drawn from what is known, as likely as they are: one
// row a body, with the measures asked for in their order (mm; weight kg). A
// measure that was given scatters about its reading as far as the error of
// reading goes. The same seed gives the same bodies. A name that the survey has
// not gives a column of NaN.
func (b Body) Draws(measures []string, n int, seed uint64) [][]float64 {
	random := rand.New(rand.NewPCG(seed, uint64(n)))
	out := make([][]float64, 0, n)
	left, chance := n, 1.0
	for k, p := range b.parts {
		share := left
		if k < len(b.parts)-1 && chance > 0 {
			share = int(math.Round(float64(left) * min(1, p.chance/chance)))
		}
		out = append(out, b.draw(p, measures, share, random)...)
		left -= share
		chance -= p.chance
	}
	return out
}

// draw draws n bodies of one sex, each with its mirror in the mean: the mean
// of the draws is then the mean itself. They are spread more evenly than chance
// would (Halton's points, scrambled after Owen), so that fewer tell as much.
func (b Body) draw(p part, measures []string, n int, random *rand.Rand) [][]float64 {
	at := make([]int, len(measures))
	for i, m := range measures {
		at[i] = index(b.measures, m)
	}
	if n == 0 || len(at) == 0 {
		return make([][]float64, n)
	}
	spread := p.root(at)
	even := mat.NewDense((n+1)/2, len(at), nil)
	samplemv.Halton{Kind: samplemv.Owen, Q: distmv.NewUnitUniform(len(at), random), Src: random}.Sample(even)
	normal := make([]float64, len(at))
	var out [][]float64
	for k := range n {
		for i := range normal {
			if k%2 == 1 {
				normal[i] = -normal[i]
			} else {
				normal[i] = distuv.UnitNormal.Quantile(even.At(k/2, i))
			}
		}
		row := make([]float64, len(at))
		for i, m := range at {
			if m < 0 {
				row[i] = math.NaN()
				continue
			}
			off := 0.0
			for j := 0; j <= i; j++ {
				off += spread.At(i, j) * normal[j]
			}
			row[i] = math.Exp(p.mean[m] + off)
			if r, given := b.reading(m); given {
				row[i] = r.value * math.Exp(off)
			}
		}
		out = append(out, row)
	}
	return out
}

// root returns the lower Cholesky factor of the covariance of the logarithms
// of some measures. Unknown ones, and a trifle of rounding, get a diagonal.
func (p part) root(at []int) *mat.TriDense {
	const trifle = 1e-12 // (1e-6)²: a millionth of a measure
	sub := mat.NewSymDense(max(1, len(at)), nil)
	for i, m := range at {
		for j := i; j < len(at); j++ {
			if m >= 0 && at[j] >= 0 {
				sub.SetSym(i, j, p.cov.At(m, at[j]))
			}
		}
		sub.SetSym(i, i, sub.At(i, i)+trifle)
	}
	var chol mat.Cholesky
	for extra := trifle; !chol.Factorize(sub); extra *= 10 {
		for i := range at {
			sub.SetSym(i, i, sub.At(i, i)+extra)
		}
	}
	var root mat.TriDense
	chol.LTo(&root)
	return &root
}
