// Package tilt turns a body in space so that it fits a room at the greatest
// scale: a search over all rotations. Lengths are mm.
//
// Only the corners of the body's convex hull matter. The scale is the smallest
// over the walls of the room, each a concave function of a small turn, so that
// there are many greatest places and none is smooth: rotations spread evenly
// over all there are (sample.go) are climbed from to the next greatest place
// (climb.go), the likely ones to the end.
package tilt

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Room is a box of Width (x), Depth (y) and Height (z), or, where Diameter is
// not 0, an upright drum.
type Room struct {
	Width, Depth, Height float64
	Diameter             float64
}

// Frame is a rotation: a body's directions that come to lie along x, y and z,
// right-handed unit vectors.
type Frame [3]r3.Vec

// Of returns where p comes to lie.
func (f Frame) Of(p r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(f[0], p), Y: r3.Dot(f[1], p), Z: r3.Dot(f[2], p)}
}

// turned returns f followed by a turn by |w| radians about w.
func (f Frame) turned(w r3.Vec) Frame {
	angle := r3.Norm(w)
	if angle == 0 {
		return f
	}
	back := r3.NewRotation(-angle, w)
	var out Frame
	for i, axis := range axes {
		e := back.Rotate(axis)
		out[i] = r3.Add(r3.Scale(e.X, f[0]), r3.Add(r3.Scale(e.Y, f[1]), r3.Scale(e.Z, f[2])))
	}
	return out
}

var axes = [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}

// How far the search goes. On 600 random bodies the last digits did not change
// with five times as many tries; with half as many one came out 0.1 % worse. On
// round ones of 1500 corners 0.4 % were missing without shaking, 0.01 % with it.
const (
	coreLooks  = 250  // directions whose farthest corners stand for the body at first
	fewLooks   = 8    // and for a bound that most rotations do not pass: by trial the quickest
	firstTries = 56   // samples that are climbed from
	lastTries  = 8    // of those, the ones climbed to the end and shaken
	apart      = 0.12 // radians between samples that are climbed from
	roughly    = 12   // steps of a first climb
	firstShake = 0.06 // radians
	leastShake = 1e-4 // radians
	calming    = 0.97 // by which each shake in vain is smaller
	finely     = 80   // steps of a last climb
)

// Best returns the rotation at which the body with these corners fits the room
// at the greatest scale, and that scale; the rotations known are looked at
// too. The scale is +Inf for a body without size, 0 in a room without.
func Best(corners []r3.Vec, room Room, known []Frame) (Frame, float64) {
	still := Frame(axes)
	walls := room.walls()
	c := newClimber(corners, walls)
	if c.size == 0 {
		return still, math.Inf(1)
	}
	if !walls.sound() {
		return still, 0
	}
	c.outer = core(c.corners, coreLooks)
	rough := newClimber(c.outer, walls)
	tries := samples(rough)
	for _, f := range known {
		tries = append(tries, try{frame: f})
	}
	for i := range tries {
		tries[i] = rough.climb(tries[i].frame, roughly)
		tries[i].need, _ = c.need(tries[i].frame) // of all corners
	}
	slices.SortStableFunc(tries, func(a, b try) int { return cmp.Compare(a.need, b.need) })
	best := try{frame: still, need: math.Inf(1)}
	for _, t := range tries[:min(lastTries, len(tries))] {
		t = c.climb(t.frame, finely)
		if walls.radius == 0 {
			t = c.shake(t)
		}
		if t.need < best.need {
			best = t
		}
	}
	if walls.radius > 0 { // each look takes its time
		best = c.shake(best)
	}
	for _, f := range known { // the rough ones may have lost to others by a hair
		if need, _ := c.need(f); need < best.need {
			best = try{frame: f, need: need}
		}
	}
	return best.frame, 1 / (best.need * c.size)
}

// shake turns by chance in ever smaller steps, keeps what is better, and climbs
// from there: a round body of many corners has a greatest place at each of
// them, in which a climb ends. What is worse by the outermost corners alone is
// worse by all of them: most turns are.
func (c *climber) shake(t try) try {
	random := rand.New(rand.NewPCG(1, 2)) // equal questions have equal answers
	for step := firstShake; step > leastShake; {
		w := r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()}
		f := t.frame.turned(r3.Scale(step, w))
		if c.walls.atLeast(c.outer, f) < t.need {
			if need, _ := c.need(f); need < t.need {
				t = try{frame: f, need: need}
				continue
			}
		}
		step *= calming
	}
	if up := c.climb(t.frame, finely); up.need < t.need {
		return up
	}
	return t
}

// try is a rotation with what the body, at size 1, needs there: the room scaled
// by need just holds it.
type try struct {
	frame Frame
	need  float64
}

// core returns some of the corners that stand for all: the farthest in so many
// directions.
func core(corners []r3.Vec, looks int) []r3.Vec {
	if len(corners) <= looks/2 {
		return corners
	}
	keep := make([]bool, len(corners))
	for _, n := range directions(looks) {
		low, high := ends(corners, n)
		keep[low], keep[high] = true, true
	}
	var out []r3.Vec
	for i, p := range corners {
		if keep[i] {
			out = append(out, p)
		}
	}
	return out
}

// ends returns which of the points lie first and last along n.
func ends(points []r3.Vec, n r3.Vec) (low, high int) {
	least, most := math.Inf(1), math.Inf(-1)
	for i, p := range points {
		d := n.X*p.X + n.Y*p.Y + n.Z*p.Z
		if d < least {
			low, least = i, d
		}
		if d > most {
			high, most = i, d
		}
	}
	return low, high
}
