package analysis

import (
	"math"
	"strings"
	"testing"

	"gambeson/analysis/bed"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
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
