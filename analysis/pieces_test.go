package analysis

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gambeson/analysis/bed"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// long is a limb too long for the common bed in any way: √2·210/(420+…) < 1.
func long() *mesh.Mesh {
	return shape.Turn(shape.Taper{Sides: 64, Rows: 8, Bottom: shape.Ellipse{A: 50, B: 44}, Top: shape.Ellipse{A: 62, B: 55}, Wall: 5, Height: 420}.Mesh(), shape.Rotation(4))
}

func TestPartedForTheBed(t *testing.T) {
	numbers(t)
	brief := DefaultBrief()
	m := long()
	a := examine(t, m, func(b *Brief) { *b = brief }, nil)
	f := &a.Findings
	require.False(t, f.Bed.Fits)
	if len(f.Bed.Pieces) != 2 || len(a.Pieces) != 2 || len(f.Bed.Seams) == 0 {
		t.Fatalf("%d pieces, %d meshes, seams %+v", len(f.Bed.Pieces), len(a.Pieces), f.Bed.Seams)
	}
	var sum float64
	for i, p := range f.Bed.Pieces {
		q := a.Pieces[i]
		if !q.Condition().Closed {
			t.Errorf("%s is open", p.File)
		}
		low := q.Bounds().Min
		if math.Abs(low.X)+math.Abs(low.Y)+math.Abs(low.Z) > 1e-3 {
			t.Errorf("%s lies from %v on, want the origin", p.File, low)
		}
		if fit := bed.Place(q, brief.Printer.Volume()); !fit.Turned.Fits(1) {
			t.Errorf("%s does not fit as its file lies: %+v", p.File, fit)
		}
		if !strings.HasPrefix(p.File, "pieces/") || !strings.HasSuffix(p.File, ".stl") || p.Plane == nil {
			t.Errorf("%+v", p)
		}
		sum += q.Volume() + p.Holes
	}
	if math.Abs(sum/m.Volume()-1) > 1e-4 {
		t.Errorf("the pieces have %.1f mm³ in sum, the part %.1f", sum, m.Volume())
	}
	if f.Bed.Loads < 2 || f.Bed.Loads > 3 || f.Bed.BandLoads != 1 {
		t.Errorf("%d loads, %d of bands", f.Bed.Loads, f.Bed.BandLoads)
	}
	// At half the size it fits, and is one piece on one bed with its bands.
	brief.Percent = 50
	a = examine(t, m, func(b *Brief) { *b = brief }, nil)
	if b := a.Findings.Bed; !b.Fits || len(b.Pieces) > 0 || len(a.Pieces) > 0 || b.Loads < 1 {
		t.Errorf("at 50 %%: %+v", b)
	}
}

// A part for which the second printer is large enough is left in one piece.
func TestNotPartedWhereAnotherPrinterTakesIt(t *testing.T) {
	f := Answer{Findings: Findings{Percent: 100, Changed: &Changed{Kind: "new"}}, Own: long()}
	brief := DefaultBrief()
	brief.Second = &Printer{Bed: [2]float64{600, 600}, Height: 600}
	f.Findings.placeOnBed(onBeds(f.Own, brief, 100), brief, nil)
	require.NoError(t, f.parted(t.Context(), brief))
	if len(f.Pieces) > 0 {
		t.Errorf("%d pieces", len(f.Pieces))
	}
}

func TestFarTooLargeIsSaid(t *testing.T) {
	f := Answer{Findings: Findings{Percent: 100, Changed: &Changed{Kind: "new"}}, Own: shape.Bar{X: 5000, Y: 5000, Z: 5000}.Mesh()}
	f.Findings.placeOnBed(onBeds(f.Own, DefaultBrief(), 100), DefaultBrief(), nil)
	require.NoError(t, f.parted(t.Context(), DefaultBrief()))
	if len(f.Pieces) > 0 || !f.Findings.has("pieces-none") {
		t.Errorf("%d pieces, says %+v", len(f.Pieces), f.Findings.Warnings)
	}
}

// A trunk that is opened is parted along itself, from the waist to the neck, and not
// along the way out of an armhole: left and right come out as mirror images.
func TestTrunkIsHalvedAlongItself(t *testing.T) {
	numbers(t)
	m := shape.Torso{
		Sides: 96, Waist: shape.Ellipse{A: 158, B: 114}, Chest: shape.Ellipse{A: 179.4, B: 132.8}, Neck: shape.Circle(75),
		Arm: shape.Ellipse{A: 63, B: 79}, Wall: 3, Band: 40, ChestZ: 260, NeckZ: 410, Height: 430, ArmX: 215, ArmZ: 285, Sleeve: 20,
	}.Mesh()
	for _, percent := range []float64{100, 109} {
		a := examine(t, m, func(b *Brief) {
			b.Region = Region{Name: "torso", Source: "config"}
			b.Wearer.Measures = map[string]float64{"stature": 1710, "chest_girth": 900, "waist_girth": 800}
			b.Halves, b.Percent = true, percent
			b.Printer.Bed, b.Printer.Height = [2]float64{300, 300}, 400
		}, nil)
		f := &a.Findings
		require.NotEmpty(t, f.Fit.Sits)
		wish := f.wish(Brief{Halves: true})
		require.Len(t, wish.Limbs, 1)
		way := wish.Ways[wish.Limbs[0]]
		if low, high := way[0].Point, way[len(way)-1].Point; math.Abs(high.X-low.X) > 5 || math.Abs(high.Z-low.Z) < 400 {
			t.Errorf("at %g %% the limb goes from %v to %v", percent, low, high)
		}
		require.NotEmpty(t, f.Bed.Seams)
		if n := f.Bed.Seams[0].Plane.Normal; math.Abs(n[2]) > 0.01 {
			t.Errorf("at %g %% the first seam faces %v, not along the trunk", percent, n)
		}
		volume := map[string]float64{} // by place, mm³
		for i, p := range f.Bed.Pieces {
			volume[p.File[len("pieces/0-of-0-"):]] += a.Pieces[i].Volume()
		}
		for _, level := range []string{"lower", "upper"} {
			l, r := volume[level+"-left.stl"], volume[level+"-right.stl"]
			if l == 0 || math.Abs(l-r) > 1e-3*l {
				t.Errorf("at %g %%, %s: %.0f mm³ on the left, %.0f on the right", percent, level, l, r)
			}
		}
	}
}

// Halves are cut where suit.toml wants them, also of a part that fits the bed. A plate,
// round which nothing closes, stays whole.
func TestHalvesAreCutWhereTheWholeFits(t *testing.T) {
	cuff := shape.Taper{Sides: 64, Rows: 1, Bottom: shape.Ellipse{A: 50, B: 47}, Top: shape.Ellipse{A: 64, B: 60}, Wall: 3, Height: 120}.Mesh()
	whole := examine(t, cuff, nil, nil).Findings
	require.True(t, whole.Bed.Fits)
	require.Empty(t, whole.Bed.Pieces)
	a := examine(t, cuff, func(b *Brief) { b.Halves = true }, nil)
	f := a.Findings
	require.True(t, f.Bed.Fits)
	require.Len(t, f.Bed.Pieces, 2)
	require.Len(t, f.Bed.Seams, 1)
	require.Less(t, math.Abs(f.Bed.Seams[0].Plane.Normal[2]), 0.2)
	require.False(t, f.has("halves-uncut"))
	require.Equal(t, 1, f.Bed.Loads) // 134 × 63 mm each: the whole would not lie beside them
	require.InEpsilon(t, cuff.Volume(), f.Bed.Pieces[0].Volume+f.Bed.Pieces[0].Holes+f.Bed.Pieces[1].Volume+f.Bed.Pieces[1].Holes, 1e-4)

	// Halves in one file, with a gap, are no further halved.
	above, below, _ := section.Halves(cuff, section.Plane{Normal: r3.Vec{Y: 1}})
	done := examine(t, shape.Join(below, shape.Offset(above, r3.Vec{Y: 1.5})), func(b *Brief) { b.Halves = true }, nil).Findings
	require.True(t, done.Bed.Fits)
	require.Empty(t, done.Bed.Pieces)
	require.False(t, done.has("halves-uncut"))

	plate := examine(t, shape.Bar{X: 120, Y: 150, Z: 4}.Mesh(), func(b *Brief) { b.Halves = true }, nil).Findings
	require.Empty(t, plate.Bed.Pieces)
	require.False(t, plate.has("halves-uncut"), "%v", plate.Warnings)
}

// What is cut from a part of which all facets, or some, face inward faces outward, and
// its material is that of the sound one.
func TestPiecesOfWhatFacesInward(t *testing.T) {
	sound := long()
	inside, some := sound.Clone(), sound.Clone()
	inside.Flip()
	for f := 0; f < some.Triangles(); f += 5 {
		some.T[3*f+1], some.T[3*f+2] = some.T[3*f+2], some.T[3*f+1]
	}
	want := examine(t, sound, nil, nil)
	for name, m := range map[string]*mesh.Mesh{"all": inside, "some": some} {
		a := examine(t, m, nil, nil)
		require.InDelta(t, want.Findings.Mesh.Volume, a.Findings.Mesh.Volume, 1e-6*want.Findings.Mesh.Volume, name)
		require.True(t, a.Findings.has("mesh-flipped"), name)
		require.Len(t, a.Pieces, len(want.Pieces), name)
		for i, p := range slices.Concat(a.Pieces, a.Bands) {
			c := p.Condition()
			require.True(t, c.Closed && len(c.Flipped) == 0, "%s, %d", name, i)
			require.Positive(t, p.Volume(), "%s, %d", name, i)
		}
	}
}
