package pin

import (
	"math"
	"strings"
	"testing"

	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// The volume of a hole is that of a prism whose 24 sides touch a circle from
// outside, n·r²·tan(π/n)·depth, and the pieces lack just that and stay closed.
func TestHolesTakeTheirVolume(t *testing.T) {
	m := shape.Turn(shape.Bar{X: 100, Y: 40, Z: 60}.Mesh(), shape.Rotation(5))
	normal := shape.Rotation(5).Rotate(r3.Vec{X: 1})
	plane := section.Plane{Point: m.Bounds().Center(), Normal: r3.Scale(3, normal)} // of any length
	above, below, _ := section.Halves(m, plane)
	j := Join(plane, above, below, Common())
	if !j.Met || len(j.Keys) < 2 || math.Abs(j.Widest-40) > 0.01 {
		t.Fatalf("%+v", j)
	}
	want := 0.0
	for _, k := range j.Keys {
		if k.Pin.Diameter != 4 || k.Depth != 10 {
			t.Errorf("%+v, want the first pin at its full depth", k)
		}
		if off := r3.Dot(normal, r3.Sub(k.At, plane.Point)); math.Abs(off) > 1e-3 {
			t.Errorf("a key lies %g mm off the seam", off)
		}
		want += 24 * 2.1 * 2.1 * math.Tan(math.Pi/24) * k.Depth
	}
	gotAbove, lostAbove := j.Above()
	gotBelow, lostBelow := j.Below()
	for _, side := range []struct {
		before, after, said float64
		closed              bool
	}{
		{above.Volume(), gotAbove.Volume(), lostAbove, gotAbove.Condition().Closed},
		{below.Volume(), gotBelow.Volume(), lostBelow, gotBelow.Condition().Closed},
	} {
		if lost := side.before - side.after; math.Abs(lost/want-1) > 1e-3 || math.Abs(side.said/want-1) > 1e-9 || !side.closed {
			t.Errorf("holes of %g mm³ took %g and say %g; closed: %v", want, lost, side.said, side.closed)
		}
	}
}

// Pieces that have nothing in common have no joint, and say nothing of pins.
func TestPiecesThatDoNotMeet(t *testing.T) {
	plane := section.Plane{Normal: r3.Vec{Z: 1}}
	above := shape.Offset(shape.Bar{X: 30, Y: 30, Z: 30}.Mesh(), r3.Vec{X: 100})
	below := shape.Offset(shape.Bar{X: 30, Y: 30, Z: 30}.Mesh(), r3.Vec{Z: -30})
	j := Join(plane, above, below, Common())
	if j.Met || len(j.Keys) > 0 {
		t.Errorf("%+v", j)
	}
	if m, lost := j.Above(); lost != 0 || m.Volume() != above.Volume() {
		t.Errorf("%g mm³ lost", lost)
	}
	for out, f := range map[float64]*Face{-1: FaceOf(above, plane), 1: FaceOf(below, plane)} {
		if math.Abs(f.Area()-900) > 0.01 || f.Out() != (r3.Vec{Z: out}) {
			t.Errorf("a face of %g mm² that shows to %v, want 900 and %g", f.Area(), f.Out(), out)
		}
	}
}

// A wall of 3 mm holds neither pin; the thinnest, of 1.75 mm, would need
// (1.75 + 0.2)/2/cos(π/24) + 1.2 mm on both sides of its middle: 4.4 mm.
func TestThinWallsSayWhatAPinNeeds(t *testing.T) {
	m := shape.Tube{Sides: 64, Radius: 60, Wall: 3, Height: 100}.Mesh()
	plane := section.Plane{Point: r3.Vec{Z: 50}, Normal: r3.Vec{Z: 1}}
	above, below, _ := section.Halves(m, plane)
	j := Join(plane, above, below, Common())
	if why := j.Why(Common(), false); len(j.Keys) > 0 || !strings.Contains(why, "at most 3.0 mm thick") || !strings.Contains(why, "a pin of 1.75 mm needs 4.4 mm") {
		t.Errorf("%d keys, %q", len(j.Keys), why)
	}
}
