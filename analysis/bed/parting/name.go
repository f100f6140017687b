package parting

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// sameLevel is how near two pieces' middles are along an axis for them to be
// called the same there, as a share of the part's size along it. A guess.
const sameLevel = 0.12

// calls are what the ends of each axis are called, and what lies between.
var calls = [3]struct{ low, between, high string }{{"right", "", "left"}, {"front", "", "back"}, {"lower", "middle", "upper"}}

// name sorts the pieces from the bottom of the file up, numbers them and says
// of each where it lies in the file: "2-of-3-upper-left". Left and right are
// the part's own: it looks along −y, as files mostly do.
func (p *Pieces) name(box r3.Box) {
	order := make([]int, len(p.Pieces))
	words := make([][3]string, len(p.Pieces)) // by axis
	ranks := make([][3]int, len(p.Pieces))
	for axis, call := range calls {
		rank, top := p.levels(axis, size(box.Size(), axis))
		for i := range p.Pieces {
			ranks[i][axis] = rank[i]
			switch {
			case top == 0:
			case rank[i] == 0:
				words[i][axis] = call.low
			case rank[i] == top:
				words[i][axis] = call.high
			default:
				words[i][axis] = call.between
			}
		}
	}
	tellApart(words, ranks)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := ranks[i], ranks[j]
		return cmp.Or(cmp.Compare(a[2], b[2]), cmp.Compare(a[1], b[1]), cmp.Compare(a[0], b[0]))
	})
	sorted := make([]Piece, len(order))
	place := make([]int, len(order))
	for k, i := range order {
		sorted[k], place[i] = p.Pieces[i], k
		parts := []string{fmt.Sprintf("%d-of-%d", k+1, len(order)), words[i][2], words[i][1], words[i][0]}
		if words[i] == ([3]string{}) && len(order) > 1 {
			parts[1] = "middle"
		}
		sorted[k].Name = strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), "-")
	}
	p.Pieces = sorted
	for i := range p.Seams {
		s := &p.Seams[i]
		for _, list := range [2][]int{s.Above, s.Below} {
			for k := range list {
				list[k] = place[list[k]]
			}
			slices.Sort(list)
		}
		for k := range s.Keys {
			s.Keys[k].Above, s.Keys[k].Below = place[s.Keys[k].Above], place[s.Keys[k].Below]
		}
	}
}

// tellApart finds words for pieces between others that would be called the same
// though they lie side by side, as the halves of a collar on wide shoulders do.
func tellApart(words [][3]string, ranks [][3]int) {
	for axis, call := range calls[:2] {
		alike := map[[3]string][]int{} // pieces by words
		for i, w := range words {
			alike[w] = append(alike[w], i)
		}
		for w, pieces := range alike {
			if w[axis] != "" {
				continue
			}
			rank := func(i, j int) int { return cmp.Compare(ranks[i][axis], ranks[j][axis]) }
			least, most := ranks[slices.MinFunc(pieces, rank)][axis], ranks[slices.MaxFunc(pieces, rank)][axis]
			for _, i := range pieces {
				switch at := ranks[i][axis]; {
				case least == most:
				case at == least:
					words[i][axis] = call.low
				case at == most:
					words[i][axis] = call.high
				}
			}
		}
	}
}

// levels returns on which level along an axis each piece lies, and the highest.
func (p *Pieces) levels(axis int, whole float64) (rank []int, top int) {
	order := make([]int, len(p.Pieces))
	middle := make([]float64, len(p.Pieces))
	for i := range order {
		order[i] = i
		middle[i] = size(p.Pieces[i].Mesh.Bounds().Center(), axis)
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(middle[i], middle[j]) })
	rank = make([]int, len(order))
	for k, i := range order {
		if k > 0 && middle[i]-middle[order[k-1]] > sameLevel*whole {
			top++
		}
		rank[i] = top
	}
	return rank, top
}

func size(v r3.Vec, axis int) float64 { return [3]float64{v.X, v.Y, v.Z}[axis] }
