package tilt

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Climbing, by linear programs.
//
// Put the corners at q, turn them by the small vector w and move the room's
// middle to c: a wall with outward normal a at distance b from the middle of
// the room scaled by t holds the corner q if a·(q + w×q − c) ≤ b·t, which is
// linear in w, c and t. Least t over w within ±reach and all c is a linear
// program; the corners that bear on it are few and are found by solving for
// some, looking which stick out and solving again (the cutting planes of J. E.
// Kelley, "The Cutting-Plane Method for Solving Convex Programs", SIAM Journal
// 8, 1960). The turn found is done exactly and kept where it is better; else
// reach shrinks.

const (
	firstReach = 0.1  // radians
	mostReach  = 0.3  // beyond, a turn is no longer like its linear part
	leastReach = 1e-8 // radians: finer than float32 tells
	cuts       = 24   // rounds of cutting planes at most
	sticksOut  = 1e-9 // share of the size by which a corner must stick out to count
)

// walls are those of the room at scale 1, from its middle.
type walls struct {
	half   [3]float64 // distance of the box's, of the drum's two floors the last
	radius float64    // of the drum, 0 for a box
}

func (r Room) walls() walls {
	return walls{half: [3]float64{r.Width / 2, r.Depth / 2, r.Height / 2}, radius: r.Diameter / 2}
}

func (w walls) sound() bool {
	if w.radius > 0 {
		return w.half[2] > 0
	}
	return w.half[0] > 0 && w.half[1] > 0 && w.half[2] > 0
}

// climber keeps its buffers.
type climber struct {
	corners []r3.Vec // about their middle, at size 1
	outer   []r3.Vec // some of them, to shake by
	size    float64  // what they were divided by
	walls   walls
	at      []r3.Vec // the corners, turned
	moved   []r3.Vec // and turned a little on
	prog    program
}

// newClimber scales the corners to size 1 about their middle.
func newClimber(corners []r3.Vec, w walls) *climber {
	c := &climber{walls: w}
	if len(corners) == 0 {
		return c
	}
	low, high := corners[0], corners[0]
	for _, p := range corners {
		low = r3.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y), Z: min(low.Z, p.Z)}
		high = r3.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y), Z: max(high.Z, p.Z)}
	}
	c.size = r3.Norm(r3.Sub(high, low))
	if c.size == 0 {
		return c
	}
	middle := r3.Scale(0.5, r3.Add(low, high))
	for _, p := range corners {
		c.corners = append(c.corners, r3.Scale(1/c.size, r3.Sub(p, middle)))
	}
	c.at, c.moved = make([]r3.Vec, len(corners)), make([]r3.Vec, len(corners))
	return c
}

// climb goes from f to the next greatest place, in so many steps at most.
func (c *climber) climb(f Frame, steps int) try {
	best := try{frame: f}
	var middle r3.Vec
	best.need, middle = c.need(f)
	reach := firstReach
	for range steps {
		c.place(best.frame)
		w, hope := c.step(middle, reach)
		if hope > best.need*(1-1e-9) && reach < 1e-3 {
			break
		}
		next := best.frame.turned(w)
		need, mid := c.need(next)
		switch gain := best.need - need; {
		case gain <= 0:
			reach = min(reach, r3.Norm(w)) / 4
		case gain < (best.need-hope)/4:
			reach /= 2
		default:
			reach = min(2*reach, mostReach)
		}
		if need < best.need {
			best, middle = try{frame: next, need: need}, mid
		}
		if reach < leastReach {
			break
		}
	}
	return best
}

func (c *climber) place(f Frame) {
	for i, p := range c.corners {
		c.at[i] = f.Of(p)
	}
}

// need returns what the body needs at f and where the room's middle is then.
func (c *climber) need(f Frame) (float64, r3.Vec) {
	c.place(f)
	if c.walls.radius == 0 {
		low, high := bounds(c.at)
		size := r3.Sub(high, low)
		need := max(size.X/2/c.walls.half[0], size.Y/2/c.walls.half[1], size.Z/2/c.walls.half[2])
		return need, r3.Scale(0.5, r3.Add(low, high))
	}
	return c.needInDrum()
}

// needInDrum is need for the corners as they are placed, by the program without
// a turn: it is right to the rounding, as what sticks out counts.
func (c *climber) needInDrum() (float64, r3.Vec) {
	low, high := bounds(c.at)
	middle := r3.Scale(0.5, r3.Add(low, high))
	c.solve(middle, 0)
	best := r3.Vec{X: c.prog.y[3], Y: c.prog.y[4], Z: middle.Z}
	var out float64
	for _, q := range c.at {
		out = max(out, math.Hypot(q.X-best.X, q.Y-best.Y))
	}
	return max(out/c.walls.radius, (high.Z-low.Z)/2/c.walls.half[2]), best
}

// bounds returns the corners of the box round the points.
func bounds(points []r3.Vec) (low, high r3.Vec) {
	first, last := outermost(points)
	return r3.Vec{X: points[first[0]].X, Y: points[first[1]].Y, Z: points[first[2]].Z},
		r3.Vec{X: points[last[0]].X, Y: points[last[1]].Y, Z: points[last[2]].Z}
}

// outermost returns which of the points lie first and last along each axis.
func outermost(points []r3.Vec) (first, last [3]int) {
	low, high := points[0], points[0]
	for i := range points {
		p := &points[i]
		if p.X < low.X {
			first[0], low.X = i, p.X
		}
		if p.X > high.X {
			last[0], high.X = i, p.X
		}
		if p.Y < low.Y {
			first[1], low.Y = i, p.Y
		}
		if p.Y > high.Y {
			last[1], high.Y = i, p.Y
		}
		if p.Z < low.Z {
			first[2], low.Z = i, p.Z
		}
		if p.Z > high.Z {
			last[2], high.Z = i, p.Z
		}
	}
	return first, last
}

// step returns the best turn within reach as far as its linear part goes, and
// the need hoped for.
func (c *climber) step(middle r3.Vec, reach float64) (turn r3.Vec, hope float64) {
	c.solve(middle, reach)
	y := c.prog.y
	return r3.Vec{X: y[0], Y: y[1], Z: y[2]}, y[6]
}

// solve solves the program for the corners as they are placed, beginning with
// those that stick out most round middle.
func (c *climber) solve(middle r3.Vec, reach float64) {
	rows := c.begin(middle)
	c.prog.start(rows[0], [6]float64{reach, reach, reach, 2, 2, 2})
	for _, r := range rows[1:] {
		c.prog.add(r)
	}
	for range cuts {
		if !c.prog.solve() || !c.cut() {
			return
		}
	}
}

// sectors is how many sides a drum has at first.
const sectors = 8

// begin returns the rows of the corners farthest along the walls' normals.
func (c *climber) begin(middle r3.Vec) []row {
	var rows []row
	both := func(low, high int, a r3.Vec, b float64) {
		rows = append(rows, c.row(high, a, b), c.row(low, r3.Scale(-1, a), b))
	}
	first, last := outermost(c.at)
	for i, a := range axes {
		if c.walls.radius == 0 || i == 2 {
			both(first[i], last[i], a, c.walls.half[i])
		}
	}
	for k := 0; c.walls.radius > 0 && k < sectors/2; k++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / sectors)
		a := r3.Vec{X: cos, Y: sin}
		low, high := ends(c.at, a)
		both(low, high, a, c.walls.radius)
	}
	return rows
}

// row says that the wall with normal a at the distance b must hold corner i.
func (c *climber) row(i int, a r3.Vec, b float64) row {
	q := c.at[i]
	turn := r3.Cross(q, a)
	return row{a: [unknowns]float64{turn.X, turn.Y, turn.Z, -a.X, -a.Y, -a.Z, -b}, h: -r3.Dot(a, q)}
}

// cut adds rows for the corners that stick out most at the solution, and
// reports whether any do.
func (c *climber) cut() bool {
	y := c.prog.y
	w, middle, t := r3.Vec{X: y[0], Y: y[1], Z: y[2]}, r3.Vec{X: y[3], Y: y[4], Z: y[5]}, y[6]
	for i, q := range c.at {
		c.moved[i] = r3.Vec{
			X: q.X + w.Y*q.Z - w.Z*q.Y - middle.X,
			Y: q.Y + w.Z*q.X - w.X*q.Z - middle.Y,
			Z: q.Z + w.X*q.Y - w.Y*q.X - middle.Z,
		}
	}
	found := false
	over := func(i int, a r3.Vec, b float64) {
		if r3.Dot(a, c.moved[i])-b*t > sticksOut {
			c.prog.add(c.row(i, a, b))
			found = true
		}
	}
	first, last := outermost(c.moved)
	for k, a := range axes {
		if c.walls.radius == 0 || k == 2 {
			over(last[k], a, c.walls.half[k])
			over(first[k], r3.Scale(-1, a), c.walls.half[k])
		}
	}
	if c.walls.radius > 0 {
		i := c.farthestOut()
		if a := (r3.Vec{X: c.moved[i].X, Y: c.moved[i].Y}); a != (r3.Vec{}) {
			over(i, r3.Unit(a), c.walls.radius)
		}
	}
	return found
}

// farthestOut returns which of the corners, moved, is farthest from the drum's axis.
func (c *climber) farthestOut() int {
	best, most := 0, -1.0
	for i, q := range c.moved {
		if d := q.X*q.X + q.Y*q.Y; d > most {
			best, most = i, d
		}
	}
	return best
}

// atLeast returns a need that the corners have at least at f; in a box it is what
// they need.
func (w walls) atLeast(corners []r3.Vec, f Frame) float64 {
	if w.radius == 0 {
		size := extent(corners, f)
		return max(size.X/w.half[0], size.Y/w.half[1], size.Z/w.half[2]) / 2
	}
	need := width(corners, f[2]) / 2 / w.half[2]
	for k := range sectors / 2 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / sectors)
		need = max(need, width(corners, r3.Add(r3.Scale(cos, f[0]), r3.Scale(sin, f[1])))/2/w.radius)
	}
	return need
}

// extent returns how wide the points are along each axis of f.
func extent(points []r3.Vec, f Frame) r3.Vec {
	low := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	high := r3.Scale(-1, low)
	for _, p := range points {
		p = f.Of(p)
		if p.X < low.X {
			low.X = p.X
		}
		if p.X > high.X {
			high.X = p.X
		}
		if p.Y < low.Y {
			low.Y = p.Y
		}
		if p.Y > high.Y {
			high.Y = p.Y
		}
		if p.Z < low.Z {
			low.Z = p.Z
		}
		if p.Z > high.Z {
			high.Z = p.Z
		}
	}
	return r3.Sub(high, low)
}

func width(points []r3.Vec, n r3.Vec) float64 {
	least, most := math.Inf(1), math.Inf(-1)
	for i := range points {
		p := &points[i]
		d := n.X*p.X + n.Y*p.Y + n.Z*p.Z
		if d < least {
			least = d
		}
		if d > most {
			most = d
		}
	}
	return most - least
}
