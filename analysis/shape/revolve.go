package shape

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Revolve returns the closed surface swept by a closed profile of (radius,
// height) points, anticlockwise with the radius to the right, in n steps
// round z. Points at radius 0 stay single.
func Revolve(n int, profile [][2]float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	at := make([][]uint32, len(profile))
	for k, p := range profile {
		for i := range n {
			if i > 0 && p[0] == 0 {
				at[k] = append(at[k], at[k][0])
				continue
			}
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			at[k] = append(at[k], m.AddVertex(r3.Vec{X: p[0] * cos, Y: p[0] * sin, Z: p[1]}))
		}
	}
	for k := range profile {
		low, high := at[k], at[(k+1)%len(profile)]
		for i := range n {
			j := (i + 1) % n
			AddFace(m, low[i], low[j], high[j])
			AddFace(m, low[i], high[j], high[i])
		}
	}
	return m
}

// AddFace appends a triangle to m unless two of its corners are one.
func AddFace(m *mesh.Mesh, a, b, c uint32) {
	if a != b && b != c && c != a {
		m.AddTriangle(a, b, c)
	}
}
