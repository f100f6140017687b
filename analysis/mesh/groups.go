package mesh

// groups are numbers that are joined into groups. The least of a group stands
// for it.
type groups []uint32

// newGroups returns n groups of one number each.
func newGroups(n int) groups {
	g := make(groups, n)
	for i := range g {
		g[i] = uint32(i)
	}
	return g
}

// of returns the number that stands for the group of i.
func (g groups) of(i uint32) uint32 {
	for g[i] != i {
		g[i] = g[g[i]]
		i = g[i]
	}
	return i
}

// join makes the groups of a and b one, and says whether they were two.
func (g groups) join(a, b uint32) bool {
	a, b = g.of(a), g.of(b)
	g[max(a, b)] = min(a, b)
	return a != b
}
