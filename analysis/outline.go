package analysis

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Outline is a section to draw: a plane's meeting with the part, in the
// plane's own coordinates (mm).
type Outline struct {
	Way   int     // which centreline, counted over all cavities
	Along float64 // mm from that centreline's start
	Walls []Polyline
	Void  []r2.Vec // the loop of the air round the body, nil where it is open
	Room  *Ellipse // the greatest ellipse inside, nil where none was found
	Ring  []r3.Vec // the void again, in the frame of the part
}

// Polyline is a run of points; a closed one goes on from its last to its first.
type Polyline struct {
	Points []r2.Vec
	Closed bool
}

// Ellipse lies in the plane of an outline: full axes in mm, the turn of the
// major one in radians.
type Ellipse struct {
	Center       r2.Vec
	Major, Minor float64
	Turn         float64
}
