package solid

import (
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/report/picture"
	"gambeson/report/picture/proof"

	"gonum.org/v1/gonum/spatial/r3"
)

// parted is a tube in two rings, or in rings and a third one that is tiny.
func parted() Parting {
	tube := func(low, high float64) *mesh.Mesh {
		return shape.Offset(shape.Tube{Sides: 64, Radius: 55, Wall: 6, Height: high - low}.Mesh(), r3.Vec{Z: low})
	}
	up := r3.Vec{Z: 1}
	return Parting{
		Title:  "In 3 pieces at 107 %",
		Pieces: []Piece{{tube(0, 80), "122.0 × 122.0 × 80.0 mm, 8.1 h"}, {tube(80, 150), "122.0 × 122.0 × 70.0 mm, 7.2 h"}, {tube(150, 156), "122.0 × 122.0 × 6.0 mm, 0.8 h"}},
		Seams:  []Seam{{r3.Vec{Z: 80}, up, []int{2, 3}, []int{1}}, {r3.Vec{Z: 150}, up, []int{3}, []int{2}}},
	}
}

func TestPiecesArePulledApart(t *testing.T) {
	p := parted()
	s := p.sheet()
	proof.Look(t, "pieces", s)
	proof.Tidy(t, s)
	moved := p.moved()
	far := pulled * r3.Norm(r3.Vec{X: 122, Y: 122, Z: 156})
	for i, want := range []float64{80 - far/2, 80 + 0*far, 150 + far} {
		got := moved[i].Bounds().Max.Z
		if i > 0 {
			got = moved[i].Bounds().Min.Z
		}
		if d := got - want; d < -1e-3 || d > 1e-3 {
			t.Errorf("piece %d ends at %.3f mm, want %.3f", i+1, got, want)
		}
	}
	im := proof.Decoded(t, s)
	cameras, _, _ := twoSides(p.From, moved)
	c := &cameras[0]
	front := func(radius, z float64) (x, y float64) {
		x, y, _ = c.at(r3.Vec{Y: -radius, Z: z})
		return x, y
	}
	// The upper face of the first piece shows hatched at its front, its outer wall
	// does not.
	x, y := front(58, 80-far/2)
	if !proof.InkNear(im, x, y, picture.Vermilion, 5) {
		t.Error("the cut face is not hatched")
	}
	if x, y := front(61, 40); proof.InkNear(im, x+60, y, picture.Vermilion, 6) {
		t.Error("a wall is hatched like a cut")
	}
	numbers := map[string]int{}
	for _, l := range s.Labels {
		numbers[l.Text]++
	}
	for i, piece := range p.Pieces {
		if n := string(rune('1' + i)); numbers[n] != 3 || numbers[piece.Text] != 1 {
			t.Errorf("piece %s is numbered %d times, its size told %d times", n, numbers[n], numbers[piece.Text])
		}
	}
}
