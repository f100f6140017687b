package room

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// few are walls that held ellipses of nearly the same shape a moment ago. What they
// alone let pass is no smaller than what all walls do: a shape that they keep small
// enough needs no look at the others.
type few struct {
	walls   []Wall
	number  []int // of each, among all walls
	oldest  int   // the next to be replaced
	climber climber
}

// mostFew is how many walls are remembered (by trial: 8 to 24 differ little).
const mostFew = 12

// forget makes the few none, before a search among other walls.
func (f *few) forget() { f.walls, f.number, f.oldest = f.walls[:0], f.number[:0], 0 }

// add remembers the walls of a basis of lines.
func (f *few) add(walls []Wall, basis [3]int) {
	for _, line := range basis {
		number := line - len(basis) // the far lines stand first
		switch {
		case number < 0 || number >= len(walls) || slices.Contains(f.number, number):
		case len(f.walls) < mostFew:
			f.walls, f.number = append(f.walls, walls[number]), append(f.number, number)
		default:
			f.walls[f.oldest], f.number[f.oldest] = walls[number], number
			f.oldest = (f.oldest + 1) % mostFew
		}
	}
}

// keepSmall reports whether the few walls alone hold the greatest ellipse of a shape near
// start to a girth.
func (s *search) keepSmall(at shape, start r2.Vec, girth float64) bool {
	r := s.fit(&s.few.climber, s.few.walls, at, start, climbGrowth)
	return r.Girth > 0 && r.Girth <= girth
}
