package mesh_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// From inside a tube of radius r a ray square to its axis meets the wall between
// the polygon's inner circle and its corners, and none along the axis.
func TestAhead(t *testing.T) {
	tube := shape.Tube{Radius: 40, Wall: 3, Height: 100}.Mesh()
	random := rand.New(rand.NewPCG(1, 1))
	for range 50 {
		sin, cos := math.Sincos(2 * math.Pi * random.Float64())
		mm, ok := tube.Ahead(r3.Vec{Z: 100 * random.Float64()}, r3.Vec{X: cos, Y: sin})
		if !ok || mm > 40+1e-4 || mm < 40*math.Cos(math.Pi/128)-1e-4 {
			t.Fatalf("the wall lies %.4f mm ahead (%v)", mm, ok)
		}
	}
	if mm, ok := tube.Ahead(r3.Vec{Z: 50}, r3.Vec{Z: 1}); ok {
		t.Errorf("along the axis something lies %.3f mm ahead", mm)
	}
}
