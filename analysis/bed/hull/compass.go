package hull

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// compass tells points well inside a convex polyhedron by a look at a few of
// its faces: those that a ray from its middle may meet in the direction of the
// point. Directions are told apart by the squares of a cube round the middle.
//
// A ray in the direction u leaves through the face for which unit·u over the
// distance of the middle from the face, its nearness, is greatest. On a side of
// the cube nearness is linear, so a face that is less near than another at the
// four corners of a square is so all over it, and no ray leaves through it.
type compass struct {
	mid   r3.Vec
	well  float64 // units below every near face at which a point is below all others too, surely
	faces []*face
	near  [6 * squares * squares][]*face
}

// squares is how many squares there are along an edge of the cube.
const squares = 12

// newCompass returns a compass of the faces of q, nil where the middle is so
// near to one that nothing can be told for sure.
func newCompass(q *quick) *compass {
	c := &compass{}
	corners := 0.0
	for f := range q.faces {
		c.faces = append(c.faces, &q.faces[f])
		for _, v := range q.faces[f].v {
			c.mid = r3.Add(c.mid, q.spots[v].at.vec())
			corners++
		}
	}
	c.mid = r3.Scale(1/corners, c.mid)
	least, most := math.Inf(1), 0.0
	for _, f := range c.faces {
		deep := -f.over(c.mid)
		least, most = min(least, deep), max(most, deep)
	}
	if !(least > 1e-6*most) {
		return nil
	}
	// As deep as a point is below the nearest face, it is below another in
	// proportion to their distances from the middle. One more unit is for the
	// rounding of the point to the lattice.
	c.well = 2 * (1 + surely) * most / least
	inRuns(len(c.near), 1, func(_, from, to int) {
		for i := from; i < to; i++ {
			c.near[i] = c.nearTo(i)
		}
	})
	return c
}

// nearTo returns the faces that may be met through a square.
func (c *compass) nearTo(square int) []*face {
	// A little larger than the square, for the rounding of directions.
	const side, more = 2.0 / squares, 1e-6
	i, j := float64(square/squares%squares), float64(square%squares)
	at := func(x, y float64) r3.Vec { return direction(square/(squares*squares), (i+x)*side-1, (j+y)*side-1) }
	corners := [4]r3.Vec{at(-more, -more), at(1+more, -more), at(-more, 1+more), at(1+more, 1+more)}
	middle := at(0.5, 0.5)
	nearness := func(f *face, u r3.Vec) float64 { return r3.Dot(f.unit, u) / -f.over(c.mid) }
	var first *face
	for _, f := range c.faces {
		if first == nil || nearness(f, middle) > nearness(first, middle) {
			first = f
		}
	}
	near := []*face{first}
	for _, f := range c.faces {
		for _, u := range corners {
			if f != first && nearness(f, u) > nearness(first, u) {
				near = append(near, f)
				break
			}
		}
	}
	return near
}

// direction returns the point (x, y) on a side of the cube from −1 to 1.
func direction(side int, x, y float64) r3.Vec {
	switch side {
	case 0:
		return r3.Vec{X: 1, Y: x, Z: y}
	case 1:
		return r3.Vec{X: -1, Y: x, Z: y}
	case 2:
		return r3.Vec{X: x, Y: 1, Z: y}
	case 3:
		return r3.Vec{X: x, Y: -1, Z: y}
	case 4:
		return r3.Vec{X: x, Y: y, Z: 1}
	}
	return r3.Vec{X: x, Y: y, Z: -1}
}

// square returns the square that a direction goes through.
func square(u r3.Vec) int {
	ax, ay, az := math.Abs(u.X), math.Abs(u.Y), math.Abs(u.Z)
	side, x, y, z := 0, u.Y, u.Z, u.X
	switch {
	case ay >= ax && ay >= az:
		side, x, y, z = 2, u.X, u.Z, u.Y
	case az >= ax:
		side, x, y, z = 4, u.X, u.Y, u.Z
	}
	if z < 0 {
		side, z = side+1, -z
	}
	if z == 0 {
		return 0 // the middle itself is below all faces
	}
	scale := squares / 2 / z
	i, j := int(x*scale+squares/2), int(y*scale+squares/2)
	return (side*squares+min(i, squares-1))*squares + min(j, squares-1)
}

// inside reports whether a point is surely below all faces. It may say no of
// one that is.
func (c *compass) inside(p r3.Vec) bool {
	if c == nil {
		return false
	}
	for _, f := range c.near[square(r3.Sub(p, c.mid))] {
		if f.over(p) > -c.well {
			return false
		}
	}
	return true
}
