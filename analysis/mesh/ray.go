package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Ahead returns how far from p, mm, the surface lies in the direction of a unit
// vector; ok is false where there is none. (Ray and triangle by Cramer's rule:
// Möller and Trumbore 1997, Journal of Graphics Tools 2:21–28.)
func (m *Mesh) Ahead(p, dir r3.Vec) (mm float64, ok bool) {
	mm = math.Inf(1)
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		u, v := r3.Sub(b, a), r3.Sub(c, a)
		h := r3.Cross(dir, v)
		det := r3.Dot(u, h)
		if det == 0 {
			continue // it lies along the ray
		}
		s := r3.Sub(p, a)
		q := r3.Cross(s, u)
		x, y := r3.Dot(s, h)/det, r3.Dot(dir, q)/det
		if x < 0 || y < 0 || x+y > 1 {
			continue
		}
		if d := r3.Dot(v, q) / det; d > 0 && d < mm {
			mm = d
		}
	}
	return mm, !math.IsInf(mm, 1)
}
