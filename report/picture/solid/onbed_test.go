package solid

import (
	"math"
	"strings"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/report/picture"
	"gambeson/report/picture/proof"

	"gonum.org/v1/gonum/spatial/r3"
)

// samples of beds: a tube in the middle, a bar that goes over the edge and
// above, a round bed, one with strips.
func beds() map[string]Bed {
	tube := shape.Tube{Sides: 64, Radius: 55, Wall: 4, Height: 90}.Mesh()
	at := func(m *mesh.Mesh, x, y float64) *mesh.Mesh {
		return m.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: x, Y: y}) })
	}
	return map[string]Bed{
		"square": {Title: "On the bed at 107 %, turned by 38° anticlockwise", Part: []*mesh.Mesh{at(tube, 110, 100)}, Width: 220, Depth: 220, Height: 250, Margin: 5,
			Strips: [][4]float64{{0, 200, 40, 20}, {180, -5, 60, 15}}},
		"round": {Title: "On the bed at 100 %, as it lies", Part: []*mesh.Mesh{at(tube, 100, 100)}, Width: 200, Depth: 200, Round: true, Height: 300, Margin: 4, Strips: [][4]float64{{0, 0, 200, 20}}},
		"over":  {Title: "Too large for the bed at 300 %", Part: []*mesh.Mesh{at(shape.Bar{X: 260, Y: 40, Z: 280}.Mesh(), -20, 90)}, Width: 220, Depth: 220, Height: 250, Margin: 5},
		"long":  {Title: "On the bed at 100 %, as it lies", Part: []*mesh.Mesh{at(shape.Bar{X: 40, Y: 20, Z: 4}.Mesh(), 30, 30)}, Width: 400, Depth: 100, Height: 120},
	}
}

func TestOnBedDrawsThePartWhereItStands(t *testing.T) {
	for name, b := range beds() {
		t.Run(name, func(t *testing.T) {
			s := b.draw()
			proof.Look(t, "bed-"+name, s)
			proof.Tidy(t, s)
			im := proof.Decoded(t, s)
			box := mesh.Join(b.Part...).Bounds()
			above, front, _ := b.cameras(box)
			grey := func(c *camera, p r3.Vec) bool {
				x, y, _ := c.at(p)
				r, g, bl, _ := im.At(int(x), int(y)).RGBA()
				return r == g && g == bl && r < 250*257
			}
			ink := func(c *camera, p r3.Vec) bool {
				x, y, _ := c.at(p)
				return proof.InkNear(im, x, y, bedLine.Colour, 2)
			}
			// The wall of the part, just inside its corner along the middle.
			in := r3.Vec{X: box.Min.X + 2, Y: (box.Min.Y + box.Max.Y) / 2, Z: box.Max.Z / 2}
			if !grey(&above, in) || !grey(&front, r3.Vec{X: in.X, Z: 2}) || !grey(&front, r3.Vec{X: in.X, Z: box.Max.Z - 2}) {
				t.Error("the part is not where it stands")
			}
			if name != "over" && grey(&above, r3.Vec{X: box.Min.X - 3, Y: in.Y + 3}) {
				t.Error("the part is also beside itself")
			}
			corner := r3.Vec{X: b.Width, Y: b.Depth * 0.3}
			if b.Round {
				corner = r3.Vec{X: b.Width/2 + b.Width/2*math.Cos(1), Y: b.Width/2 + b.Width/2*math.Sin(1)}
			}
			if !ink(&above, corner) {
				t.Error("the bed's edge is not drawn")
			}
			x, y, _ := front.at(r3.Vec{X: b.Width * 0.9, Z: b.Height})
			if !proof.InkNear(im, x, y, picture.Blue, 10) {
				t.Error("the height that the printer reaches is not drawn")
			}
			for _, strip := range b.Strips {
				mid := r3.Vec{X: (max(0, strip[0]) + min(b.Width, strip[0]+strip[2])) / 2, Y: (max(0, strip[1]) + min(b.Depth, strip[1]+strip[3])) / 2}
				if x, y, _ := above.at(mid); !proof.InkNear(im, x, y, picture.Vermilion, 8) {
					t.Errorf("strip %v is not hatched", strip)
				}
			}
		})
	}
}

// Both views have one scale, and the key's bar keeps to it.
func TestOnBedIsToScale(t *testing.T) {
	for name, b := range beds() {
		above, front, _ := b.cameras(mesh.Join(b.Part...).Bounds())
		x0, y0, _ := above.at(r3.Vec{})
		x1, y1, _ := above.at(r3.Vec{X: 100, Y: 50})
		fx0, fy0, _ := front.at(r3.Vec{})
		fx1, fy1, _ := front.at(r3.Vec{X: 100, Z: 50})
		for _, got := range []float64{(x1 - x0) / 100, (y0 - y1) / 50, (fx1 - fx0) / 100, (fy0 - fy1) / 50} {
			if math.Abs(got/above.scale-1) > 1e-9 {
				t.Errorf("%s: %g px per mm, want %g", name, got, above.scale)
			}
		}
	}
}

// Every part of a load has its number, at its outline, and no number lies on
// another.
func TestOnBedNumbersTheParts(t *testing.T) {
	b := beds()["square"]
	b.Numbered, b.Part = true, nil
	for i, r := range []float64{80, 66, 52, 20} {
		m := shape.Tube{Sides: 64, Radius: r, Wall: 3, Height: 12}.Mesh()
		b.Part = append(b.Part, shape.Offset(m, r3.Vec{X: 95 + float64(i), Y: 95}))
	}
	s := b.draw()
	proof.Look(t, "bed-load", s)
	proof.Tidy(t, s)
	above, _, _ := b.cameras(mesh.Join(b.Part...).Bounds())
	for i, m := range b.Part {
		found := false
		for _, l := range s.Labels {
			x, y := (l.Left+l.Right)/2, (l.Top+l.Bottom)/2
			for v := range m.Vertices() {
				px, py, _ := above.at(m.At(uint32(v)))
				found = found || math.Hypot(px-x, py-y) < 8
			}
		}
		if !found {
			t.Errorf("part %d has no number", i+1)
		}
	}
}

// The legend of the bed says its sizes in inches too where the wearer measures in
// them: width, depth, margin and height.
func TestOnBedInInches(t *testing.T) {
	for name, b := range beds() {
		b.Also = proof.Inches
		s := b.draw()
		proof.Look(t, "bed-inches-"+name, s)
		proof.Tidy(t, s)
		var said string
		for _, l := range s.Labels {
			said += l.Text + "\n"
		}
		for _, mm := range []float64{b.Width, b.Depth, b.Height, b.Margin} {
			if mm > 0 && !strings.Contains(said, "("+b.Also(mm)+")") {
				t.Errorf("%s: %v mm is not said in inches:\n%s", name, mm, said)
			}
		}
	}
}
