package assembly

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// Of two bars that lie in each other by a known length, the share of the points
// below the surface is that of the surface there (closed form).
func TestSharedSpaceOfBars(t *testing.T) {
	const long, wide, high, below = 100.0, 20.0, 10.0, 0.5
	a := shape.Bar{X: long, Y: wide, Z: high}.Mesh()
	skin := 2 * (long*wide + long*high + wide*high)
	for _, by := range []float64{5, 40, 90} {
		b := shape.Offset(a, r3.Vec{X: by})
		// One end lies in it, and of the four sides what is not before b.
		want := (wide*high + 2*(long-by)*(wide+high)) / skin
		for _, m := range []*mesh.Mesh{a, turnedOut(a)} {
			if got := sharedBy(m, b, below); got < want-0.01 || got > want+0.01 {
				t.Errorf("%v mm aside: %.3f, want %.3f", by, got, want)
			}
		}
	}
}

func turnedOut(m *mesh.Mesh) *mesh.Mesh {
	out := m.Clone()
	out.Flip()
	return out
}

// The windings of points are those that the solid angles of all facets add up to.
func TestWindingsAreSolidAngles(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 4))
	box := boot().Bounds()
	size := r3.Sub(box.Max, box.Min)
	two := shape.Join(boot(), shape.Offset(shape.Bar{X: size.X, Y: size.Y / 2, Z: size.Z}.Mesh(), box.Min))
	var points []r3.Vec
	for range 600 {
		at := func(low, high float64) float64 { return low + (high-low)*(1.2*rng.Float64()-0.1) }
		points = append(points, r3.Vec{X: at(box.Min.X, box.Max.X), Y: at(box.Min.Y, box.Max.Y), Z: at(box.Min.Z, box.Max.Z)})
	}
	got, seen := windings(two, points), map[int]bool{}
	for i, p := range points {
		if want := int(math.Round(shape.Winding(two, p))); got[i] != want {
			t.Errorf("%v: %d, want %d", p, got[i], want)
		}
		seen[got[i]] = true
	}
	if !seen[0] || !seen[1] || !seen[2] {
		t.Errorf("only %v were tried", seen)
	}
}

// Pieces of one shell share no space, even pressed into each other by what a fit
// takes; parts drawn about one place do, however they lie.
func TestWhatSharesSpace(t *testing.T) {
	const press = 0.3 // mm
	for name, halves := range map[string][]*mesh.Mesh{
		"a boot, level":  parted(plane(0, 0, 140, 0, 0, 1), boot()),
		"a limb, along":  parted(plane(0, 0, 0, 0, 1, 0), taper()),
		"a boot, aslant": parted(plane(0, 20, 140, 0.3, 0.2, 1), boot()),
	} {
		for i, m := range halves {
			for _, o := range halves[i+1:] {
				for k, pressed := range []*mesh.Mesh{o, shape.Offset(o, r3.Vec{Z: press}), shape.Offset(o, r3.Vec{Z: -press}), turnedOut(o)} {
					if ShareSpace(m, pressed) || ShareSpace(pressed, m) {
						t.Errorf("%s, %d: its halves share space", name, k)
					}
				}
			}
		}
	}
	ring := shape.Tube{Radius: 50, Wall: 3, Height: 20}.Mesh()
	for name, other := range map[string]*mesh.Mesh{
		"a ring of nearly its size":   shape.Tube{Radius: 51.5, Wall: 3, Height: 20}.Mesh(),
		"a bar through it":            shape.Offset(shape.Bar{X: 120, Y: 8, Z: 20}.Mesh(), r3.Vec{X: -60}),
		"itself":                      ring,
		"itself, triangles reordered": shape.Shuffle(ring, 3),
	} {
		for seed := range uint64(3) {
			by := shape.Rotation(seed)
			a, b := ring.Map(by.Rotate), other.Map(by.Rotate)
			if !ShareSpace(a, b) || !ShareSpace(b, a) {
				t.Errorf("%s, turned %d: no space is shared", name, seed)
			}
		}
	}
	for name, other := range map[string]*mesh.Mesh{
		"a ring within it": shape.Tube{Radius: 46.9, Wall: 3, Height: 20}.Mesh(),
		"one beside it":    shape.Offset(ring, r3.Vec{X: 106.5}),
		"one above it":     shape.Offset(ring, r3.Vec{Z: 20}),
	} {
		if ShareSpace(ring, other) || ShareSpace(other, ring) {
			t.Errorf("%s shares its space", name)
		}
	}
}

// Two that clash never come into one shell, not by way of a third either.
func TestClashesAreKeptApart(t *testing.T) {
	contacts := []Contact{{A: 0, B: 1, Area: 90}, {A: 0, B: 2, Area: 100, Clash: true}, {A: 1, B: 2, Area: 50}}
	if got := Groups(3, contacts); len(got) != 1 || !slices.Equal(got[0], []int{0, 1}) {
		t.Errorf("groups %v", got)
	}
}
