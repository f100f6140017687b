package analysis

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"gambeson/analysis/likeness"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// noticed returns the findings about m as far as its change goes.
func noticed(t *testing.T, m *mesh.Mesh, before *Findings) Findings {
	t.Helper()
	f := Findings{Unit: &Unit{Name: "millimetre", Factor: 1}, Mesh: describe(loaded(m), m, m.Condition(), 1)}
	f.notice(m, before, 1)
	text, err := json.Marshal(f) // as it lies in findings.json until the next save
	require.NoError(t, err)
	var back Findings
	require.NoError(t, json.Unmarshal(text, &back))
	return back
}

func TestChangesInWords(t *testing.T) {
	m := greave()
	first := noticed(t, m, nil)
	require.Equal(t, &Changed{Kind: "new"}, first.Changed)
	require.NotNil(t, first.Shape)

	by := func(degrees float64, axis r3.Vec) r3.Rotation { return r3.NewRotation(degrees*math.Pi/180, axis) }
	z := r3.Vec{Z: 1}
	halved := func(p section.Plane) *mesh.Mesh {
		_, below, _ := section.Halves(m, p)
		return below
	}
	stretched := m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: 1.1 * p.X, Y: p.Y, Z: 0.95 * p.Z} })
	for _, c := range []struct {
		m    *mesh.Mesh
		kind string
		says string
	}{
		{shape.Shuffle(m, 1), "same", "saved again in the same shape"},
		{shape.Offset(m, r3.Vec{X: 12, Z: -3.5}), "moved", "moved by 12.0 mm along x and −3.5 mm along z"},
		{shape.Turn(m, by(90, z)), "turned", "turned by 90° about z"},
		{shape.Turn(m, by(-33.3, r3.Vec{X: 1})), "turned", "turned by −33.3° about x"},
		{shape.Mirror(m), "mirrored", "mirrored along x"},
		{m.Scaled(1.07), "rescaled", "rescaled to 107.0 % of what it was"},
		{m.Scaled(1.0004), "rescaled", "rescaled to 100.04 % of what it was"},
		{shape.Turn(m.Scaled(1.07), by(90, z)), "rescaled", "rescaled to 107.0 % of what it was and turned by 90° about z"},
		{shape.Offset(shape.Turn(shape.Mirror(m.Scaled(0.5)), by(20, z)), r3.Vec{Y: 400}), "rescaled", "rescaled to 50.0 % of what it was, mirrored along x, turned by 20° about z and moved by "},
		{stretched, "rescaled", "rescaled to 110.0 % along x, 100.0 % along y and 95.0 % along z of what it was"},
		{shape.Turn(m, by(20, z)).Map(func(p r3.Vec) r3.Vec { p.Y *= 1.2; return p }), "rescaled", "turned by 20° about z and rescaled to 100.0 % along x, 120.0 % along y and 100.0 % along z of what it was"},
		{halved(section.Plane{Point: r3.Vec{Z: 120}, Normal: z}), "cut", "cut at z = 120.0 mm (what was beyond is gone): "},
		{halved(section.Plane{Point: r3.Vec{Z: 120}, Normal: r3.Scale(-1, z)}), "cut", "cut at z = 120.0 mm (what was before it is gone): "},
		{halved(section.Plane{Point: r3.Vec{Z: 120}, Normal: r3.Vec{Y: 3, Z: 4}}), "cut", "is gone): "},
		{shape.DropFacets(m, 7, 2), "edited", "edited: "},
	} {
		got := noticed(t, c.m, &first).Changed
		if got.Kind != c.kind || !strings.Contains(got.Text, c.says) {
			t.Errorf("want %s, %q; got %+v", c.kind, c.says, got)
		}
		if strings.Contains(got.Text, "NaN") || strings.Contains(got.Text, "-") {
			t.Errorf("says %q", got.Text)
		}
	}
	cut := noticed(t, halved(section.Plane{Point: r3.Vec{Z: 120}, Normal: r3.Vec{Y: 3, Z: 4}}), &first).Changed
	if n := cut.Planes[0].Normal; r3.Norm(r3.Sub(vec(n), r3.Vec{Y: 0.6, Z: 0.8})) > 1e-5 {
		t.Errorf("cut square to %v", n)
	}
	edited := noticed(t, shape.DropFacets(m, 7, 2), &first)
	want := size(first.Mesh.Bounds) + " before, " + size(edited.Mesh.Bounds) + " now; surface " + tenths(first.Mesh.Area/100) + " before, " + tenths(edited.Mesh.Area/100) + " cm² now"
	if !strings.Contains(edited.Changed.Text, want) {
		t.Errorf("%q is not in %q", want, edited.Changed.Text)
	}
}

// Old findings without a shape, and those of a file that could not be read,
// tell nothing wrong.
// Who rescales a file by the percent that suit.toml still has, has it twice: that is
// said until one of them is taken back.
func TestScaleThatCountsTwice(t *testing.T) {
	m := greave()
	brief := Brief{Percent: 106.5, PercentSet: true}
	first := noticed(t, m, nil)
	first.Percent = 106.5
	look := func(m *mesh.Mesh, before *Findings, brief Brief) Findings {
		f := noticed(t, m, before)
		f.Percent = brief.Percent
		f.noteTwice(before, brief)
		return f
	}
	twice := look(m.Scaled(1.065), &first, brief)
	require.True(t, twice.has("percent-twice"))
	require.Contains(t, twice.Warnings[0].Text, "113.4 %")
	still := look(shape.Shuffle(m.Scaled(1.065), 3), &twice, brief)
	require.True(t, still.has("percent-twice"))

	require.False(t, func() bool { f := look(m, &twice, brief); return f.has("percent-twice") }(), "taken back")
	for name, f := range map[string]Findings{
		"in suit.toml, too": look(m.Scaled(1.065), &first, Brief{Percent: 100, PercentSet: true}),
		"by something else": look(m.Scaled(1.02), &first, brief),
		"moved":             look(shape.Offset(m, r3.Vec{X: 3}), &first, brief),
		"nobody wants it":   look(m.Scaled(1.065), &first, Brief{Percent: 106.5}),
		"no report before":  look(m.Scaled(1.065), nil, brief),
	} {
		require.False(t, f.has("percent-twice"), name)
	}
}

func TestNothingIsSaidWithoutAShape(t *testing.T) {
	m := tube()
	if got := noticed(t, m, &Findings{Mesh: &Mesh{Triangles: m.Triangles()}}).Changed; got != nil {
		t.Errorf("without a shape: %+v", got)
	}
	refused := Refused("a.stl", "holds no triangles")
	if got := noticed(t, m, &refused).Changed; got == nil || got.Kind != "new" {
		t.Errorf("after a refusal: %+v", got)
	}
}

// A unit that suit.toml names is no change of the file.
func TestAnotherUnitIsNoRescaling(t *testing.T) {
	m := greave()
	first := noticed(t, m, nil)
	f := Findings{Unit: &Unit{Name: "inch", Factor: 25.4}, Mesh: describe(loaded(m), m.Scaled(25.4), m.Condition(), 25.4)}
	f.notice(m.Scaled(25.4), &first, 1)
	if got := f.Changed; got.Text != "read in inch instead of millimetre, which makes it 2540.0 % of what it was" {
		t.Errorf("got %+v", got)
	}
}

// What made a part too large is said with the numbers before and after.
func TestNoLongerFitsAfterEveryChange(t *testing.T) {
	long := shape.Bar{X: 200, Y: 40, Z: 240}.Mesh()
	long = long.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X + p.Z/50, Y: p.Y + p.Z*p.X/5000, Z: p.Z} })
	brief := DefaultBrief()
	before := noticed(t, long, nil)
	before.Percent = 100
	before.placeOnBed(onBeds(long, brief, before.Percent), brief, nil)
	require.True(t, before.Bed.Fits)
	taller := long.Map(func(p r3.Vec) r3.Vec { p.Z *= 1.2; p.X *= 1.3; return p })
	wider := shape.Join(long, shape.Offset(shape.Tube{Sides: 16, Radius: 100, Wall: 3, Height: 290}.Mesh(), r3.Vec{X: 60}))
	for _, c := range []struct {
		m    *mesh.Mesh
		says string
	}{
		{long.Scaled(1.5), "No longer fits the bed since the file was rescaled to 150.0 % of what it was ("},
		{taller, "No longer fits the bed since the file was rescaled to 130.0 % along x, 100.0 % along y and 120.0 % along z of what it was ("},
		{shape.Mirror(long).Scaled(1.5), "No longer fits the bed since the file was rescaled to 150.0 % of what it was and mirrored along x ("},
		{wider, "No longer fits the bed since the file was edited: "},
	} {
		f := noticed(t, c.m, &before)
		f.Percent = 100
		f.placeOnBed(onBeds(c.m, brief, f.Percent), brief, &before)
		says := text(f, "bed-overflow")
		if !strings.HasPrefix(says, c.says) || !strings.Contains(says, size(before.Bed.Placement.Size)+" before") || !strings.Contains(says, size(f.Bed.Placement.Size)) {
			t.Errorf("want %q; says %q", c.says, says)
		}
	}
}

// Every key of a signature is in the findings, and every key of a change says
// its unit.
func TestShapeInFindings(t *testing.T) {
	f := noticed(t, tube(), nil)
	require.Equal(t, likeness.Of(tube(), 1), *f.Shape)
}
