package likeness

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// candidates yields the maps that may explain the new shape, the simplest
// first: moved, rescaled, turned by right angles, mirrored along an axis,
// turned anyhow, mirrored anyhow, rescaled by axes, and all of it.
func (c *comparison) candidates(yield func(candidate) bool) {
	if c.similar() && (!c.square(yield) || !c.slanted(yield)) {
		return
	}
	_ = c.stretched(yield) && c.sheared(yield)
}

// similar reports whether one shape has as much area for its spread as the
// other, as all of its turned, mirrored and rescaled images have.
func (c *comparison) similar() bool {
	p, q := c.old.compactness(), c.new.compactness()
	doubt := c.old.AreaDoubt/c.old.Surface.Weight + c.new.AreaDoubt/c.new.Surface.Weight + c.blur()
	return math.Abs(p-q) <= 4*doubt*math.Max(p, q)
}

// size returns the factor from the old size to the new one, 1 where rounding
// hides the difference.
func (c *comparison) size() float64 {
	s := math.Sqrt(c.new.Surface.Weight / c.old.Surface.Weight)
	if c.old.Triangles == c.new.Triangles {
		if t := math.Sqrt(trace(&c.new.Corners) / trace(&c.old.Corners)); math.Abs(t-s) <= 10*c.blur()*s {
			s = t
		}
	}
	if math.Abs(s-1) <= c.blur() {
		return 1
	}
	return s
}

func trace(m *Moments) float64 { return m.Second[0] + m.Second[1] + m.Second[2] }

// through returns the map by a that takes the middle of the old shape to that
// of the new one, without a shift that rounding hides.
func (c *comparison) through(a matrix) Map {
	from, to := c.old.Surface.About, c.new.Surface.About
	if c.old.Triangles == c.new.Triangles {
		from, to = c.old.Corners.About, c.new.Corners.About
	}
	by := Map{Linear: a}
	shift := r3.Sub(vector(to), by.At(vector(from)))
	if r3.Norm(shift) > c.grain(by) {
		by.Shift = shift
	}
	return by
}

// square yields similar shapes with their axes along axes.
func (c *comparison) square(yield func(candidate) bool) bool {
	s := c.size()
	var all []candidate
	for _, turn := range squares {
		all = append(all, candidate{Map: c.through(scaled(s, turn)), alike: true, boxes: true})
	}
	c.rank(all[1:])
	return each(all, yield)
}

// rank orders candidates, the simplest first: turned ones before mirrored ones,
// those turned about a place where parts are turned before those that had to be
// moved as well, those along axes before others, and those that turn least
// first.
func (c *comparison) rank(all []candidate) {
	rank := func(by candidate) int {
		rank := 0
		if determinant(by.Linear) < 0 {
			rank += 8
		}
		if !by.alike {
			rank += c.factors(by)
		}
		if !c.stays(by.Map) {
			rank++
		}
		return rank
	}
	slices.SortStableFunc(all, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(angleOf(a.Linear), angleOf(b.Linear)))
	})
}

// factors counts the axes along which a map rescales, twice, and more where
// those are not axes of the file.
func (c *comparison) factors(by candidate) int {
	var r Relation
	c.stretch(&r, by)
	n := 0
	for _, p := range r.Axes {
		if p != 100 {
			n += 2
		}
	}
	if r.Along != nil {
		n += 16
	}
	return n
}

func each(all []candidate, yield func(candidate) bool) bool {
	for _, by := range all {
		if !yield(by) {
			return false
		}
	}
	return true
}

// squares are the 48 turns and mirrorings that take axes to axes, the
// simplest first.
var squares = func() (all []matrix) {
	for _, to := range [][3]int{{0, 1, 2}, {1, 0, 2}, {0, 2, 1}, {2, 1, 0}, {1, 2, 0}, {2, 0, 1}} {
		for signs := range 8 {
			var a matrix
			for k := range 3 {
				a[to[k]][k] = 1 - 2*float64(signs>>k&1)
			}
			all = append(all, a)
		}
	}
	slices.SortStableFunc(all, simpler)
	return all
}()

// simpler orders turns before mirrorings, and each by the angle that is turned.
func simpler(a, b matrix) int {
	if c := cmp.Compare(determinant(b), determinant(a)); c != 0 && determinant(a)*determinant(b) < 0 {
		return c
	}
	return cmp.Compare(angleOf(a), angleOf(b))
}

// angleOf returns the angle by which a turns, besides mirroring and rescaling,
// to a millionth.
func angleOf(a matrix) float64 {
	a = scaled(1/math.Cbrt(math.Abs(determinant(a))), a)
	if determinant(a) < 0 {
		_, a = mirrored(a, 0)
	}
	_, angle := turnOf(a)
	return math.Round(1e6*angle) / 1e6
}

// slanted yields similar shapes turned anyhow.
func (c *comparison) slanted(yield func(candidate) bool) bool {
	s := c.size()
	var all []candidate
	add := func(turn matrix) {
		all = append(all, candidate{Map: c.through(scaled(s, turn)), alike: true})
	}
	for _, turn := range turns(&c.old.Surface, &c.new.Surface, s) {
		add(turn)
	}
	for _, proper := range []bool{true, false} {
		if turn, ok := c.anchoredTurn(proper); ok {
			add(turn)
			for _, same := range c.mirrors() {
				add(product(turn, same))
			}
		}
	}
	c.rank(all)
	return each(all, yield)
}

// mirrors returns the mirrorings along an axis that leave the old shape as it
// is.
func (c *comparison) mirrors() (all []matrix) {
	self := comparison{old: c.old, new: c.old}
	for k := range 3 {
		d := [3]float64{1, 1, 1}
		d[k] = -1
		if by := (candidate{Map: self.through(diagonal(d)), alike: true, boxes: true}); self.proof(by) == certain {
			all = append(all, by.Linear)
		}
	}
	return all
}

// stretched yields shapes rescaled by axes, with their axes along axes.
func (c *comparison) stretched(yield func(candidate) bool) bool {
	old, new, exact := c.affine()
	for _, turn := range squares {
		var size [3]float64
		for k := range 3 {
			to := 0
			for turn[to][k] == 0 {
				to++
			}
			size[k] = ratio(c.new.High[to]-c.new.Low[to], c.old.High[k]-c.old.Low[k])
			if exact {
				if s := math.Sqrt(ratio(new.second(to, to), old.second(k, k))); math.Abs(s-size[k]) <= 0.01*size[k] {
					size[k] = s
				}
			}
		}
		if !yield(candidate{Map: c.through(product(turn, diagonal(size))), boxes: true}) {
			return false
		}
	}
	return true
}

// ratio returns a/b, 1 where both are nothing.
func ratio(a, b float64) float64 {
	if a <= 0 || b <= 0 {
		return 1
	}
	return a / b
}

// affine returns moments of both shapes, of weight 1, that follow every affine
// map: those of corners where the facets are the same, else those of the
// solids; ok is false where there are none.
func (c *comparison) affine() (old, new Moments, ok bool) {
	switch {
	case c.old.Triangles == c.new.Triangles:
		return c.old.Corners.normal(), c.new.Corners.normal(), true
	case c.old.Closed && c.new.Closed:
		return c.old.Solid.normal(), c.new.Solid.normal(), true
	}
	return old, new, false
}

// normal returns the moments divided by their weight.
func (m Moments) normal() Moments {
	out := Moments{About: m.About, Weight: 1}
	for i := range m.Second {
		out.Second[i] = m.Second[i] / m.Weight
	}
	for i := range m.Third {
		out.Third[i] = m.Third[i] / m.Weight
	}
	return out
}

// sheared yields shapes rescaled along any directions and turned anyhow.
func (c *comparison) sheared(yield func(candidate) bool) bool {
	if a, ok := c.anchoredMap(); ok && !yield(candidate{Map: c.through(a)}) {
		return false
	}
	if c.old.Triangles == c.new.Triangles {
		for _, a := range affineMaps(c.old.Corners.normal(), c.new.Corners.normal()) {
			if !yield(candidate{Map: c.through(a)}) {
				return false
			}
		}
	}
	if c.old.Closed && c.new.Closed {
		old, new := c.old.Solid.normal(), c.new.Solid.normal()
		for _, a := range affineMaps(old, new) {
			by := Map{Linear: a}
			by.Shift = r3.Sub(vector(new.About), by.At(vector(old.About)))
			if !yield(candidate{Map: by}) {
				return false
			}
		}
	}
	return true
}
