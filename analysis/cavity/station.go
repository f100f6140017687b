package cavity

import (
	"math"

	"gambeson/analysis/cavity/room"
	"gambeson/analysis/cavity/void"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// probe measures sections of one part. It serves one goroutine.
type probe struct {
	index  *section.Index
	bridge float64 // mm of gap between loose ends that counts as wall
	finder void.Finder
	walls  []void.Wall
	last   section.Section // of the last cut
}

// cut returns the walls that a plane meets, in plane coordinates. They hold
// until the next cut.
func (p *probe) cut(plane section.Plane) []void.Wall {
	p.walls = p.walls[:0]
	p.last = p.index.Cut(plane)
	for _, c := range p.last.Chains {
		for i := 1; i < len(c.Points); i++ {
			p.walls = append(p.walls, void.Wall{c.Points[i-1], c.Points[i]})
		}
		if n := len(c.Points); c.Closed && n > 2 {
			p.walls = append(p.walls, void.Wall{c.Points[n-1], c.Points[0]})
		}
	}
	return p.walls
}

// void returns the void round the point of a plane.
func (p *probe) void(plane section.Plane) (void.Void, bool) {
	return p.finder.Around(p.cut(plane), r2.Vec{}, p.bridge)
}

// plain is how far the outline may be simplified for the ellipse, as a share of
// its mean radius: a fiftieth of a percent of the capacity.
const plain = 2e-4

// bounds returns the walls that bound an ellipse in a void; those of the last
// cut must be those of its plane. In a closed void they are the outline and what
// floats in it; an open one may be left through the gap, as far as that is wide.
func (p *probe) bounds(v *void.Void) []room.Wall {
	return asRoom(append(v.Sides(plain*v.Girth/(2*math.Pi)), v.Others(p.walls)...))
}

// room returns the greatest ellipse in a void and the walls that bound it there.
func (p *probe) room(v *void.Void, aspects [2]float64) (r room.Room, walls []room.Wall, ok bool) {
	start := []r2.Vec{v.From(r2.Vec{}).Center}
	walls = p.bounds(v)
	r, ok = room.Largest(walls, start, aspects)
	if ok && v.Cover(r.Centre) < leastHeld {
		// It got out, past walls that stand too far off to be thought of.
		walls = asRoom(p.walls)
		r, ok = room.Largest(walls, start, aspects)
	}
	return r, walls, ok && v.Cover(r.Centre) >= leastHeld
}

// leastHeld is the cover in degrees seen from the middle of an ellipse that the
// walls hold: a half-turn, less what directions are apart.
const leastHeld = 178

func asRoom(walls []void.Wall) []room.Wall {
	out := make([]room.Wall, len(walls))
	for i, w := range walls {
		out[i] = room.Wall(w)
	}
	return out
}

// mostTilt is how far a section may be tilted against its centreline: a
// section tilted by θ reads about θ²/4 too long, and a centreline on voxels is
// seldom further off.
const mostTilt = 10 * math.Pi / 180

// square returns the void round the middle of what is seen from center in the plane nearest to normal that has
// the least girth, as a tape finds it, and that plane. It steps out in the four
// directions and goes to the bottom of the parabolas through the values, once
// more with shorter steps where that is far off. Where the girth has no bottom but a saddle (a widening
// that ends: the tape would slide off) the normal stays, and so it does where
// less than whole degrees of wall are seen: across a rim or a window.
func (p *probe) square(center, normal r3.Vec, whole float64) (section.Plane, void.Void, bool) {
	start := section.Plane{Point: center, Normal: r3.Unit(normal)}
	u, v := start.Axes()
	type tilt struct {
		at    r2.Vec // tangents of the tilts along u and v
		plane section.Plane
		void  void.Void
		girth float64
	}
	widest := math.Inf(1)
	try := func(at r2.Vec) tilt {
		t := tilt{at: at, plane: start, girth: math.Inf(1)}
		t.plane.Normal = r3.Unit(r3.Add(start.Normal, r3.Add(r3.Scale(at.X, u), r3.Scale(at.Y, v))))
		var ok bool
		if t.void, ok = p.void(t.plane); ok && t.void.Gap <= widest {
			t.girth = t.void.Girth + t.void.Gap
		}
		return t
	}
	best := try(r2.Vec{})
	// A tilt may not open what is closed: beyond a rim half a loop and its chord
	// are shorter than the loop.
	widest = 1.02 * best.void.Gap
	if math.IsInf(best.girth, 1) {
		return start, void.Void{}, false
	}
	look := best.void.From(r2.Vec{})
	if look.Cover < whole {
		return start, best.void, true
	}
	// Tilted about its own middle: about a point nearer to one side, the far
	// side alone would decide.
	if best.void.Holds(look.Center) {
		old := start.Point
		start.Point = start.Lift(look.Center)
		if t := try(r2.Vec{}); t.girth <= (1+1e-6)*best.girth {
			best = t
		} else {
			start.Point = old
		}
	}
	for _, step := range [2]float64{4, 2} {
		step = math.Tan(step * math.Pi / 180)
		mid := best
		var move r2.Vec
		for axis, d := range [2]r2.Vec{{X: step}, {Y: step}} {
			to := step * bottom(try(r2.Sub(mid.at, d)).girth, mid.girth, try(r2.Add(mid.at, d)).girth)
			if axis == 0 {
				move.X = to
			} else {
				move.Y = to
			}
		}
		goal := r2.Add(mid.at, move)
		if far := r2.Norm(goal) / math.Tan(mostTilt); far > 1 {
			goal = r2.Scale(1/far, goal)
		}
		if t := try(goal); t.girth < best.girth {
			best = t
		}
		if r2.Norm(move) < step/2 {
			break // as good as the parabolas can tell
		}
	}
	return best.plane, best.void, true
}

// bottom returns where the parabola through the values at −1, 0 and 1 has its
// bottom, no further than 1.5 off; 0 where it has none.
func bottom(less, mid, more float64) float64 {
	bend := less - 2*mid + more
	if !(bend > 0) || math.IsInf(bend, 1) {
		return 0
	}
	return min(max((less-more)/(2*bend), -1.5), 1.5)
}
