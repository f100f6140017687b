package section

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Hull returns the corners of the convex hull of points (mm), anticlockwise,
// without repeats; of points on one line its two ends. The points keep their
// order, and the first is the least by x, then y.
//
// By Andrew's monotone chain (Information Processing Letters 9, 1979, 216–219);
// of loops that go once round their middle without a step back, as most sections
// do, by Graham's scan (the same, 1, 1972, 132–133), which needs no sorting then.
func Hull(points []r2.Vec) []r2.Vec { return appendHull(nil, points) }

// appendHull appends the hull of points to out, which is empty.
func appendHull(out, points []r2.Vec) []r2.Vec {
	if turn := aroundMiddle(points); turn != 0 {
		return scan(out, points, turn)
	}
	points = slices.Compact(sorted(points))
	if len(points) < 3 {
		return append(out, points...)
	}
	out = halfHull(slices.Grow(out, len(points)+1), points)
	slices.Reverse(points)
	return halfHull(out, points)
}

// sorted returns the points in the order of compare. The points of a loop go
// there and back a few times, so they are merged from the stretches in which
// they rise or fall: of a convex one, two or three.
func sorted(points []r2.Vec) []r2.Vec {
	out := slices.Clone(points)
	ends := rising(out)
	if len(ends) > len(out)/8 {
		slices.SortFunc(out, compare)
		return out
	}
	spare := make([]r2.Vec, len(out))
	for len(ends) > 1 {
		next := ends[:0]
		start := 0
		for i := 0; i < len(ends); i += 2 {
			middle, end := ends[i], ends[min(i+1, len(ends)-1)]
			merge(spare[start:end], out[start:middle], out[middle:end])
			next = append(next, end)
			start = end
		}
		ends = next
		out, spare = spare, out
	}
	return out
}

// rising turns the stretches of points that fall round, and returns the ends of
// all that then rise.
func rising(points []r2.Vec) (ends []int) {
	for start := 0; start < len(points); {
		end := start + 1
		for end < len(points) && compare(points[end-1], points[end]) <= 0 {
			end++
		}
		if end == start+1 {
			for end < len(points) && compare(points[end-1], points[end]) > 0 {
				end++
			}
			slices.Reverse(points[start:end])
		}
		ends = append(ends, end)
		start = end
	}
	return ends
}

// merge merges a and b, both sorted, into out.
func merge(out, a, b []r2.Vec) {
	for len(a) > 0 && len(b) > 0 {
		if compare(a[0], b[0]) <= 0 {
			out[0], a = a[0], a[1:]
		} else {
			out[0], b = b[0], b[1:]
		}
		out = out[1:]
	}
	copy(out, a)
	copy(out[len(a):], b)
}

// halfHull appends to out one side of the hull of sorted, without its last point.
func halfHull(out, sorted []r2.Vec) []r2.Vec {
	start := len(out)
	for _, p := range sorted {
		for n := len(out); n >= start+2 && r2.Cross(r2.Sub(out[n-1], out[n-2]), r2.Sub(p, out[n-2])) <= 0; n = len(out) {
			out = out[:n-1]
		}
		out = append(out, p)
	}
	return out[:len(out)-1]
}

// aroundMiddle returns 1 where each point lies further anticlockwise about the
// mean of all than the one before, and the last is followed by the first after
// one turn; −1 where it is so clockwise; else 0.
func aroundMiddle(points []r2.Vec) int {
	if len(points) < 3 {
		return 0
	}
	var middle r2.Vec
	squares := 0.0 // of the distances from the origin
	for _, p := range points {
		middle = r2.Add(middle, p)
		squares += r2.Norm2(p)
	}
	middle = r2.Scale(1/float64(len(points)), middle)
	// What rounding may make of the area between two points that lie in line
	// with the middle, generously.
	least := 0x1p-48 * squares
	left, right, upwards := 0, 0, 0
	from := r2.Sub(points[len(points)-1], middle)
	for _, p := range points {
		to := r2.Sub(p, middle)
		switch area := r2.Cross(from, to); {
		case area > least:
			left++
		case area < -least:
			right++
		}
		if from.Y < 0 && to.Y >= 0 || from.Y >= 0 && to.Y < 0 {
			upwards++
		}
		from = to
	}
	switch {
	case upwards != 2: // once up and once down: less than two turns
	case left == len(points):
		return 1
	case right == len(points):
		return -1
	}
	return 0
}

// scan appends to out, which is empty, the hull of points that go once round their
// middle, anticlockwise or clockwise as turn says.
func scan(out, points []r2.Vec, turn int) []r2.Vec {
	n := len(points)
	start := 0
	for i, p := range points {
		if compare(p, points[start]) < 0 {
			start = i
		}
	}
	out = slices.Grow(out, n)
	take := func(p r2.Vec) {
		for k := len(out); k >= 2 && r2.Cross(r2.Sub(out[k-1], out[k-2]), r2.Sub(p, out[k-2])) <= 0; k = len(out) {
			out = out[:k-1]
		}
		out = append(out, p)
	}
	at := start
	for range n {
		take(points[at])
		if at += turn; at == n {
			at = 0
		} else if at < 0 {
			at = n - 1
		}
	}
	take(points[start])
	return out[:len(out)-1]
}

func compare(a, b r2.Vec) int {
	switch {
	case a.X < b.X, a.X == b.X && a.Y < b.Y:
		return -1
	case a == b:
		return 0
	}
	return 1
}
