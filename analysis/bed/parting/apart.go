package parting

import (
	"math"
	"slices"

	"gambeson/analysis/bed/frame"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// crumb is the share of the largest body's surface below which a body is no part of
// its own but a rivet or a buckle of the one it is nearest to (a guess).
const crumb = 0.1

// Apart returns the bodies of m that lie clear of each other as pieces without
// seams, named by where they lie in the file, and how far the one that lies the
// farthest from the others is clear of them, mm; none where m is one body.
func Apart(m *mesh.Mesh) (pieces []Piece, gap float64) {
	frames := frame.Of(m, nil)
	lists := bodies(m, frames)
	if len(lists) < 2 {
		return nil, 0
	}
	area := make([]float64, len(lists))
	for i, list := range lists {
		area[i] = pick(m, list).Area()
	}
	least := crumb * slices.Max(area)
	var large [][]int
	for i, list := range lists {
		if area[i] >= least {
			large = append(large, slices.Clone(list))
		}
	}
	if len(large) < 2 {
		return nil, 0
	}
	spans := make([][]span, len(large))
	for i, list := range large {
		spans[i] = spansOf(pick(m, list), frames)
	}
	for i, list := range lists {
		if area[i] < least {
			own := spansOf(pick(m, list), frames)
			near := 0
			for k := range spans {
				if between(own, spans[k]) < between(own, spans[near]) {
					near = k
				}
			}
			large[near] = append(large[near], list...)
		}
	}
	for i := range spans {
		nearest := math.Inf(1)
		for k := range spans {
			if k != i {
				nearest = min(nearest, between(spans[i], spans[k]))
			}
		}
		gap = max(gap, nearest)
	}
	out := Pieces{}
	for _, list := range large {
		slices.Sort(list)
		out.Pieces = append(out.Pieces, Piece{Mesh: pick(m, list), Bodies: 1})
	}
	out.name(m.Bounds())
	return out.Pieces, gap
}

// spansOf returns how far m reaches along the axes of the frames.
func spansOf(m *mesh.Mesh, frames []frame.Frame) []span {
	out := make([]span, 3*len(frames))
	for k := range out {
		out[k] = nothing
		for v := range m.Vertices() {
			out[k].take(r3.Dot(frames[k/3][k%3], m.At(uint32(v))))
		}
	}
	return out
}

// between returns by how much two bodies are clear of each other along the axis that
// shows the most, mm; negative where none shows them apart.
func between(a, b []span) float64 {
	most := math.Inf(-1)
	for k := range a {
		most = max(most, a[k].low-b[k].high, b[k].low-a[k].high)
	}
	return most
}
