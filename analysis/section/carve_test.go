package section

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// strip returns the sides of a strip of a shell that stands along z: of the
// given width, on the side of +y, above z.
func strip(width, above float64) []Plane {
	return []Plane{
		{Point: r3.Vec{X: width / 2}, Normal: r3.Vec{X: 1}},
		{Point: r3.Vec{X: -width / 2}, Normal: r3.Vec{X: -1}},
		{Normal: r3.Vec{Y: -1}},
		{Point: r3.Vec{Z: above}, Normal: r3.Vec{Z: -1}},
	}
}

// loose counts the directed edges that do not meet exactly one turned the
// other way: 0 says that a mesh is closed and manifold.
func loose(m *mesh.Mesh) int {
	count := map[[2]uint32]int{}
	for t := range m.Triangles() {
		for k := range 3 {
			count[[2]uint32{m.T[3*t+k], m.T[3*t+(k+1)%3]}]++
		}
	}
	off := 0
	for e, n := range count {
		if n != 1 || count[[2]uint32{e[1], e[0]}] != 1 {
			off++
		}
	}
	return off
}

// A box out of a box, exactly.
func TestCarveBoxOutOfBox(t *testing.T) {
	m := shape.Bar{X: 40, Y: 30, Z: 20}.Mesh()
	inside, rest, f := Carve(m, []Plane{
		{Point: r3.Vec{X: 25}, Normal: r3.Vec{X: 1}}, {Point: r3.Vec{X: 10}, Normal: r3.Vec{X: -1}},
		{Point: r3.Vec{Z: 12}, Normal: r3.Vec{Z: -1}},
	})
	if want := 15.0 * 30 * 8; math.Abs(inside.Volume()-want) > 1e-2 || math.Abs(rest.Volume()-(24000-want)) > 1e-2 || f.Any() {
		t.Errorf("volumes %.4f and %.4f, want %.1f and %.1f; flaws %+v", inside.Volume(), rest.Volume(), want, 24000-want, f)
	}
	if a, b := loose(inside), loose(rest); a+b > 0 {
		t.Errorf("%d and %d loose edges", a, b)
	}
}

// A strip of a tube, against Slab and Halves over the same region, which know
// nothing of Carve.
func TestCarveStripOfTube(t *testing.T) {
	tube := shape.Tube{Sides: 97, Radius: 50, Wall: 3, Height: 120}
	m := tube.Mesh()
	inside, rest, f := Carve(m, strip(40, 70))
	slab, _ := Slab(m, r3.Vec{X: 1}, -20, 20)
	slab, _ = Slab(slab, r3.Vec{Z: 1}, 70, 130)
	want, _, _ := Halves(slab, Plane{Normal: r3.Vec{Y: 1}})
	if math.Abs(inside.Volume()-want.Volume()) > 1 { // the planes may be moved by some µm
		t.Errorf("strip of %.3f mm³, want %.3f", inside.Volume(), want.Volume())
	}
	sumsUp(t, "tube", m, inside, rest, f)
}

// sumsUp checks that both pieces of a closed mesh are closed and sum to it.
func sumsUp(t *testing.T, name string, m, inside, rest *mesh.Mesh, f Flaws) {
	t.Helper()
	if f.Any() {
		t.Errorf("%s: flaws %+v", name, f)
	}
	if whole, sum := m.Volume(), inside.Volume()+rest.Volume(); math.Abs(sum-whole) > 1e-6*whole+1e-2 {
		t.Errorf("%s: %.4f + %.4f = %.4f mm³, want %.4f", name, inside.Volume(), rest.Volume(), sum, whole)
	}
	if c := rest.Condition(); !c.Closed {
		t.Errorf("%s: the rest is not closed: %+v", name, c)
	}
	if c := inside.Condition(); inside.Triangles() > 0 && !c.Closed {
		t.Errorf("%s: the inside is not closed: %+v", name, c)
	}
}

// Random regions of real shells, each turned anyhow, in shuffled order: closed,
// summing to the whole, the inside inside.
func TestCarveAnyRegionOfShells(t *testing.T) {
	random := rand.New(rand.NewPCG(20261125, 5))
	for name, drawn := range map[string]*mesh.Mesh{
		"taper": shape.Taper{Sides: 60, Rows: 4, Bottom: shape.Ellipse{A: 60, B: 48}, Top: shape.Ellipse{A: 50, B: 40}, Wall: 3, Height: 180}.Mesh(),
		"thin":  shape.Tube{Sides: 50, Radius: 40, Wall: 0.4, Height: 90}.Mesh(),
		"mitre": shape.MitreBoot{Sides: 48, Radius: 45, Wall: 3, Shaft: 150, Foot: 140}.Mesh(),
		"two":   shape.Join(shape.Tube{Sides: 40, Radius: 40, Wall: 3, Height: 90}.Mesh(), shape.Offset(shape.Tube{Sides: 30, Radius: 41, Wall: 4, Height: 60}.Mesh(), r3.Vec{X: 0.3, Z: 20})),
	} {
		for i := range 8 {
			turn := shape.Rotation(uint64(i))
			m := shape.Shuffle(shape.Turn(drawn, turn), uint64(i))
			centre := m.Bounds().Center()
			sides := strip(20+60*random.Float64(), -40+80*random.Float64())
			for k := range sides {
				sides[k].Normal = turn.Rotate(sides[k].Normal)
				sides[k].Point = r3.Add(centre, turn.Rotate(sides[k].Point))
			}
			inside, rest, f := Carve(m, sides)
			sumsUp(t, fmt.Sprintf("%s %d", name, i), m, inside, rest, f)
			for v := range inside.Vertices() {
				for _, s := range sides {
					if over := r3.Dot(r3.Sub(inside.At(uint32(v)), s.Point), s.Normal); over > 0.1 {
						t.Fatalf("%s %d: the inside goes %.4f mm over a side", name, i, over)
					}
				}
			}
		}
	}
}

func TestCarveNothingAndAll(t *testing.T) {
	m := shape.Tube{Sides: 32, Radius: 50, Wall: 3, Height: 60}.Mesh()
	inside, rest, _ := Carve(m, []Plane{{Point: r3.Vec{Z: 100}, Normal: r3.Vec{Z: -1}}})
	if inside.Triangles() != 0 || math.Abs(rest.Volume()/m.Volume()-1) > 1e-9 {
		t.Errorf("above everything: inside %d triangles, rest %.2f mm³", inside.Triangles(), rest.Volume())
	}
	inside, rest, _ = Carve(m, []Plane{{Point: r3.Vec{Z: -9}, Normal: r3.Vec{Z: -1}}})
	if rest.Triangles() != 0 || math.Abs(inside.Volume()/m.Volume()-1) > 1e-9 {
		t.Errorf("below everything: rest %d triangles, inside %.2f mm³", rest.Triangles(), inside.Volume())
	}
	inside, rest, _ = Carve(&mesh.Mesh{}, strip(10, 0))
	if inside.Triangles()+rest.Triangles() != 0 {
		t.Error("something out of nothing")
	}
}

func BenchmarkCarve(b *testing.B) {
	m := shape.Relief{Triangles: 200_000}.Mesh()
	low := m.Bounds()
	for b.Loop() {
		Carve(m, strip(40, low.Min.Z+0.6*(low.Max.Z-low.Min.Z)))
	}
}
