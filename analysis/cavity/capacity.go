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

// RoomWithout is Room with every wall replaced by what keep leaves of it.
func (s *Station) RoomWithout(keep func(room.Wall) []room.Wall, aspects [2]float64) (room.Room, bool) {
	var walls []room.Wall
	for _, w := range s.Walls {
		walls = append(walls, keep(w)...)
	}
	return room.Largest(walls, s.starts(), aspects)
}

// starts are the points from which an ellipse is sought: the middle of the one
// that was found, and the centreline's own place.
func (s *Station) starts() []r2.Vec {
	if s.Ellipse != nil {
		return []r2.Vec{s.Ellipse.Center}
	}
	return []r2.Vec{{}}
}
