package cavity

import (
	"gambeson/analysis/cavity/room"

	"gonum.org/v1/gonum/spatial/r2"
)

// Room returns the ellipse of greatest girth with an aspect in the range that
// the station holds; false where it holds none. The Capacity is that of any
// aspect.
func (s *Station) Room(aspects [2]float64) (room.Room, bool) {
	return room.Largest(s.Walls, s.starts(), aspects)
}

// RoomUpto is Room where all girths from enough on are as good, and may be any of
// them then.
func (s *Station) RoomUpto(aspects [2]float64, enough float64) (room.Room, bool) {
	return room.Upto(s.Walls, s.starts(), aspects, enough)
}

// Holds reports whether Room has at least a girth.
func (s *Station) Holds(aspects [2]float64, girth float64) bool {
	return room.Holds(s.Walls, s.starts(), aspects, girth)
}

// HoldsWithout is Holds with every wall replaced by what keep leaves of it.
func (s *Station) HoldsWithout(keep func(room.Wall) []room.Wall, aspects [2]float64, girth float64) bool {
	walls := make([]room.Wall, 0, len(s.Walls)+8)
	for _, w := range s.Walls {
		walls = append(walls, keep(w)...)
	}
	return room.Holds(walls, s.starts(), aspects, girth)
}

// starts are the points from which an ellipse is sought: the middle of the one
// that was found, and the centreline's own place.
func (s *Station) starts() []r2.Vec {
	if s.Ellipse != nil {
		return []r2.Vec{s.Ellipse.Center}
	}
	return []r2.Vec{{}}
}
