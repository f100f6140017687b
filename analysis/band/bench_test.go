package band

import (
	"testing"

	"gambeson/analysis/bed"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// A band with its marks, out of a part of 20,000 triangles.
func BenchmarkCut(b *testing.B) {
	m := shape.Taper{Sides: 128, Rows: 40, Bottom: shape.Ellipse{A: 60, B: 48}, Top: shape.Ellipse{A: 40, B: 31}, Wall: 3, Height: 150}.Mesh()
	w := Wish{At: r3.Vec{Z: 71}, Normal: r3.Vec{Z: 1}, Factor: 1.075, Marks: Marks{Notches: 5, Texts: []string{"GREAVE-LEFT CALF 107.5%"}}}
	for b.Loop() {
		if _, err := Cut(m, w); err != nil {
			b.Fatal(err)
		}
	}
}

// The same in arcs for a bed that it is too large for.
func BenchmarkCutInArcs(b *testing.B) {
	m := shape.Taper{Sides: 128, Rows: 40, Bottom: shape.Ellipse{A: 190, B: 150}, Top: shape.Ellipse{A: 170, B: 140}, Wall: 3, Height: 150}.Mesh()
	w := Wish{At: r3.Vec{Z: 71}, Normal: r3.Vec{Z: 1}, Marks: Marks{Notches: 2, Texts: []string{"HIPS WAIST 100%"}}, Fits: onBed(bed.Volume{Width: 210, Depth: 210, Height: 250})}
	for b.Loop() {
		if _, err := Cut(m, w); err != nil {
			b.Fatal(err)
		}
	}
}
