package likeness

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Limits of the search by corners: a ball of many facets has all its corners
// at one distance, and whichever is taken, it looks the same.
const (
	mostKeys  = 300 // corners that may answer to one
	mostTurns = 2000
)

// keyed yields similar shapes, then affine ones, whose corners fall on corners:
// two corners of the old shape on any two of the new one that lie likewise
// about the middle. It needs the new mesh at hand.
func (c *comparison) keyed(yield func(candidate) bool) {
	if c.m == nil || len(c.old.Sample) < 2 {
		return
	}
	s := c.size()
	from, to := c.old.Surface.normal(), c.new.Surface.normal()
	if c.similar() && alikeRound(&from, &to) && !c.keyedIn(diagonal([3]float64{s, s, s}), identity, identity, true, yield) {
		return
	}
	old, new, ok := c.affine()
	if !ok {
		return
	}
	flat, _, ok := whitening(&old)
	flatNew, round, okNew := whitening(&new)
	if !ok || !okNew {
		return
	}
	from, to = old.mapped(Map{Linear: flat}, 1), new.mapped(Map{Linear: flatNew}, 1)
	if alikeRound(&from, &to) {
		c.keyedIn(flat, flatNew, round, false, yield)
	}
}

// alikeRound reports whether the moments of two shapes leave open how they are
// turned against each other.
func alikeRound(a, b *Moments) bool {
	turns := frames(bearing(a), bearing(b))
	return 0 < len(turns) && len(turns) < 8
}

// keyedIn yields the maps that are turns between a frame of the old shape and
// one of the new; back undoes the latter.
func (c *comparison) keyedIn(flat, flatNew, back matrix, alike bool, yield func(candidate) bool) bool {
	middle := c.through(identity) // takes the old middle to the new one
	center := vector(c.old.Surface.About)
	if c.old.Triangles == c.new.Triangles {
		center = vector(c.old.Corners.About)
	}
	centerNew := middle.At(center)
	seen := func(p r3.Vec) r3.Vec { return times(flat, r3.Sub(p, center)) }
	keys := c.keys(seen)
	if keys == nil {
		return true
	}
	size := math.Max(r3.Norm(keys[0]), r3.Norm(keys[1]))
	slack := reach * (c.new.Grain + c.old.Grain) / c.new.radius() * size
	var ends [2][]r3.Vec // of the new shape, by the key they may answer to
	for v := range c.m.X {
		w := times(flatNew, r3.Sub(c.m.At(uint32(v)), centerNew))
		length := math.Sqrt(r3.Norm2(w))
		for k := range ends {
			if math.Abs(length-r3.Norm(keys[k])) <= slack && len(ends[k]) < mostKeys {
				ends[k] = append(ends[k], w)
			}
		}
	}
	apart := r3.Norm(r3.Sub(keys[0], keys[1]))
	var turns []matrix
	for _, p := range ends[0] {
		for _, q := range ends[1] {
			if math.Abs(r3.Norm(r3.Sub(p, q))-apart) <= 2*slack && len(turns) < mostTurns {
				turns = append(turns, between(keys[0], keys[1], p, q, 1), between(keys[0], keys[1], p, q, -1))
			}
		}
	}
	all := make([]candidate, len(turns))
	for i, turn := range turns {
		by := Map{Linear: product(product(back, turn), flat)}
		by.Shift = r3.Sub(centerNew, by.At(center))
		all[i] = candidate{Map: by, alike: alike}
	}
	c.rank(all)
	return each(all, yield)
}

// keys returns two corners of the old shape as they are seen from its middle,
// not in one line with it; nil where there are none. The first places of a
// sample are corners.
func (c *comparison) keys(seen func(r3.Vec) r3.Vec) []r3.Vec {
	first := seen(widened(c.old.Sample[0]))
	best := 0.1 // sine of the angle between them
	var keys []r3.Vec
	for _, p := range c.old.Sample[1:min(4, len(c.old.Sample))] {
		q := seen(widened(p))
		if sine := r3.Norm(r3.Cross(first, q)) / (r3.Norm(first) * r3.Norm(q)); sine > best {
			best, keys = sine, []r3.Vec{first, q}
		}
	}
	return keys
}

// between returns the orthogonal matrix of determinant sign that takes a to p
// and turns the plane of a and b to that of p and q.
func between(a, b, p, q r3.Vec, sign float64) matrix {
	frame := func(a, b r3.Vec, sign float64) matrix {
		u := r3.Unit(a)
		w := r3.Scale(sign, r3.Unit(r3.Cross(a, b)))
		v := r3.Scale(sign, r3.Cross(w, u))
		return matrix{{u.X, v.X, w.X}, {u.Y, v.Y, w.Y}, {u.Z, v.Z, w.Z}}
	}
	return product(frame(p, q, sign), transposed(frame(a, b, 1)))
}
