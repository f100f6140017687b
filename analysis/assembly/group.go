package assembly

import (
	"cmp"
	"slices"
)

// Groups returns the sets of two or more of n pieces that make one shell, each
// in order: those that touch, and those that touch one of these. The widest
// contacts count first, and two that are opposed never come into one set: of two
// copies the first stays with the others.
func Groups(n int, contacts []Contact) [][]int {
	of := make([]int, n)
	members := make([][]int, n)
	for i := range of {
		of[i], members[i] = i, []int{i}
	}
	opposed := map[[2]int]bool{}
	var touching []Contact
	for _, c := range contacts {
		if c.Opposed() {
			opposed[[2]int{c.A, c.B}] = true
			opposed[[2]int{c.B, c.A}] = true
			continue
		}
		touching = append(touching, c)
	}
	slices.SortStableFunc(touching, func(a, b Contact) int {
		return cmp.Or(cmp.Compare(b.Area, a.Area), cmp.Compare(b.Length, a.Length), cmp.Compare(a.A, b.A), cmp.Compare(a.B, b.B))
	})
	apart := func(a, b int) bool {
		return slices.ContainsFunc(members[a], func(i int) bool {
			return slices.ContainsFunc(members[b], func(j int) bool { return opposed[[2]int{i, j}] })
		})
	}
	for _, c := range touching {
		a, b := min(of[c.A], of[c.B]), max(of[c.A], of[c.B])
		if a == b || apart(a, b) {
			continue
		}
		for _, i := range members[b] {
			of[i] = a
		}
		members[a], members[b] = append(members[a], members[b]...), nil
	}
	var out [][]int
	for _, g := range members {
		if len(g) > 1 {
			slices.Sort(g)
			out = append(out, g)
		}
	}
	return out
}
