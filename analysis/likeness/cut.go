package likeness

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// mostPlanes is the most cuts that are looked for in one change.
const mostPlanes = 3

// cut tells whether the new shape is the old one with something cut off by
// planes: places of the old surface are gone, each beyond a plane that holds
// facets or a rim of the new one and beyond which it has nothing; all others
// are where they were, or all moved by one shift.
//
// Places are few, so that other changes, small enough to miss them all, are not
// seen.
func (c *comparison) cut() (Relation, bool) {
	if c.m == nil || len(c.old.Sample) == 0 || c.dented() ||
		c.old.Closed && c.new.Closed && math.Abs(c.new.Solid.Weight) >= math.Abs(c.old.Solid.Weight) {
		return Relation{}, false
	}
	for _, shift := range c.shifts() {
		s := severed{m: c.m, grain: c.old.Grain + c.new.Grain, radius: c.new.radius()}
		by := Map{Linear: identity, Shift: shift}
		places := c.places(by)
		for i, on := range touched(c.m, places, reach*s.grain) {
			if on {
				s.left = append(s.left, places[i])
			} else {
				s.gone = append(s.gone, places[i])
			}
		}
		if len(s.gone) == 0 {
			continue
		}
		stayed := s.left
		for _, p := range c.new.Sample {
			s.left = append(s.left, widened(p))
		}
		if planes, ok := s.planes(); ok && s.below(planes, stayed) >= 2 {
			return Relation{Kind: Cut, Percent: 100, Shift: shift, Planes: planes, Map: by}, true
		}
	}
	return Relation{}, false
}

// dented reports whether the file holds as many facets as before, all of those
// that are known but one are where they were, and the moves of all corners add
// up to little: a corner was moved, nothing was cut.
func (c *comparison) dented() bool {
	if c.old.Triangles != c.new.Triangles || len(c.old.Anchors) != len(c.new.Anchors) {
		return false
	}
	stayed := 0
	for i, p := range c.old.Anchors {
		if distance(array(widened(p)), array(widened(c.new.Anchors[i]))) <= reach*(c.old.Grain+c.new.Grain) {
			stayed++
		}
	}
	moves := distance(c.old.Corners.About, c.new.Corners.About) * c.new.Corners.Weight
	return stayed >= len(c.old.Anchors)-1 && moves < c.new.radius()/2
}

// shifts returns how a part may have been moved after it was cut: not at all,
// or so that one side of its box in each direction is where it was (it was laid
// on the bed again, say) wherever the new box lies within the old one.
func (c *comparison) shifts() []r3.Vec {
	low := r3.Sub(vector(c.new.Low), vector(c.old.Low))
	high := r3.Sub(vector(c.new.High), vector(c.old.High))
	all := []r3.Vec{{}}
	for n := range 8 {
		s := low
		if n&1 > 0 {
			s.X = high.X
		}
		if n&2 > 0 {
			s.Y = high.Y
		}
		if n&4 > 0 {
			s.Z = high.Z
		}
		if !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	return slices.DeleteFunc(all, func(s r3.Vec) bool {
		for k, x := range array(s) {
			grain := reach * (c.old.Grain + c.new.Grain)
			if c.new.Low[k] < c.old.Low[k]+x-grain || c.new.High[k] > c.old.High[k]+x+grain {
				return true
			}
		}
		return false
	})
}

// severed is a part of which something may have been cut off.
type severed struct {
	m             *mesh.Mesh
	left, gone    []r3.Vec // places of the surface that are there, and of the old one that are not
	grain, radius float64
}

// planes returns the fewest planes found beyond which all lies that is gone.
func (s *severed) planes() ([]section.Plane, bool) {
	var found []section.Plane
	for len(found) < mostPlanes {
		all := s.caps()
		if len(all) == 0 || all[0].gone < len(s.gone) {
			all = append(all, s.rims()...)
			rank(all)
		}
		if len(all) == 0 {
			return nil, false
		}
		p := all[0].Plane
		found = append(found, p)
		// Where the surface meets the plane at a low angle, what is gone may
		// lie hardly beyond it.
		s.gone = slices.DeleteFunc(s.gone, func(q r3.Vec) bool { return above(p, q) > -reach*s.grain })
		if len(s.gone) == 0 {
			return found, true
		}
	}
	return nil, false
}

// below counts the places that lie off all of the planes: those in a plane may
// be there by chance.
func (s *severed) below(planes []section.Plane, places []r3.Vec) (n int) {
	for _, q := range places {
		if !slices.ContainsFunc(planes, func(p section.Plane) bool { return above(p, q) > -reach*s.grain }) {
			n++
		}
	}
	return n
}

// above returns how far q lies beyond a plane, mm; p.Normal is a unit vector.
func above(p section.Plane, q r3.Vec) float64 { return r3.Dot(p.Normal, r3.Sub(q, p.Point)) }

// sheet is a plane with surface or rim in it.
type sheet struct {
	section.Plane
	size float64 // mm², or corners
	gone int     // places beyond it that are gone
}

// parts reports whether nothing that is left lies farther beyond p than slack,
// and counts what is gone beyond it.
func (s *severed) parts(p section.Plane, slack float64) (gone int, ok bool) {
	for _, q := range s.left {
		if above(p, q) > slack {
			return 0, false
		}
	}
	for _, q := range s.gone {
		if above(p, q) > slack {
			gone++
		}
	}
	return gone, gone > 0
}

// supports reports whether no corner of the mesh lies beyond p.
func (s *severed) supports(p section.Plane) bool {
	for v := range s.m.X {
		if above(p, s.m.At(uint32(v))) > 2*reach*s.grain {
			return false
		}
	}
	return true
}

// rough is the share of the radius that a plane through one small facet may be
// off before it is fitted to all facets that lie in it.
const rough = 1e-3

// caps returns planes of facets beyond which nothing is left, the most gone
// first.
func (s *severed) caps() []sheet {
	slack := rough * s.radius
	all := s.facets(slack)
	// A facet of a rib may have something gone beyond it and nothing left, and
	// there may be many of them: those beyond which the most is gone come first.
	var out []sheet
	for share := 0.9; share > 0.1 && len(out) == 0; share -= 0.4 {
		var some []sheet
		for _, p := range all {
			if float64(p.gone) >= share*float64(all[0].gone) {
				some = gather(some, p, slack)
			}
		}
		rank(some)
		for _, p := range some[:min(len(some), 16)] {
			fitted, ok := s.fitted(p.Plane, slack)
			if gone, parts := s.parts(fitted, reach*s.grain); ok && parts && s.supports(fitted) {
				out = append(out, sheet{Plane: fitted, size: p.size, gone: gone})
			}
		}
	}
	rank(out)
	return out
}

// facets returns the planes of all facets beyond which nothing is left but by
// slack, and something is gone; the most gone first.
func (s *severed) facets(slack float64) []sheet {
	var all []sheet
	for t := range s.m.Triangles() {
		a, b, c := s.m.Corners(t)
		n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
		size := math.Sqrt(r3.Norm2(n))
		if !(size > 0) {
			continue
		}
		for _, n := range []r3.Vec{r3.Scale(1/size, n), r3.Scale(-1/size, n)} {
			p := section.Plane{Point: a, Normal: n}
			if gone, ok := s.parts(p, slack); ok {
				all = append(all, sheet{Plane: p, size: size / 2, gone: gone})
			}
		}
	}
	rank(all)
	return all
}

// gather adds a sheet to the one it lies in; slack is mm at the radius.
func gather(all []sheet, p sheet, slack float64) []sheet {
	for i := range all {
		q := &all[i]
		if r3.Norm2(r3.Sub(p.Normal, q.Normal)) < 4*rough*rough && math.Abs(above(q.Plane, p.Point)) < slack {
			if q.size += p.size; p.gone > q.gone {
				q.gone = p.gone
			}
			return all
		}
	}
	if len(all) < 256 {
		all = append(all, p)
	}
	return all
}

func rank(all []sheet) {
	slices.SortStableFunc(all, func(p, q sheet) int {
		return cmp.Or(cmp.Compare(q.gone, p.gone), cmp.Compare(q.size, p.size))
	})
}

// fitted returns the mean plane of all facets that lie in p.
func (s *severed) fitted(p section.Plane, slack float64) (section.Plane, bool) {
	for range 3 {
		var normal, middle r3.Vec
		var area float64
		for t := range s.m.Triangles() {
			a, b, c := s.m.Corners(t)
			if math.Abs(above(p, a)) > slack || math.Abs(above(p, b)) > slack || math.Abs(above(p, c)) > slack {
				continue
			}
			n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
			if r3.Dot(n, p.Normal) < 0 {
				n = r3.Scale(-1, n)
			}
			size := math.Sqrt(r3.Norm2(n))
			if !(r3.Norm2(r3.Cross(n, p.Normal)) < 16*rough*rough*size*size) {
				continue
			}
			normal = r3.Add(normal, n)
			middle = r3.Add(middle, r3.Scale(size/3, r3.Add(a, r3.Add(b, c))))
			area += size
		}
		if !(area > 0) {
			return p, false
		}
		p = section.Plane{Point: r3.Scale(1/area, middle), Normal: r3.Unit(normal)}
		slack = math.Max(slack/30, 2*s.grain)
	}
	return p, true
}

// tries is how many triples of corners of a rim are tried. With a third of all
// rims in the cut's plane one triple in 27 lies in it, and fewer than one
// search in 10²⁵ misses it.
const tries = 1500

// rims returns planes through rims of an open surface beyond which nothing is
// left (random sample consensus: Fischler and Bolles 1981, with a fixed seed).
func (s *severed) rims() []sheet {
	rim := s.rim()
	if len(rim) < 3 {
		return nil
	}
	rng := rand.New(rand.NewPCG(1, 2))
	var all []sheet
	for range tries {
		a, b, c := rim[rng.IntN(len(rim))], rim[rng.IntN(len(rim))], rim[rng.IntN(len(rim))]
		n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
		size := r3.Norm(n)
		if !(size > rough*s.radius*s.radius) {
			continue
		}
		for _, n := range []r3.Vec{r3.Scale(1/size, n), r3.Scale(-1/size, n)} {
			p := section.Plane{Point: a, Normal: n}
			if gone, ok := s.parts(p, rough*s.radius); ok {
				q, _ := middlePlane(p, rim, rough*s.radius)
				q, in := middlePlane(q, rim, 2*s.grain)
				if in > 3 {
					all = append(all, sheet{Plane: q, size: float64(in), gone: gone})
				}
			}
		}
	}
	rank(all)
	var out []sheet
	for _, p := range all[:min(len(all), 16)] {
		if gone, ok := s.parts(p.Plane, reach*s.grain); ok && s.supports(p.Plane) {
			out = append(out, sheet{Plane: p.Plane, size: p.size, gone: gone})
		}
	}
	rank(out)
	return out
}

// middlePlane fits a plane to the points within slack of p (total least
// squares), and returns how many they are.
func middlePlane(p section.Plane, points []r3.Vec, slack float64) (section.Plane, int) {
	var sum matrix
	var mid r3.Vec
	n := 0
	for _, q := range points {
		if math.Abs(above(p, q)) <= slack {
			mid = r3.Add(mid, q)
			n++
		}
	}
	if n < 3 {
		return p, 0
	}
	mid = r3.Scale(1/float64(n), mid)
	for _, q := range points {
		if math.Abs(above(p, q)) <= slack {
			d := array(r3.Sub(q, mid))
			for i := range 3 {
				for j := range 3 {
					sum[i][j] += d[i] * d[j]
				}
			}
		}
	}
	values, v, ok := eigen(sum)
	if !ok || !(values[1] > 0) {
		return p, 0
	}
	normal := r3.Vec{X: v[0][0], Y: v[1][0], Z: v[2][0]}
	if r3.Dot(normal, p.Normal) < 0 {
		normal = r3.Scale(-1, normal)
	}
	return section.Plane{Point: mid, Normal: normal}, n
}

// rim returns the corners at which edges of the mesh have no counterpart that
// runs the other way. At any other corner every neighbour is as often the next
// round a facet as the one before, so that numbers drawn for the neighbours,
// added for one and taken away for the other, leave nothing.
func (s *severed) rim() []r3.Vec {
	left := make([]uint32, s.m.Vertices())
	for t := 0; t < len(s.m.T); t += 3 {
		a, b, c := s.m.T[t], s.m.T[t+1], s.m.T[t+2]
		left[a] += draw(b) - draw(c)
		left[b] += draw(c) - draw(a)
		left[c] += draw(a) - draw(b)
	}
	var rim []r3.Vec
	for v, l := range left {
		if l != 0 {
			rim = append(rim, s.m.At(uint32(v)))
		}
	}
	return rim
}

// draw returns a number for v that looks drawn at random: the last step of
// Austin Appleby's MurmurHash3, public domain.
func draw(v uint32) uint32 {
	v ^= v >> 16
	v *= 0x85ebca6b
	v ^= v >> 13
	v *= 0xc2b2ae35
	return v ^ v>>16
}
