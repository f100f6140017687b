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

// halves are the halves of a tube, moved apart until they stand gap mm from each other.
func halves(t *testing.T, gap float64) (both [2]*mesh.Mesh) {
	t.Helper()
	tube := shape.Tube{Sides: 96, Radius: 50, Wall: 3, Height: 120}.Mesh()
	left, right, flaws := section.Carve(tube, []section.Plane{{Normal: r3.Vec{X: 1}}})
	require.False(t, flaws.Any())
	return [2]*mesh.Mesh{shape.Offset(right, r3.Vec{X: gap / 2}), shape.Offset(left, r3.Vec{X: -gap / 2})}
}

// A band of a part in halves holds both of them, wherever the place lies between them and
// however they are turned: its volume is that of their sections.
func TestRingOfTwoHalves(t *testing.T) {
	for _, gap := range []float64{0, 0.05, 0.5, 2, 20, 60} {
		both := halves(t, gap)
		m := shape.Join(both[0], both[1])
		want := 0.0
		for _, c := range section.Cut(m, section.Plane{Point: r3.Vec{Z: 60}, Normal: r3.Vec{Z: 1}}).Chains {
			want += c.Area() * Height
		}
		for seed, off := range []r3.Vec{{}, {X: 0.1}, {X: -7, Y: 3}, {Y: 9}, {X: 4, Y: -8}} {
			turn := shape.Rotation(uint64(seed))
			b, err := Ring(shape.Turn(m, turn), turn.Rotate(r3.Add(r3.Vec{Z: 60}, off)), turn.Rotate(r3.Vec{Z: 1}), Height)
			require.NoError(t, err)
			if got := b.Mesh.Volume(); math.Abs(got/want-1) > 1e-4 {
				t.Errorf("halves %g mm apart, place %v: %.1f mm³, both have %.1f", gap, off, got, want)
			}
			apart := gap
			if gap < touching {
				apart = 0
			}
			if math.Abs(b.Apart-apart) > 0.05 {
				t.Errorf("halves %g mm apart, place %v: said to be %.3f mm apart", gap, off, b.Apart)
			}
		}
	}
}

// Staves round a place are all of the band; with one missing the others still are.
func TestRingOfStaves(t *testing.T) {
	tube := shape.Tube{Sides: 96, Radius: 50, Wall: 3, Height: 120}.Mesh()
	var staves []*mesh.Mesh
	for k := range 5 {
		from, to := heading(2*math.Pi*(float64(k)+0.05)/5), heading(2*math.Pi*(float64(k)+0.95)/5)
		stave, _, flaws := section.Carve(tube, []section.Plane{
			{Normal: r3.Vec{X: from.Y, Y: -from.X}},
			{Normal: r3.Vec{X: -to.Y, Y: to.X}},
		})
		require.False(t, flaws.Any())
		staves = append(staves, stave)
	}
	for _, some := range [][]*mesh.Mesh{staves, staves[1:]} {
		b, err := Ring(shape.Join(some...), r3.Vec{X: 1, Z: 60}, r3.Vec{Z: 1}, Height)
		require.NoError(t, err)
		if got, want := b.Mesh.Volume(), float64(len(some))*staves[0].Volume()/10; math.Abs(got/want-1) > 0.01 {
			t.Errorf("of %d staves: %.1f mm³, want %.1f", len(some), got, want)
		}
		require.InDelta(t, 2*50*math.Sin(math.Pi/50), b.Apart, 0.1)
	}
}

// A second leg seen through a window of the first, or past the open back of a gutter, is
// none of the band.
func TestWhatIsSeenThroughAWindowIsLeftOut(t *testing.T) {
	tube := shape.Tube{Sides: 96, Radius: 50, Wall: 3, Height: 120}
	leg := shape.Offset(tube.Mesh(), r3.Vec{X: 112})
	gutter := shape.Gutter{Sides: 90, Bottom: 50, Top: 50, Wall: 3, Height: 120, Arc: 240}.Mesh()
	for name, one := range map[string]*mesh.Mesh{
		"window":        window(t, tube.Mesh(), 20),
		"wide window":   window(t, tube.Mesh(), 60),
		"gutter":        gutter,
		"gutter aslant": gutter.Map(r3.NewRotation(1, r3.Vec{Z: 1}).Rotate),
		"gutter away":   gutter.Map(r3.NewRotation(2, r3.Vec{Z: 1}).Rotate),
	} {
		alone, err := Ring(one, r3.Vec{Z: 60}, r3.Vec{Z: 1}, Height)
		require.NoError(t, err)
		both, err := Ring(shape.Join(one, leg), r3.Vec{Z: 60}, r3.Vec{Z: 1}, Height)
		require.NoError(t, err)
		require.InDelta(t, alone.Mesh.Volume(), both.Mesh.Volume(), 1, name)
		require.Zero(t, both.Apart, name)
	}
}

// window takes a stretch of the wall towards x out of a tube, so wide.
func window(t *testing.T, m *mesh.Mesh, wide float64) *mesh.Mesh {
	t.Helper()
	_, rest, flaws := section.Carve(m, []section.Plane{
		{Point: r3.Vec{X: 30}, Normal: r3.Vec{X: -1}},
		{Point: r3.Vec{Y: wide / 2}, Normal: r3.Vec{Y: 1}},
		{Point: r3.Vec{Y: -wide / 2}, Normal: r3.Vec{Y: -1}},
	})
	require.False(t, flaws.Any())
	return rest
}
