package parting

import (
	"cmp"
	"math"
	"slices"

	"gambeson/analysis/bed/frame"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// crumb is the share of the largest body's surface below which a body is no part of
// its own but a rivet or a buckle of the one it is nearest to (a guess).
const crumb = 0.1

// Apart returns the groups of bodies of m that lie clear of each other by more than near,
// mm, as pieces without seams, named by where they lie in the file, and how far the two
// nearest of them are clear of each other; none where there is one group.
func Apart(m *mesh.Mesh, near float64) (pieces []Piece, gap float64) {
	frames := frame.Of(m, nil)
	lists := bodies(m, frames)
	if len(lists) < 2 {
		return nil, 0
	}
	groups := make([]group, len(lists))
	for i, list := range lists {
		own := pick(m, list)
		groups[i] = group{list, spansOf(own, frames), own.Area()}
	}
	groups = joined(groups, func(a, b *group) bool { return between(a.spans, b.spans) <= near })
	least := crumb * slices.MaxFunc(groups, func(a, b group) int { return cmp.Compare(a.area, b.area) }).area
	var large []group
	for _, g := range groups {
		if g.area >= least {
			large = append(large, g)
		}
	}
	if len(large) < 2 {
		return nil, 0
	}
	gap = math.Inf(1)
	for i := range large {
		for k := range i {
			gap = min(gap, between(large[i].spans, large[k].spans))
		}
	}
	for _, g := range groups {
		if g.area < least { // its area and its reach are of no account
			to := &large[0]
			for i := range large {
				if between(g.spans, large[i].spans) < between(g.spans, to.spans) {
					to = &large[i]
				}
			}
			to.triangles = append(to.triangles, g.triangles...)
		}
	}
	var out Pieces
	for _, g := range large {
		slices.Sort(g.triangles)
		out.Pieces = append(out.Pieces, Piece{Mesh: pick(m, g.triangles), Bodies: 1})
	}
	out.name(m.Bounds())
	return out.Pieces, gap
}

// group is bodies that belong together.
type group struct {
	triangles []int
	spans     []span // along the axes of the frames
	area      float64
}

// joined joins all groups that are near each other, until none are.
func joined(all []group, near func(a, b *group) bool) []group {
	for i := 0; i < len(all); i++ {
		for k := i + 1; k < len(all); k++ {
			if !near(&all[i], &all[k]) {
				continue
			}
			all[i].triangles = append(all[i].triangles, all[k].triangles...)
			all[i].area += all[k].area
			for n := range all[i].spans {
				all[i].spans[n].take(all[k].spans[n].low)
				all[i].spans[n].take(all[k].spans[n].high)
			}
			all = slices.Delete(all, k, k+1)
			i = -1 // from the beginning: it has grown
			break
		}
	}
	return all
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
