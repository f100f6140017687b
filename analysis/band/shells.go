package band

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// around keeps of a flat slab the shells that belong to the ring round the
// place at: those whose box, seen from above, holds it, or the nearest where none does;
// the walls that go on round the place where those end, as the other half does; where
// there are none, what closes round the place from the other side, as breast and back
// between armholes do; and all whose boxes overlap one that is kept, such as rivets let
// into the wall. apart is how far the walls are from each other inside there, 0 where one
// goes round the place alone or they touch.
func around(slab *mesh.Mesh, at r3.Vec) (ring *mesh.Mesh, apart float64) {
	shell, boxes := shells(slab)
	keep, nearest := seeds(boxes, at)
	if nearest >= 0 {
		keep[nearest] = true
	}
	touched(boxes, keep)
	view := lookRound(slab, shell, len(boxes), at)
	if !view.join(keep) && nearest >= 0 {
		if other := across(towards(slab, shell, len(boxes), at), view.middles(), nearest); other >= 0 {
			keep[other] = true
		}
	}
	touched(boxes, keep)
	return pick(slab, shell, keep), view.apart(slab, shell, keep)
}

// touched keeps all shells whose boxes overlap one that is kept.
func touched(boxes []r3.Box, keep []bool) {
	for grown := true; grown; {
		grown = false
		for i, box := range boxes {
			if !keep[i] && touchesKept(box, boxes, keep) {
				keep[i], grown = true, true
			}
		}
	}
}

// seeds are the shells to begin with: those whose box holds the place, or the nearest
// where none does; -1 where one does or there is none.
func seeds(boxes []r3.Box, at r3.Vec) (keep []bool, nearest int) {
	keep, nearest = make([]bool, len(boxes)), -1
	least, found := 0.0, false
	for i, box := range boxes {
		d := clear(at.X, box.Min.X, box.Max.X) + clear(at.Y, box.Min.Y, box.Max.Y)
		if d == 0 {
			keep[i], found = true, true
		}
		if nearest < 0 || d < least {
			nearest, least = i, d
		}
	}
	if found {
		return keep, -1
	}
	return keep, nearest
}

// opposed is the cosine of the least angle at which two walls lie on opposite sides of a
// place: 120° (a guess; a sleeve lies square to the breast).
const opposed = -0.5

// across is the nearest shell on the other side of a place than a first one; to leads to
// each of them from the place, and towards its middle. -1 where there is none.
func across(to, middles []r2.Vec, first int) int {
	best := -1
	for i, v := range middles {
		if r2.Dot(v, middles[first]) < opposed*r2.Norm(v)*r2.Norm(middles[first]) && (best < 0 || r2.Norm(to[i]) < r2.Norm(to[best])) {
			best = i
		}
	}
	return best
}

// towards leads from a place to where each of n shells comes nearest to it, seen from
// above.
func towards(m *mesh.Mesh, shell []int, n int, at r3.Vec) []r2.Vec {
	out := make([]r2.Vec, n)
	for i := range out {
		out[i] = r2.Vec{X: math.Inf(1)}
	}
	for t, of := range shell {
		a, b, c := m.Corners(t)
		for _, side := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
			if v := toSide(at, side[0], side[1]); r2.Norm(v) < r2.Norm(out[of]) {
				out[of] = v
			}
		}
	}
	return out
}

// toSide leads from a place to the nearest point of a side, seen from above.
func toSide(at, a, b r3.Vec) r2.Vec {
	from, along := r2.Vec{X: a.X - at.X, Y: a.Y - at.Y}, r2.Vec{X: b.X - a.X, Y: b.Y - a.Y}
	t := 0.0
	if n := r2.Norm2(along); n > 0 {
		t = min(1, max(0, -r2.Dot(from, along)/n))
	}
	return r2.Add(from, r2.Scale(t, along))
}

// clear returns how far x lies outside [low, high].
func clear(x, low, high float64) float64 { return max(0, low-x, x-high) }

func touchesKept(box r3.Box, boxes []r3.Box, keep []bool) bool {
	for j, other := range boxes {
		if keep[j] && box.Min.X <= other.Max.X && other.Min.X <= box.Max.X &&
			box.Min.Y <= other.Max.Y && other.Min.Y <= box.Max.Y {
			return true
		}
	}
	return false
}

// shells numbers the connected shells of m, in order of their first triangle,
// and returns the number of each triangle and the box of each shell.
func shells(m *mesh.Mesh) (shell []int, boxes []r3.Box) {
	shell, n := m.Bodies()
	for range n {
		boxes = append(boxes, r3.Box{Min: r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, Max: r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}})
	}
	for t, of := range shell {
		a, b, c := m.Corners(t)
		for _, p := range []r3.Vec{a, b, c} {
			boxes[of] = grow(boxes[of], p)
		}
	}
	return shell, boxes
}

func grow(box r3.Box, p r3.Vec) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: min(box.Min.X, p.X), Y: min(box.Min.Y, p.Y), Z: min(box.Min.Z, p.Z)},
		Max: r3.Vec{X: max(box.Max.X, p.X), Y: max(box.Max.Y, p.Y), Z: max(box.Max.Z, p.Z)},
	}
}

// pick copies the triangles of the kept shells, with the vertices they use.
func pick(m *mesh.Mesh, shell []int, keep []bool) *mesh.Mesh {
	return m.Only(func(t int) bool { return keep[shell[t]] })
}
