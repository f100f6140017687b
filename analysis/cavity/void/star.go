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
// arrangement, which finds the same corners in the same order. stars keeps its
// buffers.
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

// seenAll reports whether the origin sees all of a loop, each corner at least a
// unit further on than the one before, and returns twice the loop's area. A loop
// that goes clockwise is turned round.
func seenAll(loop []spot) (area int64, ok bool) {
	if cross(spot{}, loop[0], loop[1]) < 0 {
		slices.Reverse(loop)
	}
	winding := 0
	a := loop[len(loop)-1]
	for _, b := range loop {
		step := cross(spot{}, a, b)
		if step < max(span1(spot{}, a), span1(spot{}, b)) {
			return 0, false
		}
		area += step
		winding += turns(a, b)
		a = b
	}
	return area, winding == 1
}

// span1 returns how far b is from a along both axes in all: no less than their
// distance. A cross product of b − a no smaller than that belongs to a point at
// least a unit off their line.
func span1(a, b spot) int64 {
	x, y := int64(b.x-a.x), int64(b.y-a.y)
	return max(x, -x) + max(y, -y)
}

// off reports whether c lies at least a unit off the line through a and b.
func off(a, b, c spot) bool {
	d := cross(a, b, c)
	return max(d, -d) >= span1(a, b)
}

// outside reports whether a loop stays at least a unit outside one that is all
// seen from the origin. It goes along the loop and keeps abreast of it: of the
// side of own in whose angle it is.
func outside(own, loop []spot) bool {
	n := len(own)
	corner := func(k int) spot {
		switch {
		case k < 0:
			k += n
		case k >= n:
			k -= n
		}
		return own[k]
	}
	// in reports whether p lies in the angle of the side from corner k on.
	in := func(k int, p spot) bool {
		return cross(spot{}, corner(k), p) >= 0 && cross(spot{}, p, corner(k+1)) > 0
	}
	last := loop[len(loop)-1]
	side := 0
	for !in(side, last) {
		if side++; side == n {
			return false
		}
	}
	for i, p := range loop {
		length := span1(last, p)
		switch way := cross(spot{}, last, p); {
		case way > 0:
			for !in(side, p) {
				if side++; side == n {
					side = 0
				}
				if cross(last, p, own[side]) < length {
					return false
				}
			}
		case way < 0:
			for !in(side, p) {
				if cross(p, last, own[side]) < length {
					return false
				}
				if side--; side < 0 {
					side = n - 1
				}
			}
		case !in(side, p):
			return false
		}
		a, b := own[side], corner(side+1)
		if cross(b, a, p) < span1(a, b) {
			return false
		}
		// Beside a corner the sides beyond it may be as near, and the corner to
		// the loop.
		next := loop[(i+1)%len(loop)]
		clear := func(c spot) bool { return off(last, p, c) && off(p, next, c) }
		if !off(spot{}, a, p) && !(off(corner(side-1), a, p) && clear(a)) ||
			!off(spot{}, b, p) && !(off(b, corner(side+2), p) && clear(b)) {
			return false
		}
		last = p
	}
	return true
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
