package analysis

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gambeson/analysis/cavity"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// guessed goes through the guesses in the order that Examine does. The cavities
// of what is large are looked for on a coarse grid, with few stations, to be
// quick.
func guessed(t *testing.T, m *mesh.Mesh, part string, change func(*Brief)) (*Findings, Brief) {
	t.Helper()
	return guessedBy(t, m, part, change, func(m *mesh.Mesh) ([]cavity.Cavity, error) {
		o := cavity.Options{Workers: 2}
		if box := m.Bounds(); r3.Norm(r3.Sub(box.Max, box.Min)) > 100 {
			o.Pitch, o.Spacing = 5, 25
		}
		return cavity.Find(t.Context(), m, o)
	})
}

func guessedBy(t *testing.T, m *mesh.Mesh, part string, change func(*Brief), find func(*mesh.Mesh) ([]cavity.Cavity, error)) (*Findings, Brief) {
	t.Helper()
	brief := DefaultBrief()
	if change != nil {
		change(&brief)
	}
	l := loaded(m)
	unit, scale := unitOf(l.Unit, brief.Unit)
	m = m.Scaled(scale)
	f := &Findings{Percent: brief.Percent, Unit: &unit, Mesh: describe(l, m, l.Condition(), scale)}
	f.guessRegion(part, &brief)
	cavities, err := find(m.Scaled(brief.Percent / 100))
	require.NoError(t, err)
	f.describeCavities(cavities)
	f.guessByShape(&brief)
	f.noteUnit()
	require.Equal(t, brief.Region, *f.Region)
	return f, brief
}

func ellipse(girth, aspect float64) shape.Ellipse { return shape.EllipseOfGirth(girth, aspect) }

// worn are shells of formulas for a body of middling size, a cm or so away from
// it.
var worn = map[string]struct {
	region string
	draw   func() *mesh.Mesh
}{
	"greave": {"lower_leg", func() *mesh.Mesh {
		return shape.Taper{Bottom: ellipse(330, 1.1), Top: ellipse(415, 1.05), Wall: 3, Height: 320}.Mesh()
	}},
	"thigh shell": {"thigh", func() *mesh.Mesh {
		return shape.Taper{Bottom: ellipse(450, 1), Top: ellipse(660, 1.1), Wall: 3, Height: 240}.Mesh()
	}},
	"open thigh shell": {"thigh", func() *mesh.Mesh {
		return shape.Gutter{Bottom: 78, Top: 98, Wall: 4, Height: 240, Arc: 250, Round: true}.Mesh()
	}},
	"upper arm": {"upper_arm", func() *mesh.Mesh {
		return shape.Taper{Bottom: ellipse(325, 1.05), Top: ellipse(370, 1.1), Wall: 3, Height: 170}.Mesh()
	}},
	"forearm": {"forearm", func() *mesh.Mesh {
		return shape.Flared(ellipse(245, 0.8), ellipse(318, 0.9), ellipse(300, 0.85), 240, 50, 2.4).Mesh()
	}},
	"gorget": {"neck", func() *mesh.Mesh {
		return shape.Taper{Rows: 2, Bottom: ellipse(430, 1.05), Top: ellipse(395, 1.05), Wall: 3, Height: 50}.Mesh()
	}},
	"bracelet": {"forearm", func() *mesh.Mesh {
		return shape.Tube{Sides: 96, Radius: 33, Wall: 3, Height: 30}.Mesh()
	}},
	"shoulder": {"shoulder", func() *mesh.Mesh {
		return shape.Gutter{Bottom: 62, Top: 74, Wall: 3, Height: 130, Arc: 190, Round: true}.Mesh()
	}},
	"boot": {"foot", func() *mesh.Mesh { return wornBoot().Mesh() }},
	"boot without sole": {"foot", func() *mesh.Mesh {
		b := wornBoot()
		b.OpenSole = true
		return b.Mesh()
	}},
	"helm": {"head", func() *mesh.Mesh {
		return shape.Helm{
			Neck: ellipse(640, 1.2), Skull: ellipse(690, 1.22), Wall: 3, NeckRise: 30, Widen: 50, Rise: 90, Dome: 90,
			SlotZ: 125, SlotDepth: 16, SlotSides: 42,
		}.Mesh()
	}},
	"hips": {"hips", func() *mesh.Mesh {
		return shape.Hips{Sides: 64,
			Waist: ellipse(980, 0.74), Seat: ellipse(1050, 0.73), Leg: ellipse(640, 1.06), Wall: 4,
			Height: 290, Band: 30, SeatZ: 150, Drop: 45, Legs: 35, Apart: 112,
		}.Mesh()
	}},
	"torso": {"torso", func() *mesh.Mesh {
		return shape.Torso{Sides: 64,
			Waist: ellipse(900, 0.72), Chest: ellipse(1010, 0.74), Neck: ellipse(480, 1), Arm: ellipse(460, 1.25), Wall: 3,
			Band: 40, ChestZ: 260, NeckZ: 410, Height: 430, ArmX: 220, ArmZ: 285, Sleeve: 20,
		}.Mesh()
	}},
}

func wornBoot() shape.Boot {
	return shape.Boot{
		Rim: shape.Ellipse{A: 60, B: 57}, Ankle: shape.Ellipse{A: 55, B: 50},
		Instep: shape.Ellipse{A: 45, B: 48}, Ball: shape.Ellipse{A: 40, B: 50},
		Wall: 3, Shaft: 130, Bend: 66, Foot: 95, Toe: 55,
	}
}

// Shells from formulas are told by their cavities alone, a tenth smaller and a
// tenth larger and however they lie. What takes long is looked at once.
func TestShapesThroughTheirCavities(t *testing.T) {
	source := rand.New(rand.NewPCG(3, 5))
	for name, c := range worn {
		if underRace && (c.region == "torso" || c.region == "hips" || c.region == "head") {
			continue
		}
		scales := []float64{0.95}
		if name == "greave" || name == "forearm" {
			scales = []float64{0.9, 1.1}
		}
		drawn := c.draw()
		for _, scale := range scales {
			spin := r3.NewRotation(2*math.Pi*source.Float64(), r3.Vec{X: source.NormFloat64(), Y: source.NormFloat64(), Z: source.NormFloat64()})
			m := drawn.Map(func(p r3.Vec) r3.Vec { return spin.Rotate(r3.Scale(scale, p)) })
			f, brief := guessed(t, m, "part.stl", nil)
			if brief.Region.Name != c.region || brief.Region.Source != "shape" || !f.has("region-guessed") || f.Warned() {
				t.Errorf("%s, %g times as large: %+v, %+v", name, scale, brief.Region, f.Warnings)
			}
		}
	}
}

// A plate has no way through it and is nothing; a name that says what it is
// decides, whatever the shape; a detail is no shell.
func TestGuessesHoldBack(t *testing.T) {
	plate := shape.Plate{Width: 100, Height: 120, Wall: 3, Sides: 8}.Mesh()
	ring := shape.Tube{Sides: 96, Radius: 33, Wall: 3, Height: 30}.Mesh()
	for _, c := range []struct {
		m                  *mesh.Mesh
		part, name, source string
	}{
		{plate, "part.stl", "", "unknown"},
		{plate, "chest.stl", "torso", "name"},
		{ring, "part.stl", "forearm", "shape"},
		{ring, "legs/ankle.stl", "lower_leg", "name"},
		{ring, "strap.stl", "", "unknown"},
		{ring, "hand-to-forearm.stl", "forearm", "shape"},
	} {
		f, _ := guessed(t, c.m, c.part, nil)
		if f.Region.Name != c.name || f.Region.Source != c.source || (f.Region.Reason == "") != (c.name == "") {
			t.Errorf("%s: %+v", c.part, *f.Region)
		}
	}
}

// What suit.toml says stands; a name fills in what it leaves out.
func TestGuessesFillIn(t *testing.T) {
	pin := func(name, side string) func(*Brief) {
		return func(b *Brief) {
			b.Region.Name, b.Region.Side = name, side
			if name != "" {
				b.Region.Source = "config"
			}
		}
	}
	for _, c := range []struct {
		part       string
		name, side string
		want       Region
		note       string
	}{
		{"legs/L_Greave.stl", "", "", Region{"lower_leg", "left", "name", "the file's name says greave and L"},
			"Taken for a left lower leg, because the file's name says greave and L; write region = … in suit.toml if that is wrong."},
		{"greave.stl", "", "right", Region{"lower_leg", "right", "name", "the file's name says greave"},
			"Taken for a right lower leg, because the file's name says greave; write region = … in suit.toml if that is wrong."},
		{"legs/L_Greave.stl", "foot", "", Region{"foot", "left", "config", ""},
			"Taken for the left one, because the file's name says greave and L; write side = … in suit.toml if that is wrong."},
		{"legs/L_Greave.stl", "foot", "right", Region{"foot", "right", "config", ""}, ""},
		{"left/part.stl", "torso", "", Region{"torso", "", "config", ""}, ""},
		{"Upper Arm.stl", "", "", Region{"upper_arm", "", "name", "the file's name says upper arm"},
			"Taken for an upper arm, because the file's name says upper arm; write region = … in suit.toml if that is wrong."},
		{"hips.stl", "", "", Region{"hips", "", "name", "the file's name says hips"},
			"Taken for hips, because the file's name says hips; write region = … in suit.toml if that is wrong."},
		{"part.stl", "", "", Region{"", "", "unknown", ""}, ""},
	} {
		brief := DefaultBrief()
		pin(c.name, c.side)(&brief)
		f := &Findings{}
		f.guessRegion(c.part, &brief)
		if brief.Region != c.want || *f.Region != c.want || text(*f, "region-guessed") != c.note || f.Warned() {
			t.Errorf("%s: %+v, %+v", c.part, brief.Region, f.Warnings)
		}
	}
	bracelet := shape.Tube{Sides: 96, Radius: 33, Wall: 3, Height: 30}.Mesh()
	f, _ := guessed(t, bracelet, "right/part.stl", nil)
	if f.Region.Side != "right" || !strings.Contains(text(*f, "region-guessed"), "Taken for a right forearm, because it is a straight tube, 30.0 mm long and 207 mm round inside") ||
		!strings.Contains(f.Region.Reason, ", and the folder's name says right") {
		t.Errorf("%+v, %+v", *f.Region, f.Warnings)
	}
}

// A part drawn in another unit is doubted with numbers, whether its hollow is
// found or too small to be; nothing is changed.
func TestUnitIsDoubted(t *testing.T) {
	greave, helm := worn["greave"].draw(), worn["helm"].draw()
	for _, c := range []struct {
		what string
		m    *mesh.Mesh
		part string
		with func(*Brief)
		says string
	}{
		{"mm", greave, "greave.stl", nil, ""},
		{"inches", greave.Scaled(1 / 25.4), "greave.stl", nil, `its longest side is 12.6 mm, which is no size for a lower leg; in inches it would be 320 mm. Nothing was changed: write unit = "inch"`},
		{"cm", greave.Scaled(0.1), "greave.stl", nil, `in centimetres it would be 320 mm`},
		{"metres", greave.Scaled(0.001), "greave.stl", nil, `its longest side is 0.320 mm, which is no size for a lower leg; in metres it would be 320 mm`},
		{"inches, nobody knows what", greave.Scaled(1 / 25.4), "part.stl", nil, `which is no size for any part of the body; in inches it would be 320 mm`},
		{"a helm in cm", helm.Scaled(0.1), "helm.stl", nil, `its girths are 64.0 to 69.0 mm, which is no size for a head; in centimetres they would be 640 to 690 mm`},
		{"inches, and suit.toml says so", greave.Scaled(1 / 25.4), "greave.stl", func(b *Brief) { b.Unit = "inch" }, ""},
		{"small, and suit.toml says so", greave.Scaled(0.1), "greave.stl", func(b *Brief) { b.Unit = "millimetre" }, ""},
		{"small, and made large", greave.Scaled(0.1), "greave.stl", func(b *Brief) { b.Percent = 1000 }, ""},
		{"inches, made a little larger", greave.Scaled(1 / 25.4), "greave.stl", func(b *Brief) { b.Percent = 110 }, "but at 110.0 % its longest side is 13.9 mm"},
		{"a strap", greave.Scaled(1 / 25.4), "greave_strap.stl", nil, ""},
		{"a strap of a pinned region", greave.Scaled(1 / 25.4), "greave_strap.stl", func(b *Brief) { b.Region = Region{Name: "lower_leg", Source: "config"} }, ""},
	} {
		f, _ := guessed(t, c.m, c.part, c.with)
		if got := text(*f, "unit-unlikely"); !strings.Contains(got, c.says) || f.Warned() != (c.says != "") || (got == "") != (c.says == "") {
			t.Errorf("%s: %q", c.what, got)
		}
		if f.Unit.Name != "millimetre" && f.Unit.Source != "config" {
			t.Errorf("%s: the unit became %+v", c.what, *f.Unit)
		}
	}
}

// mm taken for inches is as doubtful, by suit.toml or the file.
func TestUnitTooLarge(t *testing.T) {
	for _, source := range []string{"config", "file", "assumed"} {
		f := Findings{Percent: 100, Unit: &Unit{Name: "inch", Factor: 25.4, Source: source}, Region: &Region{Name: "lower_leg"}}
		f.Mesh = &Mesh{Bounds: [3]float64{3000, 3000, 335 * 25.4}}
		f.noteUnit()
		if got := text(f, "unit-unlikely"); !strings.Contains(got, "One unit of the file was taken as one inch, but its longest side is 8509 mm, which is no size for a lower leg; in millimetres it would be 335 mm.") {
			t.Errorf("%s: %q", source, got)
		}
		require.Equal(t, "millimetre", f.Unit.Likely)
	}
}

// An arc of a circle goes round that circle: wall r·t, gap 2r·sin(t/2).
func TestRound(t *testing.T) {
	for _, degrees := range []float64{100, 150, 180, 240, 300, 350} {
		const r = 80.0
		arc := degrees * math.Pi / 180
		s := Station{InnerGirth: r * arc, Gap: 2 * r * math.Sin(arc/2)}
		if got := s.round(); math.Abs(got/(2*math.Pi*r)-1) > 1e-9 {
			t.Errorf("%g degrees: %.6f, want %.6f", degrees, got, 2*math.Pi*r)
		}
	}
	if got := (Station{InnerGirth: 100, Gap: 99}).round(); got != 199 {
		t.Errorf("a flat wall: %g", got)
	}
	if got := (Station{InnerGirth: 326}).round(); got != 326 {
		t.Errorf("a closed one: %g", got)
	}
}

// A line turns by what its stations' centres say.
func TestBend(t *testing.T) {
	for _, degrees := range []float64{0, 30, 90, 120, 180} {
		var c Centreline
		for i := range 10 {
			c.Stations = append(c.Stations, Station{Center: [3]float64{float64(i)}})
		}
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		for i := range 10 {
			c.Stations = append(c.Stations, Station{Center: [3]float64{9 + cos*float64(i+1), sin * float64(i+1)}})
		}
		if got := c.bend(); math.Abs(got-degrees) > 1e-6 {
			t.Errorf("%g degrees: %g", degrees, got)
		}
	}
	if got := (Centreline{Stations: make([]Station, 2)}).bend(); got != 0 {
		t.Errorf("two stations turn by %g", got)
	}
}

// Meshes of others, where GAMBESON_MESHES names their folder: what is said of
// each, and whether its unit is doubted. The inner girths of rings and bracelets
// and the unit of the frame are published with them.
func TestGuessesOnMeshesOfOthers(t *testing.T) {
	folder := os.Getenv("GAMBESON_MESHES")
	if folder == "" {
		t.Skip("GAMBESON_MESHES names no folder")
	}
	for _, c := range []struct {
		path, part     string
		region, source string
		unit           string
		also           string // another warning that it earns
	}{
		{"bracelets/bracelet_closed_S.stl", "bracelet_closed_S.stl", "forearm", "name", "", ""},
		{"bracelets/bracelet_closed_S.stl", "part.stl", "forearm", "shape", "", ""},
		{"bracelets/bracelet_closed_L.stl", "part.stl", "forearm", "shape", "", ""},
		{"octagon-bracelets/octagon-62-open.stl", "part.stl", "forearm", "shape", "", ""},
		{"octagon-bracelets/octagon-70-closed-scaled.stl", "part.stl", "", "unknown", "", ""},
		{"octagon-bracelets/octagon-70-closed-scaled.stl", "bracelet.stl", "forearm", "name", "", ""}, // small, and in no unit a bracelet
		{"ring-gauges/60-mm-ring-sizer.stl", "finger.stl", "hand", "name", "", ""},
		{"ring-gauges/72-mm-ring-sizer.stl", "part.stl", "", "unknown", "", ""},
		{"head-domes/dome-offset-08.STL", "part.stl", "head", "shape", "", ""},
		{"head-domes/dome-offset-28.STL", "part.stl", "head", "shape", "", ""},
		{"face-masks/ComfortFlex100.STL", "part.stl", "", "unknown", "", ""},
		{"bed-fit/headpiece-220x102.stl", "part.stl", "", "unknown", "", "stands-in-way"}, // two arches with struts between
		{"units/frame-in-mm.stl", "face_shield.stl", "head", "name", "", ""},
		{"units/frame-in-inches.stl", "face_shield.stl", "head", "name", "inches it would be 211 mm", ""},
		{"units/frame-in-inches.stl", "part.stl", "", "unknown", "inches it would be 211 mm", ""},
		{"units/pattern.stl", "part.stl", "", "unknown", "", ""},
		{"units/pattern-10x.stl", "part.stl", "", "unknown", "", ""}, // no unit is a tenth of a mm
	} {
		file, err := mesh.Open(filepath.Join(folder, c.path))
		require.NoError(t, err)
		defer file.Close()
		l, err := file.Load(t.Context(), mesh.DefaultLimits())
		require.NoError(t, err)
		f, _ := guessedBy(t, l.Mesh, c.part, nil, func(m *mesh.Mesh) ([]cavity.Cavity, error) {
			return lookInside(t.Context(), m, DefaultBrief(), 2)
		})
		if f.Region.Name != c.region || f.Region.Source != c.source || !strings.Contains(text(*f, "unit-unlikely"), c.unit) {
			t.Errorf("%s as %s: %+v, %+v", c.path, c.part, *f.Region, f.Warnings)
		}
		for _, w := range f.Warnings {
			if w.Level == LevelWarning && w.Code != c.also && (w.Code != "unit-unlikely" || c.unit == "") {
				t.Errorf("%s as %s: %s", c.path, c.part, w.Text)
			}
		}
		require.True(t, c.also == "" || f.Says(c.also), c.path)
	}
}
