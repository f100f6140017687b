package likeness

import (
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// Whether a shape is its own mirror image does not depend on how it lies, on the
// order of its facets or on how its surface is divided into them.
func TestHanded(t *testing.T) {
	limb := shape.Limb{Sides: 48, Wall: 3, Rings: []shape.Ring{
		{Inner: shape.Ellipse{A: 45, B: 40}},
		{Center: r3.Vec{X: 12, Z: 120}, Inner: shape.Ellipse{A: 60, B: 52}},
		{Center: r3.Vec{X: 5, Z: 300}, Inner: shape.Ellipse{A: 52, B: 50}},
	}}.Mesh()
	e := func(a, b float64) shape.Ellipse { return shape.Ellipse{A: a, B: b} }
	boot := shape.Boot{Sides: 40, Rim: e(60, 60), Ankle: e(45, 45), Instep: e(48, 46), Ball: e(35, 45), Wall: 3, Shaft: 200, Bend: 80, Foot: 120, Toe: 40}.Mesh()
	box, rng := boot.Bounds(), rand.New(rand.NewPCG(11, 0))
	// toed has the foot of the boot point to one side, by so many mm at the toe.
	toed := func(by float64) *mesh.Mesh {
		return boot.Map(func(p r3.Vec) r3.Vec {
			share := (p.Y - box.Min.Y) / (box.Max.Y - box.Min.Y)
			p.X += by * share * share
			return p
		})
	}
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want bool
	}{
		{"tube", shape.Tube{Sides: 64, Radius: 40, Wall: 3, Height: 60}.Mesh(), false},
		{"plate", shape.Plate{Width: 150, Height: 120, Wall: 4, Bend: 200}.Mesh(), false},
		{"bent limb", limb, false},
		{"boot", boot, false},
		{"boot that points 8 mm inward", toed(8), true},
		{"boot that points outward", toed(-20), true},
		{"lump", lump(rng), true},
	} {
		for _, turn := range []bool{false, true} {
			m := c.m
			if turn {
				m = shape.Shuffle(shape.Turn(m, shape.Rotation(5)), 2).Scaled(1.3)
			}
			m = saved(t, m)
			s := Of(m, 1)
			if got := s.Handed(); got != c.want {
				t.Errorf("%s (turned: %t): %t", c.name, turn, got)
			}
			mirror := Of(saved(t, shape.Mirror(m)), 1)
			if got := mirror.Handed(); got != c.want {
				t.Errorf("%s mirrored (turned: %t): %t", c.name, turn, got)
			}
			if d := math.Abs(s.mirrored().Surface.Weight - s.Surface.Weight); d > 0 {
				t.Errorf("%s: the mirror image has another area, %g mm² off", c.name, d)
			}
		}
	}
	if (&Signature{}).Handed() {
		t.Error("nothing is its own mirror image")
	}
}
