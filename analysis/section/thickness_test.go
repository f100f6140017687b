package section

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// ring is a circle of so many corners, anticlockwise, or clockwise where n is
// negative.
func ring(center r2.Vec, radius float64, n int) Chain {
	c := Chain{Closed: true}
	for k := range max(n, -n) {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		c.Points = append(c.Points, r2.Add(center, r2.Vec{X: radius * cos, Y: radius * sin}))
	}
	return c
}

// thinnest is the least of all that is measured round a loop.
func thinnest(s Section, loop []r2.Vec) (thin Thickness, ok bool) {
	all := s.Thicknesses(loop)
	if len(all) == 0 {
		return thin, false
	}
	return slices.MinFunc(all, func(a, b Thickness) int { return cmp.Compare(a.MM, b.MM) }), true
}

// A round wall whose inside lies e off its middle is R − r − e thick where it is
// thinnest.
func TestThicknessesOfRingsOffTheMiddle(t *testing.T) {
	for _, c := range []struct{ inner, outer, off float64 }{{50, 53, 0}, {50, 53, 1.2}, {80, 90, 6}, {20, 21, 0.5}} {
		inside := ring(r2.Vec{X: c.off}, c.inner, -360)
		s := Section{Chains: []Chain{ring(r2.Vec{}, c.outer, 360), inside}}
		for _, turned := range []bool{false, true} { // facets the wrong way round
			if turned {
				s.Chains = []Chain{ring(r2.Vec{}, c.outer, -360), ring(r2.Vec{X: c.off}, c.inner, 360)}
			}
			thin, ok := thinnest(s, ring(r2.Vec{X: c.off}, c.inner, 360).Points)
			require.True(t, ok)
			require.InDelta(t, c.outer-c.inner-c.off, thin.MM, 0.02, "%+v", c)
			if c.off > 0 {
				require.InDelta(t, c.inner+c.off, thin.At.X, 1, "where they come nearest")
			}
		}
	}
}

// Shells that lap over each other count as one wall; a single sheet is none.
func TestThicknessesOfShellsThatLap(t *testing.T) {
	inner, middle := ring(r2.Vec{}, 50, -360), ring(r2.Vec{}, 52, 360)
	second, outer := ring(r2.Vec{}, 51, -360), ring(r2.Vec{}, 54, 360)
	loop := ring(r2.Vec{}, 50, 360).Points
	thin, ok := thinnest(Section{Chains: []Chain{inner, middle, second, outer}}, loop)
	require.True(t, ok)
	require.InDelta(t, 4, thin.MM, 0.02)

	apart := ring(r2.Vec{}, 52.5, -360) // air between the two: the wall ends at the first
	thin, ok = thinnest(Section{Chains: []Chain{inner, middle, apart, outer}}, loop)
	require.True(t, ok)
	require.InDelta(t, 2, thin.MM, 0.02)

	_, ok = thinnest(Section{Chains: []Chain{inner}}, loop)
	require.False(t, ok, "a sheet")
	_, ok = thinnest(Section{Chains: []Chain{ring(r2.Vec{}, 90, 360), inner}}, loop)
	require.False(t, ok, "40 mm is no wall")
	_, ok = thinnest(Section{Chains: []Chain{ring(r2.Vec{}, 54, 360), ring(r2.Vec{}, 45, -360)}}, loop)
	require.False(t, ok, "the loop runs where no wall is")
}

// Every place stands for its share of the loop; a groove shows on its own.
func TestThicknessesOfAGroove(t *testing.T) {
	outside := Chain{Closed: true, Points: []r2.Vec{
		{X: -43, Y: -43}, {X: 43, Y: -43}, {X: 43, Y: -10}, {X: 41, Y: -10}, {X: 41, Y: 10}, {X: 43, Y: 10}, {X: 43, Y: 43}, {X: -43, Y: 43},
	}}
	loop := []r2.Vec{{X: -40, Y: -40}, {X: 40, Y: -40}, {X: 40, Y: 40}, {X: -40, Y: 40}}
	inside := Chain{Closed: true, Points: []r2.Vec{loop[3], loop[2], loop[1], loop[0]}}
	long := map[float64]float64{}
	for _, w := range (Section{Chains: []Chain{outside, inside}}).Thicknesses(loop) {
		long[math.Round(1e6*w.MM)/1e6] += w.Span
	}
	require.Len(t, long, 2)
	require.InDelta(t, 300, long[3], 1e-9)
	require.InDelta(t, 20, long[1], 1e-9)
}

// A strip in a section ends at its edges: each place says how far it is from the
// nearer one and how wide the strip is. One cut off aslant is as thick as the slant
// leaves it there, and says that it lies at the edge.
func TestThicknessesKnowTheRim(t *testing.T) {
	strip := func(slant float64) Section {
		return Section{Chains: []Chain{{Closed: true, Points: []r2.Vec{{X: 0}, {X: 40}, {X: 40 - slant, Y: -2}, {X: 0, Y: -2}}}}}
	}
	inside := []r2.Vec{{X: 40}, {X: 0}, {X: 0, Y: 30}, {X: 40, Y: 30}} // bridged on three sides
	slices.Reverse(inside)
	all := strip(0).Thicknesses(inside)
	require.NotEmpty(t, all)
	for _, w := range all {
		require.InDelta(t, 2, w.MM, 1e-9)
		require.InDelta(t, min(w.At.X, 40-w.At.X), w.Rim, 1e-9)
		require.InDelta(t, 42, w.Wide, 1e-9)
	}
	cut := strip(8).Thicknesses(inside)
	require.NotEmpty(t, cut)
	thin := 0
	for _, w := range cut {
		d := 40 - w.At.X
		want := min(2, d/4)
		require.InDelta(t, want, w.MM, 1e-9)
		if want < 2 {
			thin++
			require.InDelta(t, (d+math.Hypot(d, want)-want)/2, w.Rim, 1e-9, "out along the inside, back along the slant")
		}
	}
	require.Positive(t, thin)
	for _, w := range (Section{Chains: []Chain{ring(r2.Vec{}, 53, 360), ring(r2.Vec{}, 50, -360)}}).Thicknesses(ring(r2.Vec{}, 50, 360).Points) {
		require.True(t, math.IsInf(w.Rim, 1), "a closed ring has no edge")
	}
}

// On a mesh: a tube's wall, however it is turned and scaled.
func TestThicknessesOfATube(t *testing.T) {
	tube := shape.Tube{Sides: 128, Radius: 40, Wall: 2.4, Height: 60}.Mesh()
	for _, factor := range []float64{1, 0.5, 2} {
		m := shape.Turn(tube.Scaled(factor), r3.NewRotation(0.7, r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3})))
		axis := r3.NewRotation(0.7, r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3})).Rotate(r3.Vec{Z: 1})
		s := Cut(m, Plane{Point: r3.Scale(30*factor, axis), Normal: axis})
		require.Len(t, s.Chains, 2)
		at, _ := s.Around(s.Plane.Flat(r3.Scale(30*factor, axis)))
		loop := slices.Clone(s.Chains[at].Points)
		if s.Chains[at].Area() < 0 {
			slices.Reverse(loop)
		}
		thin, ok := thinnest(s, loop)
		require.True(t, ok)
		require.InDelta(t, 2.4*factor, thin.MM, 0.002*2.4*factor)
	}
}

func BenchmarkThicknesses(b *testing.B) {
	m := shape.Relief{Triangles: 200_000}.Mesh()
	box := m.Bounds()
	s := Cut(m, Plane{Point: r3.Vec{Z: (box.Min.Z + box.Max.Z) / 2}, Normal: r3.Vec{Z: 1}})
	at, _ := s.Around(r2.Vec{})
	for b.Loop() {
		s.Thicknesses(s.Chains[at].Points)
	}
}
