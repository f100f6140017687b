package analysis

import (
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// A bar from wall to wall is said to stand in the way, wherever it is and however the
// part is turned or scaled. What narrows as bodies do, and a rim that flares, is not.
func TestBarInside(t *testing.T) {
	tube := shape.Tube{Sides: 64, Radius: 60, Wall: 3, Height: 240}.Mesh()
	bar := shape.Offset(shape.Bar{X: 124, Y: 14, Z: 12}.Mesh(), r3.Vec{X: -62, Y: -7, Z: 110})
	barred := shape.Join(tube, bar)
	for name, m := range map[string]*mesh.Mesh{"upright": barred, "turned": shape.Turn(barred, shape.Rotation(3)), "small": barred.Scaled(0.7)} {
		f := examine(t, m, nil, nil).Findings
		require.True(t, f.has("stands-in-way"), "%s: %v", name, f.Warnings)
	}
	for name, m := range map[string]*mesh.Mesh{
		"a tube":  tube,
		"a waist": shape.Join(tube, shape.Tube{Sides: 64, Radius: 57, Wall: 3, Height: 240}.Mesh()),
		"a taper": shape.Taper{Sides: 64, Rows: 1, Bottom: shape.Ellipse{A: 40, B: 38}, Top: shape.Ellipse{A: 80, B: 75}, Wall: 3, Height: 120}.Mesh(),
		"a ledge": shape.Join(tube, shape.Offset(shape.Bar{X: 8, Y: 40, Z: 12}.Mesh(), r3.Vec{X: 54, Y: -20, Z: 110})),
	} {
		f := examine(t, m, nil, nil).Findings
		require.False(t, f.has("stands-in-way"), "%s: %v", name, f.Warnings)
	}
}

// By hand: 100 mm between rooms of 130 and 126 is 1.26 times narrower, 101 is not so by
// a quarter, and what lies farther than a hand's breadth does not count.
func TestNarrowed(t *testing.T) {
	line := func(along [3]float64, room [3]float64) Centreline {
		var l Centreline
		for i := range along {
			l.Stations = append(l.Stations, Station{Along: along[i], Capacity: room[i]})
		}
		return l
	}
	at, beside := narrowed(line([3]float64{0, 30, 60}, [3]float64{130, 100, 126}))
	require.NotNil(t, at)
	require.Equal(t, 30.0, at.Along)
	require.Equal(t, 126.0, beside)
	at, _ = narrowed(line([3]float64{0, 30, 60}, [3]float64{121, 10, 121}))
	require.NotNil(t, at)
	for _, l := range []Centreline{
		line([3]float64{0, 30, 60}, [3]float64{130, 101, 126}),
		line([3]float64{0, 41, 60}, [3]float64{130, 100, 126}),
		line([3]float64{0, 30, 71}, [3]float64{130, 100, 126}),
		line([3]float64{0, 30, 60}, [3]float64{100, 130, 126}),
		line([3]float64{0, 30, 60}, [3]float64{130, 10, 119}), // a slot for a strap
	} {
		at, _ := narrowed(l)
		require.Nil(t, at, "%+v", l)
	}
}
