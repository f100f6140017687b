// Package bed answers whether a part fits the printer's build volume: as it
// lies, and turned about the vertical by any angle.
//
// Both answers are exact for the convex hull of the part's footprint. Lengths
// are mm, angles radians, scales factors of the size that was asked about.
package bed

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
)

// Volume is the printable volume with the margin already taken off: a
// rectangle Width × Depth, or a disc of Diameter where that is not 0, up to
// Height.
type Volume struct {
	Width, Depth float64
	Diameter     float64
	Height       float64
}

// Room is how a part fits one placement.
type Room struct {
	Scale float64    // largest factor at which it fits; +Inf for a part without size
	Turn  float64    // turn about the vertical, counter-clockwise from above, 0 ≤ Turn < π
	Size  [3]float64 // the part's extent in that placement, at factor 1
}

// Fit holds the rooms of the two placements.
type Fit struct {
	AsIs, Turned Room
}

// slack is how far above a limit a size may lie and still count as fitting:
// a float32 coordinate of a part of this size is no finer (2⁻²³ · 500 mm).
const slack = 6e-5

// Fits reports whether r lets a part pass that is scaled by factor.
func (r Room) Fits(factor float64) bool { return factor <= r.Scale*(1+slack/100) }

// Place finds the rooms of m in v.
func Place(m *mesh.Mesh, v Volume) Fit {
	box := m.Bounds()
	size := [3]float64{box.Max.X - box.Min.X, box.Max.Y - box.Min.Y, box.Max.Z - box.Min.Z}
	tall := ratio(v.Height, size[2])
	hull := footprint(m)
	if v.Diameter > 0 {
		r := Room{Scale: min(tall, ratio(v.Diameter, 2*circle(hull))), Size: size}
		return Fit{AsIs: r, Turned: r}
	}
	asIs := Room{Scale: min(tall, ratio(v.Width, size[0]), ratio(v.Depth, size[1])), Size: size}
	scale, turn, wide, deep := turned(hull, v.Width, v.Depth)
	best := Room{Scale: min(tall, scale), Turn: turn, Size: [3]float64{wide, deep, size[2]}}
	if asIs.Scale >= best.Scale { // never turn a part for nothing
		best = asIs
	}
	return Fit{AsIs: asIs, Turned: best}
}

// Over returns by how much a part of this extent, scaled by factor, is over
// the volume along x, y and z; 0 where it is not. On a round bed both x and y
// hold what the footprint's circle is over.
func (r Room) Over(v Volume, factor float64) [3]float64 {
	var over [3]float64
	if r.Fits(factor) {
		return over
	}
	over[2] = max(0, factor*r.Size[2]-v.Height)
	if v.Diameter > 0 {
		if tall := ratio(v.Height, r.Size[2]); r.Scale < tall {
			over[0] = v.Diameter*factor/r.Scale - v.Diameter
			over[1] = over[0]
		}
		return over
	}
	over[0] = max(0, factor*r.Size[0]-v.Width)
	over[1] = max(0, factor*r.Size[1]-v.Depth)
	return over
}

func ratio(room, need float64) float64 {
	if need <= 0 {
		return math.Inf(1)
	}
	return max(0, room) / need
}

// footprint returns the convex hull of m seen from above, counter-clockwise.
func footprint(m *mesh.Mesh) []r2.Vec {
	points := make([]r2.Vec, m.Vertices())
	for v := range points {
		points[v] = r2.Vec{X: float64(m.X[v]), Y: float64(m.Y[v])}
	}
	return section.Hull(points)
}
