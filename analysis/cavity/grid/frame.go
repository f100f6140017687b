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
func (f *Frame) box(m *mesh.Mesh) (low, high r3.Vec) {
	low = r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	high = r3.Scale(-1, low)
	for _, v := range m.T {
		q := f.To(m.At(v))
		low = r3.Vec{X: min(low.X, q.X), Y: min(low.Y, q.Y), Z: min(low.Z, q.Z)}
		high = r3.Vec{X: max(high.X, q.X), Y: max(high.Y, q.Y), Z: max(high.Z, q.Z)}
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
func principal(m *mesh.Mesh) (Frame, bool) {
	f := Frame{Origin: m.Bounds().Center(), Axes: [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}}
	var sum r3.Vec
	var area float64
	f.eachPoint(m, func(p r3.Vec, w float64) {
		area += w
		sum = r3.Add(sum, r3.Scale(w, p))
	})
	if !(area > 0) || math.IsInf(area, 1) {
		return Frame{}, false
	}
	f.Origin = f.From(r3.Scale(1/area, sum))
	var eigen mat.EigenSym
	if !eigen.Factorize(f.moments(m, area), true) {
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
		f.settle(m, 0, 1, area, lambda[0])
	case lower && !upper:
		f.settle(m, 1, 2, area, lambda[1])
	}
	f.point(m)
	return f, true
}

// eachPoint calls visit with points of every triangle in the frame and their
// weights in mm², which integrate polynomials up to the fourth degree over the
// surface exactly (Dunavant, International Journal for Numerical Methods in
// Engineering 21, 1985, 1129–1148, six points).
func (f *Frame) eachPoint(m *mesh.Mesh, visit func(p r3.Vec, weight float64)) {
	rule := [2]struct{ weight, near, far float64 }{
		{0.223381589678011, 0.445948490915965, 0.108103018168070},
		{0.109951743655322, 0.091576213509771, 0.816847572980459},
	}
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		a, b, c = f.To(a), f.To(b), f.To(c)
		area := r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
		s := r3.Add(a, r3.Add(b, c))
		for _, r := range rule {
			for _, p := range [3]r3.Vec{a, b, c} {
				visit(r3.Add(r3.Scale(r.near, s), r3.Scale(r.far-r.near, p)), area*r.weight)
			}
		}
	}
}

// moments returns the mean second moments of the surface of m in the frame.
func (f *Frame) moments(m *mesh.Mesh, area float64) *mat.SymDense {
	var xx, xy, xz, yy, yz, zz float64
	f.eachPoint(m, func(p r3.Vec, w float64) {
		xx += w * p.X * p.X
		xy += w * p.X * p.Y
		xz += w * p.X * p.Z
		yy += w * p.Y * p.Y
		yz += w * p.Y * p.Z
		zz += w * p.Z * p.Z
	})
	out := mat.NewSymDense(3, []float64{xx, xy, xz, xy, yy, yz, xz, yz, zz})
	out.ScaleSym(1/area, out)
	return out
}

// settle turns the alike axes i and j in their plane. With w the place in that
// plane as a complex number, ∫|w|²w, ∫|w|²w², ∫w³ and ∫w⁴ turn once to four
// times as fast as the part, and each vanishes where the part looks the same
// in more directions than that. The first that does not vanish shows where
// axis i belongs.
func (f *Frame) settle(m *mesh.Mesh, i, j int, area, variance float64) {
	const distinct = 0.02 // of what it would be with all area on one side: a guess
	var sum [4]complex128
	f.eachPoint(m, func(p r3.Vec, weight float64) {
		q := [3]float64{p.X, p.Y, p.Z}
		w, a := complex(q[i], q[j]), complex(weight, 0)
		square, norm := w*w, w*cmplx.Conj(w)
		sum[0] += a * norm * w
		sum[1] += a * norm * square
		sum[2] += a * square * w
		sum[3] += a * square * square
	})
	radius := math.Sqrt(2 * variance)
	turn := 0.0
	for k, degree := range [4]float64{3, 4, 3, 4} {
		if cmplx.Abs(sum[k]) > distinct*area*math.Pow(radius, degree) {
			turn = cmplx.Phase(sum[k]) / float64(k+1)
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
func (f *Frame) point(m *mesh.Mesh) {
	var second, third [3]float64
	f.eachPoint(m, func(p r3.Vec, w float64) {
		for k, x := range [3]float64{p.X, p.Y, p.Z} {
			second[k] += w * x * x
			third[k] += w * x * x * x
		}
	})
	least, skew := 0, math.Inf(1)
	for k := range 3 {
		if s := math.Abs(third[k]) / math.Pow(second[k], 1.5); s < skew {
			least, skew = k, s
		}
		if third[k] < 0 {
			f.Axes[k] = r3.Scale(-1, f.Axes[k])
		}
	}
	f.Axes[least] = r3.Cross(f.Axes[(least+1)%3], f.Axes[(least+2)%3])
}
