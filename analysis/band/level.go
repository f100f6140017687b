package band

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
)

// level is a band cut level at a height, made ready for many short rays.
type level struct {
	z     float64
	piece [][2]r2.Vec // straight pieces of the chains, material on their left
	cells map[[2]int][]int32
}

// cellSize is about the length of the rays that cross a wall, mm.
const cellSize = 6.0

func newLevel(s section.Section) level {
	l := level{z: s.Plane.Point.Z, cells: map[[2]int][]int32{}}
	for _, c := range s.Chains {
		n := len(c.Points)
		for i, p := range c.Points {
			if i+1 == n && !c.Closed {
				break
			}
			l.add(p, c.Points[(i+1)%n])
		}
	}
	return l
}

func (l *level) add(p, q r2.Vec) {
	if p == q {
		return
	}
	k := int32(len(l.piece))
	l.piece = append(l.piece, [2]r2.Vec{p, q})
	eachCell(p, q, func(cell [2]int) { l.cells[cell] = append(l.cells[cell], k) })
}

// eachCell calls do for the cells of the box round p and q.
func eachCell(p, q r2.Vec, do func(cell [2]int)) {
	at := func(x float64) int { return int(math.Floor(x / cellSize)) }
	for i := at(min(p.X, q.X)); i <= at(max(p.X, q.X)); i++ {
		for j := at(min(p.Y, q.Y)); j <= at(max(p.Y, q.Y)); j++ {
			do([2]int{i, j})
		}
	}
}

// crossing is where a ray meets a piece: mm along it from its start, +1 where
// it goes into material, −1 where it leaves it.
type crossing struct {
	along float64
	step  int
}

// meet appends where the ray from p along the unit vector dir meets piece k
// within reach.
func (l *level) meet(list []crossing, p, dir r2.Vec, reach float64, k int32) []crossing {
	a, b := l.piece[k][0], l.piece[k][1]
	// Which side of the ray the ends are on; one on it counts as left, so that
	// of two pieces that meet there one is crossed.
	sa, sb := r2.Cross(dir, r2.Sub(a, p)), r2.Cross(dir, r2.Sub(b, p))
	if (sa < 0) == (sb < 0) {
		return list
	}
	t := sa / (sa - sb)
	along := r2.Dot(dir, r2.Sub(r2.Add(a, r2.Scale(t, r2.Sub(b, a))), p))
	if along < 0 || along > reach {
		return list
	}
	step := 1
	if sa < 0 { // the piece goes from right to left: its material, on its left, is behind
		step = -1
	}
	return append(list, crossing{along, step})
}

// first returns where a ray first enters material and where it leaves it
// again, shells that overlap taken together; left is reach where it does not.
func first(list []crossing, reach float64) (entered, left float64, ok bool) {
	slices.SortFunc(list, func(a, b crossing) int { return cmp.Compare(a.along, b.along) })
	depth := 0
	for _, c := range list {
		before := depth
		depth += c.step
		switch {
		case before <= 0 && depth > 0 && !ok:
			entered, ok = c.along, true
		case before > 0 && depth <= 0:
			return entered, c.along, true
		}
	}
	return entered, reach, ok
}

// near is first for a short ray.
func (l *level) near(p, dir r2.Vec, reach float64) (entered, left float64, ok bool) {
	var room [16]crossing
	list := room[:0]
	var seen [16]int32
	met := seen[:0] // the pieces of list: one that lies in several cells is met once
	eachCell(p, r2.Add(p, r2.Scale(reach, dir)), func(cell [2]int) {
		for _, k := range l.cells[cell] {
			n := len(list)
			if list = l.meet(list, p, dir, reach, k); len(list) == n {
				continue
			}
			if slices.Contains(met, k) {
				list = list[:n]
				continue
			}
			met = append(met, k)
		}
	})
	return first(list, reach)
}

// far is first for a ray of any length.
func (l *level) far(p, dir r2.Vec, reach float64) (entered, left float64, ok bool) {
	var list []crossing
	for k := range l.piece {
		list = l.meet(list, p, dir, reach, int32(k))
	}
	return first(list, reach)
}
