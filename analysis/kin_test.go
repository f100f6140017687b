package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/likeness"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// shaped is a part of which only name and shape are known.
func shaped(name string, m *mesh.Mesh) *Findings {
	s := likeness.Of(m, 1)
	return &Findings{Part: name, Shape: &s}
}

// greave is an asymmetric shell.
func greave() *mesh.Mesh {
	m := shape.Relief{Triangles: 2000}.Mesh()
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X + p.Z*p.Z/900, Y: p.Y + p.X*p.Z/700, Z: p.Z} })
}

func TestKin(t *testing.T) {
	m := greave()
	turn := r3.NewRotation(math.Pi/2, r3.Vec{Z: 1})
	all := []*Findings{
		shaped("greave.stl", m),
		nil,
		{Part: "broken.stl"},
		shaped("cuff.stl", tube()),
		shaped("greave-107.stl", shape.Shuffle(m.Scaled(1.07), 3)),
		shaped("greave-other-side.stl", shape.Mirror(m)),
		shaped("greave (copy).stl", shape.Offset(m, r3.Vec{X: 250})),
		shaped("greave-lying.stl", shape.Turn(m, turn)),
		shaped("greave-tall.stl", m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: p.Y, Z: 1.1 * p.Z} })),
	}
	want := map[string]string{
		"greave-107.stl":        "greave-107.stl is greave.stl at 107.0 %.",
		"greave-other-side.stl": "greave-other-side.stl is the mirror image of greave.stl.",
		"greave (copy).stl":     "greave (copy).stl is a copy of greave.stl.",
		"greave-lying.stl":      "greave-lying.stl is greave.stl turned by 90° about z.",
		"greave-tall.stl":       "greave-tall.stl is greave.stl at 100.0 % along x, 100.0 % along y and 110.0 % along z.",
	}
	got := Kin(all)
	if len(got) != 15 { // of the six greaves each with each
		t.Errorf("%d pairs: %+v", len(got), got)
	}
	for _, r := range Nearest(got) {
		if r.Earlier != "greave.stl" || want[r.Later] != r.Text {
			t.Errorf("%s: %+v", r.Later, r)
		}
		delete(want, r.Later)
	}
	if len(want) > 0 {
		t.Errorf("nothing said: %v", want)
	}
}

// Boxes are not kin for being boxes, nor tubes for being tubes.
func TestStrangersAreNoKin(t *testing.T) {
	got := Kin([]*Findings{
		shaped("a.stl", shape.Bar{X: 100, Y: 50, Z: 20}.Mesh()),
		shaped("b.stl", shape.Bar{X: 80, Y: 70, Z: 20}.Mesh()),
		shaped("c.stl", tube()),
		shaped("d.stl", shape.Tube{Sides: 64, Radius: 41, Wall: 3, Height: 60}.Mesh()),
		shaped("e.stl", shape.Tube{Sides: 60, Radius: 40, Wall: 3, Height: 60}.Mesh()),
		shaped("f.stl", shape.Tube{Sides: 60, Radius: 40, Wall: 3, Height: 60.1}.Mesh()),
		shaped("g.stl", &mesh.Mesh{}), shaped("h.stl", &mesh.Mesh{}),
	})
	for _, r := range got {
		if r.Later != "f.stl" || r.Kind != "rescaled" {
			t.Errorf("kin: %+v", r)
		}
	}
}
