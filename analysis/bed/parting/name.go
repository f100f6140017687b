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

// name sorts the pieces from the bottom of the file up, numbers them and says
// of each where it lies in the file: "2-of-3-upper-left". Left and right are
// the part's own: it looks along −y, as files mostly do.
func (p *Pieces) name(box r3.Box) {
	order := make([]int, len(p.Pieces))
	words := make([][]string, len(p.Pieces))
	ranks := make([][3]int, len(p.Pieces))
	for axis, call := range [3][3]string{{"right", "", "left"}, {"front", "", "back"}, {"lower", "middle", "upper"}} {
		rank, top := p.levels(axis, size(box.Size(), axis))
		for i := range p.Pieces {
			ranks[i][axis] = rank[i]
			word := call[1]
			switch {
			case top == 0:
				continue
			case rank[i] == 0:
				word = call[0]
			case rank[i] == top:
				word = call[2]
			}
			if word != "" {
				words[i] = append(words[i], word)
			}
		}
	}
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
		slices.Reverse(words[i])
		if len(words[i]) == 0 && len(order) > 1 {
			words[i] = []string{"middle"}
		}
		sorted[k].Name = strings.Join(append([]string{fmt.Sprintf("%d-of-%d", k+1, len(order))}, words[i]...), "-")
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
