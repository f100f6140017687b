package void

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// rows tells quickly of many points whether they lie in a void: the outline's
// sides, sorted into rows of equal height, so that a point asks only those that
// come by its own.
type rows struct {
	void   *Void
	low    float64 // where the lowest row begins
	perMM  float64 // rows to a mm
	starts []int32 // of each row, and one past the last: its first place in sides
	sides  []int32
}

// rows returns the rows of a void, as many as its outline has corners.
func (v *Void) rows() rows {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range v.Outline {
		low, high = min(low, p.Y), max(high, p.Y)
	}
	n := len(v.Outline)
	r := rows{void: v, low: low, starts: make([]int32, n+1)}
	if high > low {
		r.perMM = float64(n) / (high - low)
	}
	count := 0
	for i := range v.Outline {
		from, to := r.of(i)
		count += to - from + 1
		for row := from; row <= to; row++ {
			r.starts[row]++
		}
	}
	end := int32(0)
	for row, sides := range r.starts {
		end += sides
		r.starts[row] = end // counted down to the start below
	}
	r.sides = make([]int32, count)
	for i := range v.Outline {
		from, to := r.of(i)
		for row := from; row <= to; row++ {
			r.starts[row]--
			r.sides[r.starts[row]] = int32(i)
		}
	}
	return r
}

// row returns the row of a height, the nearest one beyond the ends. It never
// falls where the height rises: so a side that comes by a point is in its row.
func (r *rows) row(y float64) int {
	return int(min(max((y-r.low)*r.perMM, 0), float64(len(r.starts)-2)))
}

// of returns the first and the last row of side i.
func (r *rows) of(i int) (from, to int) {
	a, b := r.void.Outline[i].Y, r.void.Outline[(i+1)%len(r.void.Outline)].Y
	return r.row(min(a, b)), r.row(max(a, b))
}

// holds returns the same as Holds of the void.
func (r *rows) holds(p r2.Vec) bool {
	if len(r.void.Outline) == 0 {
		return false
	}
	row := r.row(p.Y)
	inside := false
	for _, i := range r.sides[r.starts[row]:r.starts[row+1]] {
		inside = inside != r.void.passes(int(i), p)
	}
	return inside
}

// touches tells whether p is no further than reach from a side of the outline:
// the same as a Clearance of at most that. Rows twice as far away are asked as
// well, lest rounding leave one out.
func (r *rows) touches(p r2.Vec, reach float64) bool {
	if len(r.void.Outline) == 0 {
		return false
	}
	from, to := r.row(p.Y-2*reach), r.row(p.Y+2*reach)
	for _, i := range r.sides[r.starts[from]:r.starts[to+1]] {
		a, b := r.void.Outline[i], r.void.Outline[(int(i)+1)%len(r.void.Outline)]
		if toPiece(p, a, b) <= reach {
			return true
		}
	}
	return false
}
