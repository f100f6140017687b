package shape

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Winding returns how often a mesh goes round a point: the sum of the solid
// angles of its triangles over 4π (van Oosterom and Strackee, IEEE Transactions
// on Biomedical Engineering 30, 1983, 125–126, formula 8). It is 1 inside a
// closed mesh whose triangles face outward, 0 outside, and of an open one the
// share of the view that it covers; on a triangle it means nothing.
func Winding(m *mesh.Mesh, p r3.Vec) float64 {
	var sum float64
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		a, b, c = r3.Sub(a, p), r3.Sub(b, p), r3.Sub(c, p)
		la, lb, lc := r3.Norm(a), r3.Norm(b), r3.Norm(c)
		sum += 2 * math.Atan2(r3.Dot(a, r3.Cross(b, c)), la*lb*lc+r3.Dot(a, b)*lc+r3.Dot(b, c)*la+r3.Dot(c, a)*lb)
	}
	return sum / (4 * math.Pi)
}
