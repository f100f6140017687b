package cavity

import (
	"context"
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Straight measures m along a straight axis through the middle of its surface,
// at stations step mm apart: the loop of the air round the axis. It knows no
// openings. A zero axis asks for the part's longest principal axis. Where no
// station has a loop there is no cavity. The error is that of ctx.
func Straight(ctx context.Context, m *mesh.Mesh, axis r3.Vec, step float64) ([]Cavity, error) {
	middle, longest := spread(m)
	if axis == (r3.Vec{}) {
		axis = longest
	}
	axis = r3.Unit(axis)
	low, high := extent(m, axis, middle)
	length := high - low
	n := int(math.Floor((length - step) / step))
	through := make([]r3.Vec, 0, max(0, n+1))
	first := low + (length-float64(n)*step)/2
	for k := range n + 1 {
		through = append(through, r3.Add(middle, r3.Scale(first+float64(k)*step, axis)))
	}
	line := Line{To: End}
	for i, s := range section.Sweep(m, axis, through) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if loop, ok := air(s); ok {
			line.Stations = append(line.Stations, Station{
				Along: first + float64(i)*step - low, Center: through[i], Normal: axis,
				InnerGirth: loop.Length(), Cover: 360, Section: s, Void: loop.Points,
			})
		}
	}
	if len(line.Stations) == 0 {
		return nil, nil
	}
	line.Length = length
	return []Cavity{{Lines: []Line{line}}}, nil
}

// air returns the loop of the air round the section's point: the innermost
// closed chain there. Where an odd number of chains goes round the point and
// they face outward, it lies in material.
func air(s section.Section) (section.Chain, bool) {
	at, ok := s.Around(r2.Vec{})
	if !ok {
		return section.Chain{}, false
	}
	round, outward := 0, 0.0
	for _, c := range s.Chains {
		if c.Contains(r2.Vec{}) {
			round++
			outward = max(outward, c.Area())
		}
	}
	return s.Chains[at], round%2 == 0 || outward == 0
}

// spread returns the area-weighted middle of the surface and the direction in
// which it is spread out most: the principal axis of the greatest variance.
func spread(m *mesh.Mesh) (middle, longest r3.Vec) {
	var area float64
	var sum r3.Vec
	second := mat.NewSymDense(3, nil)
	anchor := m.Bounds().Center()
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		w := r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
		area += w
		// The three edge midpoints, a third of the area each, integrate a
		// quadratic over a triangle exactly (Strang & Fix 1973).
		for _, p := range []r3.Vec{r3.Add(a, b), r3.Add(b, c), r3.Add(c, a)} {
			p = r3.Sub(r3.Scale(0.5, p), anchor)
			sum = r3.Add(sum, r3.Scale(w/3, p))
			second.SymRankOne(second, w/3, mat.NewVecDense(3, []float64{p.X, p.Y, p.Z}))
		}
	}
	if area == 0 {
		return anchor, r3.Vec{Z: 1}
	}
	mean := r3.Scale(1/area, sum)
	second.SymRankOne(second, -area, mat.NewVecDense(3, []float64{mean.X, mean.Y, mean.Z}))
	var eigen mat.EigenSym
	longest = r3.Vec{Z: 1}
	if eigen.Factorize(second, true) {
		var vectors mat.Dense
		eigen.VectorsTo(&vectors)
		longest = r3.Vec{X: vectors.At(0, 2), Y: vectors.At(1, 2), Z: vectors.At(2, 2)}
	}
	return r3.Add(anchor, mean), longest
}

func extent(m *mesh.Mesh, axis, from r3.Vec) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for v := range m.Vertices() {
		h := r3.Dot(r3.Sub(m.At(uint32(v)), from), axis)
		low, high = min(low, h), max(high, h)
	}
	return low, high
}
