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

// inSteps returns the frame in which the coordinates of f count steps of so many
// mm. Its axes are no unit vectors: it serves To alone.
func (f *Frame) inSteps(mm float64) Frame {
	out := *f
	for k := range out.Axes {
		out.Axes[k] = r3.Scale(1/mm, out.Axes[k])
	}
	return out
}

// box returns the box round the vertices of m in the frame.
func (f *Frame) box(m *mesh.Mesh, workers int) (low, high r3.Vec) {
	const most = 1 << 14 // vertices that one worker goes over at once
	blocks := (m.Vertices() + most - 1) / most
	lows, highs := make([]r3.Vec, blocks), make([]r3.Vec, blocks)
	mesh.Share(blocks, workers, func(k, _ int) {
		low := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
		high := r3.Scale(-1, low)
		for v := k * most; v < min((k+1)*most, m.Vertices()); v++ {
			q := f.To(m.At(uint32(v)))
			low = r3.Vec{X: min(low.X, q.X), Y: min(low.Y, q.Y), Z: min(low.Z, q.Z)}
			high = r3.Vec{X: max(high.X, q.X), Y: max(high.Y, q.Y), Z: max(high.Z, q.Z)}
		}
		lows[k], highs[k] = low, high
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
	if m.Triangles() == 0 {
		return Frame{}, false
	}
	f := Frame{Origin: m.Bounds().Center(), Axes: [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}}
	sums := f.moments(m, workers)
	area := sums[0][0][0]
	if !(area > 0) || math.IsInf(area, 1) {
		return Frame{}, false
	}
	mean := r3.Scale(1/area, r3.Vec{X: sums[0][0][1], Y: sums[0][0][2], Z: sums[0][0][3]})
	at := [3]float64{mean.X, mean.Y, mean.Z}
	second := mat.NewSymDense(3, nil)
	for i := range 3 {
		for j := i; j < 3; j++ {
			second.SetSym(i, j, sums[0][1+i][1+j]/area-at[i]*at[j])
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(second, true) {
		return Frame{}, false
	}
	first := f
	f.Origin = f.From(mean)
	lambda := eigen.Values(nil) // ascending
	slices.Reverse(lambda)
	var v mat.Dense
	eigen.VectorsTo(&v)
	for k := range 3 {
		f.Axes[k] = r3.Vec{X: v.At(0, 2-k), Y: v.At(1, 2-k), Z: v.At(2, 2-k)}
	}
	switch upper, lower := lambda[1] > (1-alike)*lambda[0], lambda[2] > (1-alike)*lambda[1]; {
	case upper && !lower:
		f.settle(m, sums.seen(&first, &f), 0, 1, lambda[0], workers)
	case lower && !upper:
		f.settle(m, sums.seen(&first, &f), 1, 2, lambda[1], workers)
	}
	f.point(sums.seen(&first, &f))
	return f, true
}

// rule is where a polynomial is taken on a triangle to integrate it over the
// triangle, and the share of the area that each place stands for: the middle
// for so much, and of each of the others, with the corners a, b and c, that at
// near·(a + b + c) + (far − near)·a, and so for b and c.
type rule struct {
	middle float64
	others []struct{ weight, near, far float64 }
}

var (
	// cubics has four points, exact up to the third degree (Strang and Fix, An
	// Analysis of the Finite Element Method, 1973).
	cubics = rule{-27.0 / 48, []struct{ weight, near, far float64 }{{25.0 / 48, 0.2, 0.6}}}
	// quartics has six, exact up to the fourth (Dunavant, International Journal for
	// Numerical Methods in Engineering 21, 1985, 1129–1148).
	quartics = rule{0, []struct{ weight, near, far float64 }{
		{0.223381589678011, 0.445948490915965, 0.108103018168070},
		{0.109951743655322, 0.091576213509771, 0.816847572980459},
	}}
)

// spot is a point in the frame that stands for some surface round it.
type spot struct {
	r3.Vec
	weight float64 // mm²
}

// tiny is how long an edge of a triangle may be, as a share of the diagonal of the
// part's box, that its middle stands for all of it. A second moment is then too
// small by the square of that over 18 to 36 of the diagonal's square, 3·10⁻⁶:
// less than files are true to, and the same however the part lies.
const tiny = 1.0 / 128

// spots is how many are visited at once: their sums can stay in registers, and
// they in the first-level cache.
const spots = 256

// integrate returns integrals over the surface of m: visit adds what spots on
// it add to each.
func (f *Frame) integrate(m *mesh.Mesh, by rule, integrals, workers int, visit func(sums []float64, at []spot)) []float64 {
	parts := make([]float64, m.Chunks()*integrals)
	short := tiny * tiny * r3.Norm2(m.Bounds().Size())
	m.EachChunk(workers, func(c mesh.Chunk) {
		sums := parts[c.Number*integrals : (c.Number+1)*integrals]
		some := make([]spot, 0, spots)
		for t := c.First; t < c.End; t++ {
			p, q, r := m.Corners(t)
			p, q, r = f.To(p), f.To(q), f.To(r)
			pq, pr := r3.Sub(q, p), r3.Sub(r, p)
			area := math.Sqrt(r3.Norm2(r3.Cross(pq, pr))) / 2
			s := r3.Add(p, r3.Add(q, r))
			if len(some)+1+3*len(by.others) > spots {
				visit(sums, some)
				some = some[:0]
			}
			if max(r3.Norm2(pq), r3.Norm2(pr), r3.Norm2(r3.Sub(pq, pr))) < short {
				some = append(some, spot{r3.Scale(1.0/3, s), area})
				continue
			}
			if by.middle != 0 {
				some = append(some, spot{r3.Scale(1.0/3, s), area * by.middle})
			}
			for _, at := range by.others {
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

// moments are the integrals over a surface of products of three of 1, x, y and
// z, the coordinates in a frame, by their numbers in that order: [0][0][0] is
// the area, [0][1][2] the integral of xy, [3][3][3] that of zzz.
type moments [4][4][4]float64

// moments returns those of the surface of m.
func (f *Frame) moments(m *mesh.Mesh, workers int) *moments {
	sums := f.integrate(m, cubics, 20, workers, func(sums []float64, at []spot) {
		low, high := (*[10]float64)(sums), (*[10]float64)(sums[10:])
		area, x, y, z := low[0], low[1], low[2], low[3]
		xx, xy, xz, yy, yz, zz := low[4], low[5], low[6], low[7], low[8], low[9]
		for i := range at {
			p, w := &at[i].Vec, at[i].weight
			wx, wy, wz := w*p.X, w*p.Y, w*p.Z
			area += w
			x += wx
			y += wy
			z += wz
			xx += wx * p.X
			xy += wx * p.Y
			xz += wx * p.Z
			yy += wy * p.Y
			yz += wy * p.Z
			zz += wz * p.Z
		}
		*low = [10]float64{area, x, y, z, xx, xy, xz, yy, yz, zz}
		xxx, xxy, xxz, xyy, xyz := high[0], high[1], high[2], high[3], high[4]
		xzz, yyy, yyz, yzz, zzz := high[5], high[6], high[7], high[8], high[9]
		for i := range at {
			p, w := &at[i].Vec, at[i].weight
			wxx, wyy, wzz := w*p.X*p.X, w*p.Y*p.Y, w*p.Z*p.Z
			xxx += wxx * p.X
			xxy += wxx * p.Y
			xxz += wxx * p.Z
			xyy += wyy * p.X
			xyz += w * p.X * p.Y * p.Z
			xzz += wzz * p.X
			yyy += wyy * p.Y
			yyz += wyy * p.Z
			yzz += wzz * p.Y
			zzz += wzz * p.Z
		}
		*high = [10]float64{xxx, xxy, xxz, xyy, xyz, xzz, yyy, yyz, yzz, zzz}
	})
	out := &moments{}
	k := 0
	for _, least := range [2]int{0, 1} { // low holds what has a factor 1, high the rest
		for i := least; i <= least*3; i++ {
			for j := i; j < 4; j++ {
				for l := j; l < 4; l++ {
					out.set(i, j, l, sums[k])
					k++
				}
			}
		}
	}
	return out
}

// set sets the integral of the product of i, j and k, in all orders of them.
func (s *moments) set(i, j, k int, to float64) {
	s[i][j][k], s[i][k][j] = to, to
	s[j][i][k], s[j][k][i] = to, to
	s[k][i][j], s[k][j][i] = to, to
}

// seen returns, from the moments in one frame, those in another.
func (s *moments) seen(from, to *Frame) *moments {
	by := [4][4]float64{{1}} // the coordinates there, from 1, x, y and z here
	for k, axis := range to.Axes {
		by[k+1] = [4]float64{
			r3.Dot(axis, r3.Sub(from.Origin, to.Origin)),
			r3.Dot(axis, from.Axes[0]), r3.Dot(axis, from.Axes[1]), r3.Dot(axis, from.Axes[2]),
		}
	}
	out := &moments{}
	for i := range 4 {
		for j := i; j < 4; j++ {
			for k := j; k < 4; k++ {
				sum := 0.0
				for p := range 4 {
					for q := range 4 {
						for r := range 4 {
							sum += by[i][p] * by[j][q] * by[k][r] * s[p][q][r]
						}
					}
				}
				out.set(i, j, k, sum)
			}
		}
	}
	return out
}

// settle turns the alike axes i and j in their plane. With w the place in that
// plane as a complex number, ∫|w|²w, ∫|w|²w², ∫w³ and ∫w⁴ turn once to four
// times as fast as the part, and each vanishes where the part looks the same
// in more directions than that. The first that does not vanish shows where
// axis i belongs. seen are the moments in the frame as it is.
func (f *Frame) settle(m *mesh.Mesh, seen *moments, i, j int, variance float64, workers int) {
	const distinct = 0.02 // of what it would be with all area on one side: a guess
	u, v := i+1, j+1
	uuu, uuv, uvv, vvv := seen[u][u][u], seen[u][u][v], seen[u][v][v], seen[v][v][v]
	var twice, fourfold complex128 // ∫|w|²w² and ∫w⁴, found when asked for
	radius := math.Sqrt(2 * variance)
	for k, degree := range [4]float64{3, 4, 3, 4} {
		var sum complex128
		switch k {
		case 0:
			sum = complex(uuu+uvv, uuv+vvv)
		case 1:
			twice, fourfold = f.fourth(m, i, j, workers)
			sum = twice
		case 2:
			sum = complex(uuu-3*uvv, 3*uuv-vvv)
		case 3:
			sum = fourfold
		}
		if cmplx.Abs(sum) > distinct*seen[0][0][0]*math.Pow(radius, degree) {
			sin, cos := math.Sincos(cmplx.Phase(sum) / float64(k+1))
			u, v := f.Axes[i], f.Axes[j]
			f.Axes[i] = r3.Add(r3.Scale(cos, u), r3.Scale(sin, v))
			f.Axes[j] = r3.Sub(r3.Scale(cos, v), r3.Scale(sin, u))
			return
		}
	}
}

// fourth returns ∫|w|²w² and ∫w⁴, w the place in the plane of axes i and j as a
// complex number.
func (f *Frame) fourth(m *mesh.Mesh, i, j, workers int) (twice, fourfold complex128) {
	sums := f.integrate(m, quartics, 4, workers, func(sums []float64, at []spot) {
		sums = sums[:4]
		a, b, c, d := sums[0], sums[1], sums[2], sums[3]
		for k := range at {
			weight := at[k].weight
			q := [3]float64{at[k].X, at[k].Y, at[k].Z}
			u, v := q[i], q[j]
			uu, vv, uv := u*u-v*v, u*u+v*v, 2*u*v // w² = uu + i·uv, |w|² = vv
			a += weight * vv * uu
			b += weight * vv * uv
			c += weight * (uu*uu - uv*uv)
			d += weight * 2 * uu * uv
		}
		copy(sums, []float64{a, b, c, d})
	})
	return complex(sums[0], sums[1]), complex(sums[2], sums[3])
}

// even is the skew below which a surface reaches as far both ways along an axis: more
// than the rounding of a file makes of a symmetric part (a guess).
const even = 1e-4

// point turns each axis to where the surface reaches further. One along which it is
// even points down x, else y, else z in space, so that it is not noise that chooses; then
// the one with the least skew is turned so that the axes are right-handed. seen are
// the moments in the frame as it is.
func (f *Frame) point(seen *moments) {
	least, skew := 0, math.Inf(1)
	for k := range 3 {
		second, third := seen[0][k+1][k+1], seen[k+1][k+1][k+1]
		s := third / math.Pow(second, 1.5) * math.Sqrt(seen[0][0][0])
		if math.Abs(s) < even {
			s = 0
		}
		if math.Abs(s) < skew {
			least, skew = k, math.Abs(s)
		}
		if s < 0 || s == 0 && leading(f.Axes[k]) > 0 {
			f.Axes[k] = r3.Scale(-1, f.Axes[k])
		}
	}
	f.Axes[least] = r3.Cross(f.Axes[(least+1)%3], f.Axes[(least+2)%3])
}

// leading returns the first coordinate of a unit vector that is large.
func leading(v r3.Vec) float64 {
	for _, x := range [3]float64{v.X, v.Y, v.Z} {
		if math.Abs(x) > 0.5 { // one is, for 3·0.5² < 1
			return x
		}
	}
	return 0
}
