package band

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// view is what is seen of a slab from a place in it, from above, in outlineSteps
// directions, anticlockwise.
type view struct {
	at      r3.Vec
	nearest []seen   // by direction
	covers  [][]bool // by shell and direction: it stands there, be it behind another
}

// seen is what is seen in one direction.
type seen struct {
	shell int    // −1 where nothing is
	at    r2.Vec // from the place
}

// lookRound looks round from a place among n shells. The directions lie between the whole
// steps, so that none meets the corners of a round part.
func lookRound(m *mesh.Mesh, shell []int, n int, at r3.Vec) view {
	v := view{at: at, nearest: make([]seen, outlineSteps), covers: make([][]bool, n)}
	for i := range v.nearest {
		v.nearest[i] = seen{-1, r2.Vec{X: math.Inf(1)}}
	}
	for i := range v.covers {
		v.covers[i] = make([]bool, outlineSteps)
	}
	for t, of := range shell {
		a, b, c := m.Corners(t)
		for _, side := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
			v.add(of, r2.Vec{X: side[0].X - at.X, Y: side[0].Y - at.Y}, r2.Vec{X: side[1].X - at.X, Y: side[1].Y - at.Y})
		}
	}
	return v
}

// add takes in the side from p to q of a shell.
func (v *view) add(shell int, p, q r2.Vec) {
	turn := math.Atan2(r2.Cross(p, q), r2.Dot(p, q))
	if turn < 0 {
		p, q, turn = q, p, -turn
	}
	const step = 2 * math.Pi / outlineSteps
	along := r2.Sub(q, p)
	from := math.Atan2(p.Y, p.X)/step - 0.5
	for i := math.Ceil(from); i <= from+turn/step; i++ {
		dir := heading((i + 0.5) * step)
		far := r2.Cross(p, along) / r2.Cross(dir, along)
		if !(far >= 0) {
			continue
		}
		k := (int(i) + outlineSteps) % outlineSteps
		v.covers[shell][k] = true
		if far < r2.Norm(v.nearest[k].at) {
			v.nearest[k] = seen{shell, r2.Scale(far, dir)}
		}
	}
}

const (
	// adjoining is how far the ends of two walls of one ring are from each other at
	// most, mm (a guess: hooks and straps leave less, and a second leg in the same
	// file is further off or stands further out).
	adjoining = 25.0
	// stepOut is how much further out than the end of a wall the next one begins, as a
	// share of how far out that is, besides what the space between them allows for
	// (a guess; what is seen through a window stands further out).
	stepOut = 0.1
	// leastSeen is the part of the way round that a wall takes, in directions: 30°
	// (a guess; rivets and buckles take less).
	leastSeen = outlineSteps / 12
	// lapping is the part of a wall that may lie behind or before the next one of the
	// ring (a guess: more is padding, or a plate on top).
	lapping = 0.25
	// touching is how far walls that touch are from each other at most, mm: a
	// quarter of a usual nozzle (a guess).
	touching = 0.1
)

// join keeps the walls that go on round the place where those that are kept end, such as
// the other half of a part in halves, and reports whether there are any.
func (v *view) join(keep []bool) (more bool) {
	wide := make([]int, len(keep))
	for _, s := range v.nearest {
		if s.shell >= 0 {
			wide[s.shell]++
		}
	}
	for grown := true; grown; more = more || grown {
		grown = false
		for i, s := range v.nearest {
			next := v.next(i)
			if s.shell < 0 || keep[s.shell] == keep[next.shell] || !adjoin(s.at, next.at) {
				continue
			}
			added := s.shell
			if keep[added] {
				added = next.shell
			}
			if wide[added] >= leastSeen {
				keep[added], grown = true, true
			}
		}
	}
	return more
}

// next is what is seen behind direction i, which itself shows a shell.
func (v *view) next(i int) seen {
	for k := 1; k < outlineSteps; k++ {
		if s := v.nearest[(i+k)%outlineSteps]; s.shell >= 0 {
			return s
		}
	}
	return v.nearest[i]
}

// adjoin reports whether a wall that ends at p may go on at q, both from the place.
func adjoin(p, q r2.Vec) bool {
	far, out := r2.Norm(r2.Sub(q, p)), math.Abs(r2.Norm(q)-r2.Norm(p))
	return far <= adjoining && out <= stepOut*min(r2.Norm(p), r2.Norm(q))+math.Sqrt(max(0, far*far-out*out))
}

// middles lead towards the middle of what is seen of each shell; zero where nothing is.
func (v *view) middles() []r2.Vec {
	out := make([]r2.Vec, len(v.covers))
	for _, s := range v.nearest {
		if s.shell >= 0 {
			out[s.shell] = r2.Add(out[s.shell], r2.Unit(s.at))
		}
	}
	return out
}

// apart is how far the walls that are kept are from each other inside where two of them
// come nearest; 0 where one goes all the way round or they touch.
func (v *view) apart(m *mesh.Mesh, shell []int, keep []bool) float64 {
	var walls []int
	for i, c := range v.covers {
		switch wide := number(c); {
		case !keep[i] || wide < leastSeen:
		case wide == outlineSteps:
			return 0
		default:
			walls = append(walls, i)
		}
	}
	least := math.Inf(1)
	for k, one := range walls {
		for _, other := range walls[:k] {
			if v.laps(one, other) {
				continue
			}
			if a, b, ok := v.closest(one, other); ok {
				least = min(least, between(sidesNear(m, shell, v.at, a), sidesNear(m, shell, v.at, b)))
			}
		}
	}
	if math.IsInf(least, 1) || least < touching {
		return 0
	}
	return least
}

// number is how many are true.
func number(of []bool) (n int) {
	for _, is := range of {
		if is {
			n++
		}
	}
	return n
}

// laps reports whether of two shells one lies behind the other for more than walls lap.
func (v *view) laps(one, other int) bool {
	a, b, both := v.covers[one], v.covers[other], 0
	for k, is := range a {
		if is && b[k] {
			both++
		}
	}
	return float64(both) > lapping*float64(min(number(a), number(b)))
}

// closest are the places that are nearest to each other of what is seen of two shells;
// false where one is not seen.
func (v *view) closest(one, other int) (a, b seen, ok bool) {
	least := math.Inf(1)
	for _, p := range v.nearest {
		if p.shell != one {
			continue
		}
		for _, q := range v.nearest {
			if far := r2.Norm(r2.Sub(q.at, p.at)); q.shell == other && far < least {
				a, b, least, ok = p, q, far, true
			}
		}
	}
	return a, b, ok
}

// sidesNear are the sides of a shell next to where it is seen: the directions are too
// coarse to tell of a gap of less than a millimetre.
func sidesNear(m *mesh.Mesh, shell []int, at r3.Vec, s seen) (out [][2]r3.Vec) {
	const round = 3 // mm: more than directions are apart in all that is worn
	place := r3.Add(at, r3.Vec{X: s.at.X, Y: s.at.Y})
	for t, of := range shell {
		if of != s.shell {
			continue
		}
		a, b, c := m.Corners(t)
		for _, side := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
			if r2.Norm(toSide(place, side[0], side[1])) < round {
				out = append(out, side)
			}
		}
	}
	return out
}

// between is the least distance between the ends of the sides of one list and those of
// the other, seen from above.
func between(some, others [][2]r3.Vec) float64 {
	least := math.Inf(1)
	for _, s := range some {
		for _, o := range others {
			for k := range 2 {
				least = min(least, r2.Norm(toSide(s[k], o[0], o[1])), r2.Norm(toSide(o[k], s[0], s[1])))
			}
		}
	}
	return least
}
