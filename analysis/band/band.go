// Package band cuts test bands: low rings of the part's own geometry, printed
// first to try on. Lengths are mm.
package band

import (
	"fmt"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Height is the height of a band where nothing else is asked: enough that the
// ring stands and does not twist, little enough to print in about an hour
// (common practice, no source).
const Height = 12.0

// Band is one ring, laid flat on the bed: its lower cut at z = 0, x and y
// from 0 up.
type Band struct {
	Mesh   *mesh.Mesh
	Height float64
	Flaws  section.Flaws // what the two cuts could not close
	// Arcs is how many pieces it is in: 1 where it fits the bed whole. They lie
	// side by side in Mesh, and in More where one bed does not hold all.
	Arcs     int
	More     []*mesh.Mesh
	TooLarge bool // neither the ring nor arcs of it fit the bed
	// Notches and Text are the marks it bears, 0 and "" where there was no room.
	Notches int
	Text    string
	// Flats says that the ends of arcs have numbered flats for clips.
	Flats bool

	// Apart is how far its two walls are from each other inside, mm, where there is
	// nothing between them, as at armholes; 0 where it goes all the way round.
	Apart float64

	center r2.Vec // of what goes through it, in Mesh
}

// Ring cuts a band of the given height out of m, square to normal, around the
// place at. Near an end of the part the band moves inward to keep its height;
// a part lower than the height is taken whole. Shells that lie clear of the
// ring round that place, such as a second leg, are left out.
func Ring(m *mesh.Mesh, at, normal r3.Vec, height float64) (Band, error) {
	up := r3.Unit(normal)
	low, high := reach(m, up)
	from := min(max(r3.Dot(up, at)-height/2, low), max(low, high-height))
	to := min(from+height, high)
	slab, flaws := section.Slab(m, up, from, to)
	flat := lay(slab, up)
	middle := flatten(at, up)
	ring, apart := around(flat, middle)
	if ring.Triangles() == 0 {
		return Band{}, fmt.Errorf("no material between %.1f and %.1f mm along the part", from-low, to-low)
	}
	corner := ring.Bounds().Min
	return Band{
		Mesh: settle(ring), Height: to - from, Flaws: flaws, Apart: apart,
		center: r2.Vec{X: middle.X - corner.X, Y: middle.Y - corner.Y},
	}, nil
}

// reach returns the part's extent along a unit direction.
func reach(m *mesh.Mesh, up r3.Vec) (low, high float64) {
	for v := range m.Vertices() {
		h := r3.Dot(m.At(uint32(v)), up)
		if v == 0 || h < low {
			low = h
		}
		if v == 0 || h > high {
			high = h
		}
	}
	return low, high
}

// lay turns m so that up becomes z.
func lay(m *mesh.Mesh, up r3.Vec) *mesh.Mesh {
	return m.Map(func(p r3.Vec) r3.Vec { return flatten(p, up) })
}

func flatten(p, up r3.Vec) r3.Vec {
	u, v := section.Plane{Normal: up}.Axes()
	return r3.Vec{X: r3.Dot(p, u), Y: r3.Dot(p, v), Z: r3.Dot(p, up)}
}

// settle moves m so that its box begins at the origin.
func settle(m *mesh.Mesh) *mesh.Mesh {
	low := m.Bounds().Min
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Sub(p, low) })
}
