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

// Of returns the signature of m, the same to the bit on any number of workers.
func Of(m *mesh.Mesh, workers int) Signature {
	p := newPass(m, workers)
	s := p.signature(workers)
	if s.Triangles == 0 || !s.finite() {
		return Signature{}
	}
	s.Anchors = anchors(m)
	s.Sample = sample(m, p.areas, s.Surface.Weight, workers)
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

// pass is two passes over all facets of a mesh, the second with places counted
// from the middle of their corners: that of a part far from the origin loses no
// digits so, and what lies between it and the facets of an open part follows
// every affine map.
type pass struct {
	m     *mesh.Mesh
	mid   r3.Vec
	box   span
	grain float64
	areas []float32 // parallel to the facets, 0 where a corner is not finite
}

// span is what the first pass sums over facets with finite corners.
type span struct {
	facets    int
	corners   [3]float64 // sum of their places
	low, high [3]float32
}

func newPass(m *mesh.Mesh, workers int) *pass {
	p := &pass{m: m, grain: grain(m), areas: make([]float32, m.Triangles()), box: nowhere()}
	parts := make([]span, m.Chunks())
	m.EachChunk(workers, func(c mesh.Chunk) { parts[c.Number] = spanOf(m, c.First, c.End) })
	for i := range parts {
		p.box.add(&parts[i])
	}
	p.mid = r3.Scale(1/float64(max(3*p.box.facets, 1)), vector(p.box.corners))
	return p
}

// nowhere returns the span of no facet.
func nowhere() span {
	inf := float32(math.Inf(1))
	return span{low: [3]float32{inf, inf, inf}, high: [3]float32{-inf, -inf, -inf}}
}

// spanOf returns the span of the facets first … end−1.
func spanOf(m *mesh.Mesh, first, end int) span {
	s := nowhere()
	for t := first; t < end; t++ {
		ia, ib, ic := m.T[3*t], m.T[3*t+1], m.T[3*t+2]
		x := float64(m.X[ia]) + float64(m.X[ib]) + float64(m.X[ic])
		y := float64(m.Y[ia]) + float64(m.Y[ib]) + float64(m.Y[ic])
		z := float64(m.Z[ia]) + float64(m.Z[ib]) + float64(m.Z[ic])
		if all := x + y + z; all-all != 0 {
			continue
		}
		s.facets++
		s.corners[0], s.corners[1], s.corners[2] = s.corners[0]+x, s.corners[1]+y, s.corners[2]+z
		s.stretch(0, m.X[ia], m.X[ib], m.X[ic])
		s.stretch(1, m.Y[ia], m.Y[ib], m.Y[ic])
		s.stretch(2, m.Z[ia], m.Z[ib], m.Z[ic])
	}
	return s
}

func (s *span) stretch(k int, a, b, c float32) {
	if low := min(a, b, c); low < s.low[k] {
		s.low[k] = low
	}
	if high := max(a, b, c); high > s.high[k] {
		s.high[k] = high
	}
}

// add adds the span of other facets.
func (s *span) add(other *span) {
	s.facets += other.facets
	for k := range 3 {
		s.corners[k] += other.corners[k]
		s.low[k], s.high[k] = min(s.low[k], other.low[k]), max(s.high[k], other.high[k])
	}
}

// sums are what the second pass sums over facets with finite corners, places
// counted from the middle.
type sums struct {
	grain                    float64
	surface, solid, corners  Moments
	normal                   [3]float64 // sum of areas as vectors, twice
	spread                   matrix     // integral of x times the normal
	edges2, areas2, crinkled float64    // sums of squares, and what rounding adds to the area at most

	of, at products // of the facet being added: of its corners alone, and over all of it
}

// products are sums of products of coordinates, as Moments hold them.
type products struct {
	first  [3]float64
	second [6]float64
	third  [10]float64
}

// sum adds up all facets, and keeps their areas.
func (p *pass) sum(workers int) *sums {
	parts := make([]sums, p.m.Chunks())
	p.m.EachChunk(workers, func(c mesh.Chunk) {
		s := &sums{grain: p.grain}
		for t := c.First; t < c.End; t++ {
			a, b, c := p.m.Corners(t)
			a, b, c = r3.Sub(a, p.mid), r3.Sub(b, p.mid), r3.Sub(c, p.mid)
			if sum := a.X + a.Y + a.Z + b.X + b.Y + b.Z + c.X + c.Y + c.Z; sum-sum == 0 {
				p.areas[t] = float32(s.add(a, b, c))
			}
		}
		parts[c.Number] = *s
	})
	all := &sums{grain: p.grain}
	for i := range parts {
		all.join(&parts[i])
	}
	return all
}

// add adds one facet and returns its area.
//
// With s = a+b+c and P, Q the sums of the corners' squares and cubes, the
// complete symmetric products of the corners are h₂ = (ss+P)/2 and
// h₃ = (sss+3·sP+2Q)/6, and the integrals of a monomial of degree k over a
// simplex of dimension d are its size times d!k!/(d+k)! times h_k (Lasserre
// and Avrachenkov 2001). The solid is the tetrahedron with the origin, whose
// zero corner adds nothing to them.
func (p *sums) add(a, b, c r3.Vec) float64 {
	ab, ac := r3.Sub(b, a), r3.Sub(c, a)
	n := r3.Cross(ab, ac)
	area := math.Sqrt(r3.Norm2(n)) / 2
	volume := r3.Dot(a, n) / 6

	sx, sy, sz := a.X+b.X+c.X, a.Y+b.Y+c.Y, a.Z+b.Z+c.Z
	p.at.first[0], p.at.first[1], p.at.first[2] = sx, sy, sz

	xx := a.X*a.X + b.X*b.X + c.X*c.X
	yy := a.Y*a.Y + b.Y*b.Y + c.Y*c.Y
	zz := a.Z*a.Z + b.Z*b.Z + c.Z*c.Z
	xy := a.X*a.Y + b.X*b.Y + c.X*c.Y
	xz := a.X*a.Z + b.X*b.Z + c.X*c.Z
	yz := a.Y*a.Z + b.Y*b.Z + c.Y*c.Z
	squares, h2 := &p.of.second, &p.at.second
	squares[0], squares[1], squares[2] = xx, yy, zz
	squares[3], squares[4], squares[5] = xy, xz, yz
	h2[0], h2[1], h2[2] = sx*sx+xx, sy*sy+yy, sz*sz+zz
	h2[3], h2[4], h2[5] = sx*sy+xy, sx*sz+xz, sy*sz+yz

	ax, bx, cx := a.X*a.X, b.X*b.X, c.X*c.X
	ay, by, cy := a.Y*a.Y, b.Y*b.Y, c.Y*c.Y
	az, bz, cz := a.Z*a.Z, b.Z*b.Z, c.Z*c.Z
	cubes, h3 := &p.of.third, &p.at.third
	cubes[0] = ax*a.X + bx*b.X + cx*c.X
	cubes[1] = ay*a.Y + by*b.Y + cy*c.Y
	cubes[2] = az*a.Z + bz*b.Z + cz*c.Z
	cubes[3] = ax*a.Y + bx*b.Y + cx*c.Y
	cubes[4] = ax*a.Z + bx*b.Z + cx*c.Z
	cubes[5] = ay*a.X + by*b.X + cy*c.X
	cubes[6] = ay*a.Z + by*b.Z + cy*c.Z
	cubes[7] = az*a.X + bz*b.X + cz*c.X
	cubes[8] = az*a.Y + bz*b.Y + cz*c.Y
	cubes[9] = a.X*a.Y*a.Z + b.X*b.Y*b.Z + c.X*c.Y*c.Z
	h3[0] = sx*(sx*sx+3*xx) + 2*cubes[0]
	h3[1] = sy*(sy*sy+3*yy) + 2*cubes[1]
	h3[2] = sz*(sz*sz+3*zz) + 2*cubes[2]
	h3[3] = sx*sx*sy + xx*sy + 2*xy*sx + 2*cubes[3]
	h3[4] = sx*sx*sz + xx*sz + 2*xz*sx + 2*cubes[4]
	h3[5] = sy*sy*sx + yy*sx + 2*xy*sy + 2*cubes[5]
	h3[6] = sy*sy*sz + yy*sz + 2*yz*sy + 2*cubes[6]
	h3[7] = sz*sz*sx + zz*sx + 2*xz*sz + 2*cubes[7]
	h3[8] = sz*sz*sy + zz*sy + 2*yz*sz + 2*cubes[8]
	h3[9] = sx*sy*sz + xy*sz + xz*sy + yz*sx + 2*cubes[9]

	p.gather(area, volume)
	p.doubt(ab, ac, n, area)
	p.facing(n)
	return area
}

// gather adds the products of a facet of that area, and of that volume with the
// origin, to the moments.
func (p *sums) gather(area, volume float64) {
	p.surface.Weight += area
	p.solid.Weight += volume
	p.corners.Weight += 3
	surface, solid := area/3, volume/4
	for i, h := range &p.at.first {
		p.surface.First[i] += surface * h
		p.solid.First[i] += solid * h
		p.corners.First[i] += h
	}
	surface, solid = area/12, volume/20
	for i, h := range &p.at.second {
		p.surface.Second[i] += surface * h
		p.solid.Second[i] += solid * h
		p.corners.Second[i] += p.of.second[i]
	}
	surface, solid = area/60, volume/120
	for i, h := range &p.at.third {
		p.surface.Third[i] += surface * h
		p.solid.Third[i] += solid * h
		p.corners.Third[i] += p.of.third[i]
	}
}

// doubt adds what rounding may do to this facet's share of area and volume.
//
// Moving a corner by δ changes the area by up to δ times half the side across,
// and the volume by δ times a third of the area: chance, so that squares are
// summed. A facet of height h and side e grows by e·δ²/4h even on average,
// never by more than e·δ/2: that is summed as it is.
func (p *sums) doubt(ab, ac, n r3.Vec, area float64) {
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
func (p *sums) facing(n r3.Vec) {
	for j, n := range [3]float64{n.X, n.Y, n.Z} {
		p.normal[j] += n
		for i, s := range &p.at.first {
			p.spread[i][j] += s * n
		}
	}
}

// join adds the sums over other facets.
func (p *sums) join(other *sums) {
	p.surface.join(&other.surface)
	p.solid.join(&other.solid)
	p.corners.join(&other.corners)
	for j := range 3 {
		p.normal[j] += other.normal[j]
		for i := range 3 {
			p.spread[i][j] += other.spread[i][j]
		}
	}
	p.edges2 += other.edges2
	p.areas2 += other.areas2
	p.crinkled += other.crinkled
}

// deviations is how many standard deviations of rounding are forgiven. Sums of
// thousands of roundings are as good as normal; 6 is beyond all chance.
const deviations = 6

// signature returns the signature without its places.
func (p *pass) signature(workers int) Signature {
	s := Signature{Triangles: p.box.facets, Grain: p.grain}
	if p.box.facets == 0 {
		return s
	}
	for k := range 3 {
		s.Low[k], s.High[k] = float64(p.box.low[k]), float64(p.box.high[k])
	}
	all := p.sum(workers)
	sigma := p.grain / math.Sqrt(12) // of a place rounded to a grain
	s.AreaDoubt = deviations*sigma*math.Sqrt(all.edges2)/2 + all.crinkled
	s.VolumeDoubt = deviations * sigma * math.Sqrt(2*all.areas2)
	for _, m := range []*Moments{&all.surface, &all.solid, &all.corners} {
		m.About = array(p.mid)
	}
	s.Surface, s.Corners, s.Solid = all.surface.centred(), all.corners.centred(), all.solid
	if s.Closed = all.closed(&s); s.Closed {
		s.Solid = all.solid.centred()
	}
	return s
}

// closed reports whether the surface bounds a solid that is more than doubt:
// its areas as vectors add up to nothing, and the integral of place times normal
// is the volume in every direction alike (the divergence theorem).
func (p *sums) closed(s *Signature) bool {
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
