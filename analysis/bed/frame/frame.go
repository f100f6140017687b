// Package frame finds the directions along which a part is best measured and
// cut, and the planes in which it is its own mirror image. Lengths are mm.
package frame

import (
	"math"

	"gambeson/analysis/bed/hull"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Frame is three unit vectors square to each other along which a part is
// measured and cut.
type Frame [3]r3.Vec

const (
	// mostFlats is how many of the largest faces of the hull give a frame.
	mostFlats = 3
	// sameFrame is the cosine above which two directions count as one: 2°.
	sameFrame = 0.9994
	// broadFlat is the share of the hull's surface that makes a face worth a
	// frame. A guess.
	broadFlat = 0.04
)

// Of returns frames for m: the file's own, the principal axes of the
// surface, those of the largest flat faces, each with the smallest rectangle
// round the part as seen from there, and those of the ways' chords.
func Of(m *mesh.Mesh, chords []r3.Vec) []Frame {
	h := hull.Of(m)
	out := []Frame{{{X: 1}, {Y: 1}, {Z: 1}}}
	add := func(f Frame) {
		for _, g := range out {
			if sameAxes(f, g) {
				return
			}
		}
		out = append(out, f)
	}
	_, _, axes := principal(m)
	add(axes)
	for _, c := range chords {
		add(standing(h, c))
	}
	for i, f := range h.Flats {
		if i == mostFlats || f.Area < broadFlat*h.Area() {
			break
		}
		add(standing(h, f.Normal))
	}
	return out
}

// Same reports whether two unit vectors count as one direction, or as opposite
// ones.
func Same(a, b r3.Vec) bool { return math.Abs(r3.Dot(a, b)) > sameFrame }

// sameAxes reports whether f has the axes of g, in any order.
func sameAxes(f, g Frame) bool {
	for _, a := range f {
		found := false
		for _, b := range g {
			found = found || Same(a, b)
		}
		if !found {
			return false
		}
	}
	return true
}

// standing returns the frame with n upright in which the rectangle round h seen
// along n is the smallest. One of its sides is flush with the outline (Freeman
// & Shapira 1975).
func standing(h *hull.Hull, n r3.Vec) Frame {
	plane := section.Plane{Normal: n}
	flat := make([]r2.Vec, len(h.Points))
	for i, p := range h.Points {
		flat[i] = plane.Flat(p)
	}
	outline := section.Hull(flat)
	best, least := r2.Vec{X: 1}, math.Inf(1)
	for i, p := range outline {
		edge := r2.Sub(outline[(i+1)%len(outline)], p)
		if edge == (r2.Vec{}) {
			continue
		}
		edge = r2.Unit(edge)
		wide, deep := spans(outline, edge), spans(outline, r2.Vec{X: -edge.Y, Y: edge.X})
		if wide*deep < least*(1-1e-6) {
			best, least = edge, wide*deep
		}
	}
	u := plane.Lift(best)
	n = r3.Unit(n)
	return Frame{u, r3.Cross(n, u), n}
}

func spans(points []r2.Vec, along r2.Vec) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range points {
		d := r2.Dot(p, along)
		low, high = min(low, d), max(high, d)
	}
	return high - low
}

// principal returns the middle of the surface of m, the mean products of the
// coordinates there counted from it, mm², and its principal axes, the long one first.
func principal(m *mesh.Mesh) (middle r3.Vec, spread *mat.SymDense, axes Frame) {
	var area float64
	var sum r3.Vec
	var xx, xy, xz, yy, yz, zz float64
	origin := m.Bounds().Center()
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		size := math.Sqrt(r3.Norm2(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))))
		a, b, c = r3.Sub(a, origin), r3.Sub(b, origin), r3.Sub(c, origin)
		area += size
		mid := r3.Add(a, r3.Add(b, c))
		sum = r3.Add(sum, r3.Scale(size/3, mid))
		// ∫ x·xᵀ over a triangle of area 1 is (Σ pᵢ·pᵢᵀ + s·sᵀ)/12, s = Σ pᵢ.
		for _, p := range [4]*r3.Vec{&a, &b, &c, &mid} {
			x, y, z := size/12*p.X, size/12*p.Y, size/12*p.Z
			xx, xy, xz = xx+x*p.X, xy+x*p.Y, xz+x*p.Z
			yy, yz, zz = yy+y*p.Y, yz+y*p.Z, zz+z*p.Z
		}
	}
	axes = Frame{{X: 1}, {Y: 1}, {Z: 1}}
	spread = mat.NewSymDense(3, nil)
	if !(area > 0) {
		return origin, spread, axes
	}
	mean := r3.Scale(1/area, sum)
	spread = mat.NewSymDense(3, []float64{
		xx/area - mean.X*mean.X, xy/area - mean.X*mean.Y, xz/area - mean.X*mean.Z,
		0, yy/area - mean.Y*mean.Y, yz/area - mean.Y*mean.Z,
		0, 0, zz/area - mean.Z*mean.Z,
	})
	var eigen mat.EigenSym
	if eigen.Factorize(spread, true) {
		var v mat.Dense
		eigen.VectorsTo(&v)
		for i := range 3 {
			axes[i] = r3.Unit(r3.Vec{X: v.At(0, 2-i), Y: v.At(1, 2-i), Z: v.At(2, 2-i)})
		}
	}
	return r3.Add(origin, mean), spread, axes
}

// Middle returns the middle of the surface of m.
func Middle(m *mesh.Mesh) r3.Vec {
	var sum r3.Vec
	var area float64
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		size := math.Sqrt(r3.Norm2(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))))
		sum = r3.Add(sum, r3.Scale(size/3, r3.Add(a, r3.Add(b, c))))
		area += size
	}
	if !(area > 0) {
		return m.Bounds().Center()
	}
	return r3.Scale(1/area, sum)
}
