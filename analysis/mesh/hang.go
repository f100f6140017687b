package mesh

// Bodies tells which facets hang together by vertices: for each facet the number
// of its body, in the order of their first facets, and how many there are. Where
// vertices were not welded every facet is a body.
func (m *Mesh) Bodies() (of []int, n int) {
	hang := newGroups(m.Vertices())
	for t := range m.Triangles() {
		hang.join(m.T[3*t], m.T[3*t+1])
		hang.join(m.T[3*t], m.T[3*t+2])
	}
	number := make([]int, m.Vertices()) // from 1 on, 0 where none
	of = make([]int, m.Triangles())
	for t := range of {
		r := hang.of(m.T[3*t])
		if number[r] == 0 {
			n++
			number[r] = n
		}
		of[t] = number[r] - 1
	}
	return of, n
}

// Only returns the facets for which keep says so, with the vertices they use, in
// their order.
func (m *Mesh) Only(keep func(t int) bool) *Mesh {
	out := &Mesh{}
	index := make([]uint32, m.Vertices()) // from 1 on, 0 where not taken
	for t := range m.Triangles() {
		if !keep(t) {
			continue
		}
		for _, v := range m.T[3*t : 3*t+3] {
			if index[v] == 0 {
				out.X = append(out.X, m.X[v])
				out.Y = append(out.Y, m.Y[v])
				out.Z = append(out.Z, m.Z[v])
				index[v] = uint32(out.Vertices())
			}
			out.T = append(out.T, index[v]-1)
		}
	}
	return out
}
