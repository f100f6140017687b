package grid

// step is a direction of the grid.
type step struct{ x, y, z int }

// share returns the weight of a direction by the square of its length: the
// part of the sphere that is nearer to it than to any other, in thousandths
// (found by counting 2·10⁷ points of a spiral on the sphere). It is 0 for what
// is none of the 98 directions with coordinates in −2…2.
func (d step) share() uint {
	return [13]uint{1: 17, 2: 9, 3: 6, 5: 13, 6: 10, 9: 8}[d.x*d.x+d.y*d.y+d.z*d.z]
}

// square reports whether a direction is square to the axis 0, 1 or 2.
func (d step) square(axis int) bool { return [3]int{d.x, d.y, d.z}[axis] == 0 }

const (
	// allShares is the sum of the weights: 6, 12, 8, 24, 24 and 24 directions.
	allShares = 6*17 + 12*9 + 8*6 + 24*(13+10+8)
	// ringed is how many of the 16 directions in a plane of the frame must be
	// blocked where a low ring closes round a voxel.
	ringed = 13
)

// directions returns the 98 directions, or the 16 of them that are square to
// the axis 0, 1 or 2.
func directions(square int) []step {
	var out []step
	for z := -2; z <= 2; z++ {
		for y := -2; y <= 2; y++ {
			for x := -2; x <= 2; x++ {
				d := step{x, y, z}
				if d.share() > 0 && (square < 0 || d.square(square)) {
					out = append(out, d)
				}
			}
		}
	}
	return out
}
