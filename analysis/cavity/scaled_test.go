package cavity

import (
	"math"
	"testing"

	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// What is found holds at other sizes: lengths grow with the part, room measured
// anew between the scaled walls is the scaled room, and the original stays.
func TestScaled(t *testing.T) {
	const f = 1.07
	taper := shape.Taper{Rows: 2, Bottom: shape.Circle(50), Top: shape.Ellipse{A: 62, B: 55}, Wall: 3, Height: 120}
	found, err := Find(t.Context(), taper.Mesh(), Options{Pitch: 3, Spacing: 20, Workers: 2})
	require.NoError(t, err)
	require.NotEmpty(t, found)
	before := found[0].Lines[0].Stations[1]
	grown := Scaled(found, f)
	require.Len(t, grown, len(found))
	close := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got/want-1) > 1e-6 {
			t.Errorf("%s %.6f, want %.6f", what, got, want)
		}
	}
	close("volume", grown[0].Volume, f*f*f*found[0].Volume)
	close("opening", grown[0].Openings[0].Girth, f*found[0].Openings[0].Girth)
	close("length", grown[0].Lines[0].Length, f*found[0].Lines[0].Length)
	for i, s := range grown[0].Lines[0].Stations {
		was := found[0].Lines[0].Stations[i]
		close("girth", s.InnerGirth, f*was.InnerGirth)
		close("capacity", s.Capacity, f*was.Capacity)
		room, ok := s.Room([2]float64{0.7, 0.85})
		small, _ := was.Room([2]float64{0.7, 0.85})
		require.True(t, ok)
		if math.Abs(room.Girth/small.Girth/f-1) > 2e-4 { // as fine as the search is
			t.Errorf("room %.4f, want %.4f", room.Girth, f*small.Girth)
		}
		for k, p := range s.Void {
			if far := r3.Norm(r3.Sub(s.Section.Plane.Lift(p), r3.Scale(f, was.Section.Plane.Lift(was.Void[k])))); far > 1e-9 {
				t.Fatalf("a point of the void lies %.2g mm off", far)
			}
		}
	}
	require.Equal(t, before, found[0].Lines[0].Stations[1], "the original changed")
}
