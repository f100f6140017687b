package frame

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// However a box is turned in its file, one of its frames is that of its sides,
// and every frame is of unit vectors square to each other.
func TestFramesOfABox(t *testing.T) {
	for seed := range uint64(5) {
		turn := shape.Rotation(seed)
		m := shape.Turn(shape.Bar{X: 100, Y: 200, Z: 320}.Mesh(), turn)
		own := Frame{turn.Rotate(r3.Vec{X: 1}), turn.Rotate(r3.Vec{Y: 1}), turn.Rotate(r3.Vec{Z: 1})}
		found := false
		for _, f := range Of(m, []r3.Vec{own[2]}) {
			found = found || sameAxes(f, own)
			for k := range f {
				if next := f[(k+1)%3]; math.Abs(r3.Norm(f[k])-1) > 1e-9 || math.Abs(r3.Dot(f[k], next)) > 1e-9 {
					t.Errorf("seed %d: %v is no frame", seed, f)
				}
			}
		}
		if !found {
			t.Errorf("seed %d: none of the frames is that of the sides", seed)
		}
	}
}

// The middle of a surface lies where its facets are, each by its area: that of
// a box in its middle, and between two as their areas are.
func TestMiddle(t *testing.T) {
	small, large := shape.Bar{X: 10, Y: 10, Z: 10}.Mesh(), shape.Bar{X: 20, Y: 20, Z: 20}.Mesh()
	if got, want := Middle(small), small.Bounds().Center(); r3.Norm(r3.Sub(got, want)) > 1e-5 {
		t.Errorf("%v, want %v", got, want)
	}
	both := shape.Join(small, shape.Offset(large, r3.Vec{X: 100}))
	want := r3.Add(r3.Scale(0.2, small.Bounds().Center()), r3.Scale(0.8, r3.Add(large.Bounds().Center(), r3.Vec{X: 100})))
	if got := Middle(both); r3.Norm(r3.Sub(got, want)) > 1e-4 {
		t.Errorf("%v, want %v", got, want)
	}
	if got, _, _ := principal(both); r3.Norm(r3.Sub(got, want)) > 1e-4 {
		t.Errorf("by the other way %v, want %v", got, want)
	}
}

func TestMirrors(t *testing.T) {
	boot := shape.Boot{Sides: 32, Rim: shape.Ellipse{A: 60, B: 70}, Ankle: shape.Circle(55), Instep: shape.Circle(54), Ball: shape.Ellipse{A: 40, B: 55}, Wall: 4, Shaft: 200, Bend: 80, Foot: 150, Toe: 30}.Mesh()
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want int
	}{
		{"box", shape.Bar{X: 100, Y: 200, Z: 300}.Mesh(), 3},
		{"boot", boot, 1},
		{"wedge", shape.Bar{X: 100, Y: 200, Z: 300}.Mesh().Map(func(p r3.Vec) r3.Vec {
			return r3.Vec{X: p.X + p.Z/3 + p.Y/4, Y: p.Y + p.Z/5, Z: p.Z}
		}), 0},
	} {
		for seed := range uint64(3) {
			m := c.m
			if seed > 0 {
				m = shape.Turn(m, shape.Rotation(seed))
			}
			if got := len(Mirrors(m, Of(m, nil))); got != c.want {
				t.Errorf("%s (seed %d): %d planes of symmetry, want %d", c.name, seed, got, c.want)
			}
		}
	}
}

// A plane of symmetry and one a little off it, in which the part looks nearly the same,
// are one: the true one, whichever is named first.
func TestMirrorsAreTheTruest(t *testing.T) {
	round := shape.Tube{Sides: 96, Radius: 100, Wall: 4, Height: 60}.Mesh()
	m := round.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: 1.08 * p.Y, Z: p.Z} })
	sin, cos := math.Sincos(0.04)
	off := Frame{{X: cos, Y: sin}, {X: -sin, Y: cos}, {Z: 1}}
	file := Frame{{X: 1}, {Y: 1}, {Z: 1}}
	require.Len(t, Mirrors(m, []Frame{off}), 3) // alone it would do
	for _, frames := range [][]Frame{{file, off}, {off, file}} {
		all := Mirrors(m, frames)
		require.Len(t, all, 3)
		for _, p := range all {
			n := p.Normal
			require.InDelta(t, 1, max(math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)), 1e-9, "%v", n)
		}
	}
}

// A shell that is all but round looks the same in planes well off its own; they are
// none of its own, so that left and right are cut alike.
func TestMirrorsOfWhatIsAllButRound(t *testing.T) {
	round := shape.Tube{Sides: 96, Radius: 62, Wall: 3, Height: 260}.Mesh()
	m := round.Map(func(p r3.Vec) r3.Vec {
		return r3.Vec{X: 1.05 * p.X, Y: p.Y - 8*math.Sin(p.Z/260*math.Pi), Z: p.Z}
	})
	sin, cos := math.Sincos(math.Pi / 12)
	off := Frame{{X: cos, Y: sin}, {X: -sin, Y: cos}, {Z: 1}}
	other := Frame{{X: cos, Y: -sin}, {X: sin, Y: cos}, {Z: 1}}
	file := Frame{{X: 1}, {Y: 1}, {Z: 1}}
	alone := Mirrors(m, []Frame{off})
	require.NotEmpty(t, alone)
	for _, frames := range [][]Frame{{file, off, other}, {off, other, file}, {other, file, off}} {
		for _, p := range Mirrors(m, frames) {
			n := p.Normal
			require.InDelta(t, 1, max(math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)), 1e-6, "%v", n)
		}
	}
}
