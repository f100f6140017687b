package bed

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// field is a rectangle of the bed clear of strips, or a disc in the square
// from low on.
type field struct {
	low      r2.Vec
	size     r2.Vec
	diameter float64
}

// fields returns the places of v that hold all a part may use: the largest
// rectangles clear of strips, none in another, or the largest such disc. There
// is always one, if without size.
func (v Volume) fields() []field {
	if v.Diameter > 0 {
		return []field{v.disc()}
	}
	free := []r2.Box{{Max: r2.Vec{X: max(0, v.Width), Y: max(0, v.Depth)}}}
	for _, s := range v.Strips {
		free = without(free, s)
	}
	if len(free) == 0 {
		return []field{{}}
	}
	var out []field
	for _, box := range free {
		out = append(out, field{low: box.Min, size: r2.Sub(box.Max, box.Min)})
	}
	return out
}

// without returns the largest rectangles in those of free that are clear of
// taken, none in another.
func without(free []r2.Box, taken r2.Box) []r2.Box {
	var out []r2.Box
	for _, f := range free {
		if !overlap(f, taken) {
			out = append(out, f)
			continue
		}
		left, right, below, above := f, f, f, f
		left.Max.X, right.Min.X = taken.Min.X, taken.Max.X
		below.Max.Y, above.Min.Y = taken.Min.Y, taken.Max.Y
		for _, part := range [4]r2.Box{left, right, below, above} {
			if part.Min.X < part.Max.X && part.Min.Y < part.Max.Y {
				out = append(out, part)
			}
		}
	}
	return outermost(out)
}

func overlap(a, b r2.Box) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

// outermost leaves out the boxes that lie in another; of equal ones the first
// stays.
func outermost(boxes []r2.Box) []r2.Box {
	in := func(a, b r2.Box) bool {
		return a.Min.X >= b.Min.X && a.Max.X <= b.Max.X && a.Min.Y >= b.Min.Y && a.Max.Y <= b.Max.Y
	}
	var out []r2.Box
	for i, a := range boxes {
		inOther := false
		for j, b := range boxes {
			if i != j && in(a, b) && (a != b || j < i) {
				inOther = true
				break
			}
		}
		if !inOther {
			out = append(out, a)
		}
	}
	return out
}

// disc returns the largest disc of a round bed clear of strips, found on a grid
// of middles that closes in.
func (v Volume) disc() field {
	radius := v.Diameter / 2
	bed := r2.Vec{X: radius, Y: radius}
	clear := func(c r2.Vec) float64 {
		r := radius - r2.Norm(r2.Sub(c, bed))
		for _, s := range v.Strips {
			r = min(r, math.Hypot(max(s.Min.X-c.X, 0, c.X-s.Max.X), max(s.Min.Y-c.Y, 0, c.Y-s.Max.Y)))
		}
		return r
	}
	best := bed
	const side = 10
	for step := radius / side; len(v.Strips) > 0 && step > 1e-6*radius; step /= side / 2 {
		around := best
		for i := -side; i <= side; i++ {
			for j := -side; j <= side; j++ {
				c := r2.Add(around, r2.Vec{X: float64(i) * step, Y: float64(j) * step})
				if clear(c) > clear(best)+1e-9*radius {
					best = c
				}
			}
		}
	}
	r := max(0, clear(best))
	return field{low: r2.Sub(best, r2.Vec{X: r, Y: r}), size: r2.Vec{X: 2 * r, Y: 2 * r}, diameter: 2 * r}
}
