package likeness

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// turns returns the orthogonal matrices that may take the moments of one
// surface to those of another s times as large, the simplest first.
func turns(old, new *Moments, s float64) []matrix {
	if !(old.Weight > 0) || !(new.Weight > 0) {
		return nil
	}
	from, to := old.normal(), new.normal()
	all := frames(bearing(&from), bearing(&to))
	for i, turn := range all {
		all[i] = refined(scaled(s, turn), &from, &to, true)
	}
	slices.SortStableFunc(all, simpler)
	return all
}

// bearing returns a symmetric matrix, without dimension, that turns with the
// moments: their second ones and, for shapes alike all round in those, the
// squares of the third.
func bearing(m *Moments) (b matrix) {
	size := trace(m)
	for i := range 3 {
		for j := range 3 {
			b[i][j] = m.second(i, j) / size
			for k := range 3 {
				for l := range 3 {
					b[i][j] += m.third(i, k, l) * m.third(j, k, l) / (size * size * size)
				}
			}
		}
	}
	return b
}

// distinct is the least difference of two eigenvalues of a bearing (their sum
// is about 1) that gives a direction: rounding moves them by some millionths.
const distinct = 3e-5

// frames returns the orthogonal matrices that take the eigenvectors of one
// bearing to those of another. Where the shape is alike in all directions of a
// plane, or in all at all, that which turns least stands for all of them.
func frames(old, new matrix) []matrix {
	values, from, ok := eigen(old)
	_, to, ok2 := eigen(new)
	if !ok || !ok2 {
		return nil
	}
	var all []matrix
	low, high := values[1]-values[0] > distinct, values[2]-values[1] > distinct
	switch {
	case low && high:
		for signs := range 8 {
			d := diagonal([3]float64{sign(signs & 1), sign(signs >> 1 & 1), sign(signs >> 2 & 1)})
			all = append(all, product(product(to, d), transposed(from)))
		}
	case low || high:
		axis := 0
		if high {
			axis = 2
		}
		for signs := range 2 {
			for _, proper := range []bool{true, false} {
				if q, ok := nearestTurn(aligned(from, to, axis, sign(signs)), proper); ok {
					all = append(all, q)
				}
			}
		}
	default:
		all = append(all, identity, diagonal([3]float64{-1, 1, 1}))
	}
	return all
}

func sign(bit int) float64 { return 1 - 2*float64(bit) }

// aligned returns the matrix that takes one column of from to that of to, with
// a sign, and what is square to the one to its shadow square to the other.
func aligned(from, to matrix, axis int, sign float64) matrix {
	var along, across, acrossTo matrix
	for i := range 3 {
		for j := range 3 {
			along[i][j] = sign * to[i][axis] * from[j][axis]
			across[i][j] = identity[i][j] - from[i][axis]*from[j][axis]
			acrossTo[i][j] = identity[i][j] - to[i][axis]*to[j][axis]
		}
	}
	sum := product(acrossTo, across)
	for i := range 3 {
		for j := range 3 {
			sum[i][j] += along[i][j]
		}
	}
	return sum
}

// affineMaps returns the matrices that may take moments of weight 1 to others.
// Seen in the frame where its second moments are 1 in all directions, a shape
// is only turned by an affine map, and the third moments tell how, where they
// tell directions apart.
func affineMaps(old, new Moments) (all []matrix) {
	flat, _, ok := whitening(&old)
	flatNew, round, okNew := whitening(&new)
	if !ok || !okNew {
		return nil
	}
	from, to := old.mapped(Map{Linear: flat}, 1), new.mapped(Map{Linear: flatNew}, 1)
	turns := frames(bearing(&from), bearing(&to))
	if len(turns) < 8 {
		return nil
	}
	for _, turn := range turns {
		all = append(all, refined(product(product(round, turn), flat), &old, &new, false))
	}
	return all
}

// whitening returns the matrix after which the second moments are 1 in all
// directions, and its inverse.
func whitening(m *Moments) (flat, round matrix, ok bool) {
	var c matrix
	for i := range 3 {
		for j := range 3 {
			c[i][j] = m.second(i, j)
		}
	}
	values, v, ok := eigen(c)
	if !ok || !(values[0] > 1e-9*values[2]) {
		return flat, round, false
	}
	for k := range 3 {
		s := math.Sqrt(values[k])
		for i := range 3 {
			for j := range 3 {
				flat[i][j] += v[i][k] * v[j][k] / s
				round[i][j] += v[i][k] * v[j][k] * s
			}
		}
	}
	return flat, round, true
}

// refined improves a matrix that takes the moments from to to, both of weight
// 1, by a few steps of Gauss and Newton. It returns an orthogonal one where
// turn asks for that (a given as a multiple of it), else one of any kind.
func refined(a matrix, from, to *Moments, turn bool) matrix {
	s := math.Cbrt(math.Abs(determinant(a)))
	size := trace(to)
	for range 4 {
		tangents := tangentsOf(a, turn)
		at := misfit(a, from, to, size)
		jacobian := mat.NewDense(len(at), len(tangents), nil)
		for k, d := range tangents {
			const h = 1e-5
			step := misfit(sumOf(a, scaled(h, d)), from, to, size)
			for i := range at {
				jacobian.Set(i, k, (step[i]-at[i])/h)
			}
		}
		x, ok := leastSquares(jacobian, at)
		if !ok {
			break
		}
		for k, d := range tangents {
			a = sumOf(a, scaled(-x.AtVec(k), d))
		}
		if turn {
			q, ok := nearestTurn(a, determinant(a) > 0)
			if !ok {
				break
			}
			a = scaled(s, q)
		}
	}
	if turn {
		return scaled(1/s, a)
	}
	return a
}

// leastSquares solves a small system by its normal equations, with so little
// damping that only what is not determined at all stays where it is.
func leastSquares(j *mat.Dense, at []float64) (*mat.VecDense, bool) {
	var square mat.Dense
	square.Mul(j.T(), j)
	n, _ := square.Dims()
	for k := range n {
		square.Set(k, k, square.At(k, k)+1e-10*mat.Trace(&square)/float64(n)+math.SmallestNonzeroFloat64)
	}
	var right, x mat.VecDense
	right.MulVec(j.T(), mat.NewVecDense(len(at), at))
	if err := x.SolveVec(&square, &right); err != nil {
		return nil, false
	}
	return &x, true
}

// tangentsOf returns the directions in which a may change.
func tangentsOf(a matrix, turn bool) (all []matrix) {
	if turn {
		for _, w := range []matrix{{1: {0, 0, -1}, 2: {0, 1, 0}}, {0: {0, 0, 1}, 2: {-1, 0, 0}}, {0: {0, -1, 0}, 1: {1, 0, 0}}} {
			all = append(all, product(w, a))
		}
		return all
	}
	for i := range 3 {
		for j := range 3 {
			var d matrix
			d[i][j] = 1
			all = append(all, d)
		}
	}
	return all
}

func sumOf(a, b matrix) matrix {
	for i := range 3 {
		for j := range 3 {
			a[i][j] += b[i][j]
		}
	}
	return a
}

// misfit returns what the second and third moments differ by, without
// dimension.
func misfit(a matrix, from, to *Moments, size float64) []float64 {
	m := from.mapped(Map{Linear: a}, 1)
	out := make([]float64, 0, 16)
	for i := range m.Second {
		out = append(out, (m.Second[i]-to.Second[i])/size)
	}
	for i := range m.Third {
		out = append(out, (m.Third[i]-to.Third[i])/(size*math.Sqrt(size)))
	}
	return out
}

// anchored returns the matrix Σ q'qᵀ of the anchors counted from their middles
// and the one Σ qqᵀ, and whether there are any that answer to each other.
func (c *comparison) anchored() (cross, own matrix, ok bool) {
	old, new := c.old.Anchors, c.new.Anchors
	if c.old.Triangles != c.new.Triangles || len(old) != len(new) || len(old) < 4 {
		return cross, own, false
	}
	var midOld, midNew r3.Vec
	for i := range old {
		midOld, midNew = r3.Add(midOld, widened(old[i])), r3.Add(midNew, widened(new[i]))
	}
	n := 1 / float64(len(old))
	for i := range old {
		p := array(r3.Sub(widened(old[i]), r3.Scale(n, midOld)))
		q := array(r3.Sub(widened(new[i]), r3.Scale(n, midNew)))
		for j := range 3 {
			for k := range 3 {
				cross[j][k] += q[j] * p[k]
				own[j][k] += p[j] * p[k]
			}
		}
	}
	return cross, own, true
}

// anchoredTurn returns the orthogonal matrix by which the anchors turned.
func (c *comparison) anchoredTurn(proper bool) (matrix, bool) {
	cross, _, ok := c.anchored()
	if !ok {
		return identity, false
	}
	return nearestTurn(cross, proper)
}

// anchoredMap returns the matrix that takes the anchors to where they are now.
func (c *comparison) anchoredMap() (matrix, bool) {
	cross, own, ok := c.anchored()
	if values, _, sound := eigen(own); !ok || !sound || !(values[0] > 1e-6*values[2]) {
		return identity, false
	}
	var inverse mat.Dense
	if err := inverse.Inverse(dense(own)); err != nil {
		return identity, false
	}
	return product(cross, undense(&inverse)), true
}
