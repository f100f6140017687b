package likeness

import (
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// across returns the plane square to normal that has a share of the part's
// length beyond it.
func across(m *mesh.Mesh, normal r3.Vec, share float64) section.Plane {
	normal = r3.Unit(normal)
	low, high := math.Inf(1), math.Inf(-1)
	for v := range m.X {
		h := r3.Dot(normal, m.At(uint32(v)))
		low, high = min(low, h), max(high, h)
	}
	return section.Plane{Point: r3.Scale(high-share*(high-low), normal), Normal: normal}
}

// samePlane reports whether two planes are one to a thousandth of a degree and
// of a millimetre at a place.
func samePlane(p, q section.Plane) bool {
	return r3.Norm(r3.Sub(p.Normal, r3.Unit(q.Normal))) < 2e-5 && math.Abs(above(p, q.Point)) < 1e-2 && math.Abs(above(q, p.Point)) < 1e-3
}

// A hundred parts cut anywhere between a thirtieth and nine tenths of their
// length: the plane is found.
func TestHundredPartsCut(t *testing.T) {
	const seed = 21
	rng := rand.New(rand.NewPCG(seed, 1))
	for n := range parts {
		old := saved(t, part(rng, n))
		normal := vecOf(rng, 1)
		if n%2 == 0 {
			normal = r3.Vec{Z: 1}
		}
		plane := across(old, normal, 0.033+0.867*rng.Float64())
		_, m, _ := section.Halves(old, plane)
		m = saved(t, m)
		got := became(old, m)
		if got.Kind != Cut || got.Shift != (r3.Vec{}) || len(got.Planes) != 1 || !samePlane(got.Planes[0], plane) {
			t.Errorf("seed %d, part %d cut at %v: %+v", seed, n, plane, got)
		}
	}
}

// Cuts by two planes, with the caps left out, of an open part, or moved after.
func TestOtherCuts(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	old := lump(rng)
	top, side := across(old, r3.Vec{Z: 1}, 0.3), across(old, r3.Vec{X: 1, Z: 0.2}, 0.4)
	_, lower, _ := section.Halves(old, top)
	_, both, _ := section.Halves(lower, side)
	sheet := open(old)
	_, less, _ := section.Halves(sheet, side)
	_, lowerSheet, _ := section.Halves(sheet, top)
	upper, _, _ := section.Halves(old, top)
	onBed := shape.Offset(upper, r3.Vec{Z: -upper.Bounds().Min.Z})
	bottom := top
	bottom.Normal = r3.Scale(-1, top.Normal)
	bottom.Point = r3.Sub(top.Point, r3.Vec{Z: upper.Bounds().Min.Z})
	tube := shape.Tube{Sides: 64, Radius: 40, Wall: 3, Height: 60}.Mesh()
	square := across(tube, r3.Vec{Z: 1}, 0.3)
	_, ring, _ := section.Halves(tube, square)
	for _, c := range []struct {
		name     string
		old, new *mesh.Mesh
		want     []section.Plane
		moved    bool
	}{
		{"two planes", old, both, []section.Plane{top, side}, false},
		{"no caps", old, uncapped(lower, top), []section.Plane{top}, false},
		{"an open part with a cap", sheet, less, []section.Plane{side}, false},
		{"an open part without", sheet, uncapped(lowerSheet, top), []section.Plane{top}, false},
		{"laid on the bed", old, onBed, []section.Plane{bottom}, true},
		{"a tube cut square", tube, ring, []section.Plane{square}, false},
	} {
		got := became(c.old, saved(t, c.new))
		if got.Kind != Cut || len(got.Planes) != len(c.want) || (got.Shift != r3.Vec{}) != c.moved {
			t.Errorf("%s: %+v", c.name, got)
			continue
		}
		for _, p := range c.want {
			if !samePlane(got.Planes[0], p) && !samePlane(got.Planes[len(got.Planes)-1], p) {
				t.Errorf("%s: %v is not among %v", c.name, p, got.Planes)
			}
		}
	}
	rescaled := tube.Map(func(p r3.Vec) r3.Vec { p.Z *= 0.7; return p })
	if got := became(tube, rescaled); got.Kind != Rescaled || math.Abs(got.Axes[2]-70) > 0.01 {
		t.Errorf("a tube rescaled along its axis: %+v", got)
	}
}

// open returns the facets of m whose middles are in front, all in one sheet.
func open(m *mesh.Mesh) *mesh.Mesh {
	out := m.Clone()
	out.T = nil
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		if a.Y+b.Y+c.Y > 0 {
			out.T = append(out.T, m.T[3*t:3*t+3]...)
		}
	}
	return out
}

// uncapped returns m without its facets in a plane.
func uncapped(m *mesh.Mesh, p section.Plane) *mesh.Mesh {
	out := m.Clone()
	out.T = nil
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		if math.Abs(above(p, a))+math.Abs(above(p, b))+math.Abs(above(p, c)) > 1e-3 {
			out.T = append(out.T, m.T[3*t:3*t+3]...)
		}
	}
	return out
}

// A hole, a slot and a corner knocked off unevenly are not cuts.
func TestWhatIsNoCut(t *testing.T) {
	old := lump(rand.New(rand.NewPCG(3, 1)))
	middle := old.Bounds().Center()
	drilled, jagged := old.Clone(), old.Clone()
	drilled.T, jagged.T = nil, nil
	for f := range old.Triangles() {
		a, b, c := old.Corners(f)
		mid := r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
		if math.Hypot(mid.X-middle.X, mid.Z-middle.Z) > 25 {
			drilled.T = append(drilled.T, old.T[3*f:3*f+3]...)
		}
		if mid.X+mid.Z+10*math.Sin(float64(f)) < middle.X+middle.Z {
			jagged.T = append(jagged.T, old.T[3*f:3*f+3]...)
		}
	}
	for name, m := range map[string]*mesh.Mesh{"drilled": drilled, "jagged": jagged} {
		if got := became(old, m); got.Kind != Edited {
			t.Errorf("%s: %+v", name, got)
		}
	}
}
