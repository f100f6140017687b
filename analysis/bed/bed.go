// Package bed answers whether a part fits the printer's build volume: as it
// lies, turned about the vertical by any angle, laid on any of its faces, and
// tilted anyhow; how small parts share a bed; and where to part one that does
// not fit.
//
// The first three answers are exact for the convex hull of the part; the
// fourth is a search. Lengths are mm, angles radians, scales factors of the
// size that was asked about. A second printer is a second question.
package bed

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
)

// Volume is the printable volume with the margin already taken off: a
// rectangle Width × Depth, or a disc of Diameter where that is not 0, up to
// Height.
//
// Places on the bed count from the low corner of the rectangle, or of the
// square round the disc. Strips are the places where the printer cannot print:
// clips, a purge line, a corner that the nozzle does not reach. A part is kept
// to a rectangle (a disc) clear of all strips; that its outline might go round
// one is not made use of.
type Volume struct {
	Width, Depth float64
	Diameter     float64
	Height       float64
	Strips       []r2.Box
}

// Room is how a part fits one placement.
type Room struct {
	Scale float64    // largest factor at which it fits; +Inf for a part without size
	Turn  float64    // turn about the vertical, counter-clockwise from above, 0 ≤ Turn < π
	Size  [3]float64 // the part's extent in that placement, at factor 1
}

// Fit holds the rooms of the two placements that leave the part upright.
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
	b := newBody(m)
	return Fit{AsIs: b.asIs(v).Room, Turned: b.turned(v).Room}
}

// Over returns by how much a part of this extent, scaled by factor, is over
// the volume along x, y and z; 0 where it is not. On a round bed both x and y
// hold what the footprint's circle is over. Of several places clear of strips
// the one counts where it is least over.
func (r Room) Over(v Volume, factor float64) [3]float64 {
	var best [3]float64
	if r.Fits(factor) {
		return best
	}
	least := math.Inf(1)
	for _, f := range v.fields() {
		over := r.overField(f, v.Height, factor)
		if sum := over[0] + over[1]; sum < least {
			best, least = over, sum
		}
	}
	return best
}

func (r Room) overField(f field, height, factor float64) [3]float64 {
	over := [3]float64{2: max(0, factor*r.Size[2]-height)}
	if f.diameter > 0 {
		if tall := ratio(height, r.Size[2]); r.Scale < tall {
			over[0] = f.diameter*factor/r.Scale - f.diameter
			over[1] = over[0]
		}
		return over
	}
	over[0] = max(0, factor*r.Size[0]-f.size.X)
	over[1] = max(0, factor*r.Size[1]-f.size.Y)
	return over
}

func ratio(room, need float64) float64 {
	if need <= 0 {
		return math.Inf(1)
	}
	return max(0, room) / need
}
