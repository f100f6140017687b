package main

import (
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/likeness"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

// A changed shape and a part that comes or goes are seen; a new verdict is not a
// new shape.
func TestKinshipFollowsTheShapes(t *testing.T) {
	shapeOf := func(factor float64) *likeness.Signature {
		s := likeness.Of(shape.Relief{Triangles: 2000}.Mesh().Scaled(factor))
		return &s
	}
	var k kinship
	found := []*analysis.Findings{{Part: "a.stl", Shape: shapeOf(1)}, nil, {Part: "b.stl", Shape: shapeOf(1)}}
	require.Equal(t, "copy", k.among(found)[0].Kind)

	judged := *found[2]
	judged.Fit = &analysis.Fit{Verdict: "tight"}
	require.Equal(t, k.all, k.among([]*analysis.Findings{found[0], nil, &judged}))

	found[2].Shape = shapeOf(1.1)
	require.Equal(t, "rescaled", k.among(found)[0].Kind)
	require.Empty(t, k.among(found[:1]))
	require.Empty(t, k.among(nil))
}
