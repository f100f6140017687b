package grid

import (
	"math"
	"math/cmplx"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Frame is a right-handed set of unit axes with an origin.
type Frame struct {
	Origin r3.Vec
	Axes   [3]r3.Vec
}

// To returns the coordinates of p in the frame, from those of a point.
func (f *Frame) To(p r3.Vec) r3.Vec {
	p = r3.Sub(p, f.Origin)
	return r3.Vec{X: r3.Dot(f.Axes[0], p), Y: r3.Dot(f.Axes[1], p), Z: r3.Dot(f.Axes[2], p)}
}

// From returns the point with the coordinates q in the frame.
func (f *Frame) From(q r3.Vec) r3.Vec { return r3.Add(f.Origin, f.Turn(q)) }

// Turn returns the direction q of the frame as a direction in space.
func (f *Frame) Turn(q r3.Vec) r3.Vec {
	return r3.Add(r3.Scale(q.X, f.Axes[0]), r3.Add(r3.Scale(q.Y, f.Axes[1]), r3.Scale(q.Z, f.Axes[2])))
}

// box returns the box round the triangles of m in the frame.
func (f *Frame) box(m *mesh.Mesh, workers int) (low, high r3.Vec) {
	lows, highs := make([]r3.Vec, m.Chunks()), make([]r3.Vec, m.Chunks())
	m.EachChunk(workers, func(c mesh.Chunk) {
		low := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
		high := r3.Scale(-1, low)
		for _, v := range m.T[3*c.First : 3*c.End] {
			q := f.To(m.At(v))
			low = r3.Vec{X: min(low.X, q.X), Y: min(low.Y, q.Y), Z: min(low.Z, q.Z)}
			high = r3.Vec{X: max(high.X, q.X), Y: max(high.Y, q.Y), Z: max(high.Z, q.Z)}
		}
		lows[c.Number], highs[c.Number] = low, high
	})
	low, high = lows[0], highs[0]
	for k := range lows {
		low = r3.Vec{X: min(low.X, lows[k].X), Y: min(low.Y, lows[k].Y), Z: min(low.Z, lows[k].Z)}
		high = r3.Vec{X: max(high.X, highs[k].X), Y: max(high.Y, highs[k].Y), Z: max(high.Z, highs[k].Z)}
	}
	return low, high
}

// alike is the relative difference of two principal moments below which their
// axes are not told apart: a guess, well above what a missing facet in fifty
// changes.
const alike = 0.02

// principal returns the frame of the surface of m: its origin the centroid,
// its axes the principal axes of the area, longest first. It turns with the
// part. Where two moments are alike (anything with a round or square section)
// higher moments choose the axes. Each axis points to where the surface
// reaches further (its third moment), the least sure one as the right hand
// wants it, so that left and right stay what they are. It returns false where
// m has no area.
func principal(m *mesh.Mesh, workers int) (Frame, bool) {
	f := Frame{Origin: m.Bounds().Center(), Axes: [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}}
	if m.Triangles() == 0 {
		return Frame{}, false
	}
	area, mean, second := f.moments(m, workers)
	if !(area > 0) || math.IsInf(area, 1) {
		return Frame{}, false
	}
	f.Origin = f.From(mean)
	var eigen mat.EigenSym
	if !eigen.Factorize(second, true) {
		return Frame{}, false
	}
	lambda := eigen.Values(nil) // ascending
	slices.Reverse(lambda)
	var v mat.Dense
	eigen.VectorsTo(&v)
	for k := range 3 {
		f.Axes[k] = r3.Vec{X: v.At(0, 2-k), Y: v.At(1, 2-k), Z: v.At(2, 2-k)}
	}
	switch upper, lower := lambda[1] > (1-alike)*lambda[0], lambda[2] > (1-alike)*lambda[1]; {
	case upper && !lower:
		f.settle(m, 0, 1, area, lambda[0], workers)
	case lower && !upper:
		f.settle(m, 1, 2, area, lambda[1], workers)
	}
	f.point(m, workers)
	return f, true
}

// rule is where a polynomial is taken on a triangle to integrate it over the
// triangle, and the share of the area that each place stands for: with the
// corners a, b and c at near·(a + b + c) + (far − near)·a, and so for b and c.
type rule []struct{ weight, near, far float64 }

var (
	// quadratics has three points, exact up to the second degree.
	quadratics = rule{{1.0 / 3, 1.0 / 6, 2.0 / 3}}
	// quartics has six, exact up to the fourth (Dunavant, International Journal for
	// Numerical Methods in Engineering 21, 1985, 1129–1148).
	quartics = rule{
		{0.223381589678011, 0.445948490915965, 0.108103018168070},
		{0.109951743655322, 0.091576213509771, 0.816847572980459},
	}
)

// spot is a point in the frame that stands for some surface round it.
type spot struct {
	r3.Vec
	weight float64 // mm²
}

// spots is how many are visited at once: their sums can stay in registers, and
// they in the first-level cache.
const spots = 256

// integrate returns integrals over the surface of m: visit adds what spots on
// it add to each.
func (f *Frame) integrate(m *mesh.Mesh, by rule, integrals, workers int, visit func(sums []float64, at []spot)) []float64 {
	parts := make([]float64, m.Chunks()*integrals)
	m.EachChunk(workers, func(c mesh.Chunk) {
		sums := parts[c.Number*integrals : (c.Number+1)*integrals]
		some := make([]spot, 0, spots)
		for t := c.First; t < c.End; t++ {
			p, q, r := m.Corners(t)
			p, q, r = f.To(p), f.To(q), f.To(r)
			area := math.Sqrt(r3.Norm2(r3.Cross(r3.Sub(q, p), r3.Sub(r, p)))) / 2
			s := r3.Add(p, r3.Add(q, r))
			if len(some)+3*len(by) > spots {
				visit(sums, some)
				some = some[:0]
			}
			for _, at := range by {
				near, off, weight := r3.Scale(at.near, s), at.far-at.near, area*at.weight
				some = append(some,
					spot{r3.Add(near, r3.Scale(off, p)), weight},
					spot{r3.Add(near, r3.Scale(off, q)), weight},
					spot{r3.Add(near, r3.Scale(off, r)), weight})
			}
		}
		visit(sums, some)
	})
	out := parts[:integrals]
	for k := integrals; k < len(parts); k++ {
		out[k%integrals] += parts[k]
	}
	return out
}

// moments returns the area of m, the mean place of its surface in the frame,
// and the second moments about that.
func (f *Frame) moments(m *mesh.Mesh, workers int) (area float64, mean r3.Vec, second *mat.SymDense) {
	sums := f.integrate(m, quadratics, 10, workers, func(sums []float64, at []spot) {
		sums = sums[:10]
		area, x, y, z := sums[0], sums[1], sums[2], sums[3]
		xx, xy, xz, yy, yz, zz := sums[4], sums[5], sums[6], sums[7], sums[8], sums[9]
		for i := range at {
			p, w := at[i].Vec, at[i].weight
			area += w
			x += w * p.X
			y += w * p.Y
			z += w * p.Z
			xx += w * p.X * p.X
			xy += w * p.X * p.Y
			xz += w * p.X * p.Z
			yy += w * p.Y * p.Y
			yz += w * p.Y * p.Z
			zz += w * p.Z * p.Z
		}
		copy(sums, []float64{area, x, y, z, xx, xy, xz, yy, yz, zz})
	})
	area = sums[0]
	mean = r3.Scale(1/area, r3.Vec{X: sums[1], Y: sums[2], Z: sums[3]})
	xx, xy, xz := sums[4]/area-mean.X*mean.X, sums[5]/area-mean.X*mean.Y, sums[6]/area-mean.X*mean.Z
	yy, yz, zz := sums[7]/area-mean.Y*mean.Y, sums[8]/area-mean.Y*mean.Z, sums[9]/area-mean.Z*mean.Z
	return area, mean, mat.NewSymDense(3, []float64{xx, xy, xz, xy, yy, yz, xz, yz, zz})
}

// settle turns the alike axes i and j in their plane. With w the place in that
// plane as a complex number, ∫|w|²w, ∫|w|²w², ∫w³ and ∫w⁴ turn once to four
// times as fast as the part, and each vanishes where the part looks the same
// in more directions than that. The first that does not vanish shows where
// axis i belongs.
func (f *Frame) settle(m *mesh.Mesh, i, j int, area, variance float64, workers int) {
	const distinct = 0.02 // of what it would be with all area on one side: a guess
	sums := f.integrate(m, quartics, 8, workers, func(sums []float64, at []spot) {
		sums = sums[:8]
		a, b, c, d, e, f, g, h := sums[0], sums[1], sums[2], sums[3], sums[4], sums[5], sums[6], sums[7]
		for k := range at {
			weight := at[k].weight
			q := [3]float64{at[k].X, at[k].Y, at[k].Z}
			u, v := q[i], q[j]
			uu, vv, uv := u*u-v*v, u*u+v*v, 2*u*v // w² = uu + i·uv, |w|² = vv
			a += weight * vv * u
			b += weight * vv * v
			c += weight * vv * uu
			d += weight * vv * uv
			e += weight * (uu*u - uv*v)
			f += weight * (uu*v + uv*u)
			g += weight * (uu*uu - uv*uv)
			h += weight * 2 * uu * uv
		}
		copy(sums, []float64{a, b, c, d, e, f, g, h})
	})
	radius := math.Sqrt(2 * variance)
	turn := 0.0
	for k, degree := range [4]float64{3, 4, 3, 4} {
		if sum := complex(sums[2*k], sums[2*k+1]); cmplx.Abs(sum) > distinct*area*math.Pow(radius, degree) {
			turn = cmplx.Phase(sum) / float64(k+1)
			break
		}
	}
	sin, cos := math.Sincos(turn)
	u, v := f.Axes[i], f.Axes[j]
	f.Axes[i] = r3.Add(r3.Scale(cos, u), r3.Scale(sin, v))
	f.Axes[j] = r3.Sub(r3.Scale(cos, v), r3.Scale(sin, u))
}

// point turns each axis to where the surface reaches further, the one with the
// least skew so that the axes are right-handed.
func (f *Frame) point(m *mesh.Mesh, workers int) {
	sums := f.integrate(m, quartics, 6, workers, func(sums []float64, at []spot) {
		sums = sums[:6]
		xx, yy, zz, xxx, yyy, zzz := sums[0], sums[1], sums[2], sums[3], sums[4], sums[5]
		for i := range at {
			p, w := at[i].Vec, at[i].weight
			x, y, z := w*p.X*p.X, w*p.Y*p.Y, w*p.Z*p.Z
			xx += x
			yy += y
			zz += z
			xxx += x * p.X
			yyy += y * p.Y
			zzz += z * p.Z
		}
		copy(sums, []float64{xx, yy, zz, xxx, yyy, zzz})
	})
	least, skew := 0, math.Inf(1)
	for k := range 3 {
		second, third := sums[k], sums[3+k]
		if s := math.Abs(third) / math.Pow(second, 1.5); s < skew {
			least, skew = k, s
		}
		if third < 0 {
			f.Axes[k] = r3.Scale(-1, f.Axes[k])
		}
	}
	f.Axes[least] = r3.Cross(f.Axes[(least+1)%3], f.Axes[(least+2)%3])
}
