package analysis

import (
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// A speck far away is named with its facets, its place and the size without it, before
// what it does to the bed; what lies on the part or is larger is none.
func TestSpeck(t *testing.T) {
	numbers(t)
	greave := shape.Tube{Sides: 64, Radius: 60, Wall: 3, Height: 240}.Mesh()
	with := func(side float64, at r3.Vec) *mesh.Mesh {
		return shape.Join(greave, shape.Offset(shape.Bar{X: side, Y: side, Z: side}.Mesh(), at))
	}
	f := examine(t, with(0.4, r3.Vec{X: 363, Z: 100}), nil, nil).Findings
	said := f.warning("mesh-speck")
	require.Contains(t, said, "12 facets, no more than 0.4 mm long, up to 300.0 mm away, near x 363.2, y 0.2, z 100.2 mm")
	require.Contains(t, said, "without it the file is 126.0 × 126.0 × 240.0 mm")
	require.Equal(t, "mesh-speck", f.Warnings[first(f)].Code, "before the bed")
	require.True(t, f.has("bed-overflow"))

	for name, m := range map[string]*mesh.Mesh{
		"a rivet on the wall": with(2, r3.Vec{X: 64}),
		"a buckle beside it":  with(20, r3.Vec{X: 100}),
		"alone":               greave,
	} {
		f := examine(t, m, nil, nil).Findings
		require.False(t, f.has("mesh-speck"), name)
	}
	// Of several, the farthest is named and all are counted, whichever comes first.
	many := shape.Join(shape.Offset(shape.Bar{X: 1, Y: 1, Z: 1}.Mesh(), r3.Vec{Z: -1001}), with(1, r3.Vec{X: 363}))
	f = examine(t, many, nil, nil).Findings
	require.Contains(t, f.warning("mesh-speck"), "24 facets, no more than 1.0 mm long, up to 1000.0 mm away")
	require.Contains(t, f.warning("mesh-speck"), "2 specks lie far outside of the part")
	require.Contains(t, f.warning("mesh-speck"), "Delete them in a modelling program, and save the part over this file.")
	one := &mesh.Mesh{X: []float32{400, 400.5, 400}, Y: []float32{0, 0, 0.5}, Z: []float32{9, 9, 9}, T: []uint32{0, 1, 2}}
	require.Contains(t, examine(t, shape.Join(greave, one), nil, nil).Findings.warning("mesh-speck"), "A speck lies far outside of the part: 1 facet, no more than")
}

// first is the place of the first warning that asks for something.
func first(f Findings) int {
	for i, w := range f.Warnings {
		if w.Level == LevelWarning {
			return i
		}
	}
	return -1
}
