package shape

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/mathext"
)

// closed fails the test unless every directed edge of m has exactly one twin
// and no triangle is degenerate.
func closed(t *testing.T, m *mesh.Mesh) {
	t.Helper()
	edges := make(map[[2]uint32]int)
	for k := 0; k < len(m.T); k += 3 {
		for c := range 3 {
			a, b := m.T[k+c], m.T[k+(c+1)%3]
			if a == b {
				t.Fatalf("triangle %d has two corners in one", k/3)
			}
			edges[[2]uint32{a, b}]++
		}
	}
	for e, n := range edges {
		if n != 1 || edges[[2]uint32{e[1], e[0]}] != 1 {
			t.Fatalf("edge %v at %v runs %d times forth and %d times back, want 1 and 1",
				e, m.At(e[0]), n, edges[[2]uint32{e[1], e[0]}])
		}
	}
}

// near fails the test unless got is within the relative tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

// float32 coordinates carry 2⁻²⁴ of their size; volumes of thin walls lose a
// hundredfold of that by difference.
const rounding = 1e-5

func TestCompleteEllipticIntegral(t *testing.T) {
	// Abramowitz & Stegun table 17.1 tabulates E by the parameter m = k²;
	// computed to 30 digits with mpmath. gonum must take m, not k.
	for m, want := range map[float64]float64{
		0: math.Pi / 2, 0.1: 1.530757636897763, 0.5: 1.350643881047676,
		0.75: 1.211056027568460, 0.9: 1.104774732704073, 1: 1,
	} {
		near(t, "E(m)", mathext.CompleteE(m), want, 1e-14)
	}
}

func TestEllipseGirth(t *testing.T) {
	// 4·a·E(1 − b²/a²), DLMF 19.30.5, computed to 30 digits with mpmath.
	for b, want := range map[float64]float64{
		0.9: 5.973160432524829, 0.8: 5.672333577794897, 0.75: 5.525873040177376,
		0.5: 4.844224110273838, 0.3: 4.385910069568909, 0.1: 4.063974180100896,
	} {
		near(t, "girth", Ellipse{1, b}.Girth(), want, 1e-13)
		near(t, "girth of the ellipse on its side", Ellipse{b, 1}.Girth(), want, 1e-13)
		near(t, "girth of an ellipse of that girth", EllipseOfGirth(want, b).A, 1, 1e-13)
	}
	near(t, "circle", Circle(40).Girth(), 251.32741228718345, 1e-14)
	near(t, "many sides", Ellipse{60, 40}.PolygonGirth(1<<14), Ellipse{60, 40}.Girth(), 1e-7)
	// n·sin(π/n)/π, the girth of a 24-gon in its circle: 0.9971467.
	near(t, "24 sides", Circle(1).PolygonGirth(24)/(2*math.Pi), 0.9971467, 1e-7)
	if got := (Ellipse{}).Girth(); got != 0 {
		t.Errorf("the zero ellipse has girth %g, want 0", got)
	}
}

func TestTubeIsItsOwnPolyhedron(t *testing.T) {
	for _, n := range []int{3, 4, 24, 128, 257} {
		tube := Tube{Sides: n, Radius: 50, Wall: 3, Height: 120}
		m := tube.Mesh()
		closed(t, m)
		near(t, "volume", m.Volume(), tube.Volume(), rounding)
		near(t, "area", m.Area(), tube.Area(), rounding)
	}
}

func TestTaperIsItsOwnPrismatoid(t *testing.T) {
	for _, rows := range []int{1, 8, 33} {
		taper := Taper{Sides: 256, Rows: rows, Bottom: Ellipse{41, 52}, Top: Ellipse{66, 58}, Wall: 3, Height: 310}
		m := taper.Mesh()
		closed(t, m)
		near(t, "volume", m.Volume(), taper.Volume(), rounding)
		smooth := frustum(taper.Bottom.Grown(3), taper.Top.Grown(3), 310) - frustum(taper.Bottom, taper.Top, 310)
		near(t, "smooth volume", taper.Volume(), smooth, 1.1e-4) // 256 sides lose 1.0e-4 of the area
	}
}

// frustum is the volume between two parallel ellipses whose half-axes change
// evenly: the integral of π·a(z)·b(z).
func frustum(low, high Ellipse, h float64) float64 {
	return math.Pi * h / 6 * (2*low.A*low.B + low.A*high.B + low.B*high.A + 2*high.A*high.B)
}

func TestPlateAndBar(t *testing.T) {
	for _, p := range []Plate{
		{Width: 160, Height: 200, Wall: 3},
		{Width: 160, Height: 200, Wall: 3, Bend: 150},
	} {
		m := p.Mesh()
		closed(t, m)
		near(t, "plate", m.Volume(), p.Volume(), rounding)
	}
	bar := Bar{300, 20, 10}
	m := bar.Mesh()
	closed(t, m)
	near(t, "bar", m.Volume(), 60000, 1e-6)
	near(t, "bar", m.Area(), bar.Area(), 1e-6)
}
