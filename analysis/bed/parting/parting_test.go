package parting

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"gambeson/analysis/bed/hull"
	"gambeson/analysis/bed/pin"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// upright is a space in which nothing may be turned.
func upright(x, y, z float64) Space {
	within := func(s r3.Vec) bool { return s.X <= x+1e-3 && s.Y <= y+1e-3 && s.Z <= z+1e-3 }
	return Space{
		Fits: func(h *hull.Hull, _ r3.Vec) bool {
			var size [3]float64
			for k, n := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
				low, high := h.Along(n)
				size[k] = high - low
			}
			return within(r3.Vec{X: size[0], Y: size[1], Z: size[2]})
		},
		Box: func(sides r3.Vec, up int) bool { return up == 2 && within(sides) },
	}
}

func part(t *testing.T, m *mesh.Mesh, s Space, want Wish) Pieces {
	t.Helper()
	p, err := Part(context.Background(), m, s, want)
	require.NoError(t, err)
	sum := 0.0
	for _, q := range p.Pieces {
		// Caps may have slivers along a wall that the cut meets in a straight row.
		c := q.Mesh.Condition()
		c.Defects = slices.DeleteFunc(c.Defects, func(d mesh.Defect) bool { return d.Kind == mesh.DefectSliver })
		if !c.Closed || len(c.Defects) > 0 {
			t.Errorf("%s: %+v", q.Name, c)
		}
		sum += q.Mesh.Volume() + q.Holes
	}
	if whole := m.Volume(); math.Abs(sum/whole-1) > 1e-6 {
		t.Errorf("pieces and holes have %g mm³, the part %g", sum, whole)
	}
	return p
}

// holesAt returns the loops round the keys in the section of m square to the
// seam's normal, h mm above it.
func holesAt(m *mesh.Mesh, s Seam, h float64) (sec section.Section, holes []int) {
	n := r3.Unit(s.Plane.Normal)
	sec = section.Cut(m, section.Plane{Point: r3.Add(s.Plane.Point, r3.Scale(h, n)), Normal: s.Plane.Normal})
	for _, k := range s.Keys {
		if i, ok := sec.Around(sec.Plane.Flat(k.At)); ok && sec.Chains[i].Area() < 0 {
			holes = append(holes, i)
		}
	}
	return sec, holes
}

// The holes lie in both pieces, round and as deep as said, wide enough for the
// pin and with material round them.
func TestPinHolesInABar(t *testing.T) {
	bar := shape.Bar{X: 300, Y: 40, Z: 60}
	for _, move := range []r3.Vec{{}, {X: 1000, Y: -500, Z: 30}} {
		p := part(t, shape.Offset(bar.Mesh(), move), upright(200, 200, 200), Wish{Pins: pin.Common()})
		require.Len(t, p.Seams, 1)
		s := p.Seams[0]
		if len(s.Keys) < 2 || s.Unkeyed != "" {
			t.Fatalf("keys %+v (%s)", s.Keys, s.Unkeyed)
		}
		far := 0.0
		for _, k := range s.Keys {
			if k.Pin.Diameter != 4 || k.Depth != 10 || s.Above[0] != k.Above || s.Below[0] != k.Below {
				t.Errorf("key %+v", k)
			}
			far = max(far, r3.Norm(r3.Sub(k.At, s.Keys[0].At)))
		}
		if far < 40 {
			t.Errorf("the keys are only %g mm apart, on a seam of 40 × 60", far)
		}
		for _, c := range []struct {
			piece  int
			h      float64
			within bool
		}{{s.Above[0], 0.1, true}, {s.Above[0], 9.9, true}, {s.Above[0], 10.1, false}, {s.Below[0], -0.1, true}, {s.Below[0], -9.9, true}, {s.Below[0], -10.1, false}} {
			sec, holes := holesAt(p.Pieces[c.piece].Mesh, s, c.h)
			if want := len(s.Keys); c.within && len(holes) != want || !c.within && len(holes) != 0 {
				t.Errorf("%d holes %g mm from the seam, want them: %v", len(holes), c.h, c.within)
				continue
			}
			outline := 0
			for i, chain := range sec.Chains {
				if chain.Area() > 0 {
					outline = i
				}
			}
			for i, hole := range holes {
				middle := sec.Plane.Flat(s.Keys[i].At)
				if got := chainRoom(sec.Chains[hole], middle); math.Abs(got-2.1) > 1e-3 {
					t.Errorf("a pin of 4 mm with 0.2 of clearance needs 2.1 mm round its middle, there are %g", got)
				}
				if got := chainRoom(sec.Chains[outline], middle); got < 2.1+1.2 {
					t.Errorf("the hole's middle is %g mm from the outside", got)
				}
			}
		}
	}
}

// chainRoom returns how far q is from the nearest place of a closed chain.
func chainRoom(c section.Chain, q r2.Vec) float64 {
	least := math.Inf(1)
	for i, p := range c.Points {
		along, to := r2.Sub(c.Points[(i+1)%len(c.Points)], p), r2.Sub(q, p)
		share := min(1, max(0, r2.Dot(along, to)/r2.Norm2(along)))
		least = min(least, r2.Norm(r2.Sub(to, r2.Scale(share, along))))
	}
	return least
}

// The wall decides about the pin: 4.2 mm of hole and 1.2 of wall on both sides
// need 6.6 mm, 1.95 need 4.35.
func TestPinsByWall(t *testing.T) {
	for _, c := range []struct {
		wall, pin float64
	}{{3, 0}, {4.2, 0}, {4.5, 1.75}, {6.4, 1.75}, {7, 4}} {
		m := shape.Tube{Sides: 64, Radius: 60, Wall: c.wall, Height: 300}.Mesh()
		p := part(t, m, upright(200, 200, 200), Wish{Pins: pin.Common()})
		require.Len(t, p.Seams, 1)
		s := p.Seams[0]
		if c.pin == 0 {
			if len(s.Keys) > 0 || !strings.Contains(s.Unkeyed, "needs 4.4 mm") || p.Pieces[0].Holes != 0 {
				t.Errorf("wall %g: %d keys, %q", c.wall, len(s.Keys), s.Unkeyed)
			}
			continue
		}
		if len(s.Keys) < 2 || s.Unkeyed != "" {
			t.Errorf("wall %g: %d keys, %q", c.wall, len(s.Keys), s.Unkeyed)
		}
		far := 0.0
		for _, k := range s.Keys {
			if k.Pin.Diameter != c.pin {
				t.Errorf("wall %g: pin %g, want %g", c.wall, k.Pin.Diameter, c.pin)
			}
			far = max(far, r3.Norm(r3.Sub(k.At, s.Keys[0].At)))
		}
		if far < 115 {
			t.Errorf("wall %g: the keys are %g mm apart on a ring 120 wide", c.wall, far)
		}
	}
	if p := part(t, shape.Tube{Sides: 64, Radius: 60, Wall: 9, Height: 300}.Mesh(), upright(200, 200, 200), Wish{}); len(p.Seams[0].Keys) > 0 || p.Seams[0].Unkeyed != "" {
		t.Errorf("no pins wanted, but %+v", p.Seams[0])
	}
}

// Where the wall leans, holes square to the seam stay in it: all round them,
// as far as they go and on, there is material of the part.
func TestHolesStayInLeaningWalls(t *testing.T) {
	made := 0
	for _, wall := range []float64{6, 8, 10, 14} {
		for _, top := range []float64{60, 90, 150} {
			m := shape.Taper{Sides: 64, Bottom: shape.Circle(60), Top: shape.Circle(top), Wall: wall, Height: 300}.Mesh()
			p := part(t, m, upright(400, 400, 200), Wish{Pins: pin.Common()})
			for _, s := range p.Seams {
				made += len(s.Keys)
				for _, k := range s.Keys {
					checkMaterial(t, m, s, k)
				}
			}
		}
	}
	if made < 20 {
		t.Errorf("only %d keys in all", made)
	}
}

// checkMaterial looks at sections of the whole part along a key.
func checkMaterial(t *testing.T, m *mesh.Mesh, s Seam, k Key) {
	t.Helper()
	need := k.Pin.Diameter/2 + k.Pin.Clearance/2 + 1.2
	n := r3.Unit(s.Plane.Normal)
	for h := -k.Depth - 1.15; h < k.Depth+1.2; h += 0.575 {
		sec := section.Cut(m, section.Plane{Point: r3.Add(s.Plane.Point, r3.Scale(h, n)), Normal: s.Plane.Normal})
		middle := sec.Plane.Flat(k.At)
		within := 0
		for _, c := range sec.Chains {
			if c.Contains(middle) {
				within++
			}
			if got := chainRoom(c, middle); got < need-1e-4 {
				t.Fatalf("key %+v: surface %g mm from its middle %g mm from the seam", k, got, h)
			}
		}
		if within%2 != 1 {
			t.Fatalf("key %+v: no material %g mm from the seam", k, h)
		}
	}
}

func TestNamesTellThePlace(t *testing.T) {
	for _, c := range []struct {
		bar  shape.Bar
		want []string
	}{
		{shape.Bar{X: 10, Y: 10, Z: 10}, []string{"1-of-1"}},
		{shape.Bar{X: 250, Y: 10, Z: 10}, []string{"1-of-3-right", "2-of-3-middle", "3-of-3-left"}},
		{shape.Bar{X: 350, Y: 10, Z: 10}, []string{"1-of-4-right", "2-of-4-right", "3-of-4-left", "4-of-4-left"}},
		{shape.Bar{X: 10, Y: 150, Z: 190}, []string{"1-of-4-lower-front", "2-of-4-lower-back", "3-of-4-upper-front", "4-of-4-upper-back"}},
	} {
		p := part(t, c.bar.Mesh(), upright(100, 100, 100), Wish{Pins: pin.Common()})
		var got []string
		for _, q := range p.Pieces {
			got = append(got, q.Name)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%+v: %v, want %v", c.bar, got, c.want)
		}
		for i, s := range p.Seams {
			for _, list := range [2][]int{s.Above, s.Below} {
				for _, k := range list {
					if !slices.Contains(p.Pieces[k].Seams, i) {
						t.Errorf("%+v: seam %d and piece %d do not know of each other", c.bar, i, k)
					}
				}
			}
		}
	}
}

func TestPartRefuses(t *testing.T) {
	_, err := Part(context.Background(), &mesh.Mesh{}, upright(100, 100, 100), Wish{})
	require.ErrorIs(t, err, errEmpty)
	_, err = Part(context.Background(), shape.Bar{X: 900, Y: 900, Z: 900}.Mesh(), upright(100, 100, 100), Wish{})
	require.ErrorIs(t, err, ErrTooMany)
	_, err = Part(context.Background(), shape.Bar{X: 50, Y: 50, Z: 50}.Mesh(), upright(0, 0, 0), Wish{})
	require.ErrorIs(t, err, ErrTooMany)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Part(ctx, shape.Bar{X: 300, Y: 50, Z: 50}.Mesh(), upright(100, 100, 100), Wish{})
	require.ErrorIs(t, err, context.Canceled)
}

// What has separate bodies is taken apart without a seam where that is enough,
// and left together where it fits.
func TestBodiesApart(t *testing.T) {
	bar := shape.Bar{X: 80, Y: 80, Z: 80}.Mesh()
	inner := shape.Offset(bar.Scaled(0.5), r3.Vec{X: 20, Y: 20, Z: 20})
	inner.Flip() // a void
	hollow := shape.Join(bar, inner)
	far := shape.Join(hollow, shape.Offset(hollow, r3.Vec{X: 150}))
	p := part(t, far, upright(100, 100, 100), Wish{})
	if len(p.Pieces) != 2 || len(p.Seams) != 0 || p.Pieces[0].Bodies != 1 {
		t.Errorf("two hollow bars: %d pieces, %d seams", len(p.Pieces), len(p.Seams))
	}
	p = part(t, far, upright(300, 100, 100), Wish{})
	if len(p.Pieces) != 1 || p.Pieces[0].Bodies != 2 {
		t.Errorf("two hollow bars in one: %d pieces of %d bodies", len(p.Pieces), p.Pieces[0].Bodies)
	}
}

// Bodies far from each other are told apart, with their crumbs; what lies in or
// round another is one with it.
func TestApart(t *testing.T) {
	tube := shape.Tube{Sides: 48, Radius: 40, Wall: 3, Height: 150}.Mesh()
	rivet := shape.Offset(shape.Bar{X: 4, Y: 4, Z: 4}.Mesh(), r3.Vec{X: 47, Z: 20})
	arm := shape.Join(tube, rivet)
	box := tube.Bounds().Size()
	both := shape.Join(arm, shape.Offset(arm, r3.Vec{X: box.X + 30}))
	for turn := range 3 {
		pieces, gap := Apart(shape.Turn(both, shape.Rotation(uint64(turn))), 5)
		require.Len(t, pieces, 2)
		// From the rivet, 8 mm off the one arm, to the other; never more: no axis is quite
		// the shortest way.
		require.LessOrEqual(t, gap, 22.001, "turn %d", turn)
		require.Greater(t, gap, 21.0, "turn %d", turn)
		for _, p := range pieces {
			require.Equal(t, arm.Triangles(), p.Mesh.Triangles(), "with its rivet")
			require.InEpsilon(t, arm.Volume(), p.Mesh.Volume(), 1e-4)
		}
	}
	pieces, _ := Apart(both, 5)
	require.Equal(t, []string{"1-of-2-right", "2-of-2-left"}, []string{pieces[0].Name, pieces[1].Name})
	require.Less(t, pieces[0].Mesh.Bounds().Center().X, pieces[1].Mesh.Bounds().Center().X)

	// Rings that follow each other closely are one, two such legs are two.
	ring := shape.Tube{Sides: 48, Radius: 40, Wall: 3, Height: 50}.Mesh()
	leg := shape.Join(ring, shape.Offset(ring, r3.Vec{Z: 52}), shape.Offset(ring, r3.Vec{Z: 104}))
	pieces, gap := Apart(shape.Join(leg, shape.Offset(leg, r3.Vec{X: 250})), 5)
	require.Len(t, pieces, 2)
	require.InDelta(t, 250-leg.Bounds().Size().X, gap, 0.01)
	require.Equal(t, leg.Triangles(), pieces[0].Mesh.Triangles())
	pieces, _ = Apart(shape.Join(leg, shape.Offset(leg, r3.Vec{X: 250})), 1)
	require.Len(t, pieces, 6)

	// A buckle that lies by itself goes with the arm that it is nearer to.
	buckle := shape.Offset(shape.Bar{X: 8, Y: 8, Z: 8}.Mesh(), r3.Vec{X: 60, Z: 20})
	pieces, _ = Apart(shape.Join(tube, buckle, shape.Offset(tube, r3.Vec{X: 200})), 5)
	require.Len(t, pieces, 2)
	require.Equal(t, tube.Triangles()+buckle.Triangles(), pieces[0].Mesh.Triangles())

	for name, m := range map[string]*mesh.Mesh{
		"one": tube, "with a rivet": arm, "rings": leg, "with a buckle beside it": shape.Join(tube, buckle),
		"one in the other": shape.Join(tube, shape.Tube{Sides: 48, Radius: 20, Wall: 3, Height: 150}.Mesh()),
	} {
		pieces, gap := Apart(m, 5)
		require.Empty(t, pieces, name)
		require.Zero(t, gap, name)
	}
}

// A mesh with holes is parted all the same, and it is said what stays open.
func TestOpenMeshIsPartedAsItIs(t *testing.T) {
	m := shape.DropFacets(shape.Tube{Sides: 64, Radius: 60, Wall: 4, Height: 400}.Mesh(), 20, 1)
	p, err := Part(context.Background(), m, upright(200, 200, 200), Wish{Pins: pin.Common()})
	require.NoError(t, err)
	if len(p.Pieces) != 2 {
		t.Errorf("%d pieces, want 2", len(p.Pieces))
	}
	for _, q := range p.Pieces {
		if s := q.Mesh.Bounds().Size(); s.Z > 200.001 {
			t.Errorf("%s is %g mm high", q.Name, s.Z)
		}
	}
	m = shape.Tube{Sides: 64, Radius: 60, Wall: 4, Height: 400}.Mesh()
	m.X[7] = float32(math.NaN())
	p, err = Part(context.Background(), m, upright(200, 200, 200), Wish{Pins: pin.Common()})
	require.NoError(t, err)
	if len(p.Pieces) != 2 || p.Flaws.Lost == 0 {
		t.Errorf("a corner that is no number: %d pieces, flaws %+v", len(p.Pieces), p.Flaws)
	}
	sheet := shape.Bar{X: 300, Y: 300, Z: 1}.Mesh()
	sheet.T = sheet.T[:6]
	p, err = Part(context.Background(), sheet, upright(200, 400, 200), Wish{Pins: pin.Common()})
	require.NoError(t, err)
	if !p.Flaws.Any() || len(p.Seams) != 1 || len(p.Seams[0].Keys) != 0 {
		t.Errorf("a single sheet: flaws %+v, seams %+v", p.Flaws, p.Seams)
	}
}

func TestEqualQuestionsHaveEqualAnswers(t *testing.T) {
	m := shape.Turn(shape.Tube{Sides: 48, Radius: 60, Wall: 7, Height: 500}.Mesh(), shape.Rotation(3))
	want := part(t, m, upright(220, 220, 220), Wish{Pins: pin.Common()})
	got := part(t, m, upright(220, 220, 220), Wish{Pins: pin.Common()})
	require.Equal(t, want, got)
}

// A thinned mesh is small and takes the same box.
func TestThinnedMeshIsAsLarge(t *testing.T) {
	m := shape.Relief{Triangles: 100_000}.Mesh()
	light := thinned(m)
	if light.Triangles() > mostSearched || light.Triangles() < mostSearched/4 {
		t.Errorf("%d triangles of %d", light.Triangles(), m.Triangles())
	}
	want, got := m.Bounds().Size(), light.Bounds().Size()
	if r3.Norm(r3.Sub(want, got)) > 0.01*r3.Norm(want) {
		t.Errorf("size %v, thinned %v", want, got)
	}
}
