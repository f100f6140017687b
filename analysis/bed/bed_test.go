package bed

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

const seed = 20261125

// The longest bar p of width q that lies in an a × b bed: Carver 1957, Wetzel
// 2000 (Mathematics Magazine 73, 204–211): for p > a it fits if and only if
// b ≥ (2pqa + (p²−q²)·√(p²+q²−a²)) / (p²+q²); numbers from that formula,
// checked against a turning search.
func TestTurnedRectangleAgreesWithCarver(t *testing.T) {
	for _, c := range []struct{ a, b, q, longest float64 }{
		{220, 220, 10, 301.126984}, {220, 220, 20, 291.126984}, {220, 220, 50, 261.126984},
		{256, 256, 30, 332.038672},
		{300, 200, 20, 342.377919}, {300, 200, 40, 324.967660}, {300, 200, 60, 308.764571},
		{300, 200, 80, 300}, {300, 200, 100, 300},
		{10, 10, 1, 13.142136}, {10, 8, 3, 10}, {200, 300, 40, 324.967660},
	} {
		bar := shape.Bar{X: c.longest, Y: c.q, Z: 1}.Mesh()
		for _, lie := range []float64{0, 0.3, 1.2} {
			fit := Place(about(bar, lie), Volume{Width: c.a, Depth: c.b, Height: 100})
			// The bar is the longest that fits: its own scale is 1. Where its
			// width has slack a longer bar of the same shape is not thinner,
			// so the scale is 1 there too.
			if math.Abs(fit.Turned.Scale-1) > 1e-4 {
				t.Errorf("%g × %g in %g × %g lying at %g: scale %.6f, want 1", c.longest, c.q, c.a, c.b, lie, fit.Turned.Scale)
			}
		}
	}
}

func TestBarOnSquareBed(t *testing.T) {
	// 300 × 20 on a 220 square: √2·220/(300+20) = 0.97227 (Carver 1957).
	bar := shape.Bar{X: 300, Y: 20, Z: 10}.Mesh()
	fit := Place(bar, Volume{Width: 220, Depth: 220, Height: 250})
	if got, want := fit.Turned.Scale, math.Sqrt2*220/320; math.Abs(got-want) > 1e-6 {
		t.Errorf("turned: %.7f, want %.7f", got, want)
	}
	if got, want := fit.AsIs.Scale, 220.0/300; math.Abs(got-want) > 1e-6 {
		t.Errorf("as it lies: %.7f, want %.7f", got, want)
	}
	if got := math.Abs(fit.Turned.Turn-math.Pi/4) + 0; got > 1e-6 && math.Abs(fit.Turned.Turn-3*math.Pi/4) > 1e-6 {
		t.Errorf("turn %.6f, want an eighth of a circle", fit.Turned.Turn)
	}
}

// A rectangle p × q fits a × b (p ≥ q, a ≥ b) if and only if it does as it is, or
// p > a, q ≤ b and b ≥ (2pqa + (p²−q²)·√(p²+q²−a²)) / (p²+q²): Carver 1957, with
// the guard q ≤ b that Wetzel 2000 asks for (10 × 10 does not fit 8 × 8).
func TestTurnedAgreesWithCarverEverywhere(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 4))
	fit, unfit := 0, 0
	for i := range 400 {
		a, b, p, q := 100+200*random.Float64(), 100+200*random.Float64(), 60+340*random.Float64(), 10+160*random.Float64()
		if i == 0 {
			a, b, p, q = 8, 8, 10, 10
		}
		a, b, p, q = max(a, b), min(a, b), max(p, q), min(p, q)
		margin := (2*p*q*a + (p*p-q*q)*math.Sqrt(max(0, p*p+q*q-a*a))) / (p*p + q*q)
		want := p <= a && q <= b || p > a && q <= b && b >= margin
		if math.Abs(b-margin) < 1e-3 {
			continue
		}
		got := Place(about(shape.Bar{X: p, Y: q, Z: 1}.Mesh(), 3*random.Float64()), Volume{Width: a, Depth: b, Height: 10}).Turned.Fits(1)
		if got != want {
			t.Errorf("%g × %g in %g × %g (seed %d): fits %v, want %v", p, q, a, b, seed, got, want)
		}
		if want {
			fit++
		} else {
			unfit++
		}
	}
	if min(fit, unfit) < 100 {
		t.Errorf("%d fit and %d do not: one kind is hardly tried", fit, unfit)
	}
}

// A smallest rectangle has a side flush with the hull (Freeman & Shapira 1975):
// √3/2 for an equilateral triangle of side 1, 3.440954801 for a regular pentagon
// in the unit circle, worked out with it.
func TestSmallestRectangles(t *testing.T) {
	for n, want := range map[int]float64{3: 3 * math.Sqrt(3) / 2, 4: 2, 5: 3.440954801, 6: 2 * math.Sqrt(3)} {
		var corners []r2.Vec
		for k := range n {
			sin, cos := math.Sincos(2*math.Pi*float64(k)/float64(n) + 0.4)
			corners = append(corners, r2.Vec{X: 100 * cos, Y: 100 * sin})
		}
		got, ok := Footprint{Corners: corners}.tile([]field{{size: r2.Vec{X: 1000, Y: 1000}}})
		if area := got.size.X * got.size.Y / 1e4; !ok || math.Abs(area/want-1) > 1e-9 {
			t.Errorf("%d corners: %.9f, want %.9f", n, area, want)
		}
	}
}

// Second route: a dense turning search.
func TestTurnedAgreesWithTurningSearch(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 1))
	for i := range 60 {
		m := cloud(random, 3+random.IntN(40))
		v := Volume{Width: 50 + 200*random.Float64(), Depth: 50 + 200*random.Float64(), Height: 1e6}
		got := Place(m, v).Turned.Scale
		best := 0.0
		hull := newBody(m).footprint(upright)
		for k := range 20000 {
			w, d := measured(hull, math.Pi*float64(k)/20000)
			best = max(best, min(v.Width/w, v.Depth/d))
		}
		if got < best*(1-1e-12) || got > best*(1+1e-3) {
			t.Errorf("cloud %d (seed %d): scale %.9f, search found %.9f", i, seed, got, best)
		}
	}
}

func TestAnswersFollowTurnScaleAndMove(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 2))
	v := Volume{Width: 220, Depth: 180, Height: 250}
	for i := range 40 {
		m := cloud(random, 30)
		want := Place(m, v).Turned.Scale
		turned := Place(about(m, random.Float64()*7), v).Turned.Scale
		moved := Place(m.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: 300, Y: -70, Z: 9}) }), v).Turned.Scale
		half := Place(m.Scaled(0.5), v).Turned.Scale
		for name, got := range map[string]float64{"turned": turned, "moved": moved, "halved": half / 2} {
			if math.Abs(got/want-1) > 1e-5 {
				t.Errorf("cloud %d (seed %d) %s: %.8f, want %.8f", i, seed, name, got, want)
			}
		}
	}
}

func TestRoundBed(t *testing.T) {
	// An equilateral triangle of side 1 has the circumradius 1/√3.
	side := 100.0
	triangle := &mesh.Mesh{}
	for _, p := range []r3.Vec{{}, {X: side}, {X: side / 2, Y: side * math.Sqrt(3) / 2}, {Z: 10}} {
		triangle.AddVertex(p)
	}
	triangle.AddTriangle(0, 1, 2)
	fit := Place(triangle, Volume{Diameter: 2 * side / math.Sqrt(3), Height: 50})
	if math.Abs(fit.AsIs.Scale-1) > 1e-6 || fit.AsIs != fit.Turned {
		t.Errorf("got %+v, want scale 1 both ways", fit)
	}
	random := rand.New(rand.NewPCG(seed, 3))
	for i := range 50 { // second route: the circle over every pair and triple
		points := newBody(cloud(random, 12)).footprint(upright)
		if got, want := circle(points), slowCircle(points); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("cloud %d (seed %d): radius %.9f, want %.9f", i, seed, got, want)
		}
	}
}

func TestOverSaysByHowMuch(t *testing.T) {
	bar := shape.Bar{X: 300, Y: 20, Z: 10}.Mesh()
	v := Volume{Width: 220, Depth: 220, Height: 5}
	over := Place(bar, v).AsIs.Over(v, 1)
	if math.Abs(over[0]-80) > 1e-4 || over[1] != 0 || math.Abs(over[2]-5) > 1e-4 {
		t.Errorf("over %v, want 80, 0, 5", over)
	}
	if got := Place(bar, v).AsIs.Over(v, 0.5); got != [3]float64{} {
		t.Errorf("half the size is over by %v, want nothing", got)
	}
	round := Volume{Diameter: 200, Height: 50}
	over = Place(bar, round).AsIs.Over(round, 1)
	if want := math.Hypot(300, 20) - 200; math.Abs(over[0]-want) > 1e-3 || over[2] != 0 {
		t.Errorf("on a round bed over %v, want %.4f", over, want)
	}
}

func TestExactFitCounts(t *testing.T) {
	v := Volume{Width: 210, Depth: 210, Height: 250}
	m := shape.Bar{X: 210, Y: 210, Z: 250}.Mesh()
	if fit := Place(m, v); !fit.AsIs.Fits(1) || fit.AsIs.Fits(1.001) {
		t.Errorf("a part of exactly the build volume: %+v", fit.AsIs)
	}
}

func about(m *mesh.Mesh, turn float64) *mesh.Mesh {
	rotation := r3.NewRotation(turn, r3.Vec{Z: 1})
	return m.Map(rotation.Rotate)
}

func cloud(random *rand.Rand, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for range n {
		m.AddVertex(r3.Vec{X: 200 * random.Float64(), Y: 120 * random.Float64(), Z: 50 * random.Float64()})
	}
	return m
}

func measured(points []r2.Vec, turn float64) (w, d float64) {
	sin, cos := math.Sincos(turn)
	lowX, highX, lowY, highY := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range points {
		x, y := p.X*cos-p.Y*sin, p.X*sin+p.Y*cos
		lowX, highX, lowY, highY = min(lowX, x), max(highX, x), min(lowY, y), max(highY, y)
	}
	return highX - lowX, highY - lowY
}

func slowCircle(points []r2.Vec) float64 {
	best := math.Inf(1)
	holds := func(c r2.Vec, r float64) bool {
		for _, p := range points {
			if r2.Norm(r2.Sub(p, c)) > r*(1+1e-9) {
				return false
			}
		}
		return true
	}
	for i, p := range points {
		for j, q := range points[:i] {
			if c, r := between(p, q); r < best && holds(c, r) {
				best = r
			}
			for _, s := range points[:j] {
				if c, r := through(p, q, s); r < best && holds(c, r) {
					best = r
				}
			}
		}
	}
	return best
}

func BenchmarkPlace(b *testing.B) {
	m := shape.Tube{Sides: 2000, Radius: 60, Wall: 3, Height: 200}.Mesh()
	for b.Loop() {
		Place(m, Volume{Width: 210, Depth: 210, Height: 250})
	}
}

// What the octagon leaves of some points has the hull of all, with the same corners; and it
// leaves little of many.
func TestOuterPointsHaveTheHullOfAll(t *testing.T) {
	random := rand.New(rand.NewPCG(seed, 31))
	square := func() r2.Vec { return r2.Vec{X: random.Float64(), Y: random.Float64()} }
	for name, draw := range map[string]func() r2.Vec{
		"square":  square,
		"far off": func() r2.Vec { return r2.Add(r2.Vec{X: 1e6, Y: -3e5}, square()) },
		"disc": func() r2.Vec {
			sin, cos := math.Sincos(2 * math.Pi * random.Float64())
			return r2.Scale(90*math.Sqrt(random.Float64()), r2.Vec{X: 2 * cos, Y: sin})
		},
		"raster": func() r2.Vec { return r2.Vec{X: float64(random.IntN(7)), Y: float64(random.IntN(4))} },
		"line":   func() r2.Vec { x := random.Float64(); return r2.Vec{X: x, Y: 3 - 2*x} },
		"axis":   func() r2.Vec { return r2.Vec{X: 5, Y: random.Float64()} },
		"point":  func() r2.Vec { return r2.Vec{X: 5, Y: 8} },
	} {
		for n := range 60 {
			points := make([]r2.Vec, n*n)
			for i := range points {
				points[i] = draw()
			}
			want := section.Hull(points)
			left := outer(slices.Clone(points))
			require.Equal(t, want, section.Hull(left), "%d points: %s", len(points), name)
			if name == "disc" && n > 50 && len(left) > len(points)/4 {
				t.Errorf("%d of %d points of a disc are left", len(left), len(points))
			}
		}
	}
}
