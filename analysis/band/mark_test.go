package band

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// worn are parts of every shape, each with a place to cut a band.
var worn = []struct {
	name   string
	mesh   *mesh.Mesh
	at     r3.Vec
	normal r3.Vec
}{
	{"tube", shape.Tube{Sides: 96, Radius: 50, Wall: 3, Height: 120}.Mesh(), r3.Vec{Z: 70}, r3.Vec{Z: 1}},
	{"taper", shape.Taper{Sides: 128, Rows: 9, Bottom: shape.Ellipse{A: 60, B: 48}, Top: shape.Ellipse{A: 40, B: 31}, Wall: 3, Height: 150}.Mesh(), r3.Vec{Z: 71}, r3.Vec{Z: 1}},
	{"ellipse", shape.Taper{Sides: 200, Rows: 3, Bottom: shape.Ellipse{A: 80, B: 45}, Top: shape.Ellipse{A: 80, B: 45}, Wall: 2.4, Height: 60}.Mesh(), r3.Vec{Z: 30}, r3.Vec{Z: 1}},
	{"gutter", shape.Gutter{Sides: 90, Bottom: 70, Top: 60, Wall: 3, Height: 150, Arc: 240}.Mesh(), r3.Vec{Z: 70}, r3.Vec{Z: 1}},
	{"bend", boot.Mesh(), bendOf(boot).Center, bendOf(boot).Normal},
}

var boot = shape.Boot{
	Sides: 96, Rim: shape.Circle(60), Ankle: shape.Circle(52), Instep: shape.Ellipse{A: 50, B: 48}, Ball: shape.Ellipse{A: 48, B: 40},
	Wall: 3, Shaft: 150, Bend: 75, Foot: 90, Toe: 40,
}

// bendOf is the station in the middle of the bend.
func bendOf(b shape.Boot) shape.Station {
	way := b.Ways(1)[0].Stations
	i := slices.IndexFunc(way, func(s shape.Station) bool { return s.Along >= b.Shaft+b.Bend*math.Pi/4 })
	return way[i]
}

// shells of a mesh, each as a mesh, the largest first.
func solids(m *mesh.Mesh) (ring *mesh.Mesh, rest []*mesh.Mesh) {
	shell, boxes := shells(m)
	for i := range boxes {
		keep := make([]bool, len(boxes))
		keep[i] = true
		one := pick(m, shell, keep)
		if ring == nil || one.Volume() > ring.Volume() {
			ring, one = one, ring
		}
		if one != nil {
			rest = append(rest, one)
		}
	}
	return ring, rest
}

func level1(m *mesh.Mesh, z float64) section.Section {
	return section.Cut(m, section.Plane{Point: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}})
}

// A marked band is closed; what notches take from it and letters add is what
// their sizes say; and its inside is untouched at every height.
func TestMarksAreAKnownVolumeAndLeaveTheInside(t *testing.T) {
	for _, p := range worn {
		plain, err := Cut(p.mesh, Wish{At: p.at, Normal: p.normal})
		require.NoError(t, err, p.name)
		const text, count = "GREAVE 107.5%", 7
		got, err := Cut(p.mesh, Wish{At: p.at, Normal: p.normal, Marks: Marks{Notches: count, Texts: []string{text}}})
		require.NoError(t, err, p.name)
		require.Equal(t, []any{text, count, 1}, []any{got.Text, got.Notches, got.Arcs}, p.name)
		if c := got.Mesh.Condition(); !c.Closed || got.Flaws.Any() {
			t.Errorf("%s: %+v", p.name, c)
		}
		low := got.Mesh.Bounds().Min
		if r3.Norm(low) > 1e-4 {
			t.Errorf("%s: begins at %v", p.name, low)
		}
		ring, letters := solids(got.Mesh)

		wall := wallOf(plain)
		want := count * notchWide * notchDeep * (wall - innerLip)
		if taken := plain.Mesh.Volume() - ring.Volume(); math.Abs(taken/want-1) > 0.04 {
			t.Errorf("%s: notches take %.2f mm³, want %.2f", p.name, taken, want)
		}
		strokes, _ := spelled(text)
		var raised, formula float64
		for i, s := range strokes {
			wide := apart(strokeWide, i)
			formula += wide * (r2.Norm(r2.Sub(s.to, s.from)) + wide*(s.start+s.after)) * (overlap + strokeHigh)
		}
		for _, l := range letters {
			require.Positive(t, l.Volume(), p.name)
			raised += l.Volume()
		}
		if len(letters) != len(strokes) || math.Abs(raised/formula-1) > 0.01 {
			t.Errorf("%s: %d letters' strokes of %.2f mm³, want %d of %.2f", p.name, len(letters), raised, len(strokes), formula)
		}
		if sum := plain.Mesh.Volume() - want + formula; math.Abs(got.Mesh.Volume()/sum-1) > 0.01 {
			t.Errorf("%s: %.1f mm³ in all, want %.1f", p.name, got.Mesh.Volume(), sum)
		}

		shift := r2.Sub(got.center, plain.center)
		for _, z := range []float64{0.5, 3, 6, 8, 11.2, 11.9} {
			before, after := inside(plain.Mesh, z, plain.center), inside(got.Mesh, z, got.center)
			for i := range before {
				if math.Abs(before[i]-after[i]) > 1e-3 {
					t.Fatalf("%s at %g mm: the inside went from %.4f to %.4f mm from the middle (moved by %v)", p.name, z, before[i], after[i], shift)
				}
			}
		}
	}
}

// wallOf is the mean thickness of a band.
func wallOf(b Band) float64 {
	var area, edge float64
	for _, c := range level1(b.Mesh, b.Height-0.5).Chains {
		area, edge = area+c.Area(), edge+c.Length()
	}
	return 2 * area / edge
}

// inside is how far the wall's inside is from the middle, by degree.
func inside(m *mesh.Mesh, z float64, center r2.Vec) (mm [360]float64) {
	l := newLevel(level1(m, z))
	for i := range mm {
		mm[i], _, _ = l.far(center, heading((float64(i)+0.37)*math.Pi/180), 500)
	}
	return mm
}

// outside walks round a band at a height, d mm inward of where the plain one has
// its outside, and returns for each tenth of a degree whether there is material
// (d > 0) or something stands out (d < 0).
func solidAt(marked, plain Band, z, d float64) []bool {
	got, was := newLevel(level1(marked.Mesh, z)), newLevel(level1(plain.Mesh, z))
	out := make([]bool, 3600)
	for i := range out {
		dir := heading(float64(i) * math.Pi / 1800)
		entered, _, ok := was.far(r2.Add(plain.center, r2.Scale(500, dir)), r2.Scale(-1, dir), 500)
		if !ok {
			continue
		}
		found, _, _ := got.far(r2.Add(marked.center, r2.Scale(500, dir)), r2.Scale(-1, dir), 500)
		out[i] = found <= entered+d
	}
	return out
}

// runs counts the runs of a value round a circle.
func runs(round []bool, of bool) (n int) {
	for i, v := range round {
		if v == of && round[(i+len(round)-1)%len(round)] != of {
			n++
		}
	}
	return n
}

// Just below the top rim the outer wall has as many gaps as there are notches,
// and none at half height.
func TestNotchesAreCountedAgain(t *testing.T) {
	for _, p := range worn {
		if p.name == "gutter" {
			continue // its own gap is one more; see below
		}
		plain, err := Cut(p.mesh, Wish{At: p.at, Normal: p.normal})
		require.NoError(t, err)
		for _, count := range []int{1, 5, 6, 11} {
			b, err := Cut(p.mesh, Wish{At: p.at, Normal: p.normal, Marks: Marks{Notches: count}})
			require.NoError(t, err)
			if got := runs(solidAt(b, plain, b.Height-0.4, 0.3), false); got != count || b.Notches != count {
				t.Errorf("%s: %d gaps below the rim, want %d", p.name, got, count)
			}
			if got := runs(solidAt(b, plain, b.Height/2, 0.3), false); got != 0 {
				t.Errorf("%s: %d gaps at half height", p.name, got)
			}
		}
	}
}

// A cut round the band through the letters meets as many strokes as the letters
// have there: at the middle of the lattice H has its bar alone (all its width),
// I one stem; between two rows of the lattice H has two stems and I one.
func TestLettersStandOutOfTheWall(t *testing.T) {
	for _, p := range worn {
		plain, err := Cut(p.mesh, Wish{At: p.at, Normal: p.normal})
		require.NoError(t, err)
		b, err := Cut(p.mesh, Wish{At: p.at, Normal: p.normal, Marks: Marks{Texts: []string{"HIH-1"}}})
		require.NoError(t, err)
		foot := (b.Height - notchDeep - letterHigh) / 2
		for lattice, want := range map[float64]int{0.7: 6, 1.98: 5} {
			z := foot + strokeWide/2 + lattice*latticeY
			if got := runs(solidAt(b, plain, z, -0.3), true); got != want {
				t.Errorf("%s: %d strokes stand out at row %g, want %d", p.name, got, lattice, want)
			}
		}
		if got := runs(solidAt(b, plain, foot-0.2, -0.1), true) + runs(solidAt(b, plain, foot+letterHigh+0.2, -0.1), true); got != 0 {
			t.Errorf("%s: %d strokes below or above the letters", p.name, got)
		}
	}
}

// A finger ring has no room for letters, nor for notches beyond what goes round.
func TestTinyRingHasNotchesAlone(t *testing.T) {
	ring := shape.Tube{Sides: 64, Radius: 9, Wall: 1.6, Height: 5}.Mesh()
	b, err := Cut(ring, Wish{At: r3.Vec{Z: 2}, Normal: r3.Vec{Z: 1}, Marks: Marks{Notches: 3, Texts: []string{"RING 100%", "100%"}}})
	require.NoError(t, err)
	plain, err := Cut(ring, Wish{At: r3.Vec{Z: 2}, Normal: r3.Vec{Z: 1}})
	require.NoError(t, err)
	if got := runs(solidAt(b, plain, b.Height-0.4, 0.3), false); got != 3 || b.Text != "" || b.Notches != 3 || !b.Mesh.Condition().Closed {
		t.Errorf("%d gaps, %d notches, text %q", got, b.Notches, b.Text)
	}
	many, err := Cut(ring, Wish{At: r3.Vec{Z: 2}, Normal: r3.Vec{Z: 1}, Marks: Marks{Notches: 30}})
	require.NoError(t, err)
	if many.Notches != 0 || many.Mesh.Volume() != plain.Mesh.Volume() {
		t.Errorf("30 notches on a ring of 66 mm: %d", many.Notches)
	}
}

// No marks come where the wall is ribbed: letters would not be read.
func TestRibbedWallHasNoRoomForLetters(t *testing.T) {
	m := shape.Tube{Sides: 480, Radius: 50, Wall: 4, Height: 60}.Mesh().Map(func(p r3.Vec) r3.Vec {
		if r := math.Hypot(p.X, p.Y); r > 52 {
			grown := 1 + 1.2*math.Cos(40*math.Atan2(p.Y, p.X))/r
			p.X, p.Y = grown*p.X, grown*p.Y
		}
		return p
	})
	b, err := Cut(m, Wish{At: r3.Vec{Z: 30}, Normal: r3.Vec{Z: 1}, Marks: Marks{Texts: []string{"GREAVE 100%"}}})
	require.NoError(t, err)
	if b.Text != "" {
		t.Errorf("%q on a ribbed wall", b.Text)
	}
}

// A band that is written and read again is still closed and without an edge
// that more than two facets share.
func TestMarkedBandIsReadAgain(t *testing.T) {
	p := worn[0]
	b, err := Cut(p.mesh, Wish{At: p.at, Normal: p.normal, Marks: Marks{Notches: 2, Texts: []string{"ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789-.%"}}})
	require.NoError(t, err)
	require.NotEmpty(t, b.Text)
	var out bytes.Buffer
	require.NoError(t, mesh.WriteSTL(&out, b.Mesh, "band"))
	path := filepath.Join(t.TempDir(), "band.stl")
	require.NoError(t, os.WriteFile(path, out.Bytes(), 0o666))
	f, err := mesh.Open(path)
	require.NoError(t, err)
	defer f.Close()
	l, err := f.Load(t.Context(), mesh.DefaultLimits())
	require.NoError(t, err)
	c := l.Condition()
	for _, d := range c.Defects {
		if d.Kind != mesh.DefectSliver {
			t.Errorf("%+v", d)
		}
	}
	if strokes, _ := spelled(b.Text); !c.Closed || c.Components != 1+len(strokes) {
		t.Errorf("closed %v, %d shells, want %d", c.Closed, c.Components, 1+len(strokes))
	}
}

func TestSpellable(t *testing.T) {
	for text, want := range map[string]string{
		"greave-left calf 107.5%": "GREAVE-LEFT CALF 107.5%",
		"épée_2  (copy)":          "-P-E-2 -COPY-",
		" \t ":                    "",
	} {
		if got := Spellable(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
