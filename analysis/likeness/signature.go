// Package likeness compares two meshes by signatures of a few hundred numbers:
// whether one is the other, moved, turned, rescaled, mirrored, cut or another
// shape.
//
// A signature holds integrals over the surface, over the solid and over the
// corners of the facets. None depends on the order of facets or on welding, the
// first two not even on how the surface is divided into facets, and each follows
// the maps it is asked about to the letter, so that a relation is worked out
// from them and then proved by all the others. Points on the surface tell what
// integrals cannot: what of an older shape is still there.
//
// Lengths are mm, scales percent, angles degrees.
package likeness

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Signature is what is kept of a mesh to compare it with others. The zero
// Signature is that of an empty mesh, or of one whose sizes are beyond
// measure.
type Signature struct {
	Triangles int        `json:"triangles"` // with three finite corners
	Low       [3]float64 `json:"low_mm"`    // corner of the box
	High      [3]float64 `json:"high_mm"`
	Grain     float64    `json:"grain_mm"` // step in which the file's places are written
	// Doubts are how far rounding to Grain may have moved area and volume.
	AreaDoubt   float64 `json:"area_doubt_mm2"`
	VolumeDoubt float64 `json:"volume_doubt_mm3"`
	Closed      bool    `json:"closed"` // bounds a solid

	Surface Moments `json:"surface"` // about its middle
	Solid   Moments `json:"solid"`   // about its middle where Closed, else about that of Corners
	Corners Moments `json:"corners"` // about their middle

	// Anchors are the middles of facets evenly spaced in the order of the file.
	Anchors [][3]float32 `json:"anchors_mm"`
	// Sample holds places spread over the surface.
	Sample [][3]float32 `json:"sample_mm"`
}

// Of returns the signature of m, in one pass over its facets and a shorter one
// over their areas.
func Of(m *mesh.Mesh) Signature {
	p := newPass(m)
	p.run()
	s := p.signature()
	if s.Triangles == 0 || !s.finite() {
		return Signature{}
	}
	s.Anchors = anchors(m)
	s.Sample = sample(m, p.areas, s.Surface.Weight)
	return s
}

// Empty reports whether the signature is that of nothing.
func (s *Signature) Empty() bool { return s.Triangles == 0 }

// radius returns half the diagonal of the box.
func (s *Signature) radius() float64 { return distance(s.High, s.Low) / 2 }

// finite reports whether no sum went beyond the numbers.
func (s *Signature) finite() bool {
	for _, m := range []*Moments{&s.Surface, &s.Solid, &s.Corners} {
		sum := m.Weight + r3.Norm2(vector(m.About))
		for _, x := range m.First {
			sum += x
		}
		for _, x := range m.Second {
			sum += x
		}
		for _, x := range m.Third {
			sum += x
		}
		if sum-sum != 0 {
			return false
		}
	}
	doubts := s.AreaDoubt + s.VolumeDoubt + s.Grain
	return doubts-doubts == 0
}

// pass sums over all facets of a mesh, places counted from the middle of their
// corners: that of a part far from the origin loses no digits so, and what lies
// between it and the facets of an open part follows every affine map.
type pass struct {
	m         *mesh.Mesh
	mid       r3.Vec
	low, high [3]float32
	grain     float64
	areas     []float32 // parallel to the facets, 0 where a corner is not finite

	facets                   int // with finite corners
	surface, solid, corners  Moments
	normal                   [3]float64 // sum of areas as vectors, twice
	spread                   matrix     // integral of x times the normal
	edges2, areas2, crinkled float64    // sums of squares, and what rounding adds to the area at most
}

func newPass(m *mesh.Mesh) *pass {
	inf := float32(math.Inf(1))
	p := &pass{
		m: m, grain: grain(m), areas: make([]float32, m.Triangles()),
		low: [3]float32{inf, inf, inf}, high: [3]float32{-inf, -inf, -inf},
	}
	var sum [3]float64
	for t := range p.areas {
		ia, ib, ic := m.T[3*t], m.T[3*t+1], m.T[3*t+2]
		x := float64(m.X[ia]) + float64(m.X[ib]) + float64(m.X[ic])
		y := float64(m.Y[ia]) + float64(m.Y[ib]) + float64(m.Y[ic])
		z := float64(m.Z[ia]) + float64(m.Z[ib]) + float64(m.Z[ic])
		if all := x + y + z; all-all != 0 {
			continue
		}
		p.facets++
		sum[0], sum[1], sum[2] = sum[0]+x, sum[1]+y, sum[2]+z
		p.stretch(0, m.X[ia], m.X[ib], m.X[ic])
		p.stretch(1, m.Y[ia], m.Y[ib], m.Y[ic])
		p.stretch(2, m.Z[ia], m.Z[ib], m.Z[ic])
	}
	p.mid = r3.Scale(1/float64(max(3*p.facets, 1)), vector(sum))
	return p
}

func (p *pass) stretch(k int, a, b, c float32) {
	if low := min(a, b, c); low < p.low[k] {
		p.low[k] = low
	}
	if high := max(a, b, c); high > p.high[k] {
		p.high[k] = high
	}
}

func (p *pass) run() {
	for t := range p.areas {
		a, b, c := p.m.Corners(t)
		a, b, c = r3.Sub(a, p.mid), r3.Sub(b, p.mid), r3.Sub(c, p.mid)
		if sum := a.X + a.Y + a.Z + b.X + b.Y + b.Z + c.X + c.Y + c.Z; sum-sum == 0 {
			p.areas[t] = float32(p.add(a, b, c))
		}
	}
}

// add adds one facet and returns its area.
//
// With s = a+b+c and P, Q the sums of the corners' squares and cubes, the
// complete symmetric products of the corners are h₂ = (ss+P)/2 and
// h₃ = (sss+3·sP+2Q)/6, and the integrals of a monomial of degree k over a
// simplex of dimension d are its size times d!k!/(d+k)! times h_k (Lasserre
// and Avrachenkov 2001). The solid is the tetrahedron with the origin, whose
// zero corner adds nothing to them.
func (p *pass) add(a, b, c r3.Vec) float64 {
	ab, ac := r3.Sub(b, a), r3.Sub(c, a)
	n := r3.Cross(ab, ac)
	area := math.Sqrt(r3.Norm2(n)) / 2
	volume := r3.Dot(a, n) / 6
	sx, sy, sz := a.X+b.X+c.X, a.Y+b.Y+c.Y, a.Z+b.Z+c.Z

	xx := a.X*a.X + b.X*b.X + c.X*c.X
	yy := a.Y*a.Y + b.Y*b.Y + c.Y*c.Y
	zz := a.Z*a.Z + b.Z*b.Z + c.Z*c.Z
	xy := a.X*a.Y + b.X*b.Y + c.X*c.Y
	xz := a.X*a.Z + b.X*b.Z + c.X*c.Z
	yz := a.Y*a.Z + b.Y*b.Z + c.Y*c.Z
	squares := [6]float64{xx, yy, zz, xy, xz, yz}
	h2 := [6]float64{sx*sx + xx, sy*sy + yy, sz*sz + zz, sx*sy + xy, sx*sz + xz, sy*sz + yz}

	ax, bx, cx := a.X*a.X, b.X*b.X, c.X*c.X
	ay, by, cy := a.Y*a.Y, b.Y*b.Y, c.Y*c.Y
	az, bz, cz := a.Z*a.Z, b.Z*b.Z, c.Z*c.Z
	cubes := [10]float64{
		ax*a.X + bx*b.X + cx*c.X, ay*a.Y + by*b.Y + cy*c.Y, az*a.Z + bz*b.Z + cz*c.Z,
		ax*a.Y + bx*b.Y + cx*c.Y, ax*a.Z + bx*b.Z + cx*c.Z,
		ay*a.X + by*b.X + cy*c.X, ay*a.Z + by*b.Z + cy*c.Z,
		az*a.X + bz*b.X + cz*c.X, az*a.Y + bz*b.Y + cz*c.Y,
		a.X*a.Y*a.Z + b.X*b.Y*b.Z + c.X*c.Y*c.Z,
	}
	h3 := [10]float64{
		sx*(sx*sx+3*xx) + 2*cubes[0], sy*(sy*sy+3*yy) + 2*cubes[1], sz*(sz*sz+3*zz) + 2*cubes[2],
		sx*sx*sy + xx*sy + 2*xy*sx + 2*cubes[3], sx*sx*sz + xx*sz + 2*xz*sx + 2*cubes[4],
		sy*sy*sx + yy*sx + 2*xy*sy + 2*cubes[5], sy*sy*sz + yy*sz + 2*yz*sy + 2*cubes[6],
		sz*sz*sx + zz*sx + 2*xz*sz + 2*cubes[7], sz*sz*sy + zz*sy + 2*yz*sz + 2*cubes[8],
		sx*sy*sz + xy*sz + xz*sy + yz*sx + 2*cubes[9],
	}
	s := [3]float64{sx, sy, sz}
	p.surface.gather(area, area/3, area/12, area/60, &s, &h2, &h3)
	p.solid.gather(volume, volume/4, volume/20, volume/120, &s, &h2, &h3)
	p.corners.gather(3, 1, 1, 1, &s, &squares, &cubes)
	p.doubt(ab, ac, n, area)
	p.facing(n, &s)
	return area
}

func (m *Moments) gather(weight, first, second, third float64, s *[3]float64, h2 *[6]float64, h3 *[10]float64) {
	m.Weight += weight
	for i := range s {
		m.First[i] += first * s[i]
	}
	for i := range h2 {
		m.Second[i] += second * h2[i]
	}
	for i := range h3 {
		m.Third[i] += third * h3[i]
	}
}

// doubt adds what rounding may do to this facet's share of area and volume.
//
// Moving a corner by δ changes the area by up to δ times half the side across,
// and the volume by δ times a third of the area: chance, so that squares are
// summed. A facet of height h and side e grows by e·δ²/4h even on average,
// never by more than e·δ/2: that is summed as it is.
func (p *pass) doubt(ab, ac, n r3.Vec, area float64) {
	x, y := r3.Norm2(ab), r3.Norm2(ac)
	z := x + y - 2*r3.Dot(ab, ac)
	p.edges2 += x + y + z
	p.areas2 += area * area
	longest := max(x, y, z)
	steep := longest * p.grain * p.grain
	if most := p.grain * math.Sqrt(longest) / 2; steep < 8*area*most {
		p.crinkled += steep / (8 * area)
	} else {
		p.crinkled += most
	}
}

// facing adds to the sums that tell whether the surface is closed.
func (p *pass) facing(n r3.Vec, s *[3]float64) {
	normal := [3]float64{n.X, n.Y, n.Z}
	for j := range 3 {
		p.normal[j] += normal[j]
		for i := range 3 {
			p.spread[i][j] += s[i] * normal[j]
		}
	}
}

// deviations is how many standard deviations of rounding are forgiven. Sums of
// thousands of roundings are as good as normal; 6 is beyond all chance.
const deviations = 6

// signature makes the sums a signature.
func (p *pass) signature() Signature {
	s := Signature{Triangles: p.facets, Grain: p.grain}
	if p.facets == 0 {
		return s
	}
	for k := range 3 {
		s.Low[k], s.High[k] = float64(p.low[k]), float64(p.high[k])
	}
	sigma := p.grain / math.Sqrt(12) // of a place rounded to a grain
	s.AreaDoubt = deviations*sigma*math.Sqrt(p.edges2)/2 + p.crinkled
	s.VolumeDoubt = deviations * sigma * math.Sqrt(2*p.areas2)
	for _, m := range []*Moments{&p.surface, &p.solid, &p.corners} {
		m.About = array(p.mid)
	}
	s.Surface, s.Corners, s.Solid = p.surface.centred(), p.corners.centred(), p.solid
	if s.Closed = p.closed(&s); s.Closed {
		s.Solid = p.solid.centred()
	}
	return s
}

// closed reports whether the surface bounds a solid that is more than doubt:
// its areas as vectors add up to nothing, and the integral of place times normal
// is the volume in every direction alike (the divergence theorem).
func (p *pass) closed(s *Signature) bool {
	volume := p.solid.Weight
	if math.Abs(volume) <= 4*s.VolumeDoubt {
		return false
	}
	flat := s.AreaDoubt + 1e-9*s.Surface.Weight
	doubt := s.VolumeDoubt + s.radius()*flat
	for i := range 3 {
		if math.Abs(p.normal[i])/2 > flat {
			return false
		}
		for j := range 3 {
			want := 0.0
			if i == j {
				want = volume
			}
			if math.Abs(p.spread[i][j]/6-want) > doubt {
				return false
			}
		}
	}
	return true
}
