package bed

import (
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

var common = Volume{Width: 210, Depth: 210, Height: 250}

func points(at ...r3.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	for _, p := range at {
		m.AddVertex(p)
	}
	return m
}

func near(got, want, within float64) bool { return math.Abs(got/want-1) <= within }

// The scale of each kind on shapes where it can be worked out, lying as they
// are drawn.
func TestScaleOfEachKind(t *testing.T) {
	t.Parallel()
	cube := Volume{Width: 100, Depth: 100, Height: 100}
	pole := shape.Limb{Sides: 256, Rings: []shape.Ring{{Inner: shape.Circle(20)}, {Center: r3.Vec{Z: 300}, Inner: shape.Circle(20)}}}
	for _, c := range []struct {
		name                        string
		m                           *mesh.Mesh
		v                           Volume
		asIs, turned, laid, tilted  float64
		kindAsked                   float64
		kind                        Kind
		within                      float64
		turnedKind, laidKind, tilts Kind
	}{
		// 300 long, 40 wide: across the bed √2·210/(300+40) = 0.87347.
		{"pole", pole.Solid(), common, 250.0 / 300, 250.0 / 300, math.Sqrt2 * 210 / 340, -1, 0.87, Laid, 1e-3, AsIs, Laid, Tilted},
		// A board on end lies down on its edge and goes across, √2·210/(260+10).
		{"board on end", shape.Bar{X: 10, Y: 120, Z: 260}.Mesh(), common, 250.0 / 260, 250.0 / 260, math.Sqrt2 * 210 / 270, -1, 1, Laid, 1e-6, AsIs, Laid, Tilted},
		{"lath on end", shape.Bar{X: 10, Y: 20, Z: 290}.Mesh(), common, 250.0 / 290, 250.0 / 290, math.Sqrt2 * 210 / 300, -1, 0.97, Laid, 1e-6, AsIs, Laid, Tilted},
		// Prince Rupert: the largest square in a cube of 1 is 3√2/4.
		{"Prince Rupert's square", shape.Bar{X: 100, Y: 100, Z: 1e-3}.Mesh(), cube, 1, 1, 1, 1.060660171779821, 1, AsIs, 1e-4, AsIs, AsIs, Tilted},
		// Longest rod of 20 in a cube of 220: √3·220 − √2·20 = 352.7669.
		{"rod", shape.Limb{Sides: 256, Rings: []shape.Ring{{Inner: shape.Circle(10)}, {Center: r3.Vec{Z: 352.7669}, Inner: shape.Circle(10)}}}.Solid(),
			Volume{Width: 220, Depth: 220, Height: 220}, 220 / 352.7669, 220 / 352.7669, math.Sqrt2 * 220 / 372.7669, 1, 0.8, Laid, 1e-3, AsIs, Laid, Tilted},
		// A regular tetrahedron of edge √2 in the unit cube (O'Rourke 1985).
		{"tetrahedron", points(r3.Vec{}, r3.Vec{Y: 100, Z: 100}, r3.Vec{X: 100, Z: 100}, r3.Vec{X: 100, Y: 100}), cube, 1, 1, 1, 1, 1, AsIs, 1e-6, AsIs, AsIs, AsIs},
		{"nothing fits", shape.Bar{X: 1000, Y: 1000, Z: 1000}.Mesh(), cube, 0.1, 0.1, 0.1, 0.1, 0.2, AsIs, 1e-6, AsIs, AsIs, AsIs},
	} {
		l := Search(c.m, c.v)
		for _, s := range []struct {
			kind      string
			got, want float64
		}{{"as it is", l.AsIs.Scale, c.asIs}, {"turned", l.Turned.Scale, c.turned}, {"laid", l.Laid.Scale, c.laid}, {"tilted", l.Tilted.Scale, c.tilted}} {
			if s.want > 0 && !near(s.got, s.want, c.within) {
				t.Errorf("%s: %s %.6f, want %.6f", c.name, s.kind, s.got, s.want)
			}
		}
		if lie, _ := l.At(c.kindAsked); lie.Kind != c.kind {
			t.Errorf("%s at %g: %s, want %s", c.name, c.kindAsked, lie.Kind, c.kind)
		}
		if l.Turned.Kind != c.turnedKind || l.Laid.Kind != c.laidKind || l.Tilted.Kind != c.tilts {
			t.Errorf("%s: kinds %s, %s, %s", c.name, l.Turned.Kind, l.Laid.Kind, l.Tilted.Kind)
		}
	}
}

// Every lie must be what it says: a rotation at which the part spans Size and
// fits at its scale, found again by moving the part.
func TestLiesAreWhatTheySay(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(seed, 5))
	for i := range 12 {
		v := Volume{Width: 120 + 150*random.Float64(), Depth: 120 + 150*random.Float64(), Height: 100 + 200*random.Float64()}
		if i%3 == 2 {
			v.Diameter = 200
		}
		m := shape.Turn(limb(random), shape.Rotation(uint64(i)))
		l := Search(m, v)
		last := 0.0
		for _, lie := range append([]Lie{l.AsIs, l.Turned, l.Laid, l.Tilted}, l.Rests...) {
			f := frameOf(lie.Rotation)
			box := m.Map(f.Of).Bounds().Size()
			for k, got := range []float64{box.X, box.Y, box.Z} {
				if math.Abs(got-lie.Size[k]) > 1e-3 {
					t.Errorf("limb %d (seed %d) %s: extent %d is %.4f, said %.4f", i, seed, lie.Kind, k, got, lie.Size[k])
				}
			}
			if again := Place(m.Map(f.Of), v).AsIs.Scale; !near(again, lie.Scale, 1e-5) {
				t.Errorf("limb %d (seed %d) %s: scale %.7f, said %.7f", i, seed, lie.Kind, again, lie.Scale)
			}
		}
		for _, scale := range []float64{l.AsIs.Scale, l.Turned.Scale, l.Laid.Scale, l.Tilted.Scale} {
			if scale < last {
				t.Errorf("limb %d: a freer kind has a smaller scale: %v %v %v %v", i, l.AsIs.Scale, l.Turned.Scale, l.Laid.Scale, l.Tilted.Scale)
			}
			last = scale
		}
	}
}

func limb(random *rand.Rand) *mesh.Mesh {
	r := func(from, to float64) float64 { return from + (to-from)*random.Float64() }
	var rings []shape.Ring
	length := r(150, 350)
	for k := range 5 {
		rings = append(rings, shape.Ring{Center: r3.Vec{X: r(-20, 20), Z: length * float64(k) / 4}, Inner: shape.Ellipse{A: r(30, 60), B: r(30, 60)}})
	}
	return shape.Limb{Sides: 32, Rings: rings, Wall: 3}.Mesh()
}

// Laid and tilted do not depend on how the part lies in its file.
func TestLaidAndTiltedFollowNoTurn(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(seed, 6))
	for i := range 6 {
		m := limb(random)
		want := Search(m, common)
		for k := range 2 {
			turned := shape.Offset(shape.Turn(m, shape.Rotation(uint64(10*i+k))), r3.Vec{X: 40, Y: -300, Z: 70})
			got := Search(turned, common)
			if len(got.Rests) == 0 || !near(got.Rests[0].Scale, want.Rests[0].Scale, 2e-5) {
				t.Errorf("limb %d (seed %d): laid %.6f, turned %.6f", i, seed, want.Rests[0].Scale, got.Rests[0].Scale)
			}
			if !near(got.Tilted.Scale, want.Tilted.Scale, 1e-3) {
				t.Errorf("limb %d (seed %d): tilted %.6f, turned %.6f", i, seed, want.Tilted.Scale, got.Tilted.Scale)
			}
		}
	}
}

func TestGroundAndOverhang(t *testing.T) {
	t.Parallel()
	lie := func(m *mesh.Mesh) Lie { return Search(m, common).AsIs }
	table := shape.Join(shape.Bar{X: 100, Y: 50, Z: 4}.Mesh(), shape.Offset(shape.Bar{X: 10, Y: 20, Z: 30}.Mesh(), r3.Vec{X: 40, Y: 10, Z: -30}))
	if l := lie(table); !near(l.Ground, 200, 1e-6) || !near(l.Overhang, 5000, 1e-6) {
		t.Errorf("a table: ground %.2f, overhang %.2f, want 200 and 5000 (facets inside the joint are counted)", l.Ground, l.Overhang)
	}
	// A tube on its side: the outer skin hangs over where it faces down by more
	// than 45°, a quarter of the way round but for the first layer; of the
	// inner skin the ceiling.
	tube := shape.Tube{Sides: 720, Radius: 50, Wall: 5, Height: 100}.Mesh()
	lying := tube.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.Z, Y: p.Y, Z: -p.X} })
	bed := math.Acos(1-firstLayer/55) * 2 * 55 * 100
	want := 100*math.Pi/2*(55+50) - bed
	if l := lie(lying); !near(l.Overhang, want, 0.01) {
		t.Errorf("a lying tube: overhang %.1f, want %.1f", l.Overhang, want)
	}
	if l := lie(tube); l.Overhang != 0 || !near(l.Ground, math.Pi*(55*55-50*50), 1e-3) {
		t.Errorf("a standing tube: ground %.2f, overhang %.2f", l.Ground, l.Overhang)
	}
}

func TestFaceOnWhichNothingRests(t *testing.T) {
	// An oblique prism: its small base is a face, but the weight is not over
	// it. A base of a thousandth of the surface is no face to lay it on; a
	// broad one is.
	leaning := func(base float64) *mesh.Mesh {
		bar := shape.Bar{X: base, Y: base, Z: 100}.Mesh()
		return bar.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X + 2*p.Z, Y: p.Y, Z: p.Z} })
	}
	down := func(m *mesh.Mesh) (found bool) {
		for f := range newBody(m).faces() {
			found = found || f[2].Z > 0.999
		}
		return found
	}
	if down(leaning(4)) {
		t.Error("a leaning rod is laid on its end")
	}
	if !down(leaning(60)) {
		t.Error("a leaning block is not laid on its broad base")
	}
}

func TestStrips(t *testing.T) {
	box := func(x0, y0, x1, y1 float64) r2.Box {
		return r2.Box{Min: r2.Vec{X: x0, Y: y0}, Max: r2.Vec{X: x1, Y: y1}}
	}
	v := Volume{Width: 200, Depth: 220, Height: 100, Strips: []r2.Box{box(-10, 190, 40, 230)}}
	// Clear of the corner: 200 × 190 or 160 × 220.
	for _, c := range []struct{ x, y, fits float64 }{{190, 180, 1}, {150, 215, 1}, {190, 215, 0}} {
		m := shape.Bar{X: c.x, Y: c.y, Z: 10}.Mesh()
		want := max(min(200/c.x, 190/c.y), min(160/c.x, 220/c.y))
		fit := Place(m, v)
		if !near(fit.AsIs.Scale, want, 1e-6) || fit.AsIs.Fits(1) != (c.fits == 1) {
			t.Errorf("%g × %g: %.6f, want %.6f", c.x, c.y, fit.AsIs.Scale, want)
		}
		if over := fit.AsIs.Over(v, 1); (over != [3]float64{}) == fit.AsIs.Fits(1) {
			t.Errorf("%g × %g is over by %v", c.x, c.y, over)
		}
	}
	v.Strips = append(v.Strips, box(0, 0, 200, 15), box(190, 100, 200, 120))
	if got := len(v.fields()); got != 5 {
		t.Errorf("%d fields, want 5: %v", got, v.fields())
	}
	// A strip that cuts 20 off a round bed leaves a disc smaller by 20.
	round := Volume{Diameter: 200, Height: 50, Strips: []r2.Box{box(180, 0, 200, 200)}}
	if f := round.disc(); !near(f.diameter, 180, 1e-4) || math.Abs(f.low.X) > 0.1 {
		t.Errorf("disc %+v, want 180 from the low edge", f)
	}
	all := Volume{Width: 100, Depth: 100, Height: 100, Strips: []r2.Box{box(0, 0, 100, 100)}}
	if l := Search(shape.Bar{X: 1, Y: 1, Z: 1}.Mesh(), all); l.Tilted.Scale != 0 {
		t.Errorf("no bed at all: scale %g", l.Tilted.Scale)
	}
}

func BenchmarkSearch(b *testing.B) {
	m := shape.Turn(shape.Relief{Triangles: 200_000}.Mesh(), shape.Rotation(seed))
	for b.Loop() {
		Search(m, common)
	}
}
