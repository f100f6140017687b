package void

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// stars finds the void of a point in the usual case: in one closed loop of wall
// all of which it sees, with all other walls outside. The corners of such a loop
// follow each other round the point, so that no two of its sides can meet, and
// one walk along the others tells that they stay clear of it: nothing has to be
// arranged.
//
// What is open, folded or comes within a unit of something else is left to the
// arrangement, which finds the same corners in the same order. (But that where a
// loop outside is as thin as a unit the arrangement may join its ends to the
// wall, which puts a corner on a side.) stars keeps its buffers.
type stars struct {
	spots []spot
	loops []span // closed, of spots that differ from their neighbours
}

// span is a loop: spots[from:to].
type span struct{ from, to int }

// face returns the face of the origin among walls, seen from the point at;
// false where it takes an arrangement to find it.
func (s *stars) face(walls []Wall, at r2.Vec) (face, bool) {
	if !s.read(walls, at) {
		return face{}, false
	}
	best, least := -1, int64(0)
	for i := range s.loops {
		if area, ok := seenAll(s.of(i)); ok && (best < 0 || area < least) {
			best, least = i, area
		}
	}
	if best < 0 {
		return face{}, false
	}
	own := s.of(best)
	for i := range s.loops {
		if i != best && !outside(own, s.of(i)) {
			return face{}, false
		}
	}
	return faceOf(own), true
}

func (s *stars) of(i int) []spot { return s.spots[s.loops[i].from:s.loops[i].to] }

// read takes the walls apart into loops; false where one is open or folds back
// on itself, which leaves loose ends.
func (s *stars) read(walls []Wall, at r2.Vec) bool {
	s.spots, s.loops = s.spots[:0], s.loops[:0]
	for i := 0; i < len(walls); {
		from, start := len(s.spots), walls[i][0]
		for next := start; ; {
			if i == len(walls) || walls[i][0] != next {
				return false
			}
			p, n := spotOf(r2.Sub(next, at)), len(s.spots)
			switch {
			case n > from && p == s.spots[n-1]: // no step
			case n > from+1 && p == s.spots[n-2]:
				return false
			default:
				s.spots = append(s.spots, p)
			}
			next = walls[i][1]
			i++
			if next == start {
				break
			}
		}
		to := len(s.spots)
		if to > from+1 && s.spots[to-1] == s.spots[from] {
			to--
		}
		s.spots = s.spots[:to]
		if to == from+1 { // all in one spot: no wall
			s.spots = s.spots[:from]
			continue
		}
		if s.spots[to-1] == s.spots[from+1] || s.spots[to-2] == s.spots[from] {
			return false
		}
		s.loops = append(s.loops, span{from, to})
	}
	return true
}

// seenAll reports whether the origin sees all of a loop, each corner further on
// round it than the one before, and returns twice the loop's area. A loop that
// goes clockwise is turned round.
//
// A step of a unit or more keeps the corner clear of all sides but its own; one
// that is shorter may stand alone where that was seen to be so.
func seenAll(loop []spot) (area int64, ok bool) {
	if cross(spot{}, loop[0], loop[1]) < 0 {
		slices.Reverse(loop)
	}
	winding := 0
	a := loop[len(loop)-1]
	for i, b := range loop {
		step := cross(spot{}, a, b)
		if step <= 0 || step < max(far(spot{}, a), far(spot{}, b)) && !shortStep(loop, i) {
			return 0, false
		}
		area += step
		winding += turns(a, b)
		a = b
	}
	return area, winding == 1
}

// shortStep reports whether the step to corner i, shorter than a unit, leaves
// the corners round it clear of each other's sides.
func shortStep(loop []spot, i int) bool {
	n := len(loop)
	if n < 5 { // w and c would be neighbours
		return false
	}
	w, a, b, c := loop[(i+n-2)%n], loop[(i+n-1)%n], loop[i], loop[(i+1)%n]
	further := func(p, q spot) bool { return cross(spot{}, p, q) >= max(far(spot{}, p), far(spot{}, q)) }
	return further(w, a) && further(w, b) && further(a, c) && further(b, c) &&
		!touches(b, c, a) && !touches(w, a, b)
}

// far returns how far b is from a along both axes in all, in units: no less than
// their distance. So a cross product with b − a that is no smaller belongs to a
// point at least a unit off their line.
func far(a, b spot) int64 {
	x, y := int64(b.x-a.x), int64(b.y-a.y)
	return max(x, -x) + max(y, -y)
}

// touches reports whether the side from a to b touches the unit square of c: in
// an arrangement it would be bent through c.
func touches(a, b, c spot) bool {
	if c.x < min(a.x, b.x) || c.x > max(a.x, b.x) || c.y < min(a.y, b.y) || c.y > max(a.y, b.y) {
		return false
	}
	d := 2 * cross(a, b, c)
	return max(d, -d) <= far(a, b)
}

// wide is how many units another loop stays off the sides of one: where it
// crosses itself the rounded place may lie nearly a unit off, and what lies nearly
// a unit off a side may touch it.
const wide = 2

// outside reports whether a loop stays outside one that is all seen from the
// origin and far enough off its sides. It goes along the loop and keeps abreast of
// it: of the side of own in whose angle it is.
func outside(own, loop []spot) bool {
	n := len(own)
	end := func(side int) spot {
		if side++; side < n {
			return own[side]
		}
		return own[0]
	}
	// in reports whether p lies in the angle of a side.
	in := func(side int, p spot) bool {
		return cross(spot{}, own[side], p) >= 0 && cross(spot{}, p, end(side)) > 0
	}
	last := loop[len(loop)-1]
	side := 0
	for !in(side, last) {
		if side++; side == n {
			return false
		}
	}
	for i, p := range loop {
		length := far(last, p)
		switch way := cross(spot{}, last, p); {
		case way > 0:
			for !in(side, p) {
				if side++; side == n {
					side = 0
				}
				if cross(last, p, own[side]) < wide*length {
					return false
				}
			}
		case way < 0:
			for !in(side, p) {
				if cross(p, last, own[side]) < wide*length {
					return false
				}
				if side--; side < 0 {
					side = n - 1
				}
			}
		case !in(side, p):
			return false
		}
		if a, b := own[side], end(side); cross(b, a, p) < wide*far(a, b) {
			return false
		}
		if !clearBeside(own, side, last, p, loop[(i+1)%len(loop)]) {
			return false
		}
		last = p
	}
	return true
}

// clearBeside reports whether a corner p of a loop, in the angle of a side of own, is
// far enough off the sides before and behind that, and their corners off the sides
// of the loop: close beside the ray of a corner they may be close as well.
func clearBeside(own []spot, side int, last, p, next spot) bool {
	n := len(own)
	for way, first := range [2]int{1: side + 1, 0: side} {
		step := 2*way - 1 // back, then on
		for k := first; ; k += step {
			at := own[(k+n)%n]
			if d := cross(spot{}, at, p); max(d, -d) >= wide*far(spot{}, at) {
				break
			}
			if k == first+3*step || // a fourth so near: whatever it is
				closeTo(at, own[(k+step+n)%n], p) || closeTo(last, p, at) || closeTo(p, next, at) {
				return false
			}
		}
	}
	return true
}

// closeTo reports whether c may be less than wide off the side from a to b.
func closeTo(a, b, c spot) bool {
	if c.x <= min(a.x, b.x)-wide || c.x >= max(a.x, b.x)+wide || c.y <= min(a.y, b.y)-wide || c.y >= max(a.y, b.y)+wide {
		return false
	}
	d := cross(a, b, c)
	return max(d, -d) < wide*far(a, b)
}

// faceOf returns the face within a loop, from the corner on with which the walk
// round an arrangement begins: the first piece is that of the least corners.
func faceOf(loop []spot) face {
	n := len(loop)
	least := 0
	for i, p := range loop {
		if p.key() < loop[least].key() {
			least = i
		}
	}
	before, after := (least+n-1)%n, (least+1)%n
	first := least
	if loop[before].key() < loop[after].key() {
		first = before
	}
	f := face{corners: make([]spot, 0, n), kinds: make([]kind, n)} // all wall
	f.corners = append(append(f.corners, loop[first:]...), loop[:first]...)
	return f
}
