// Package cavity finds the air inside a part, where the body goes: its
// openings, the ways through it, and the sections square to them. Lengths are
// mm in the frame of the mesh.
package cavity

import (
	"slices"

	"gambeson/analysis/cavity/room"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Cavity is one connected room of air inside a part.
type Cavity struct {
	Volume   float64 // mm³, as far as voxels tell; 0 where it was not asked
	Openings []Opening
	Lines    []Line
	Warnings []string // what is in doubt
}

// Opening is a place where a cavity meets the open air.
type Opening struct {
	Name     string  // A, B, …: entries first, the largest first
	Center   r3.Vec  // middle of the rim
	Facing   r3.Vec  // unit vector out of the cavity
	Girth    float64 // at the rim, of wall alone where there is a Gap; 0 where no line ends there
	Capacity float64 // at the rim, 0 where there is none or no line ends there
	Width    float64 // diameter of the greatest ball that passes, within two pitches of the grid
	Entry    bool    // large enough for a body part to enter
	Gap      float64 // at the rim, from wall to wall where it is open; else 0

	within bool // the girth may be that of a ring further in
}

// Line is a way through a cavity.
type Line struct {
	From, To string // names of openings; To is End where the way ends in the deep
	Length   float64
	Stations []Station
}

// Back returns the line walked the other way. Its stations keep their places, counted from
// where it began.
func (l Line) Back() Line {
	l.From, l.To = l.To, l.From
	l.Stations = slices.Clone(l.Stations)
	slices.Reverse(l.Stations)
	return l
}

// Inward returns the line walked from its opening on, where it ends in the deep.
func (l Line) Inward() Line {
	if l.From == End && l.To != End {
		return l.Back()
	}
	return l
}

// End is the deep end of a cavity with one opening.
const End = "end"

// Station is a place on a line with the section square to it.
type Station struct {
	Along      float64 // from the start of the line
	Center     r3.Vec
	Normal     r3.Vec  // unit vector along the line
	InnerGirth float64 // length of wall round the void
	Gap        float64 // rim to rim where the part is open, the sum of Gaps; else 0
	Gaps       []float64
	Capacity   float64 // 0 where there is none
	Ellipse    *Ellipse
	Cover      float64         // degrees of the way round that wall is seen, from the ellipse's middle
	Section    section.Section // its plane goes through Center, square to Normal
	Void       []r2.Vec        // loop of the air, anticlockwise, in the section's coordinates
	Walls      []room.Wall     // what bounds a room there, in the section's coordinates
	Barred     bool            // the line goes through something there; the room is that beside it

	closed  float64 // Closed, 0 where it is to be told by the lengths alone
	doubt   float64 // mm, Doubt
	gaps    []bool  // parallel to Void: the side from there on is a gap
	sealed  bool    // the wall laps over itself without closing
	bridged float64 // mm of small gaps that count as wall
	solid   bool    // the center lies in material, or within a single skin
}

// Ellipse lies in the plane of a station. Major and Minor are full axes.
type Ellipse struct {
	Center       r2.Vec
	Major, Minor float64
	Turn         float64 // of the major axis against the section's u, radians
}
