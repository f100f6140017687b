package band

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// The volume of a band is that of the part between its two cuts: for a tube of
// n sides n/2·sin(2π/n)·(R² − r²)·height, wherever it lies and however it is
// turned.
func TestRingOfATube(t *testing.T) {
	tube := shape.Tube{Sides: 96, Radius: 50, Wall: 3, Height: 120}
	want := 48 * math.Sin(2*math.Pi/96) * (53*53 - 50*50) * Height
	for seed := range uint64(8) {
		turn := shape.Rotation(seed)
		m := shape.Offset(shape.Turn(tube.Mesh(), turn), r3.Vec{X: 200, Y: -30})
		at := r3.Add(turn.Rotate(r3.Vec{Z: 70}), r3.Vec{X: 200, Y: -30})
		b, err := Ring(m, at, turn.Rotate(r3.Vec{Z: 2}), Height)
		require.NoError(t, err)
		box := b.Mesh.Bounds()
		if c := b.Mesh.Condition(); !c.Closed || c.Components != 1 || b.Flaws.Any() {
			t.Errorf("turn %d: %+v, flaws %+v", seed, c, b.Flaws)
		}
		if got := b.Mesh.Volume(); math.Abs(got/want-1) > 1e-4 {
			t.Errorf("turn %d: %.2f mm³, want %.2f", seed, got, want)
		}
		if r3.Norm(box.Min) > 1e-4 || math.Abs(box.Max.Z-Height) > 1e-3 || math.Abs(box.Max.X-106) > 0.3 {
			t.Errorf("turn %d: lies at %+v", seed, box)
		}
	}
}

// The section of a band is the section of the part there, to 1e-4 mm.
func TestSectionOfBandIsSectionOfPart(t *testing.T) {
	taper := shape.Taper{Sides: 128, Rows: 3, Bottom: shape.Ellipse{A: 60, B: 48}, Top: shape.Ellipse{A: 50, B: 41}, Wall: 3, Height: 150}
	m := taper.Mesh()
	b, err := Ring(m, r3.Vec{Z: 71}, r3.Vec{Z: 1}, Height)
	require.NoError(t, err)
	for _, h := range []float64{0.5, 3, 6, 11.4} {
		part := section.Cut(m, section.Plane{Point: r3.Vec{Z: 65 + h}, Normal: r3.Vec{Z: 1}})
		ring := section.Cut(b.Mesh, section.Plane{Point: r3.Vec{Z: h}, Normal: r3.Vec{Z: 1}})
		require.Len(t, ring.Chains, 2)
		for i, c := range ring.Chains {
			if math.Abs(c.Length()-part.Chains[i].Length()) > 1e-3 || math.Abs(c.Area()/part.Chains[i].Area()-1) > 1e-6 {
				t.Errorf("%g mm up: chain of %.5f mm, the part has %.5f", h, c.Length(), part.Chains[i].Length())
			}
		}
	}
}

func TestRingStaysWithinThePart(t *testing.T) {
	m := shape.Tube{Radius: 50, Wall: 3, Height: 40}.Mesh()
	for _, z := range []float64{-3, 0, 2, 39, 44} {
		b, err := Ring(m, r3.Vec{Z: z}, r3.Vec{Z: 1}, Height)
		require.NoError(t, err, "at %g", z)
		if math.Abs(b.Height-Height) > 1e-6 || math.Abs(b.Mesh.Bounds().Max.Z-Height) > 1e-3 {
			t.Errorf("at %g: %.3f mm high", z, b.Height)
		}
	}
	low := shape.Tube{Radius: 50, Wall: 3, Height: 9}.Mesh()
	b, err := Ring(low, r3.Vec{Z: 4}, r3.Vec{Z: 1}, Height)
	require.NoError(t, err)
	if math.Abs(b.Height-9) > 1e-6 || math.Abs(b.Mesh.Volume()/low.Volume()-1) > 1e-5 {
		t.Errorf("a low part is taken whole: %.3f mm high", b.Height)
	}
	if b, err := Ring(&mesh.Mesh{}, r3.Vec{}, r3.Vec{Z: 1}, Height); err == nil {
		t.Errorf("a band out of nothing: %+v", b)
	}
}

// A second leg beside the ring is left out; a rivet let into its wall stays.
func TestShellsClearOfTheRingAreLeftOut(t *testing.T) {
	tube := shape.Tube{Radius: 50, Wall: 3, Height: 100}
	one, err := Ring(tube.Mesh(), r3.Vec{Z: 50}, r3.Vec{Z: 1}, Height)
	require.NoError(t, err)
	leg := shape.Offset(tube.Mesh(), r3.Vec{X: 120})
	rivet := shape.Offset(shape.Bar{X: 6, Y: 6, Z: 20}.Mesh(), r3.Vec{X: 50, Y: -3, Z: 40})
	both, err := Ring(shape.Join(tube.Mesh(), leg, rivet), r3.Vec{Z: 50}, r3.Vec{Z: 1}, Height)
	require.NoError(t, err)
	if got, want := both.Mesh.Volume(), one.Mesh.Volume()+6*6*Height; math.Abs(got-want) > 1 {
		t.Errorf("%.1f mm³, want the ring and the rivet: %.1f", got, want)
	}
}

// Breast and back between armholes: both walls are the band, as far apart as they are in
// the part; a sleeve beside them, or a plate behind the back, is none of it.
func TestRingOfTwoWalls(t *testing.T) {
	wall := func(y float64) *mesh.Mesh {
		return shape.Offset(shape.Bar{X: 200, Y: 3, Z: 100}.Mesh(), r3.Vec{X: -100, Y: y})
	}
	sleeve := shape.Offset(shape.Tube{Sides: 32, Radius: 30, Wall: 3, Height: 100}.Mesh(), r3.Vec{X: 160})
	m := shape.Join(wall(80), wall(-103), sleeve, wall(-150))
	for _, turn := range []r3.Rotation{{Real: 1}, r3.NewRotation(math.Pi/2, r3.Vec{Z: 1}), r3.NewRotation(1, r3.Vec{X: 1, Y: 2})} {
		b, err := Cut(m.Map(turn.Rotate), Wish{At: turn.Rotate(r3.Vec{Z: 50}), Normal: turn.Rotate(r3.Vec{Z: 1}), Factor: 1.1})
		require.NoError(t, err)
		require.InDelta(t, 2*200*3*1.1*1.1*b.Height, b.Mesh.Volume(), 1)
		require.InDelta(t, 1.1*(80+100), b.Apart, 1e-3)
	}
	one, err := Ring(shape.Join(wall(80), sleeve), r3.Vec{Z: 50}, r3.Vec{Z: 1}, Height)
	require.NoError(t, err)
	require.Zero(t, one.Apart)
}
