package room

import "gonum.org/v1/gonum/spatial/r2"

// roughly is how far rough walls lie off, as a share of the distance of the
// nearest wall from where an ellipse is sought. Found by trial: with twice as
// much other hills are climbed here and there, with half as much it takes longer.
const roughly = 2e-3

// makeRough makes the rough walls of a search from given starts. Where walls do not
// close round, they stay as they are: one that is straightened by a few degrees at
// an end may no longer hold what it holds by a few degrees.
func (s *search) makeRough(starts []r2.Vec) {
	if s.rough = s.walls; !closed(s.walls) {
		return
	}
	sides := make([]side, len(s.walls))
	for i, w := range s.walls {
		sides[i] = sideOf(w[0], w[1])
	}
	reach := 0.0
	for _, start := range starts {
		if near := nearestOf(sides, start); len(sides) > 0 && near > reach {
			reach = near
		}
	}
	s.rough = straightened(s.walls, roughly*reach)
}

// straightened returns walls of which those that follow each other from end to
// end, and bend by no more than the tolerance in mm, are made one
// (Douglas and Peucker, The Canadian Cartographer 10, 1973).
func straightened(walls []Wall, tolerance float64) []Wall {
	var out []Wall
	for len(walls) > 0 {
		n := chain(walls)
		out = straighten(out, walls[:n], tolerance)
		walls = walls[n:]
	}
	return out
}

// chain returns how many of the first walls follow each other from end to end.
func chain(walls []Wall) int {
	n := 1
	for n < len(walls) && walls[n][0] == walls[n-1][1] {
		n++
	}
	return n
}

// closed reports whether all chains of walls end where they begin.
func closed(walls []Wall) bool {
	for len(walls) > 0 {
		n := chain(walls)
		if walls[n-1][1] != walls[0][0] {
			return false
		}
		walls = walls[n:]
	}
	return true
}

// straighten appends to out a chain of walls straightened.
func straighten(out, chain []Wall, tolerance float64) []Wall {
	whole := sideOf(chain[0][0], chain[len(chain)-1][1])
	worst, at := tolerance*tolerance, 0
	for i := 1; i < len(chain); i++ {
		corner := chain[i][0]
		if d2 := r2.Norm2(r2.Sub(corner, whole.nearest(corner))); d2 > worst {
			worst, at = d2, i
		}
	}
	if at == 0 {
		return append(out, Wall{whole.from, chain[len(chain)-1][1]})
	}
	out = straighten(out, chain[:at], tolerance)
	return straighten(out, chain[at:], tolerance)
}
