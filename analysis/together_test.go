package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// inTwo parts a mesh by a plane and moves what is above it along its normal.
func inTwo(m *mesh.Mesh, at, normal r3.Vec, apart float64) []*mesh.Loaded {
	above, below, _ := section.Halves(m, section.Plane{Point: at, Normal: normal})
	above = shape.Offset(above, r3.Scale(apart/r3.Norm(normal), normal))
	return []*mesh.Loaded{loaded(above), loaded(below)}
}

// A boot that comes in two files has the girths and the openings of the boot,
// however it was parted and lies. Room for glue widens a girth across the cut.
func TestPiecesAreJudgedAsOne(t *testing.T) {
	drawn := shape.Boot{
		Rim: shape.Ellipse{A: 62, B: 58}, Ankle: shape.Ellipse{A: 56, B: 50},
		Instep: shape.Ellipse{A: 45, B: 48}, Ball: shape.Ellipse{A: 40, B: 51},
		Wall: 3, Shaft: 150, Bend: 66, Foot: 95, Toe: 55,
	}.Mesh().Scaled(0.5)
	brief := DefaultBrief()
	whole, err := Examine(t.Context(), loaded(drawn), brief, nil, 2)
	require.NoError(t, err)
	turned := shape.Turn(drawn, shape.Rotation(3))
	by := shape.Rotation(3)
	for name, c := range map[string]struct {
		pieces []*mesh.Loaded
		wider  float64 // mm of every girth
	}{
		"shaft and foot, turned":        {inTwo(turned, by.Rotate(r3.Vec{Z: 70}), by.Rotate(r3.Vec{Z: 1}), 0), 0},
		"left and right, room for glue": {inTwo(drawn, r3.Vec{}, r3.Vec{X: 1}, 0.25), 0.5},
	} {
		together := Together(c.pieces, []string{"", ""})
		brief.Assembly, brief.Mates = "boot", []Mate{{Part: "other.stl", Percent: 100}}
		a, err := together.Examine(t.Context(), c.pieces[0], 0, brief, nil, 2)
		require.NoError(t, err)
		sameInside(t, name, whole.Findings, a.Findings, c.wider)
		if want := loaded(c.pieces[0].Mesh).Mesh.Triangles(); a.Findings.Mesh.Triangles != want {
			t.Errorf("%s: the mesh described has %d triangles, want the piece's own %d", name, a.Findings.Mesh.Triangles, want)
		}
		if len(a.Bands) != 1 || !a.Bands[0].Condition().Closed {
			t.Errorf("%s: %d bands", name, len(a.Bands))
		}
		// The other piece is answered from the same search.
		b, err := together.Examine(t.Context(), c.pieces[1], 1, brief, nil, 2)
		require.NoError(t, err)
		require.Equal(t, a.Findings.Cavities, b.Findings.Cavities, name)
		for i, f := range []Findings{a.Findings, b.Findings} {
			box := c.pieces[i].Mesh.Bounds()
			if own := triple(r3.Sub(box.Max, box.Min)); f.Bed.Placement.Size != own || f.Mesh.Bounds != own {
				t.Errorf("%s, piece %d: %v on the bed, %v in all; want %v", name, i, f.Bed.Placement.Size, f.Mesh.Bounds, own)
			}
		}
	}
}

// sameInside compares the openings, and the stations before the toe.
func sameInside(t *testing.T, name string, want, got Findings, wider float64) {
	t.Helper()
	if len(got.Cavities) != 1 || len(got.Cavities[0].Openings) != len(want.Cavities[0].Openings) {
		t.Fatalf("%s: %d cavities, or not the openings of the whole", name, len(got.Cavities))
	}
	near := func(a, b float64) bool { return math.Abs(a-b) <= 0.001*b+0.01 }
	for i, o := range want.Cavities[0].Openings {
		if g := got.Cavities[0].Openings[i]; !near(g.Girth, o.Girth+wider) || !near(g.Capacity, o.Capacity+wider) {
			t.Errorf("%s: opening %s has %.2f mm, room %.2f; want %.2f and %.2f", name, o.Name, g.Girth, g.Capacity, o.Girth+wider, o.Capacity+wider)
		}
	}
	line, compared := want.Cavities[0].Centrelines[0], 0
	for _, s := range got.Cavities[0].Centrelines[0].Stations {
		// Where the bend begins a girth depends on how the section leans.
		if s.Along > 160 || s.Along < 2 || math.Abs(s.Along-78) < 7 {
			continue
		}
		compared++
		if w := girthAt(line, s.Along) + wider; !near(s.InnerGirth, w) || s.Gap != 0 {
			t.Errorf("%s: %.1f mm along the inner girth is %.3f (gap %.2f), want %.3f", name, s.Along, s.InnerGirth, s.Gap, w)
		}
	}
	if compared < 25 {
		t.Errorf("%s: only %d stations", name, compared)
	}
}

// girthAt interpolates between the stations of a line.
func girthAt(l Centreline, along float64) float64 {
	for i, s := range l.Stations {
		if i > 0 && s.Along >= along {
			before := l.Stations[i-1]
			share := (along - before.Along) / (s.Along - before.Along)
			return before.InnerGirth + share*(s.InnerGirth-before.InnerGirth)
		}
	}
	return math.NaN()
}

// What was said of a piece names the others, and doubts what does not fit.
func TestNotesOnPieces(t *testing.T) {
	numbers(t)
	halves := inTwo(tube(), r3.Vec{Z: 30}, r3.Vec{Z: 1}, 0)
	brief := DefaultBrief()
	brief.Assembly, brief.Mates = "pair", []Mate{{Part: "b.stl", Percent: 103}}
	look := func(pieces []*mesh.Loaded) *Findings {
		a, err := Together(pieces, []string{"", ""}).Examine(t.Context(), pieces[0], 0, brief, nil, 2)
		require.NoError(t, err)
		return &a.Findings
	}
	if f := look(halves); !f.has("assembly") || !f.has("assembly-scale") || f.has("assembly-apart") {
		t.Errorf("halves: %+v", f.Warnings)
	}
	away := []*mesh.Loaded{loaded(shape.Offset(halves[0].Mesh, r3.Vec{Z: 40})), halves[1]}
	if f := look(away); !f.has("assembly-apart") {
		t.Errorf("halves that lie apart: %+v", f.Warnings)
	}
	brief = DefaultBrief()
	brief.Apart = []string{"b.stl"}
	a, err := Examine(t.Context(), halves[0], brief, nil, 2)
	require.NoError(t, err)
	if f := &a.Findings; f.Assembly == nil || len(f.Assembly.Apart) != 1 || !f.has("assembly-apart") {
		t.Errorf("a piece that lost its mate: %+v %+v", f.Assembly, f.Warnings)
	}
}

// Pieces that part a shell along its length are closed round the body: nothing of it
// is cut off or open again to let the heel in, but straps are to join them. Pieces
// above one another are none of these.
func TestPiecesThatPartAlongTheLimb(t *testing.T) {
	greave := shape.Taper{Sides: 64, Rows: 1, Bottom: shape.Ellipse{A: 45, B: 40}, Top: shape.Ellipse{A: 66, B: 60}, Wall: 3, Height: 240}.Mesh()
	look := func(pieces []*mesh.Loaded, change func(*Brief)) Findings {
		brief := DefaultBrief()
		leg(340)(&brief)
		brief.Strapped = false
		brief.Printer.Height = 150 // too low for any of them
		brief.Assembly, brief.Mates = "greave", []Mate{{Part: "back.stl", Percent: 100}}
		if change != nil {
			change(&brief)
		}
		a, err := Together(pieces, []string{"", ""}).Examine(t.Context(), pieces[0], 0, brief, nil, 2)
		require.NoError(t, err)
		require.NotEmpty(t, a.Findings.Bed.Pieces)
		return a.Findings
	}
	along := func(f Findings) (n int) {
		for _, s := range f.Bed.Seams {
			if math.Abs(s.Plane.Normal[2]) < 0.5 {
				n++
			}
		}
		return n
	}
	lengthwise := inTwo(greave, r3.Vec{}, r3.Vec{Y: 1}, 0)
	f := look(lengthwise, nil)
	require.True(t, f.Assembly.Along)
	require.Empty(t, f.Fit.Entries, "strapped, nothing has to pass")
	require.Zero(t, along(f), "%+v", f.Bed.Seams)

	f = look(lengthwise, func(b *Brief) { b.Glued = true })
	require.Equal(t, "blocked", f.Fit.Verdict)
	require.NotEmpty(t, f.Fit.Entries)
	for _, e := range f.Fit.Entries {
		require.False(t, e.Passes)
		require.Nil(t, e.Panel)
		require.True(t, e.Halves)
	}
	require.Contains(t, textOf(f, "does-not-enter"), "strapped = true says so")
	require.Zero(t, along(f), "%+v", f.Bed.Seams)

	f = look(lengthwise, func(b *Brief) { b.Halves = true })
	require.Empty(t, f.Fit.Entries, "nothing has to pass")
	require.Zero(t, along(f), "it is parted so already: %+v", f.Bed.Seams)

	across := inTwo(greave, r3.Vec{Z: 120}, r3.Vec{Z: 1}, 0)
	f = look(across, func(b *Brief) { b.Printer.Height = 100 })
	require.False(t, f.Assembly.Along)
	require.NotContains(t, textOf(f, "does-not-enter"), "strapped = true")
	f = look(across, func(b *Brief) { b.Printer.Height, b.Halves = 100, true })
	require.NotZero(t, along(f), "%+v", f.Bed.Seams)
}

func textOf(f Findings, code string) string {
	for _, w := range f.Warnings {
		if w.Code == code {
			return w.Text
		}
	}
	return ""
}
