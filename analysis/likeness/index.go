package likeness

import (
	"cmp"
	"math"
	"slices"
)

// Index finds among many shapes those that one may be a relative of, by numbers
// that no turn, move, mirroring or rescaling changes. The zero Index is empty.
type Index struct {
	count  int
	round  line         // all shapes, by the logarithm of their compactness
	facets map[int]line // by number of facets: by what no rescaling by axes changes
}

// Near are shapes that one may be a relative of, by their places in the order of
// adding, rising. Each is in one list.
type Near struct {
	Alike    []int // of about its size: whatever it is of them
	Rescaled []int // of another size: if anything, it is they rescaled
	Axes     []int // if anything, it is they rescaled by axes
}

// line is shapes in the order of a number, each with how far rounding may have
// moved it; those of which it cannot be told are loose.
type line struct {
	at    []mark
	reach float64 // the greatest of them
	loose []mark
}

type mark struct {
	at, reach float64
	place     int
	size      float64 // logarithm of the area
}

// Add puts a shape into the index; its place is how many were there before. An
// empty one is counted, and never found.
func (x *Index) Add(s *Signature) {
	place := x.count
	x.count++
	if s.Empty() {
		return
	}
	m := s.roundness()
	m.place = place
	x.round.add(m)
	if s.Triangles < fewest {
		return
	}
	if x.facets == nil {
		x.facets = map[int]line{}
	}
	m = s.skewness()
	m.place = place
	l := x.facets[s.Triangles]
	l.add(m)
	x.facets[s.Triangles] = l
}

// Near returns the shapes in the index of which s may be a relative. None that
// Related finds is missing.
func (x *Index) Near(s *Signature) Near {
	var n Near
	if s.Empty() {
		return n
	}
	own := s.roundness()
	found := map[int]bool{}
	for m := range x.round.near(own) {
		found[m.place] = true
		if math.Abs(m.size-own.size) <= 2*(own.reach+m.reach) || math.IsNaN(m.size-own.size) {
			n.Alike = append(n.Alike, m.place)
		} else {
			n.Rescaled = append(n.Rescaled, m.place)
		}
	}
	if s.Triangles >= fewest {
		l := x.facets[s.Triangles]
		for m := range l.near(s.skewness()) {
			if !found[m.place] {
				n.Axes = append(n.Axes, m.place)
			}
		}
	}
	for _, places := range [][]int{n.Alike, n.Rescaled, n.Axes} {
		slices.Sort(places)
	}
	return n
}

// tight is the greatest reach that still tells shapes apart (a guess): a twentieth
// of the number itself.
const tight = 0.05

func (l *line) add(m mark) {
	if !(m.reach <= tight) || m.at-m.at != 0 {
		m.reach = math.Inf(1)
		l.loose = append(l.loose, m)
		return
	}
	l.reach = max(l.reach, m.reach)
	i, _ := slices.BinarySearchFunc(l.at, m, func(a, b mark) int { return cmp.Compare(a.at, b.at) })
	l.at = slices.Insert(l.at, i, m)
}

// near yields the marks within reach of one, of which it cannot be told too.
func (l *line) near(m mark) func(yield func(mark) bool) {
	return func(yield func(mark) bool) {
		for _, o := range l.loose {
			if !yield(o) {
				return
			}
		}
		from := 0
		vague := !(m.reach <= tight) || m.at-m.at != 0
		if !vague {
			from, _ = slices.BinarySearchFunc(l.at, m.at-m.reach-l.reach, func(a mark, at float64) int { return cmp.Compare(a.at, at) })
		}
		for _, o := range l.at[from:] {
			if !vague && o.at > m.at+m.reach+l.reach {
				return
			}
			if (vague || math.Abs(o.at-m.at) <= o.reach+m.reach) && !yield(o) {
				return
			}
		}
	}
}

// roundness marks a shape by its compactness. Two shapes are similar where these
// differ by no more than 4 times their doubts (see similar); of the logarithms
// that is at most 5.2 times, as long as it is less than 2/5 of the number.
func (s *Signature) roundness() mark {
	doubt := s.AreaDoubt/s.Surface.Weight + 2*s.Grain/s.radius()
	return mark{at: math.Log(s.compactness()), reach: 5.2 * doubt, size: math.Log(s.Surface.Weight)}
}

// skewness marks a shape by the size of the third moments of its corners where
// the second ones are 1 in all directions: an affine map only turns those.
// Rounding moves a corner by a grain; seen so, by that over the least spread e.
// The three factors of a third moment then change it by 9e at most, the mean
// square of a corner being 3, and the frame in which it is seen does so again:
// forgiven is twice that.
func (s *Signature) skewness() mark {
	corners := s.Corners.normal()
	flat, round, ok := whitening(&corners)
	if !ok {
		return mark{at: math.NaN()}
	}
	seen := corners.mapped(Map{Linear: flat}, 1)
	var sum float64
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				sum += seen.third(i, j, k) * seen.third(i, j, k)
			}
		}
	}
	values, _, ok := eigen(round)
	if !ok {
		return mark{at: math.NaN()}
	}
	return mark{at: math.Sqrt(sum), reach: 36 * s.Grain / values[0]}
}
