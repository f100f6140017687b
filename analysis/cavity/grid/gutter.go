package grid

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// rays is the number of directions in which a gutter is looked for across an
	// axis.
	rays = 64
	// leastSide is the cover in degrees that a gutter has across its axis.
	leastSide = 120
)

// gutter returns the way along a pocket that is open at both ends of an axis,
// and false for any other: the one opening of a gutter, of a ring with a gap
// or of a half shell wraps both its ends and its side, so the way goes from
// end to end. Of several such axes it is the one with the most wall round it.
func (c *cells) gutter(p *Pocket) (Way, bool) {
	at, axes := c.air.middle(p)
	var best r3.Vec
	most := float64(leastSide)
	for _, a := range append(axes[:], r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}) {
		if cover := c.air.coverAcross(at, a); cover > most && c.through(a) {
			best, most = a, cover
		}
	}
	if best == (r3.Vec{}) {
		return Way{}, false
	}
	best = forward(best)
	reach := math.Sqrt(float64(c.air.distance(at))) * c.air.Pitch
	if low, high := c.extent(best); (high-low)*float64(c.size)*c.air.Pitch > 2*reach {
		ends := c.ends(best)
		if ways := c.between(ends[0], ends[1:]); len(ways[0].Steps) > 1 {
			return ways[0], true
		}
	}
	// A low ring with a gap: straight along the axis.
	run, middle := c.air.Frame.Turn(best), c.air.space(at.place())
	w := Way{Reach: reach}
	w.add(r3.Sub(middle, r3.Scale(c.air.Pitch, run)), run)
	w.add(r3.Add(middle, r3.Scale(c.air.Pitch, run)), run)
	return w, true
}

// forward returns a or its opposite: that which leans to the end of the frame's
// axes that they show to.
func forward(a r3.Vec) r3.Vec {
	x, y, z := math.Abs(a.X), math.Abs(a.Y), math.Abs(a.Z)
	lean := a.X
	if y > x && y >= z {
		lean = a.Y
	} else if z > x && z > y {
		lean = a.Z
	}
	if lean < 0 {
		return r3.Scale(-1, a)
	}
	return a
}

// middle returns the voxel of a pocket that is furthest from the wall, of
// several the one nearest to its centroid, and its principal axes.
func (a *Air) middle(pocket *Pocket) (voxel, [3]r3.Vec) {
	var sum r3.Vec
	var m [6]float64
	a.each(pocket.voxels, func(x, y, z int) {
		p := r3.Vec{X: float64(x), Y: float64(y), Z: float64(z)}
		sum = r3.Add(sum, p)
		for k, q := range [6]float64{p.X * p.X, p.X * p.Y, p.X * p.Z, p.Y * p.Y, p.Y * p.Z, p.Z * p.Z} {
			m[k] += q
		}
	})
	n := float64(pocket.count)
	mean := r3.Scale(1/n, sum)
	second := mat.NewSymDense(3, []float64{
		m[0]/n - mean.X*mean.X, m[1]/n - mean.X*mean.Y, m[2]/n - mean.X*mean.Z,
		0, m[3]/n - mean.Y*mean.Y, m[4]/n - mean.Y*mean.Z,
		0, 0, m[5]/n - mean.Z*mean.Z,
	})
	axes := [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	var eigen mat.EigenSym
	if eigen.Factorize(second, true) {
		var v mat.Dense
		eigen.VectorsTo(&v)
		for k := range axes {
			axes[k] = r3.Vec{X: v.At(0, k), Y: v.At(1, k), Z: v.At(2, k)}
		}
	}
	var best voxel
	far, off := uint16(0), math.Inf(1)
	a.each(pocket.voxels, func(x, y, z int) {
		v := voxel{int32(x), int32(y), int32(z)}
		d := a.distance(v)
		if o := r3.Norm(r3.Sub(v.place(), mean)); d > far || d == far && o < off {
			best, far, off = v, d, o
		}
	})
	return best, axes
}

// meets reports whether a ray from a voxel in a direction of the grid meets
// wall.
func (a *Air) meets(from voxel, d r3.Vec) bool {
	p := r3.Add(from.place(), r3.Vec{X: 0.5, Y: 0.5, Z: 0.5})
	for {
		p = r3.Add(p, r3.Scale(0.5, d))
		v := voxel{int32(math.Floor(p.X)), int32(math.Floor(p.Y)), int32(math.Floor(p.Z))}
		if v.x < 0 || v.y < 0 || v.z < 0 || int(v.x) >= a.nx || int(v.y) >= a.ny || int(v.z) >= a.nz {
			return false
		}
		if a.has(a.wall, int(v.x), int(v.y), int(v.z)) {
			return true
		}
	}
}

// coverAcross returns the degrees of the way round an axis in which wall is
// met from a voxel.
func (a *Air) coverAcross(from voxel, axis r3.Vec) float64 {
	u := r3.Unit(r3.Cross(axis, leastAxis(axis)))
	w := r3.Cross(axis, u)
	met := 0
	for k := range rays {
		sin, cos := math.Sincos((float64(k) + 0.5) * 2 * math.Pi / rays)
		if a.meets(from, r3.Add(r3.Scale(cos, u), r3.Scale(sin, w))) {
			met++
		}
	}
	return float64(met) * 360 / rays
}

// through reports whether the cells are open at both ends of an axis: from most
// of those in the last tenth a ray straight out meets no wall.
func (c *cells) through(axis r3.Vec) bool {
	const looked = 64 // cells at each end, about
	for k, tenth := range c.tenths(axis) {
		out := r3.Scale(float64(2*k-1), axis)
		open, all := 0, 0
		for i := 0; i < len(tenth); i += max(len(tenth)/looked, 1) {
			at := c.at[tenth[i]]
			from := voxel{at.x*c.size + c.size/2, at.y*c.size + c.size/2, at.z*c.size + c.size/2}
			all++
			if !c.air.meets(from, out) {
				open++
			}
		}
		if 2*open <= all {
			return false
		}
	}
	return true
}

// extent returns the least and the greatest place of the cells along a
// direction of the grid, in cells.
func (c *cells) extent(axis r3.Vec) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range c.at {
		d := r3.Dot(v.place(), axis)
		low, high = min(low, d), max(high, d)
	}
	return low, high
}

// tenths returns the cells in the first and in the last tenth along an axis.
func (c *cells) tenths(axis r3.Vec) (out [2][]int32) {
	low, high := c.extent(axis)
	share := (high-low)/10 + 0.5
	for i, v := range c.at {
		d := r3.Dot(v.place(), axis)
		if d-low <= share {
			out[0] = append(out[0], int32(i))
		}
		if high-d <= share {
			out[1] = append(out[1], int32(i))
		}
	}
	return out
}

// widest returns the widest cell of the first and of the last tenth along an
// axis.
func (c *cells) widest(axis r3.Vec) (out [2]int32) {
	for k, tenth := range c.tenths(axis) {
		out[k] = slices.MaxFunc(tenth, func(i, j int32) int { return cmp.Compare(c.wide[i], c.wide[j]) })
	}
	return out
}

// ends returns doors at both ends of the cells along an axis, at the widest
// cells there.
func (c *cells) ends(axis r3.Vec) (out [2]door) {
	tenths := c.tenths(axis)
	for k, cell := range c.widest(axis) {
		out[k] = door{at: c.space(c.at[cell].place()), cell: cell, cells: tenths[k]}
	}
	c.look(out[:], 1)
	return out
}
