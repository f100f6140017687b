package parting

import (
	"slices"

	"gambeson/analysis/bed/frame"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// apart is how far two bodies are from each other at least. Shells that
	// touch are one body: they print as one. A guess.
	apart = 0.2
	// mostShells is how many shells are told apart; a part with more, rivets
	// and straps, counts as one body.
	mostShells = 100
)

// bodies returns the separate bodies of m, as lists of triangles in order:
// shells that hang together by vertices, and with them all others that no axis
// of the frames shows to be apart from them.
func bodies(m *mesh.Mesh, frames []frame.Frame) [][]int {
	shell, n := m.Bodies()
	whole := func() [][]int {
		all := make([]int, m.Triangles())
		for t := range all {
			all[t] = t
		}
		return [][]int{all}
	}
	if n < 2 || n > mostShells {
		return whole()
	}
	axes := 3 * len(frames)
	spans := make([]span, n*axes)
	for i := range spans {
		spans[i] = nothing
	}
	for i, v := range m.T {
		p := m.At(v)
		of := spans[shell[i/3]*axes:][:axes]
		for k := range of {
			of[k].take(r3.Dot(frames[k/3][k%3], p))
		}
	}
	body := make([]int, n)
	for i := range body {
		body[i] = i
	}
	for changed := true; changed; {
		changed = false
		for i := range n {
			for j := range i {
				a, b := body[i], body[j]
				if a == b || clear(spans[a*axes:][:axes], spans[b*axes:][:axes]) {
					continue
				}
				// The lower takes the other in, and its spans grow.
				a, b = max(a, b), min(a, b)
				for k := range axes {
					spans[b*axes+k].take(spans[a*axes+k].low)
					spans[b*axes+k].take(spans[a*axes+k].high)
				}
				for k := range body {
					if body[k] == a {
						body[k] = b
					}
				}
				changed = true
			}
		}
	}
	index := make(map[int]int)
	var out [][]int
	for t, of := range shell {
		b := body[of]
		if _, ok := index[b]; !ok {
			index[b] = len(out)
			out = append(out, nil)
		}
		out[index[b]] = append(out[index[b]], t)
	}
	return out
}

// clear reports whether two bodies lie apart along one of the axes.
func clear(a, b []span) bool { return between(a, b) > apart }

// pick returns the mesh of some triangles of m, which are in order.
func pick(m *mesh.Mesh, triangles []int) *mesh.Mesh {
	return m.Only(func(t int) bool {
		_, found := slices.BinarySearch(triangles, t)
		return found
	})
}

// divide returns the bodies of m in the order of the regions that stand for
// them: each goes to the one whose middle is the nearest.
func divide(m *mesh.Mesh, parts []*region, frames []frame.Frame) []*mesh.Mesh {
	lists := make([][]int, len(parts))
	for _, b := range bodies(m, frames) {
		mid := pick(m, b).Bounds().Center()
		best, least := 0, r3.Norm2(r3.Sub(parts[0].m.Bounds().Center(), mid))
		for i, p := range parts {
			if d := r3.Norm2(r3.Sub(p.m.Bounds().Center(), mid)); d < least {
				best, least = i, d
			}
		}
		lists[best] = append(lists[best], b...)
	}
	out := make([]*mesh.Mesh, len(parts))
	for i := range out {
		slices.Sort(lists[i])
		out[i] = pick(m, lists[i])
	}
	return out
}
