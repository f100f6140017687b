package hull

// tidy takes the corners that lie within a face or an edge out of a polyhedron
// of which no face is gone. They were taken before those round them.
//
// All faces in the plane of one of their faces make one convex polygon: it is
// parted anew, from a corner of its own.
func (q *quick) tidy() {
	needless := q.needless()
	if needless == nil {
		return
	}
	owner := map[[2]int32]int32{}  // of each edge of a new face: the face
	beyond := map[[2]int32]int32{} // of each edge of a polygon: the face across that stays, if it does
	for f := range len(q.faces) {
		g := &q.faces[f]
		if !g.gone && (needless[g.v[0]] || needless[g.v[1]] || needless[g.v[2]]) {
			q.partAnew(q.polygon(int32(f), needless, beyond), owner)
		}
	}
	for edge, f := range owner {
		other, isNew := owner[[2]int32{edge[1], edge[0]}]
		if !isNew {
			other = beyond[edge]
			q.border(other, [2]int32{edge[1], edge[0]}, f)
		}
		q.border(f, edge, other)
	}
}

// needless tells which points are corners with faces in fewer than three planes,
// exactly; nil where there are none.
func (q *quick) needless() []bool {
	planes := make([][2]int32, len(q.spots)) // of each corner: a face of its first plane and of its second
	count := make([]int8, len(q.spots))      // of each corner: its planes, 3 where there are more
	for f := range q.faces {
		for _, v := range q.faces[f].v {
			n := count[v]
			if n > 2 || n > 0 && q.even(planes[v][0], int32(f)) || n > 1 && q.even(planes[v][1], int32(f)) {
				continue
			}
			if n < 2 {
				planes[v][n] = int32(f)
			}
			count[v]++
		}
	}
	var out []bool
	for v, n := range count {
		if n == 1 || n == 2 {
			if out == nil {
				out = make([]bool, len(count))
			}
			out[v] = true
		}
	}
	return out
}

// even reports whether two faces lie in one plane, exactly.
func (q *quick) even(f, g int32) bool {
	n := q.faces[f].n
	back := [3]int64{-n[0], -n[1], -n[2]}
	a := q.spots[q.faces[f].v[0]].at
	for _, v := range q.faces[g].v {
		if p := q.spots[v].at; above(n, a, p) || above(back, a, p) {
			return false
		}
	}
	return true
}

// polygon returns the corners of the polygon that face f is part of, those that
// are needed, and marks its faces as gone. The edges with a face across that is
// not part of it are put into beyond.
func (q *quick) polygon(f int32, needless []bool, beyond map[[2]int32]int32) []int32 {
	part := map[int32]bool{f: true}
	faces := []int32{f}
	for k := 0; k < len(faces); k++ {
		for _, g := range q.faces[faces[k]].across {
			if !part[g] && !q.faces[g].gone && q.even(f, g) {
				part[g] = true
				faces = append(faces, g)
			}
		}
	}
	after := map[int32]int32{} // of each corner of the outline: the next
	start := int32(-1)
	for _, g := range faces {
		q.faces[g].gone = true
		for k, across := range q.faces[g].across {
			if part[across] {
				continue
			}
			a, b := q.faces[g].v[k], q.faces[g].v[(k+1)%3]
			after[a] = b
			beyond[[2]int32{a, b}] = across
			if !needless[a] {
				start = a
			}
		}
	}
	corners := []int32{start}
	for v := after[start]; v != start; v = after[v] {
		if !needless[v] {
			corners = append(corners, v)
		}
	}
	return corners
}

// partAnew adds the triangles of a polygon from its first corner on, and notes
// whose edges are whose.
func (q *quick) partAnew(corners []int32, owner map[[2]int32]int32) {
	for i := 2; i < len(corners); i++ {
		v := [3]int32{corners[0], corners[i-1], corners[i]}
		f := q.add(v)
		for k := range v {
			owner[[2]int32{v[k], v[(k+1)%3]}] = f
		}
	}
}

// border says that face g lies across an edge of face f.
func (q *quick) border(f int32, edge [2]int32, g int32) {
	for k, v := range q.faces[f].v {
		if v == edge[0] {
			q.faces[f].across[k] = g
		}
	}
}
