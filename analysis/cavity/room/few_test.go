package room

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A few walls hide no step up: from shapes on the way to the best one, and from that, no
// shape that is greater among all walls is kept small by those that are remembered, in
// rooms that close round and in gutters. Nearly all shapes that are smaller are told by them.
func TestFewWallsHideNoStepUp(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 5))
	up, small, told := 0, 0, 0
	for i := range 200 {
		walls := ring(star(random, 24+random.IntN(60)))
		if i%4 == 0 {
			walls = walls[len(walls)/6:] // a gutter
		}
		s := newSearch(walls, Any)
		s.makeRough([]r2.Vec{{}})
		hills := s.sweep(r2.Vec{})
		if len(hills) == 0 {
			continue
		}
		from := s.climb(walls, hills[random.IntN(len(hills))], firstStep, firstStep/float64(int(1)<<random.IntN(5)), 0, 1e9) // remembers
		for range 60 {
			step := firstStep / float64(int(1)<<random.IntN(5))
			at := shape{
				aspect: min(1, max(0, from.at.aspect+step*(2*random.Float64()-1))),
				turn:   from.at.turn + step*(random.Float64()-0.5),
			}
			limit := from.room.Girth * (1 + better)
			r, kept := s.fit(&s.climber, walls, at, from.room.Centre, climbGrowth), s.keepSmall(at, from.room.Centre, limit)
			switch {
			case r.Girth <= limit:
				small++
				if kept {
					told++
				}
			case r.Girth > limit*(1+2*climbGrowth):
				up++
				if kept {
					t.Errorf("star %d (seed %d): few walls keep %+v below %.5f, all walls let %.5f pass", i, seed, at, limit, r.Girth)
				}
			}
		}
	}
	if up < 500 || told < small*9/10 {
		t.Errorf("%d steps up; of %d smaller shapes %d are told by few walls: the test shows little", up, small, told)
	}
}

// The few of one search are walls of its own: among rough walls others were remembered
// under the same numbers.
func TestFewWallsAreOfTheSearchAtHand(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 7))
	both := 0
	for i := range 40 {
		points := ellipse(60, 45, 120) // of which rough walls are fewer
		for k := range points {
			points[k] = r2.Scale(1+0.0002*random.Float64(), points[k])
		}
		s := newSearch(ring(points), Any)
		s.makeRough([]r2.Vec{{}})
		if len(s.rough) < len(s.walls) {
			both++
		}
		hills := s.sweep(r2.Vec{})
		h := s.climb(s.rough, hills[i%len(hills)], firstStep, lastRough, 0, 1e9)
		s.climb(s.walls, h, lastRough/2, finest, 0, 1e9)
		for k, w := range s.few.walls {
			if want := s.walls[s.few.number[k]]; w != want {
				t.Errorf("ellipse %d (seed %d): wall %d is remembered as %v, it is %v", i, seed, s.few.number[k], w, want)
			}
		}
	}
	if both < 20 {
		t.Errorf("only %d of 40 have rough walls: the test shows little", both)
	}
}

// Where a circle is said to be settled at a radius, the next round does not come beyond
// it; and most are settled a round before they stop growing.
func TestSettledCirclesStay(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 6))
	settled, stopped := 0, 0
	for i := range 500 {
		var walls []side
		for _, w := range ring(star(random, 12+random.IntN(60))) {
			walls = append(walls, sideOf(w[0], w[1]))
		}
		growth := []float64{sweepGrowth, climbGrowth}[i%2]
		var c climber
		centre, radius := r2.Vec{}, 0.0
		for range climbs {
			c.face(walls, centre)
			basis, ok := solve(c.lines, c.basis)
			if !ok {
				break
			}
			c.basis = basis
			at, next, _ := meet(c.lines, basis)
			if next <= radius*(1+growth) {
				stopped++
			}
			if c.settled(walls, at, next*(1+growth)) {
				settled++
				again := climber{}
				again.face(walls, at)
				basis, _ := solve(again.lines, [3]int{})
				if _, grown, _ := meet(again.lines, basis); grown > next*(1+growth)*(1+1e-9) {
					t.Errorf("ring %d (seed %d): settled at %.9f, the next round is %.9f", i, seed, next, grown)
				}
				break
			}
			centre, radius = at, next
		}
	}
	if settled < 450 || stopped > 50 {
		t.Errorf("%d settled, %d stopped before: the test shows little", settled, stopped)
	}
}
