package cavity

import (
	"context"
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// rod lies from one place to another.
func rod(from, to r3.Vec, radius float64) *mesh.Mesh {
	along := r3.Sub(to, from)
	return laid(shape.Revolve(16, [][2]float64{{0, 0}, {radius, 0}, {radius, r3.Norm(along)}, {0, r3.Norm(along)}}), from, along)
}

// spike is a cone with its foot at one place and its tip at another.
func spike(foot, tip r3.Vec, radius float64) *mesh.Mesh {
	along := r3.Sub(tip, foot)
	return laid(shape.Revolve(16, [][2]float64{{0, 0}, {radius, 0}, {0, r3.Norm(along)}}), foot, along)
}

// laid turns what stands on the origin so that z runs along a direction.
func laid(m *mesh.Mesh, at, along r3.Vec) *mesh.Mesh {
	up, to := r3.Vec{Z: 1}, r3.Unit(along)
	turn := r3.NewRotation(math.Acos(r3.Dot(up, to)), r3.Unit(r3.Cross(up, to)))
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Add(at, turn.Rotate(p)) })
}

// What stands in the way is met wherever it lies between the stations: the throat is that
// of the ring of a lip, of the half beside a strut, of what a rod beside the middle leaves
// and of the circle that the points of spikes leave.
func TestWhatStandsBetweenStationsIsMet(t *testing.T) {
	tube := shape.Taper{Bottom: shape.Circle(61), Top: shape.Circle(65), Wall: 3, Height: 110}
	lip := func(high float64) func(z float64) *mesh.Mesh {
		return func(z float64) *mesh.Mesh {
			return shape.Offset(shape.Tube{Radius: 48, Wall: 20, Height: high}.Mesh(), r3.Vec{Z: z - high/2})
		}
	}
	strut := func(radius, off float64) func(z float64) *mesh.Mesh {
		return func(z float64) *mesh.Mesh {
			return rod(r3.Vec{X: -67, Y: off, Z: z}, r3.Vec{X: 67, Y: off, Z: z}, radius)
		}
	}
	spikes := func(z float64) *mesh.Mesh {
		var all []*mesh.Mesh
		for k := range 16 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 16)
			all = append(all, spike(r3.Vec{X: 68 * cos, Y: 68 * sin, Z: z}, r3.Vec{X: 49 * cos, Y: 49 * sin, Z: z}, 2))
		}
		return shape.Join(all...)
	}
	for _, c := range []struct {
		name string
		at   func(z float64) *mesh.Mesh
		want func(radius float64) float64 // mm, radius: of the tube there
	}{
		{"lip of 4.5 mm", lip(4.5), func(float64) float64 { return 2 * math.Pi * 48 }},
		{"lip of 1 mm", lip(1), func(float64) float64 { return 2 * math.Pi * 48 }},
		{"strut of 2 mm", strut(1, 0), func(radius float64) float64 { return inHalf(radius, 1) }},
		{"strut of 4 mm", strut(2, 0), func(radius float64) float64 { return inHalf(radius, 2) }},
		{"rod of 4 mm beside the middle", strut(2, 30), func(radius float64) float64 { return inHalf(radius, -28) }},
		{"spikes", spikes, func(float64) float64 { return 2 * math.Pi * 49 }},
	} {
		for step := range 5 { // stations are 5 mm apart
			if underRace && step > 0 {
				continue
			}
			z := 50 + float64(step)
			got := throatOf(t, shape.Join(tube.Mesh(), c.at(z)), uint64(step))
			if want := c.want(61 + z/110*4); !near(got, want, 0.015) {
				t.Errorf("%s at %g mm: throat %.1f mm, want %.1f", c.name, z, got, want)
			}
		}
	}
}

// A rod that slants through the tube is left beside it: where it crosses the middle there
// is the room beyond its side, not that within the rod.
func TestRoomBesideASlantingRod(t *testing.T) {
	tube := shape.Taper{Bottom: shape.Circle(61), Top: shape.Circle(65), Wall: 3, Height: 160}
	for seed, off := range []float64{0, 3, 12} {
		m := shape.Join(tube.Mesh(), rod(r3.Vec{X: -57, Y: off, Z: 20}, r3.Vec{X: 57, Y: off, Z: 140}, 3))
		want := inHalf(63, 3-off)
		if got := throatOf(t, m, uint64(seed)); !near(got, want, 0.015) {
			t.Errorf("%g mm beside the middle: throat %.1f mm, want %.1f", off, got, want)
		}
	}
}

// throatOf is the least capacity along the ways through a part turned by a seed.
func throatOf(t *testing.T, m *mesh.Mesh, seed uint64) float64 {
	t.Helper()
	m, _, _ = turned(m, seed)
	all, err := Find(context.Background(), m, Options{Workers: 2})
	require.NoError(t, err)
	require.Len(t, all, 1)
	least := math.Inf(1)
	for _, l := range all[0].Lines {
		for _, s := range l.Stations {
			least = min(least, s.Capacity)
		}
	}
	return least
}

// inHalf is the girth of the greatest ellipse with an aspect of 0.5 to 1 in what of a circle lies
// beyond a chord at a distance from its middle, by trying: its axes lie along the chord and
// square to it.
func inHalf(radius, from float64) float64 {
	best := 0.0
	for aspect := 0.5; aspect <= 2; aspect += 0.001 {
		// Half axes a along the chord and aspect·a square to it, touching the chord: the
		// greatest a at which the ellipse stays within the circle.
		low, high := 0.0, radius
		for range 40 {
			a := (low + high) / 2
			fits := true
			for k := range 181 {
				sin, cos := math.Sincos(float64(k) * math.Pi / 180)
				fits = fits && math.Hypot(a*sin, from+aspect*a+aspect*a*cos) <= radius
			}
			if fits {
				low = a
			} else {
				high = a
			}
		}
		best = max(best, shape.Ellipse{A: low, B: aspect * low}.Girth())
	}
	return best
}
