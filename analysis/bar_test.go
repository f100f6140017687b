package analysis

import (
	"math"
	"slices"
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
	slanting := shape.Join(tube, shape.Offset(shape.Turn(shape.Offset(shape.Bar{X: 180, Y: 6, Z: 6}.Mesh(), r3.Vec{X: -90, Y: -3, Z: -3}),
		r3.NewRotation(math.Pi/3.6, r3.Vec{Y: 1})), r3.Vec{Z: 118}))
	for name, m := range map[string]*mesh.Mesh{"upright": barred, "turned": shape.Turn(barred, shape.Rotation(3)), "small": barred.Scaled(0.7), "slanting": slanting} {
		f := examine(t, m, nil, nil).Findings
		require.True(t, f.has("stands-in-way"), "%s: %v", name, f.Warnings)
	}
	for name, m := range map[string]*mesh.Mesh{
		"a tube":  tube,
		"a waist": shape.Join(tube, shape.Tube{Sides: 64, Radius: 57, Wall: 3, Height: 240}.Mesh()),
		"a taper": shape.Taper{Sides: 64, Rows: 1, Bottom: shape.Ellipse{A: 40, B: 38}, Top: shape.Ellipse{A: 80, B: 75}, Wall: 3, Height: 120}.Mesh(),
		"a cuff with flares": shape.Join(shape.Taper{Sides: 64, Rows: 8, Bottom: shape.Circle(55), Top: shape.Circle(33), Wall: 3, Height: 80}.Mesh(),
			shape.Offset(shape.Taper{Sides: 64, Rows: 8, Bottom: shape.Circle(33), Top: shape.Circle(55), Wall: 3, Height: 80}.Mesh(), r3.Vec{Z: 80})),
		"a ledge": shape.Join(tube, shape.Offset(shape.Bar{X: 8, Y: 40, Z: 12}.Mesh(), r3.Vec{X: 54, Y: -20, Z: 110})),
	} {
		f := examine(t, m, nil, nil).Findings
		require.False(t, f.has("stands-in-way"), "%s: %v", name, f.Warnings)
	}
}

// By hand: where 5 mm on there is a quarter less room and some way on as much again,
// something stands there; not where that comes by and by, on one side only, too far on,
// or where no limb has room.
func TestNarrowed(t *testing.T) {
	line := func(room ...float64) Centreline {
		var l Centreline
		for i, c := range room {
			l.Stations = append(l.Stations, Station{Along: 5 * float64(i), Capacity: c})
		}
		return l
	}
	at, beside := narrowed(line(140, 130, 104, 100, 101, 126, 150))
	require.NotNil(t, at)
	require.Equal(t, 15.0, at.Along)
	require.Equal(t, 126.0, beside, "the lesser side")
	flared := line()
	for z := -80.0; z <= 80; z += 5 {
		flared.Stations = append(flared.Stations, Station{Along: z + 80, Capacity: 2 * math.Pi * (32 + 0.28*math.Abs(z))})
	}
	long := append([]float64{140, 140}, slices.Repeat([]float64{100}, 17)...)
	for name, l := range map[string]Centreline{
		"by and by":            line(140, 133, 126, 119, 112, 105, 112, 119, 126, 133, 140),
		"a cuff with flares":   flared,
		"a step":               line(140, 140, 100, 100, 100),
		"a step the other way": line(100, 100, 140, 140),
		"far on":               line(append(long, 140, 140)...),
		"a slot for a strap":   line(119, 119, 10, 10, 119, 119),
		"nothing":              line(),
	} {
		at, _ := narrowed(l)
		require.Nil(t, at, name)
	}
}

// Where ways part, as at the crotch of a hip ring, the room jumps with nothing there;
// where they part further on, as at a window, a bar is a bar.
func TestCrotchIsNoBar(t *testing.T) {
	way := func(partsAt int, room ...float64) (l Centreline) {
		for i, c := range room {
			s := Station{Along: 5 * float64(i), Capacity: c, Center: [3]float64{2: 5 * float64(i)}}
			if i >= partsAt {
				s.Center[0] = 20 * float64(i-partsAt+1)
			}
			l.Stations = append(l.Stations, s)
		}
		return l
	}
	says := func(ways ...Centreline) bool {
		f := Findings{Cavities: []Cavity{{Centrelines: ways}}}
		f.warnBars()
		return f.has("stands-in-way")
	}
	hip := []float64{1057, 1043, 698, 952, 955, 642, 600}
	require.True(t, says(way(99, hip...)))
	require.False(t, says(way(99, hip...), way(3, hip...)))
	long := append(slices.Repeat([]float64{400}, 20), 400, 400, 250, 250, 400, 400)
	long = append(long, slices.Repeat([]float64{400}, 60)...)
	require.True(t, says(way(999, long...), way(70, long...)))
	require.False(t, says(way(999, long...), way(24, long...)))
}
