package cavity

import (
	"math"
	"slices"

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

// Closed returns the girth of the section once its gaps are closed as it goes round
// elsewhere: of the circle that has such a length of wall and such chords for gaps. That
// of an ellipse 0.7 as deep as wide, of which a quarter of a turn is cut out, is met to
// 3 %. A body has no more room there, though an ellipse may hang out of a gap. It is
// infinite where the section is closed, and where no circle has such gaps.
func (s *Station) Closed() float64 {
	if len(s.Gaps) < 2 {
		return closedOnce(s.InnerGirth, s.Gap)
	}
	// The circle whose gaps are less than half of it each: its wall grows with it.
	wall := func(radius float64) float64 {
		sum := 2 * math.Pi * radius
		for _, gap := range s.Gaps {
			sum -= 2 * radius * math.Asin(min(gap/(2*radius), 1))
		}
		return sum
	}
	low, high := slices.Max(s.Gaps)/2, (s.InnerGirth+math.Pi/2*s.Gap)/(2*math.Pi)
	if wall(low) > s.InnerGirth {
		return closedOnce(s.InnerGirth, s.Gap) // more than theirs
	}
	for range halvings {
		if mid := (low + high) / 2; wall(mid) < s.InnerGirth {
			low = mid
		} else {
			high = mid
		}
	}
	return 2 * math.Pi * high
}

// halvings of an interval leave a millionth of a millionth of it.
const halvings = 40

// closedOnce is Closed for one gap: over an angle θ of wall it is 2·sin(θ/2)/θ of that.
func closedOnce(wall, gap float64) float64 {
	if gap == 0 {
		return math.Inf(1)
	}
	share := gap / wall
	if !(share < 1) {
		return math.Inf(1)
	}
	low, high := 0.0, math.Pi // of θ/2: sin(x)/x falls
	for range halvings {
		if mid := (low + high) / 2; math.Sin(mid) > share*mid {
			low = mid
		} else {
			high = mid
		}
	}
	return wall * math.Pi / high
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
