package band

import (
	"math"
	"testing"

	"gambeson/analysis/bed"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

func onBed(v bed.Volume) func(*mesh.Mesh) bool {
	return func(m *mesh.Mesh) bool { return bed.Place(m, v).Turned.Fits(1) }
}

var wide = []struct {
	name   string
	mesh   *mesh.Mesh
	closed bool
	bed    bed.Volume
}{
	{"hips", shape.Taper{Sides: 128, Rows: 3, Bottom: shape.Ellipse{A: 190, B: 150}, Top: shape.Ellipse{A: 170, B: 140}, Wall: 3, Height: 80}.Mesh(), true, bed.Volume{Width: 210, Depth: 210, Height: 250}},
	{"just too wide", shape.Tube{Sides: 128, Radius: 104, Wall: 3, Height: 80}.Mesh(), true, bed.Volume{Width: 210, Depth: 210, Height: 250}},
	{"round bed", shape.Tube{Sides: 128, Radius: 120, Wall: 3, Height: 80}.Mesh(), true, bed.Volume{Diameter: 170, Height: 250}},
	{"gutter", shape.Gutter{Sides: 90, Bottom: 150, Top: 140, Wall: 4, Height: 80, Arc: 240}.Mesh(), false, bed.Volume{Width: 210, Depth: 210, Height: 250}},
}

// A ring that is larger than the bed comes in arcs that each fit it, closed, with
// a flat on both sides of every joint.
func TestArcsFitTheBed(t *testing.T) {
	for _, p := range wide {
		fits := onBed(p.bed)
		w := Wish{At: r3.Vec{Z: 40}, Normal: r3.Vec{Z: 1}, Fits: fits, Marks: Marks{Notches: 2, Texts: []string{"HIPS WAIST 100%", "100%"}}}
		b, err := Cut(p.mesh, w)
		require.NoError(t, err, p.name)
		if b.Arcs < 2 || b.TooLarge || !b.Flats || b.Notches != 2 || b.Text == "" {
			t.Errorf("%s: %d arcs, too large %v, flats %v, %d notches, text %q", p.name, b.Arcs, b.TooLarge, b.Flats, b.Notches, b.Text)
		}
		joints := b.Arcs
		if !p.closed {
			joints--
		}
		big, numbers := 0, 0
		for _, m := range append([]*mesh.Mesh{b.Mesh}, b.More...) {
			c := m.Condition()
			if !c.Closed || !fits(m) {
				t.Errorf("%s: closed %v, fits %v", p.name, c.Closed, fits(m))
			}
			for _, d := range c.Defects {
				require.NotEqual(t, mesh.DefectDuplicate, d.Kind, p.name) // a number drawn twice
			}
			main, rest := solids(m)
			for _, one := range append(rest, main) {
				require.Positive(t, one.Volume(), p.name) // a number drawn in a mirror would be inside out
			}
			_, boxes := shells(m)
			for _, box := range boxes {
				size := box.Size()
				if across := math.Hypot(size.X, size.Y); size.Z > b.Height-0.01 && across > 30 {
					big++
				} else if size.Z > b.Height-0.01 {
					numbers++
				}
			}
		}
		if b.More != nil {
			t.Errorf("%s: %d files", p.name, 1+len(b.More))
		}
		if big != b.Arcs || numbers != 2*joints {
			t.Errorf("%s: %d arcs and %d flats in the files, want %d and %d", p.name, big, numbers, b.Arcs, 2*joints)
		}
		fewer := w
		fewer.Fits = nil
		ring, err := Cut(p.mesh, fewer)
		require.NoError(t, err)
		if fits(ring.Mesh) || ring.Arcs != 1 {
			t.Errorf("%s: the ring needs no arcs", p.name)
		}
	}
}

// The arcs are the ring and nothing else: closed, their volumes sum to its own,
// and round the outside they are as long as each other.
func TestArcsSumToTheRing(t *testing.T) {
	for _, p := range wide {
		ring, err := Cut(p.mesh, Wish{At: r3.Vec{Z: 40}, Normal: r3.Vec{Z: 1}})
		require.NoError(t, err)
		o := outlineOf(ring.Mesh, ring.Height, ring.center)
		for n := 2; n < 8; n++ {
			arcs, flaws := o.parted(ring.Mesh, ring.center, n)
			require.Len(t, arcs, n)
			var sum float64
			for i, a := range arcs {
				sum += a.mesh.Volume()
				if !a.mesh.Condition().Closed || flaws.Any() {
					t.Errorf("%s: arc %d of %d is open, %+v", p.name, i+1, n, flaws)
				}
				if off := a.mesh.Volume()*float64(n)/ring.Mesh.Volume() - 1; math.Abs(off) > 0.06 {
					t.Errorf("%s: arc %d of %d is %.1f %% off its share", p.name, i+1, n, 100*off)
				}
			}
			if math.Abs(sum/ring.Mesh.Volume()-1) > 1e-5 {
				t.Errorf("%s in %d: %.3f mm³, the ring has %.3f", p.name, n, sum, ring.Mesh.Volume())
			}
		}
	}
}

// Arcs lie clear of each other on the bed: where they stand, seen from above,
// the area of all is the sum of the areas of each.
func TestArcsLieApart(t *testing.T) {
	p := wide[0]
	b, err := Cut(p.mesh, Wish{At: r3.Vec{Z: 40}, Normal: r3.Vec{Z: 1}, Fits: onBed(p.bed)})
	require.NoError(t, err)
	_, boxes := shells(b.Mesh)
	chains := level1(b.Mesh, b.Height/2).Chains
	require.GreaterOrEqual(t, len(boxes), 3)
	for i, c := range chains {
		for j, other := range chains {
			if i == j || c.Length() < 60 || other.Length() < 60 {
				continue // flats and their numbers are let into their own arc
			}
			for _, q := range c.Points {
				if other.Contains(q) {
					t.Fatalf("chains %d and %d lie in each other at %v", i, j, q)
				}
				for _, r := range other.Points {
					if d := r2.Norm(r2.Sub(q, r)); d < arcGap-1 {
						t.Fatalf("chains %d and %d are %.2f mm apart", i, j, d)
					}
				}
			}
		}
	}
}

// Roark: a ring of radius R and wall t, b high, gives by 0.149·F·R³/(E·b·t³/12)
// under two opposite loads.
func TestHeightGrowsWhereTheRingWouldFlex(t *testing.T) {
	for _, c := range []struct{ radius, wall, want float64 }{
		{40, 3, 12},
		{60, 3, 12},
		// 0.14878·5·122³/(2000·12·x) = 244/30 with x = 4³/12: 15.5 mm
		{120, 4, 16},
		{100, 1.6, 20},
	} {
		m := shape.Tube{Sides: 256, Radius: c.radius, Wall: c.wall, Height: 60}.Mesh()
		if got := HeightFor(m, r3.Vec{Z: 30}, r3.Vec{Z: 1}, 1); got != c.want {
			t.Errorf("radius %g, wall %g: %g mm high, want %g", c.radius, c.wall, got, c.want)
		}
		half := m.Scaled(0.5)
		if got := HeightFor(half, r3.Vec{Z: 15}, r3.Vec{Z: 1}, 2); got != c.want {
			t.Errorf("radius %g at 200 %% of half the size: %g mm, want %g", c.radius, got, c.want)
		}
	}
}
