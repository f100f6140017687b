// Package room finds the ellipse of greatest girth that fits between walls:
// the capacity of a section.
//
// Everything lies in one plane, in mm. Walls are straight pieces; the ellipse
// may lie anywhere that it can slide to from the given starts without passing
// through a wall, turned as it likes, with an aspect (minor/major axis) within
// a range. A gap between walls is no obstacle, but an ellipse counts only if
// the walls it touches leave no half-turn free through which it could leave.
//
// # Method
//
// For a fixed aspect and turn, a linear map makes the ellipse a circle, and
// the greatest circle near a start is found by climbing (circle.go). What
// remains is a search over aspect and turn, two bounded numbers: a coarse
// sweep from every start, then a compass search from the best few. As long as
// its steps are long, walls that run nearly straight on count as one (rough.go),
// and a step that does not lead up is told by the walls that held the last shapes
// (few.go).
package room

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/spatial/r2"
)

// Wall is a straight piece of wall from its first to its second end.
type Wall [2]r2.Vec

// Room is an ellipse between walls. The zero Room is none.
type Room struct {
	Girth        float64 // perimeter
	Major, Minor float64 // full axes
	Centre       r2.Vec
	Turn         float64 // of the major axis against x, radians in [0, π)
}

// Any is the aspect range of stations and openings: a body section is never
// slimmer than one to two (a guess).
var Any = [2]float64{0.5, 1}

// Girth returns the perimeter of an ellipse by the complete elliptic integral
// of the second kind, 4·a·E(m) with m = 1 − b²/a² (DLMF 19.30.5); major and
// minor are full axes.
func Girth(major, minor float64) float64 {
	if major < minor {
		major, minor = minor, major
	}
	if major <= 0 {
		return 0
	}
	ratio := minor / major
	return 2 * major * mathext.CompleteE(1-ratio*ratio)
}

// Coarse sweep: five aspects by twelve turns find the hill, the compass
// search climbs it. The finest step is 2⁻¹⁰ of a range: where the girth falls
// off on both sides of a ridge, half a step costs 0.02 % of it at most.
const (
	sweepAspects = 5
	sweepTurns   = 12
	climbed      = 3 // hills that are climbed
	finest       = 1.0 / 1024
	gain         = 1.5 // share of girth that a step of 1 gains at most, with all shorter ones to come (a guess: an aspect from 0.5 to 1 is worth 0.26 of it, a turn by a right angle up to 0.5)

	sweepGrowth = 1e-3 // growth that ends the climb of a circle, coarse
	climbGrowth = 1e-5 // and fine
	better      = 1e-7 // share by which a girth must grow to be better

	firstStep  = 1.0 / 16 // of the compass search
	lastRough  = 1.0 / 64 // the shortest step among rough walls: it is worth more girth than they hide
	roughGirth = 0.01     // share of girth that rough walls may hide, and more
)

// Largest returns the room of greatest girth with an aspect in the range, and
// false where none is held by the walls. starts are points of the void from
// which the ellipse is sought; more of them find more of a winding void.
func Largest(walls []Wall, starts []r2.Vec, aspects [2]float64) (Room, bool) {
	return newSearch(walls, aspects).largest(starts, 0, math.Inf(1))
}

// Upto is Largest where all girths from enough on are as good: it ends as soon as
// one is found, which then is any of them. Below that it is the same.
func Upto(walls []Wall, starts []r2.Vec, aspects [2]float64, enough float64) (Room, bool) {
	return newSearch(walls, aspects).largest(starts, 0, enough)
}

// Holds reports whether Largest has at least a girth, and takes less time for it:
// it ends where that is found, and leaves what cannot come to it.
func Holds(walls []Wall, starts []r2.Vec, aspects [2]float64, girth float64) bool {
	r, ok := newSearch(walls, aspects).largest(starts, girth, girth)
	return ok && r.Girth >= girth
}

// largest returns the room of greatest girth where one beats beat, and the first
// one of enough girth where there is any.
func (s *search) largest(starts []r2.Vec, beat, enough float64) (Room, bool) {
	s.makeRough(starts)
	var hills []hill
	for _, start := range starts {
		hills = append(hills, s.sweep(start)...)
	}
	sortHills(hills)
	hills = apart(hills)
	highest := 0.0
	for i, h := range hills {
		hills[i] = s.climb(s.rough, h, firstStep, lastRough, max(beat, highest)*(1-roughGirth), math.Inf(1))
		highest = max(highest, hills[i].room.Girth)
	}
	sortHills(hills)
	var best Room
	for _, h := range summits(hills) {
		if h.room.Girth < max(beat, best.Girth)*(1-roughGirth-gain*lastRough) {
			break
		}
		if len(s.rough) < len(s.walls) {
			if h.room = s.fit(&s.climber, s.walls, h.at, h.room.Centre, climbGrowth); h.room.Girth == 0 {
				continue // only rough walls held it
			}
		}
		h = s.climb(s.walls, h, lastRough/2, finest, max(beat, best.Girth), enough)
		if h.room.Girth > best.Girth {
			best = h.room
		}
		if best.Girth >= enough {
			break
		}
	}
	return best, best.Girth > 0
}

// shape is an ellipse but for its size: the share of the way through the
// aspect range, and the turn as a share of a half circle.
type shape struct{ aspect, turn float64 }

// hill is a shape with its room.
type hill struct {
	at   shape
	room Room
}

// search holds what a search needs again and again.
type search struct {
	walls, rough []Wall
	mapped       []side
	aspects      [2]float64
	climber      climber
	few          few
}

func newSearch(walls []Wall, aspects [2]float64) *search {
	return &search{walls: walls, mapped: make([]side, len(walls)), aspects: aspects}
}

// sweep looks at the coarse shapes, climbing from start in each.
func (s *search) sweep(start r2.Vec) []hill {
	var hills []hill
	last := sweepAspects - 1
	if s.aspects[0] == s.aspects[1] {
		last = 0
	}
	for i := 0; i <= last; i++ {
		at := shape{aspect: float64(i) / float64(max(1, last))}
		turns := sweepTurns
		if s.aspectOf(at) == 1 {
			turns = 1 // a circle has no turn
		}
		for j := range turns {
			at.turn = float64(j) / float64(turns)
			if r := s.fit(&s.climber, s.rough, at, start, sweepGrowth); r.Girth > 0 {
				hills = append(hills, hill{at, r})
			}
		}
	}
	return hills
}

// apart keeps the first few hills that are not next to a better one.
func apart(hills []hill) []hill {
	var kept []hill
	for _, h := range hills {
		alone := !slices.ContainsFunc(kept, func(k hill) bool {
			turn := math.Abs(k.at.turn - h.at.turn)
			near := min(turn, 1-turn) < 1.5/sweepTurns
			if k.at.aspect == 1 || h.at.aspect == 1 {
				// A circle has no turn to climb along: it hides no other hill, or a
				// void that is nearly round would end with its circle.
				near = k.at.aspect == h.at.aspect
			}
			return near && r2.Norm(r2.Sub(k.room.Centre, h.room.Centre)) < h.room.Minor/4
		})
		if alone {
			kept = append(kept, h)
		}
		if len(kept) == climbed {
			break
		}
	}
	return kept
}

// summits keeps the first of hills whose climb ended at the same summit.
func summits(hills []hill) []hill {
	var kept []hill
	for _, h := range hills {
		known := slices.ContainsFunc(kept, func(k hill) bool {
			turn := math.Abs(math.Mod(k.at.turn-h.at.turn, 1))
			return math.Abs(k.at.aspect-h.at.aspect) < 2*lastRough && min(turn, 1-turn) < lastRough &&
				r2.Norm(r2.Sub(k.room.Centre, h.room.Centre)) < lastRough*h.room.Minor
		})
		if !known {
			kept = append(kept, h)
		}
	}
	return kept
}

func sortHills(hills []hill) {
	slices.SortStableFunc(hills, func(a, b hill) int { return cmp.Compare(b.room.Girth, a.room.Girth) })
}

// compass is the ways of a step: aspect and turn.
var compass = func() (ways [8]r2.Vec) {
	for k := range ways {
		ways[k].Y, ways[k].X = math.Sincos(float64(k) * math.Pi / 4)
	}
	return ways
}()

// climb improves a hill by compass search over aspect and turn, with steps from
// the long one to the short one: of eight directions the last good one first, the
// step halved where none leads up. The centre follows from the last one. A hill
// that cannot come to beat is left once the step is so short that it gains less
// than it lacks, and one that has enough at once.
func (s *search) climb(walls []Wall, best hill, long, short, beat, enough float64) hill {
	last := 0
	if best.room.Girth >= enough {
		return best
	}
	s.few.forget()
	for step := long; step >= short; step /= 2 {
		if best.room.Girth < beat*(1-gain*step) {
			break
		}
		for moved := true; moved; {
			moved = false
			for k := range compass {
				way := (last + k) % len(compass)
				at := shape{
					aspect: min(1, max(0, best.at.aspect+step*compass[way].X)),
					turn:   best.at.turn + step*compass[way].Y/2,
				}
				least := best.room.Girth * (1 + better)
				if at == best.at || s.keepSmall(at, best.room.Centre, least) {
					continue
				}
				r := s.fit(&s.climber, walls, at, best.room.Centre, climbGrowth)
				s.few.add(walls, s.climber.basis)
				if r.Girth > least {
					if best, moved, last = (hill{at, r}), true, way; r.Girth >= enough {
						return best
					}
					break
				}
			}
		}
	}
	return best
}

func (s *search) aspectOf(at shape) float64 {
	return s.aspects[0] + at.aspect*(s.aspects[1]-s.aspects[0])
}

// fit returns the greatest ellipse of a shape between walls near start, or the
// zero Room.
func (s *search) fit(by *climber, walls []Wall, at shape, start r2.Vec, growth float64) Room {
	aspect, turn := s.aspectOf(at), at.turn*math.Pi
	sin, cos := math.Sincos(turn)
	toCircle := func(p r2.Vec) r2.Vec {
		return r2.Vec{X: p.X*cos + p.Y*sin, Y: (p.Y*cos - p.X*sin) / aspect}
	}
	mapped := s.mapped[:len(walls)]
	for i, w := range walls {
		mapped[i] = sideOf(toCircle(w[0]), toCircle(w[1]))
	}
	centre, radius, held := by.climb(mapped, toCircle(start), growth)
	if !held {
		return Room{}
	}
	x, y := centre.X, centre.Y*aspect
	turn = math.Mod(turn, math.Pi)
	if turn < 0 {
		turn += math.Pi
	}
	return Room{
		Girth: Girth(2*radius, 2*radius*aspect),
		Major: 2 * radius, Minor: 2 * radius * aspect,
		Centre: r2.Vec{X: x*cos - y*sin, Y: x*sin + y*cos},
		Turn:   turn,
	}
}
