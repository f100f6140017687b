package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// gap is how far apart two faces that meet may lie: room for glue, 0.3 mm
	// at most (common practice, no source), and the facets of a curved cut. In
	// parts so small that their unit must be wrong it is narrower, finest of
	// them.
	gap, finest = 0.35, 1.0 / 150
	// facing is the cosine up to which the facets of two faces that meet may
	// lean against each other: facets of a curved cut differ.
	facing = 0.8
	// covered is the share of the smaller of two faces that must lie on the
	// other. A pin's hole takes less, and a rim that happens to cross another
	// covers less.
	covered = 0.6
	// What meets must be as wide as a rim: reaching over leastReach of the
	// smaller part's diagonal, and no smaller than leastArea of its surface.
	leastReach, leastArea = 0.2, 5e-4
	// few is the number of points of a face that are tried first, many how many
	// if one of them was met.
	few, many = 12, 120
)

// The two ways in which faces lie on each other.
const (
	against = -1.0 // they face each other
	along   = 1.0  // they face the same way
)

// Piece is a part that may be a piece of a shell.
type Piece struct {
	Name string
	Rims *Rims
}

// Contact says how two pieces lie on each other.
type Contact struct {
	A, B   int     // numbers of the pieces, A < B
	Area   float64 // of faces that face each other, mm²
	Length float64 // of borders that meet, mm
	// Rivals lie in the same place, facing the same way: copies, or versions of
	// one piece. They are not pieces of one shell.
	Rivals bool
	// Clash says of parts that touch, and are no rivals, that they have room in
	// common too (see ShareSpace). They are not pieces of one shell either.
	Clash bool
}

// Opposed reports whether the two are not to come into one shell.
func (c Contact) Opposed() bool { return c.Rivals || c.Clash }

// Touching returns the contacts between the pieces, in order.
func Touching(pieces []Piece) []Contact {
	var out []Contact
	for i, a := range pieces {
		for j, b := range pieces[i+1:] {
			if c, ok := Touch(a.Rims, b.Rims); ok {
				c.A, c.B = i, i+1+j
				out = append(out, c)
			}
		}
	}
	return out
}

// Touch says how two parts touch, as they lie; ok is false where they do not.
func Touch(a, b *Rims) (c Contact, ok bool) {
	p := pair{a, b, reachOf(a, b)}
	if p.apart() {
		return Contact{}, false
	}
	// Beside a cut, wall goes on in wall and so lies along it, but little does.
	c = p.contact(against)
	same := p.contact(along)
	if same.Area > c.Area || same.Area == c.Area && same.Length > c.Length {
		c, c.Rivals = same, true
	}
	return c, c != Contact{}
}

func reachOf(a, b *Rims) float64 { return min(gap, finest*min(a.diagonal(), b.diagonal())) }

// pair is two parts that are compared, within reach mm.
type pair struct {
	a, b  *Rims
	reach float64
}

// apart reports whether the boxes of the two parts do not come near.
func (p pair) apart() bool { return clear(p.a.Box, p.b.Box, p.reach) }

// clear reports whether two boxes are more than reach apart along an axis.
func clear(a, b r3.Box, reach float64) bool {
	return a.Min.X > b.Max.X+reach || b.Min.X > a.Max.X+reach ||
		a.Min.Y > b.Max.Y+reach || b.Min.Y > a.Max.Y+reach ||
		a.Min.Z > b.Max.Z+reach || b.Min.Z > a.Max.Z+reach
}

// contact returns what of the two lies on each other one way; the zero Contact
// where it is less than a rim, or more.
func (p pair) contact(side float64) Contact {
	diagonal, area := min(p.a.diagonal(), p.b.diagonal()), min(p.a.Area, p.b.Area)
	var c Contact
	if met := p.faces(side); r3.Norm(met.span()) >= leastReach*diagonal && met.size >= leastArea*area && (side == along || met.size <= mostShare*area) {
		c.Area = met.size
	}
	if met := p.borders(side); r3.Norm(met.span()) >= leastReach*diagonal {
		c.Length = met.size
	}
	return c
}

// meeting is what of one kind lies on each other.
type meeting struct {
	size float64 // mm² or mm
	box  r3.Box  // of the points that met; empty where size is 0
}

func (m meeting) span() r3.Vec {
	if m.size == 0 {
		return r3.Vec{}
	}
	return r3.Sub(m.box.Max, m.box.Min)
}

func (m *meeting) add(size float64, p r3.Vec) {
	if m.size == 0 {
		m.box = r3.Box{Min: p, Max: p}
	}
	m.size += size
	m.box = grown(m.box, p)
}

// faces returns the area of the faces of which the smaller one is covered. It
// is measured on both parts: where a small face meets a large one, few points
// of the large one hit it.
func (p pair) faces(side float64) meeting {
	onB, coverA := p.a.hits(p.b, side, p.reach)
	onA, coverB := p.b.hits(p.a, side, p.reach)
	met, back := total(onB, coverA, coverB), total(onA, coverB, coverA)
	if back.size > met.size {
		return back
	}
	return met
}

// total adds up the hits between faces of which one is covered.
func total(hits []hit, own, other []float64) meeting {
	var m meeting
	for _, h := range hits {
		if own[h.face] >= covered || other[h.other] >= covered {
			m.add(h.area, h.at)
		}
	}
	return m
}

// hit is a point of a face that lies on a face of the other part.
type hit struct {
	face, other int
	area        float64 // of the share of the face that the point stands for
	at          r3.Vec
}

// hits tries points of every face of r on the faces of o, and says which share
// of each face is covered.
func (r *Rims) hits(o *Rims, side, reach float64) (hits []hit, cover []float64) {
	cover = make([]float64, r.faces())
	on, under := o.index(), o.faceOf()
	try := func(i, n int) (met []hit) {
		r.points(i, n, func(p, normal r3.Vec, area float64) {
			if facet, _, ok := on.near(p, normal, side, reach); ok {
				met = append(met, hit{i, under[facet], area, p})
			}
		})
		return met
	}
	for i := range cover {
		if len(try(i, few)) == 0 {
			continue
		}
		met := try(i, many)
		cover[i] = float64(len(met)) / many
		hits = append(hits, met...)
	}
	return hits, cover
}

// index returns the tree of the facets.
func (r *Rims) index() *tree {
	if r.tree == nil {
		r.tree = newTree(&r.Facets)
	}
	return r.tree
}

// faceOf returns the face of each facet.
func (r *Rims) faceOf() []int {
	of := make([]int, r.Facets.Triangles())
	for i := range r.faces() {
		for t := r.Starts[i]; t < r.Starts[i+1]; t++ {
			of[t] = i
		}
	}
	return of
}

// points calls f for n points spread evenly over face i, always the same ones,
// with the area in mm² that each stands for.
func (r *Rims) points(i, n int, f func(p, normal r3.Vec, area float64)) {
	from, to := r.Starts[i], r.Starts[i+1]
	areas := make([]float64, to-from)
	var whole float64
	for k := range areas {
		areas[k] = area(&r.Facets, from+k)
		whole += areas[k]
	}
	at, sum := 0, areas[0]
	for k := range n {
		for at < len(areas)-1 && sum < (float64(k)+0.5)/float64(n)*whole {
			at++
			sum += areas[at]
		}
		a, b, c := r.Facets.Corners(from + at)
		u, v := spread(k)
		p := r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a))))
		f(p, r.index().normals[from+at], whole/float64(n))
	}
}

// spread returns the shares of two sides of a triangle at which point k of a
// spread lies, by the additive sequence of Roberts ("The unreasonable
// effectiveness of quasirandom sequences", 2018).
func spread(k int) (u, v float64) {
	const first, second = 0.7548776662466927, 0.5698402909980532 // 1/ρ, 1/ρ² of ρ³ = ρ + 1
	_, u = math.Modf(0.5 + float64(k)*first)
	_, v = math.Modf(0.5 + float64(k)*second)
	if u+v > 1 {
		return 1 - u, 1 - v
	}
	return u, v
}
