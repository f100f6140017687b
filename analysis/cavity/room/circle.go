package room

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// The greatest circle near a place, by climbing.
//
// At a centre c, let q be the nearest point of a wall and n the unit vector
// from c to q. Every circle with centre x and radius r that keeps to the near
// side of the line through q square to n, n·x + r ≤ n·q, stays clear of that
// wall, for a straight wall lies on the far side of the line. The largest
// circle that keeps to all these lines is a linear program in x and r; it is
// never smaller than the circle round c, nor does the circle meet a wall on
// its way to it. Repeated, it climbs to a circle that is held by what it
// touches.
//
// The program is solved in its dual form: shares λ ≥ 0 with Σλ = 1 and
// Σλ·n = 0, three of them in the basis. Three far lines start it off; where
// one of them remains in the basis, nothing holds the circle.

const (
	climbs     = 40    // rounds of climbing at most
	pivots     = 200   // pivots of one program at most
	enters     = 1e-10 // share of the radius by which a line must be crossed to enter
	weightless = 1e-9  // share below which a line does not bear on the radius
)

// line keeps circles to the side where n·x + r ≤ d.
type line struct {
	n r2.Vec
	d float64
}

// climber keeps its buffer, and the walls that held the last circle: the next
// one, of nearly the same shape, is mostly held by the same. The zero climber
// is ready.
type climber struct {
	lines []line
	basis [3]int
}

// climb returns the greatest circle that can be climbed to from start, and
// whether walls hold it. It ends where the radius grows by less than the
// share growth in a round.
func (c *climber) climb(walls []side, start r2.Vec, growth float64) (centre r2.Vec, radius float64, held bool) {
	centre = start
	last := -1.0
	for range climbs {
		reach := c.face(walls, centre)
		if len(c.lines) == 3 || reach <= 0 {
			return centre, 0, false
		}
		basis, ok := solve(c.lines, c.basis)
		if !ok || !holds(c.lines, basis) {
			return centre, 0, false
		}
		c.basis = basis
		from := centre
		if centre, radius, ok = meet(c.lines, basis); !ok {
			return centre, 0, false
		}
		if free, turn := slides(basis); free {
			centre = stay(c.lines, c.lines[basis[turn]].n, centre, from, radius)
		}
		if radius <= last*(1+growth) || c.settled(walls, centre, radius*(1+growth)) {
			break
		}
		last = radius
	}
	return centre, nearestOf(walls, centre), true
}

// settled reports whether another round, from a new centre, would not come to more than
// a radius: the three walls that hold the circle allow no more, as they are faced from
// there, and the others can but allow less.
func (c *climber) settled(walls []side, centre r2.Vec, radius float64) bool {
	var held [3]line
	for k, i := range c.basis {
		if i -= len(farWays); i < 0 {
			return false
		}
		q := walls[i].nearest(centre)
		toward := r2.Sub(q, centre)
		d2 := r2.Norm2(toward)
		if d2 == 0 {
			return false
		}
		held[k] = lineTo(q, toward, d2)
	}
	all := [3]int{0, 1, 2}
	share, ok := weigh(held[:], all, r2.Vec{}, 1)
	if !ok || min(share[0], share[1], share[2]) < 0 {
		return false
	}
	_, most, ok := meet(held[:], all)
	return ok && most <= radius
}

// face sets up the lines that walls put before a circle round centre, after
// three far ones, and returns the distance of the nearest wall. Walls more
// than twenty times as far as the nearest are still faced: they may hold it.
func (c *climber) face(walls []side, centre r2.Vec) (reach float64) {
	c.lines = append(c.lines[:0], line{}, line{}, line{})
	least, most := math.Inf(1), 0.0 // squared
	for i := range walls {
		q := walls[i].nearest(centre)
		toward := r2.Vec{X: q.X - centre.X, Y: q.Y - centre.Y}
		d2 := r2.Norm2(toward)
		if d2 == 0 {
			return 0
		}
		if d2 < least {
			least = d2
		}
		if d2 > most {
			most = d2
		}
		c.lines = append(c.lines, lineTo(q, toward, d2))
	}
	far := 100*math.Sqrt(most) + 1
	for i, n := range farWays {
		c.lines[i] = line{n: n, d: r2.Dot(n, centre) + far}
	}
	return math.Sqrt(least)
}

// farWays is where the far lines lie.
var farWays = func() (ways [3]r2.Vec) {
	for i := range ways {
		ways[i].Y, ways[i].X = math.Sincos(float64(i)*2*math.Pi/3 + 0.1)
	}
	return ways
}()

// nearestOf returns the distance of the nearest wall.
func nearestOf(walls []side, centre r2.Vec) float64 {
	least := math.Inf(1) // squared
	for i := range walls {
		q := walls[i].nearest(centre)
		if d2 := r2.Norm2(r2.Vec{X: q.X - centre.X, Y: q.Y - centre.Y}); d2 < least {
			least = d2
		}
	}
	return math.Sqrt(least)
}

// side is a wall made ready to be faced again and again.
type side struct {
	from, along r2.Vec
	length2     float64
}

func sideOf(from, to r2.Vec) side {
	along := r2.Sub(to, from)
	return side{from: from, along: along, length2: r2.Norm2(along)}
}

// nearest returns the point of a wall nearest to p.
func (s *side) nearest(p r2.Vec) r2.Vec {
	along := (p.X-s.from.X)*s.along.X + (p.Y-s.from.Y)*s.along.Y
	if along <= 0 || s.length2 == 0 {
		return s.from
	}
	share := 1.0
	if along < s.length2 {
		share = along / s.length2
	}
	return r2.Vec{X: s.from.X + share*s.along.X, Y: s.from.Y + share*s.along.Y}
}

// lineTo returns the line that a wall puts before a circle, by its nearest point, the way
// there from the centre and the square of that.
func lineTo(q, toward r2.Vec, d2 float64) line {
	d := math.Sqrt(d2)
	n := r2.Vec{X: toward.X / d, Y: toward.Y / d}
	return line{n: n, d: r2.Dot(n, q)}
}

// solve returns the three lines that the circle of greatest radius touches
// among all that keep to all lines. It sets out from the three of first where
// their shares are sound, else from the far ones.
func solve(lines []line, first [3]int) (basis [3]int, ok bool) {
	basis = [3]int{0, 1, 2}
	if max(first[0], first[1], first[2]) < len(lines) {
		share, ok := weigh(lines, first, r2.Vec{}, 1)
		if ok && min(share[0], share[1], share[2]) >= 0 {
			basis = first
		}
	}
	for range pivots {
		centre, radius, ok := meet(lines, basis)
		if !ok {
			return basis, false
		}
		worst, at := enters*math.Abs(radius), -1
		for i := range lines {
			l := &lines[i]
			if over := l.n.X*centre.X + l.n.Y*centre.Y + (radius - l.d); over > worst {
				worst, at = over, i
			}
		}
		if at < 0 {
			break
		}
		if basis, ok = exchange(lines, basis, at); !ok {
			return basis, false
		}
	}
	return basis, true
}

// holds reports whether the radius depends on none of the far lines, which
// stand first.
func holds(lines []line, basis [3]int) bool {
	share, ok := weigh(lines, basis, r2.Vec{}, 1)
	for k, i := range basis {
		if i < 3 && share[k] > weightless {
			return false
		}
	}
	return ok
}

// slides reports whether the circle, held between two parallel walls, may
// slide along them: a far line fills its basis. wall is one of the two.
func slides(basis [3]int) (free bool, wall int) {
	for k, i := range basis {
		if i < 3 {
			free = true
		} else {
			wall = k
		}
	}
	return free, wall
}

// stay moves centre, which may slide square to n without loss of radius, as
// near to from as the other lines let it.
func stay(lines []line, n, centre, from r2.Vec, radius float64) r2.Vec {
	along := r2.Vec{X: -n.Y, Y: n.X}
	low, high := math.Inf(-1), math.Inf(1)
	for _, l := range lines {
		slope, room := r2.Dot(l.n, along), l.d-radius-r2.Dot(l.n, centre)
		if slope > weightless {
			high = min(high, room/slope)
		} else if slope < -weightless {
			low = max(low, room/slope)
		}
	}
	t := r2.Dot(r2.Sub(from, centre), along)
	return r2.Add(centre, r2.Scale(max(low, min(high, t)), along))
}

// meet returns the circle that touches the three lines of a basis.
func meet(lines []line, basis [3]int) (centre r2.Vec, radius float64, ok bool) {
	a, b, c := lines[basis[0]], lines[basis[1]], lines[basis[2]]
	// Differences take the radius out: (a.n − c.n)·x = a.d − c.d.
	p, q := r2.Sub(a.n, c.n), r2.Sub(b.n, c.n)
	det := r2.Cross(p, q)
	if det == 0 {
		return r2.Vec{}, 0, false
	}
	u, v := a.d-c.d, b.d-c.d
	centre = r2.Vec{X: (u*q.Y - v*p.Y) / det, Y: (v*p.X - u*q.X) / det}
	return centre, a.d - r2.Dot(a.n, centre), true
}

// exchange brings the line at into the basis, for the one whose share runs
// out first.
func exchange(lines []line, basis [3]int, at int) ([3]int, bool) {
	share, ok := weigh(lines, basis, r2.Vec{}, 1)
	if !ok {
		return basis, false
	}
	change, _ := weigh(lines, basis, lines[at].n, 1)
	leave, least := -1, 0.0
	for k := range 3 {
		if change[k] <= 1e-14 {
			continue
		}
		if ratio := max(0, share[k]) / change[k]; leave < 0 || ratio < least {
			leave, least = k, ratio
		}
	}
	if leave < 0 {
		return basis, false
	}
	basis[leave] = at
	return basis, true
}

// weigh returns the shares of the basis' normals that sum to n with total t.
func weigh(lines []line, basis [3]int, n r2.Vec, t float64) (share [3]float64, ok bool) {
	a, b, c := lines[basis[0]].n, lines[basis[1]].n, lines[basis[2]].n
	p, q := r2.Sub(a, c), r2.Sub(b, c)
	det := r2.Cross(p, q)
	if det == 0 {
		return share, false
	}
	r := r2.Sub(n, r2.Scale(t, c))
	share[0] = r2.Cross(r, q) / det
	share[1] = r2.Cross(p, r) / det
	share[2] = t - share[0] - share[1]
	return share, true
}
