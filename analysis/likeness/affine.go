package likeness

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Map takes every place x of an older file to Linear·x + Shift in a newer one.
// Shift is mm. The zero Map is no map.
type Map struct {
	Linear [3][3]float64
	Shift  r3.Vec
}

// At returns where p comes to lie.
func (m Map) At(p r3.Vec) r3.Vec { return r3.Add(times(m.Linear, p), m.Shift) }

type matrix = [3][3]float64

var identity = matrix{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}

func times(a matrix, v r3.Vec) r3.Vec {
	return r3.Vec{
		X: a[0][0]*v.X + a[0][1]*v.Y + a[0][2]*v.Z,
		Y: a[1][0]*v.X + a[1][1]*v.Y + a[1][2]*v.Z,
		Z: a[2][0]*v.X + a[2][1]*v.Y + a[2][2]*v.Z,
	}
}

func product(a, b matrix) (c matrix) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				c[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return c
}

func transposed(a matrix) (t matrix) {
	for i := range 3 {
		for j := range 3 {
			t[i][j] = a[j][i]
		}
	}
	return t
}

func scaled(s float64, a matrix) matrix {
	for i := range 3 {
		for j := range 3 {
			a[i][j] *= s
		}
	}
	return a
}

func determinant(a matrix) float64 {
	return a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) -
		a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) +
		a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
}

func diagonal(d [3]float64) matrix { return matrix{{d[0], 0, 0}, {0, d[1], 0}, {0, 0, d[2]}} }

func dense(a matrix) *mat.Dense {
	return mat.NewDense(3, 3, []float64{a[0][0], a[0][1], a[0][2], a[1][0], a[1][1], a[1][2], a[2][0], a[2][1], a[2][2]})
}

func undense(d mat.Matrix) (a matrix) {
	for i := range 3 {
		for j := range 3 {
			a[i][j] = d.At(i, j)
		}
	}
	return a
}

// eigen returns the eigenvalues of a symmetric matrix, rising, and its
// eigenvectors as columns.
func eigen(a matrix) (values [3]float64, vectors matrix, ok bool) {
	var e mat.EigenSym
	s := mat.NewSymDense(3, []float64{a[0][0], a[0][1], a[0][2], a[1][0], a[1][1], a[1][2], a[2][0], a[2][1], a[2][2]})
	if !e.Factorize(s, true) {
		return values, identity, false
	}
	e.Values(values[:])
	var v mat.Dense
	e.VectorsTo(&v)
	return values, undense(&v), true
}

// nearestTurn returns the orthogonal matrix closest to a, its factor in the
// polar decomposition (Higham 1986); proper asks for one of determinant 1,
// else for one of determinant −1 (Kabsch 1978).
func nearestTurn(a matrix, proper bool) (matrix, bool) {
	var svd mat.SVD
	if !svd.Factorize(dense(a), mat.SVDFull) {
		return identity, false
	}
	var u, v mat.Dense
	svd.UTo(&u)
	svd.VTo(&v)
	left, right := undense(&u), transposed(undense(&v))
	q := product(left, right)
	if (determinant(q) > 0) != proper {
		q = product(product(left, diagonal([3]float64{1, 1, -1})), right)
	}
	return q, true
}

// turnOf returns the axis and the angle of a rotation in radians, 0 to π. The
// axis is zero where the angle is.
func turnOf(r matrix) (axis r3.Vec, angle float64) {
	// Twice the axis times the sine, and the quaternion's four squares:
	// together sound at any angle (Shepperd 1978).
	v := r3.Vec{X: r[2][1] - r[1][2], Y: r[0][2] - r[2][0], Z: r[1][0] - r[0][1]}
	trace := r[0][0] + r[1][1] + r[2][2]
	angle = math.Atan2(r3.Norm(v), trace-1)
	if angle == 0 {
		return r3.Vec{}, 0
	}
	if angle < 3 {
		return r3.Unit(v), angle
	}
	k := 0
	for i := range 3 {
		if r[i][i] > r[k][k] {
			k = i
		}
	}
	column := r3.Vec{X: r[0][k] + r[k][0], Y: r[1][k] + r[k][1], Z: r[2][k] + r[k][2]}
	a := array(column)
	a[k] += 1 - trace
	axis = r3.Unit(vector(a))
	if r3.Dot(axis, v) < 0 {
		axis = r3.Scale(-1, axis)
	}
	return axis, angle
}

// rotation returns the rotation by the vector's length in radians about it.
func rotation(w r3.Vec) matrix {
	angle := r3.Norm(w)
	if angle == 0 {
		return identity
	}
	r := r3.NewRotation(angle, w)
	x, y, z := r.Rotate(r3.Vec{X: 1}), r.Rotate(r3.Vec{Y: 1}), r.Rotate(r3.Vec{Z: 1})
	return matrix{{x.X, y.X, z.X}, {x.Y, y.Y, z.Y}, {x.Z, y.Z, z.Z}}
}
