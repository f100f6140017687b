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
	faces []face
	deep  []float64                      // of each: how far the middle is below it
	all   []int32                        // their numbers
	sharp bool                           // whether a point rounded to the lattice stays in its square and what was added to it
	near  [6 * squares * squares][]int32 // faces, by number
	safe  [6 * squares * squares]float64 // how far from the middle along the axis of the square's side a point in it is surely inside
}

// squares is how many squares there are along an edge of the cube, which is 2 long.
const (
	squares = 36
	edge    = 2.0 / squares
)

// newCompass returns a compass of the faces of q, nil where the middle is so
// near to one that nothing can be told for sure.
func newCompass(q *quick) *compass {
	c := &compass{faces: q.faces, deep: make([]float64, len(q.faces))}
	for _, f := range c.faces {
		for _, v := range f.v {
			c.mid = r3.Add(c.mid, q.spots[v].at.vec())
		}
	}
	c.mid = r3.Scale(1/float64(3*len(c.faces)), c.mid)
	least, most := math.Inf(1), 0.0
	for i := range c.faces {
		c.deep[i] = -c.faces[i].over(c.mid)
		least, most = min(least, c.deep[i]), max(most, c.deep[i])
	}
	if !(least > 1e-6*most) {
		return nil
	}
	// As deep as a point is below the nearest face, it is below another in
	// proportion to their distances from the middle. One more unit is for the
	// rounding of the point to the lattice.
	c.well = 2 * (1 + surely) * most / least
	c.all = q.numbers()
	c.sharp = least > 4/(rounded*edge)
	inRuns(6*blocks*blocks, 1, func(_, from, to int) {
		for at := from; at < to; at++ {
			side, i, j := at/(blocks*blocks), at/blocks%blocks, at%blocks
			some := c.nearTo(c.all, side, i*perBlock, j*perBlock, perBlock)
			for k := range perBlock * perBlock {
				x, y := i*perBlock+k/perBlock, j*perBlock+k%perBlock
				at := (side*squares+x)*squares + y
				c.near[at] = c.nearTo(some, side, x, y, 1)
				c.safe[at] = (1 - (1+2*surely)/least) / c.most(c.near[at], side, x, y)
			}
		}
	})
	return c
}

// Squares are looked at block by block: a face that no ray meets through the
// block is met through none of its squares.
const (
	perBlock = 6 // squares along an edge of a block
	blocks   = squares / perBlock
)

// rounded is by how much squares are taken larger than they are, as a share of
// their edge, for the rounding of directions.
const rounded = 1e-5

// nearTo returns those of some faces that may be met through the squares from
// (i, j) on a side of the cube on, so many either way.
func (c *compass) nearTo(some []int32, side, i, j, wide int) []int32 {
	corners := cornersOf(side, i, j, wide)
	first, most := some[0], math.Inf(-1)
	middle := r3.Scale(0.5, r3.Add(corners[0], corners[3]))
	for _, f := range some {
		if n := c.nearness(f, middle); n > most {
			first, most = f, n
		}
	}
	var least [len(corners)]float64
	for k, u := range corners {
		least[k] = c.nearness(first, u)
	}
	near := []int32{first}
	for _, f := range some {
		for k, u := range corners {
			if f != first && c.nearness(f, u) > least[k] {
				near = append(near, f)
				break
			}
		}
	}
	return near
}

// cornersOf returns the corners of the squares from (i, j) on, so many either way,
// a little larger than they are.
func cornersOf(side, i, j, wide int) (out [4]r3.Vec) {
	for k := range out {
		x, y := (-rounded+float64(k%2)*(1+2*rounded))*float64(wide), (-rounded+float64(k/2)*(1+2*rounded))*float64(wide)
		out[k] = direction(side, (float64(i)+x)*edge-1, (float64(j)+y)*edge-1)
	}
	return out
}

// most returns how near the nearest of some faces is anywhere in a square: on a
// side of the cube the greatest of linear functions is greatest at a corner.
func (c *compass) most(some []int32, side, i, j int) float64 {
	out := 0.0
	for _, u := range cornersOf(side, i, j, 1) {
		for _, f := range some {
			out = max(out, c.nearness(f, u))
		}
	}
	return out
}

// nearness returns how near a face is in a direction from the middle: one over
// the distance, in units of u, at which a ray goes through it.
func (c *compass) nearness(f int32, u r3.Vec) float64 { return r3.Dot(c.faces[f].unit, u) / c.deep[f] }

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

// square returns the square that a direction goes through, and how far it goes
// along the axis of the side that this lies on.
func square(u r3.Vec) (at int, far float64) {
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
		return 0, 0 // the middle itself is below all faces
	}
	scale := squares / 2 / z
	i, j := int(x*scale+squares/2), int(y*scale+squares/2)
	return (side*squares+min(i, squares-1))*squares + min(j, squares-1), z
}

// tell says of a point that it is surely below all faces, or else which of those
// that may be met on the way to it the point surely lies above, and farthest; where
// it cannot tell either, −1 and the faces of which it lies above one if above any.
func (c *compass) tell(p r3.Vec) (inside bool, sees int32, may []int32) {
	at, far := square(r3.Sub(p, c.mid))
	if far < c.safe[at] {
		return true, -1, nil
	}
	may = c.near[at]
	sees = -1
	most := -c.well
	for _, f := range may {
		if over := c.faces[f].over(p); over > most {
			sees, most = f, over
		}
	}
	if most > 1+surely { // 1 for the rounding of the point to the lattice
		return false, sees, nil
	}
	if !c.sharp {
		may = c.all
	}
	return sees < 0, -1, may
}
