package section

import (
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Sweep returns the sections of m by the planes square to normal through each
// of the points, in their order: the same as Cut on each, bit for bit.
func Sweep(m *mesh.Mesh, normal r3.Vec, through []r3.Vec) []Section {
	out := make([]Section, len(through))
	for i, p := range through {
		out[i] = Cut(m, Plane{Point: p, Normal: normal})
	}
	return out
}
