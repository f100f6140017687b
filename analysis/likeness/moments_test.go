package likeness

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// box returns the box of half-sides a, b, c about the origin.
func box(a, b, c float64) *mesh.Mesh {
	m := shape.Bar{X: 2 * a, Y: 2 * b, Z: 2 * c}.Mesh()
	return shape.Offset(m, r3.Scale(-1, m.Bounds().Center()))
}

// The moments of a box are known in closed form (any handbook of mechanics:
// the integral of x² over a box is V·(2a)²/12, over its surface the sum of that
// of three pairs of rectangles; from memory).
func TestMomentsOfABox(t *testing.T) {
	const a, b, c = 50.0, 30.0, 10.0
	s := Of(box(a, b, c), 1)
	v := 8 * a * b * c
	solid := [6]float64{v * a * a / 3, v * b * b / 3, v * c * c / 3}
	pairs := func(a, b, c float64) float64 { return 8*b*c*a*a + (8*a*c+8*a*b)*a*a/3 }
	surface := [6]float64{pairs(a, b, c), pairs(b, c, a), pairs(c, a, b)}
	if math.Abs(s.Solid.Weight-v) > 1e-9*v || math.Abs(s.Surface.Weight-8*(a*b+b*c+c*a)) > 1e-9*v || s.Corners.Weight != 36 || !s.Closed {
		t.Errorf("volume %g, area %g, %g corners, closed %t", s.Solid.Weight, s.Surface.Weight, s.Corners.Weight, s.Closed)
	}
	for k := range 6 {
		if math.Abs(s.Solid.Second[k]-solid[k]) > 1e-9*solid[0] || math.Abs(s.Surface.Second[k]-surface[k]) > 1e-9*surface[0] {
			t.Errorf("second moment %d: %g of %g, %g of %g", k, s.Solid.Second[k], solid[k], s.Surface.Second[k], surface[k])
		}
	}
	for k := range 10 {
		if math.Abs(s.Solid.Third[k]) > 1e-6*v || math.Abs(s.Surface.Third[k]) > 1e-6*v {
			t.Errorf("third moment %d: %g, %g", k, s.Solid.Third[k], s.Surface.Third[k])
		}
	}
	// Counted from a corner the third ones are products of ∫x, ∫x², ∫x³ over
	// the sides 2a, 2b, 2c.
	m := s.Solid.about(r3.Vec{X: -a, Y: -b, Z: -c})
	power := func(side float64, n int) float64 { return math.Pow(2*side, float64(n+1)) / float64(n+1) }
	for n, ijk := range eachTriple {
		var times [3]int
		for _, k := range ijk {
			times[k]++
		}
		want := power(a, times[0]) * power(b, times[1]) * power(c, times[2])
		if math.Abs(m.Third[n]-want) > 1e-9*want {
			t.Errorf("third moment %v from a corner: %g of %g", ijk, m.Third[n], want)
		}
	}
}

// Second route: what a map makes of the moments is what is measured of the
// mapped mesh.
func TestMomentsFollowMaps(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	for n := range 20 {
		m := lump(rng)
		if n%2 == 0 {
			m = shape.DropFacets(m, 10, 1) // open
		}
		var by Map
		for i := range 3 {
			for j := range 3 {
				by.Linear[i][j] = rng.NormFloat64()
			}
		}
		by.Shift = vecOf(rng, 100)
		s, to := Of(m, 1), Of(m.Map(by.At), 1)
		det := determinant(by.Linear)
		tolerance := slack{weight: 1e-4 * math.Abs(to.Solid.Weight), grain: 1e-3, radius: to.radius()}
		corners, solid := s.Corners.mapped(by, 1), s.Solid.mapped(by, det)
		if !solid.near(&to.Solid, tolerance) {
			t.Errorf("solid %d: %+v, measured %+v", n, solid, to.Solid)
		}
		tolerance.weight = 1e-9
		if !corners.near(&to.Corners, tolerance) {
			t.Errorf("corners %d: %+v, measured %+v", n, corners, to.Corners)
		}
		turn, factor := shape.Rotation(rng.Uint64()), 0.3+rng.Float64()
		by = Map{Linear: scaled(factor, rotation(turnVector(turn))), Shift: by.Shift}
		to = Of(m.Map(func(p r3.Vec) r3.Vec { return r3.Add(by.Shift, r3.Scale(factor, turn.Rotate(p))) }), 1)
		surface := s.Surface.mapped(by, factor*factor)
		tolerance = slack{weight: 1e-5 * to.Surface.Weight, grain: 1e-3, radius: to.radius()}
		if !surface.near(&to.Surface, tolerance) {
			t.Errorf("surface %d: %+v, measured %+v", n, surface, to.Surface)
		}
	}
}

// turnVector returns a rotation as a vector along its axis, as long as its
// angle.
func turnVector(r r3.Rotation) r3.Vec {
	x, y, z := r.Rotate(r3.Vec{X: 1}), r.Rotate(r3.Vec{Y: 1}), r.Rotate(r3.Vec{Z: 1})
	axis, angle := turnOf(matrix{{x.X, y.X, z.X}, {x.Y, y.Y, z.Y}, {x.Z, y.Z, z.Z}})
	return r3.Scale(angle, axis)
}

func TestTurnOf(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 1))
	for range 2000 {
		angle := math.Pi * rng.Float64()
		switch rng.IntN(4) {
		case 0:
			angle = math.Pi - 1e-9*rng.Float64()
		case 1:
			angle = 1e-6 * rng.Float64()
		}
		axis := r3.Unit(vecOf(rng, 1))
		got, by := turnOf(rotation(r3.Scale(angle, axis)))
		if math.Abs(by-angle) > 1e-9 || angle > 1e-7 && r3.Norm(r3.Sub(got, axis)) > 1e-8 && math.Pi-angle > 1e-7 || math.Pi-angle < 1e-7 && r3.Norm(r3.Cross(got, axis)) > 1e-8 {
			t.Fatalf("%v by %g: got %v by %g", axis, angle, got, by)
		}
	}
	if axis, angle := turnOf(identity); axis != (r3.Vec{}) || angle != 0 {
		t.Errorf("no turn is %v by %g", axis, angle)
	}
}

// Brute force: no place of a triangle is nearer than the closest.
func TestClosest(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 1))
	for range 500 {
		a, b, c, p := vecOf(rng, 1), vecOf(rng, 1), vecOf(rng, 1), vecOf(rng, 2)
		got := r3.Norm(r3.Sub(p, closest(p, a, b, c)))
		least := math.Inf(1)
		const steps = 60
		for i := range steps + 1 {
			for j := range steps + 1 - i {
				q := r3.Add(a, r3.Add(r3.Scale(float64(i)/steps, r3.Sub(b, a)), r3.Scale(float64(j)/steps, r3.Sub(c, a))))
				least = math.Min(least, r3.Norm(r3.Sub(p, q)))
			}
		}
		if got > least+1e-12 || got < least-0.2 {
			t.Fatalf("%v of %v %v %v: %g, by brute force %g", p, a, b, c, got, least)
		}
	}
}

func TestGrain(t *testing.T) {
	m := shape.Turn(lump(rand.New(rand.NewPCG(1, 1))), shape.Rotation(1))
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want float64
	}{
		{"float32 near the origin", m, finest},
		{"float32 far away", shape.Offset(m, r3.Vec{X: 1e5}), 0x1p-7},
		{"two decimals", writtenIn(m, 1e2, 1), 0.01},
		{"three decimals", writtenIn(m, 1e3, 1), 0.001},
		{"four decimals of an inch", writtenIn(m, 1e4, 25.4), 0.00254},
		{"six digits", sixDigitsOf(m), 0.001},
	} {
		if got := grain(c.m); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %g of %g", c.name, got, c.want)
		}
	}
}

// A signature survives findings.json, is short, and says the same afterwards.
func TestSignatureIsPlainData(t *testing.T) {
	for _, triangles := range []int{1000, 20000} {
		m := shape.Relief{Triangles: triangles}.Mesh()
		s := Of(m, 1)
		text, err := json.Marshal(s)
		require.NoError(t, err)
		var back Signature
		require.NoError(t, json.Unmarshal(text, &back))
		require.Equal(t, s, back)
		if numbers := strings.Count(string(text), ",") + 1; numbers > 500 || len(text) > 8000 {
			t.Errorf("%d numbers in %d bytes", numbers, len(text))
		}
	}
	text, err := json.Marshal(Of(box(1, 1, 1).Scaled(1e38), 1))
	require.NoError(t, err)
	require.NotEmpty(t, text)
}

// The same facets make the same signature to the bit however many workers take part.
func TestOfOnAnyNumberOfWorkers(t *testing.T) {
	m := shape.Relief{Triangles: 60_000}.Mesh()
	require.Greater(t, m.Chunks(), 3)
	want := Of(m, 1)
	for workers := 0; workers < 6; workers++ {
		require.Equal(t, want, Of(m, workers), "%d workers", workers)
	}
	// Chunk by chunk comes to what all facets in one row come to.
	p := newPass(m, 1)
	all := p.sum(3)
	row := &sums{grain: p.grain}
	for f := range m.Triangles() {
		a, b, c := m.Corners(f)
		row.add(r3.Sub(a, p.mid), r3.Sub(b, p.mid), r3.Sub(c, p.mid))
	}
	near := func(want, got float64) {
		t.Helper()
		require.InDelta(t, want, got, 1e-9*(math.Abs(want)+1))
	}
	for i, of := range [3][2]*Moments{{&row.surface, &all.surface}, {&row.solid, &all.solid}, {&row.corners, &all.corners}} {
		size := slack{weight: 1e-9 * math.Abs(of[0].Weight), grain: 1e-9, radius: 300}
		require.True(t, of[0].near(of[1], size), "%d: %+v, %+v", i, of[0], of[1])
	}
	near(row.edges2, all.edges2)
	near(row.areas2, all.areas2)
	near(row.crinkled, all.crinkled)
	for i := range 3 {
		near(row.normal[i], all.normal[i])
		for j := range 3 {
			near(row.spread[i][j], all.spread[i][j])
		}
	}
	require.Equal(t, spanOf(m, 0, m.Triangles()).facets, p.box.facets)
	require.Equal(t, spanOf(m, 0, m.Triangles()).low, p.box.low)
	require.Equal(t, spanOf(m, 0, m.Triangles()).high, p.box.high)
	require.Equal(t, outermost(m, 1), outermost(m, 3))
}
