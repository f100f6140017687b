package analysis

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// rows returns the rotation as Placement keeps it.
func rows(r r3.Rotation) (out [3][3]float64) {
	for k, axis := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		v := r.Rotate(axis)
		out[0][k], out[1][k], out[2][k] = v.X, v.Y, v.Z
	}
	return out
}

// A part looks along −y, z is up: tipped backward about x it lies on its back.
func TestPlacementInWords(t *testing.T) {
	about := func(degrees float64, axis r3.Vec) [3][3]float64 {
		return rows(r3.NewRotation(degrees*math.Pi/180, axis))
	}
	for _, c := range []struct {
		kind     string
		rotation [3][3]float64
		want     string
	}{
		{"as-is", about(0, r3.Vec{Z: 1}), "as it lies"},
		{"turned", about(38, r3.Vec{Z: 1}), "turned by 38° anticlockwise"},
		{"turned", about(150, r3.Vec{Z: 1}), "turned by 30° clockwise"},
		{"turned", about(90, r3.Vec{Z: 1}), "turned by 90° anticlockwise"},
		{"laid", about(-90, r3.Vec{X: 1}), "laid on its back"},
		{"laid", about(90, r3.Vec{X: 1}), "laid on its front"},
		{"laid", about(90, r3.Vec{Y: 1}), "laid on its left side (+x)"},
		{"laid", about(-90, r3.Vec{Y: 1}), "laid on its right side (−x)"},
		{"laid", about(180, r3.Vec{Y: 1}), "laid upside down"},
		{"laid", about(-70, r3.Vec{X: 1}), "laid on a face 20° from its back"},
		{"laid", about(4, r3.Vec{X: 1}), "laid on a face 4° from its foot"},
		{"laid", about(150, r3.Vec{X: 1}), "laid on a face 30° from its top"},
		{"tilted", about(-70, r3.Vec{X: 1}), "laid on its back, tilted by 20°"},
		{"tilted", about(45, r3.Vec{X: 1, Y: 1}), "tilted by 45°"},
		{"tilted", [3][3]float64{}, "tilted"},
	} {
		if got := (Placement{Kind: c.kind, Rotation: c.rotation}).Words(); got != c.want {
			t.Errorf("%s: %q, want %q", c.kind, got, c.want)
		}
	}
}
