package bed

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Kind is how far a part is moved from how it lies in its file.
type Kind string

// From the simplest on. A tilted part stands on no face and needs supports.
const (
	AsIs   Kind = "as-is"
	Turned Kind = "turned" // about the vertical
	Laid   Kind = "laid"   // on a face of its hull, and turned
	Tilted Kind = "tilted"
)

// Lie is one way for a part to lie on the bed.
type Lie struct {
	Room // its Turn is about the vertical, after the part was laid; 0 where tilted
	Kind Kind
	// Rotation takes directions of the file to those of the bed: row by row
	// what comes to lie along x, y and z.
	Rotation [3][3]float64
	// at is the field of the bed it lies in; its place amid lies in the middle
	// of that, counted from the low corner of the part's extent at factor 1.
	at   field
	amid r2.Vec
	// Ground is the area of the first layer and Overhang that of facets that
	// face down by more than 45° from the vertical above it, both mm² at
	// factor 1: what needs support, as a rule of thumb.
	Ground, Overhang float64
}

// Lies are the best ways of each kind. What is asked for by a kind includes
// the simpler ones: where laying the part down gains nothing, Laid is Turned,
// and its Kind says so.
type Lies struct {
	AsIs, Turned, Laid, Tilted Lie
	// Rests are the lies on faces of the hull with the greatest scales, the
	// greatest first.
	Rests []Lie

	body *body
}

// Search finds the ways for m to lie in v.
func Search(m *mesh.Mesh, v Volume) Lies { return search(m, v, true) }

// SearchResting is Search without tilted ways: Tilted is Laid.
func SearchResting(m *mesh.Mesh, v Volume) Lies { return search(m, v, false) }

func search(m *mesh.Mesh, v Volume, tilting bool) Lies {
	b := newBody(m)
	l := Lies{AsIs: b.asIs(v), Turned: b.turned(v), Rests: b.laid(v), body: b}
	l.Laid = l.Turned
	if len(l.Rests) > 0 && l.Rests[0].Scale > l.Turned.Scale*(1+gain) {
		l.Laid = l.Rests[0]
	}
	l.Tilted = l.Laid
	if tilting {
		if t := b.tilted(v, append([]Lie{l.Turned}, l.Rests...)); t.Scale > l.Laid.Scale*(1+gain) {
			l.Tilted = t
		}
	}
	over := l.Tilted.over()
	lies := []*Lie{&l.AsIs, &l.Turned, &l.Laid, &l.Tilted}
	for i := range l.Rests {
		lies = append(lies, &l.Rests[i])
	}
	if l.Tilted.Kind != Tilted {
		weigh(m, lies)
	} else if weigh(m, append(lies, &over)); over.Overhang < l.Tilted.Overhang {
		l.Tilted = over
	}
	for _, lie := range lies {
		lie.amid = b.amid(lie)
	}
	return l
}

// Spot returns where the low corner of the part's extent, scaled by factor,
// comes to lie on the bed, so that the part is in the middle of its place.
func (l Lie) Spot(factor float64) r2.Vec {
	return r2.Sub(r2.Add(l.at.low, r2.Scale(0.5, l.at.size)), r2.Scale(factor, l.amid))
}

// gain is the share of the scale for which a part is moved at all: a tenth of
// what is written. The project's own rule.
const gain = 1e-4

// little is the share of the scale for which a part that does not fit is not
// shown laid on another side: an eye sees sooner what is wrong with it as it is
// in its file. A guess.
const little = 0.01

// At returns the simplest lie that lets the part pass at factor, which may be
// as it is, turned or laid; of those on faces the one with the least overhang.
// Where none does it returns the simplest with nearly the greatest scale, and
// false.
func (l Lies) At(factor float64) (Lie, bool) {
	for _, lie := range []Lie{l.AsIs, l.Turned} {
		if lie.Fits(factor) {
			return lie, true
		}
	}
	best, found := l.Laid, l.Laid.Fits(factor)
	for _, lie := range l.Rests {
		if lie.Fits(factor) && (!found || lie.Overhang < best.Overhang) {
			best, found = lie, true
		}
	}
	for _, lie := range []Lie{l.Turned, l.AsIs} {
		if !found && lie.Scale > l.Laid.Scale*(1-little) {
			best = lie
		}
	}
	return best, found
}

// Easiest returns the lie that lets the part pass at factor with the least
// overhang, of several the first: as it is, turned or laid. Where none does it
// returns the one with the greatest scale, and false.
func (l Lies) Easiest(factor float64) (Lie, bool) {
	best, found := l.Laid, false
	for _, lie := range append([]Lie{l.AsIs, l.Turned, l.Laid}, l.Rests...) {
		if lie.Fits(factor) && (!found || lie.Overhang < best.Overhang) {
			best, found = lie, true
		}
	}
	return best, found
}

// Put returns m as it lies, its low corner at the origin.
func (l Lie) Put(m *mesh.Mesh) *mesh.Mesh {
	out := m.Map(frameOf(l.Rotation).Of)
	low := out.Bounds().Min
	return out.Map(func(p r3.Vec) r3.Vec { return r3.Sub(p, low) })
}

// firstLayer is the height within which a facet counts as lying on the bed:
// that of a common first layer (common practice, no source).
const firstLayer = 0.2

// over returns a tilted lie turned over, half a turn about x: it fits either
// way.
func (l Lie) over() Lie {
	for _, row := range []int{1, 2} {
		for k := range 3 {
			l.Rotation[row][k] = -l.Rotation[row][k]
		}
	}
	return l
}

// weigh measures the first layer and the overhang of m in each of the lies, in
// one pass for those with the same side up.
func weigh(m *mesh.Mesh, lies []*Lie) {
	var sides []side
	of := map[r3.Vec]int{}
	for _, l := range lies {
		if up := frameOf(l.Rotation)[2]; of[up] == 0 {
			sides = append(sides, side{up: up, low: math.Inf(1)})
			of[up] = len(sides)
		}
	}
	for v := range m.Vertices() {
		p := m.At(uint32(v))
		for i := range sides {
			if s := &sides[i]; r3.Dot(s.up, p) < s.low {
				s.low = r3.Dot(s.up, p)
			}
		}
	}
	overhangs(m, sides)
	index := section.NewIndex(m)
	for i := range sides {
		sides[i].ground = firstLayerOf(index, sides[i].up, sides[i].low)
	}
	for _, l := range lies {
		s := sides[of[frameOf(l.Rotation)[2]]-1]
		l.Ground, l.Overhang = s.ground, s.overhang
	}
}

// side is a side of a part that may be up, and what it then stands on.
type side struct {
	up               r3.Vec
	low              float64 // where the bed is, along up
	ground, overhang float64 // mm²
}

// firstLayerOf returns the area of the first layer of a mesh, up from low.
func firstLayerOf(index *section.Index, up r3.Vec, low float64) float64 {
	var area float64
	for _, c := range index.Cut(section.Plane{Point: r3.Scale(low+firstLayer/2, up), Normal: up}).Chains {
		area += c.Area()
	}
	return max(0, area)
}

// overhangs finds for each side the area of the facets of m that face down by
// more than 45° from the vertical and do not lie on the bed.
func overhangs(m *mesh.Mesh, sides []side) {
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
		area := length(n)
		down := -area * math.Sqrt2 / 2
		for i := range sides {
			s := &sides[i]
			if !(r3.Dot(n, s.up) < down) {
				continue
			}
			bed := s.low + firstLayer
			if r3.Dot(a, s.up) > bed || r3.Dot(b, s.up) > bed || r3.Dot(c, s.up) > bed {
				s.overhang += area
			}
		}
	}
	for i := range sides {
		sides[i].overhang /= 2
	}
}
