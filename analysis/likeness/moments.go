package likeness

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Moments are the integrals of 1, x, xx and xxx over a set, x counted from
// About. The set is a surface (Weight is its area), the solid that a surface
// bounds (its volume; what lies between About and the facets where it is open,
// counted by the way they face), or the corners of facets (their number).
// Lengths are mm. The zero Moments are those of the empty set.
//
// Up to a factor they follow every affine map to the letter: corners always,
// solids by the determinant, surfaces where the map keeps angles.
type Moments struct {
	About  [3]float64  `json:"about_mm"`
	Weight float64     `json:"weight"`
	First  [3]float64  `json:"first"`  // x, y, z
	Second [6]float64  `json:"second"` // xx, yy, zz, xy, xz, yz
	Third  [10]float64 `json:"third"`  // xxx, yyy, zzz, xxy, xxz, xyy, yyz, xzz, yzz, xyz
}

// pairs and triples give the place of a product of coordinates.
var (
	pairs   = [3][3]int{{0, 3, 4}, {3, 1, 5}, {4, 5, 2}}
	triples = [3][3][3]int{
		{{0, 3, 4}, {3, 5, 9}, {4, 9, 7}},
		{{3, 5, 9}, {5, 1, 6}, {9, 6, 8}},
		{{4, 9, 7}, {9, 6, 8}, {7, 8, 2}},
	}
	eachPair   = [6][2]int{{0, 0}, {1, 1}, {2, 2}, {0, 1}, {0, 2}, {1, 2}}
	eachTriple = [10][3]int{{0, 0, 0}, {1, 1, 1}, {2, 2, 2}, {0, 0, 1}, {0, 0, 2}, {0, 1, 1}, {1, 1, 2}, {0, 2, 2}, {1, 2, 2}, {0, 1, 2}}
)

// second and third return one moment by its coordinates.
func (m *Moments) second(i, j int) float64   { return m.Second[pairs[i][j]] }
func (m *Moments) third(i, j, k int) float64 { return m.Third[triples[i][j][k]] }

// about returns the moments counted from another point.
func (m Moments) about(p r3.Vec) Moments {
	d := array(r3.Sub(vector(m.About), p))
	out := Moments{About: array(p), Weight: m.Weight}
	for i := range 3 {
		out.First[i] = m.First[i] + m.Weight*d[i]
	}
	for n, ij := range eachPair {
		i, j := ij[0], ij[1]
		out.Second[n] = m.Second[n] + d[i]*m.First[j] + d[j]*m.First[i] + m.Weight*d[i]*d[j]
	}
	for n, ijk := range eachTriple {
		i, j, k := ijk[0], ijk[1], ijk[2]
		out.Third[n] = m.Third[n] +
			d[i]*m.second(j, k) + d[j]*m.second(i, k) + d[k]*m.second(i, j) +
			d[i]*d[j]*m.First[k] + d[i]*d[k]*m.First[j] + d[j]*d[k]*m.First[i] +
			m.Weight*d[i]*d[j]*d[k]
	}
	return out
}

// join adds the moments of another set, counted from the same place.
func (m *Moments) join(other *Moments) {
	m.Weight += other.Weight
	for i, x := range other.First {
		m.First[i] += x
	}
	for i, x := range other.Second {
		m.Second[i] += x
	}
	for i, x := range other.Third {
		m.Third[i] += x
	}
}

// centred returns the moments counted from their own mean; as they are where
// there is no weight.
func (m Moments) centred() Moments {
	if m.Weight == 0 {
		return m
	}
	out := m.about(r3.Add(vector(m.About), r3.Scale(1/m.Weight, vector(m.First))))
	out.First = [3]float64{}
	return out
}

// mapped returns the moments of the set after the map, its weight changed by
// a factor.
func (m Moments) mapped(by Map, factor float64) Moments {
	a := by.Linear
	out := Moments{About: array(by.At(vector(m.About))), Weight: factor * m.Weight}
	for i := range 3 {
		for p := range 3 {
			out.First[i] += factor * a[i][p] * m.First[p]
		}
	}
	for n, ij := range eachPair {
		for p := range 3 {
			for q := range 3 {
				out.Second[n] += factor * a[ij[0]][p] * a[ij[1]][q] * m.second(p, q)
			}
		}
	}
	for n, ijk := range eachTriple {
		for p := range 3 {
			for q := range 3 {
				for r := range 3 {
					out.Third[n] += factor * a[ijk[0]][p] * a[ijk[1]][q] * a[ijk[2]][r] * m.third(p, q, r)
				}
			}
		}
	}
	return out
}

// slack is how far two moments of one shape may lie apart.
type slack struct {
	weight float64 // of the weight
	grain  float64 // of every place, mm
	radius float64 // of the set, mm
}

// near reports whether m and n, counted from places that may be a grain
// apart, are those of one set.
func (m *Moments) near(n *Moments, s slack) bool {
	heavy := math.Max(math.Abs(m.Weight), math.Abs(n.Weight))
	if !(math.Abs(m.Weight-n.Weight) <= s.weight) || !(distance(m.About, n.About) <= 2*s.grain) {
		return false
	}
	first := s.weight*s.radius + heavy*s.grain
	for i := range m.First {
		if !(math.Abs(m.First[i]-n.First[i]) <= first) {
			return false
		}
	}
	second := (s.weight*s.radius + 2*heavy*s.grain) * s.radius
	for i := range m.Second {
		if !(math.Abs(m.Second[i]-n.Second[i]) <= second) {
			return false
		}
	}
	third := (s.weight*s.radius + 3*heavy*s.grain) * s.radius * s.radius
	for i := range m.Third {
		if !(math.Abs(m.Third[i]-n.Third[i]) <= third) {
			return false
		}
	}
	return true
}

func distance(p, q [3]float64) float64 { return r3.Norm(r3.Sub(vector(p), vector(q))) }

func array(v r3.Vec) [3]float64  { return [3]float64{v.X, v.Y, v.Z} }
func vector(p [3]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: p[2]} }
