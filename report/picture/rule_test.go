package picture

import (
	"image/color"
	"math/rand/v2"
	"testing"
)

// A line of a grid has the pixels of any other stroke, on what was drawn before, anywhere
// on the sheet and over its edge.
func TestRuledLinesAreStrokes(t *testing.T) {
	const seed = 20261209
	random := rand.New(rand.NewPCG(seed, 9))
	got, want := NewSheet(200), NewSheet(200)
	strokes := []Stroke{
		GridLine, AxisLine, GuideLine, {Colour: Vermilion, Width: 0.7}, {Colour: Pale, Width: 11},
		{Colour: color.RGBA{20, 30, 40, 128}, Width: 1.8}, {Colour: Ink, Width: 1},
	}
	place := func(of float64) float64 { return of*1.2*random.Float64() - 0.1*of }
	for n := range 600 {
		st := strokes[n%len(strokes)]
		x0, y0, x1, y1 := place(Width), place(200), place(Width), place(200)
		switch random.IntN(4) {
		case 0:
			x1 = x0
		case 1:
			y1 = y0
		case 2:
			x0 = Crisp(x0)
			x1 = x0
		}
		got.Rule(st, x0, y0, x1, y1)
		want.Line(st, x0, y0, x1, y1)
		for i, is := range got.Pixels.Pix {
			x, y := i/4%Width, i/4/Width
			atEdge := x == 0 || y == 0 || x == Width-1 || y == 199 // where a stroke that is cut off rounds otherwise
			if wants := want.Pixels.Pix[i]; is != wants && !atEdge {
				t.Fatalf("seed %d: line %d, %v from (%g, %g) to (%g, %g), is %d at (%d, %d), want %d", seed, n, st, x0, y0, x1, y1, is, x, y, wants)
			}
		}
	}
}
