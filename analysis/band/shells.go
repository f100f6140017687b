package band

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// around keeps of a flat slab the shells that belong to the ring round the
// place at: those whose box, seen from above, holds it (the nearest shell
// where none does), and all whose boxes overlap one that is kept, such as
// rivets let into the wall.
func around(slab *mesh.Mesh, at r3.Vec) *mesh.Mesh {
	shell, boxes := shells(slab)
	keep := seeds(boxes, at)
	for grown := true; grown; {
		grown = false
		for i, box := range boxes {
			if !keep[i] && touchesKept(box, boxes, keep) {
				keep[i], grown = true, true
			}
		}
	}
	return pick(slab, shell, keep)
}

func seeds(boxes []r3.Box, at r3.Vec) []bool {
	keep := make([]bool, len(boxes))
	nearest, least, found := -1, 0.0, false
	for i, box := range boxes {
		d := clear(at.X, box.Min.X, box.Max.X) + clear(at.Y, box.Min.Y, box.Max.Y)
		if d == 0 {
			keep[i], found = true, true
		}
		if nearest < 0 || d < least {
			nearest, least = i, d
		}
	}
	if !found && nearest >= 0 {
		keep[nearest] = true
	}
	return keep
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
