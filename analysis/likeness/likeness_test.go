package likeness

import (
	"bytes"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// read returns what a file holds.
func read(t testing.TB, name string, write func(io.Writer) error) *mesh.Mesh {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, write(&b))
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	f, err := mesh.Open(path)
	require.NoError(t, err)
	defer f.Close()
	l, err := f.Load(t.Context(), mesh.DefaultLimits())
	require.NoError(t, err)
	return l.Mesh
}

// saved returns m after a round trip through a binary STL file.
func saved(t testing.TB, m *mesh.Mesh) *mesh.Mesh {
	return read(t, "part.stl", func(w io.Writer) error { return mesh.WriteSTL(w, m, "") })
}

// vecOf returns a vector of three normal deviates.
func vecOf(rng *rand.Rand, size float64) r3.Vec {
	return r3.Scale(size, r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()})
}

// lump returns an asymmetric closed part: a limb with random rings, bent, and
// with a bump.
func lump(rng *rand.Rand) *mesh.Mesh {
	rings := 3 + rng.IntN(5)
	l := shape.Limb{Sides: 12 + rng.IntN(40), Wall: 2 + 3*rng.Float64()}
	for i := range rings {
		l.Rings = append(l.Rings, shape.Ring{
			Center: r3.Vec{X: 8 * rng.NormFloat64(), Y: 8 * rng.NormFloat64(), Z: 40 * float64(i)},
			Inner:  shape.Ellipse{A: 30 + 30*rng.Float64(), B: 30 + 30*rng.Float64()},
		})
	}
	at := vecOf(rng, 60)
	return l.Mesh().Map(func(p r3.Vec) r3.Vec {
		d := r3.Sub(p, at)
		return r3.Add(p, r3.Scale(8*math.Exp(-r3.Norm2(d)/800), r3.Unit(d)))
	})
}

// part returns one of several kinds of asymmetric parts: lumps, lumps lying
// askew, limbs with relief, and open ones.
func part(rng *rand.Rand, n int) *mesh.Mesh {
	switch n % 5 {
	case 0:
		m := shape.Relief{Triangles: 1500 + rng.IntN(3000)}.Mesh()
		bend := 0.0005 + 0.001*rng.Float64()
		return m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X + bend*p.Z*p.Z, Y: p.Y + bend*p.X*p.Z, Z: p.Z} })
	case 1:
		return shape.Turn(lump(rng), shape.Rotation(rng.Uint64()))
	case 2:
		return shape.DropFacets(lump(rng), 40, rng.Uint64())
	}
	return lump(rng)
}

func became(old, new *mesh.Mesh) Relation { return Became(Of(old, 1), Of(new, 1), new) }

// farthest returns how far at most two maps take a corner of m apart, as a
// share of its size.
func farthest(m *mesh.Mesh, f, g func(r3.Vec) r3.Vec) float64 {
	worst := 0.0
	for v := range m.X {
		worst = math.Max(worst, r3.Norm(r3.Sub(f(m.At(uint32(v))), g(m.At(uint32(v))))))
	}
	return worst / r3.Norm(m.Bounds().Size())
}

// told returns the linear part of a map as a relation says it, in words for
// people: what was done first stands on the right.
func told(r Relation) matrix {
	size := [3]float64{r.Percent, r.Percent, r.Percent}
	if r.Percent == 0 {
		size = r.Axes
	}
	stretch := scaled(0.01, diagonal(size))
	if r.Along != nil {
		var v matrix
		for k, axis := range r.Along {
			for i, x := range array(axis) {
				v[i][k] = x
			}
		}
		stretch = product(product(v, stretch), transposed(v))
	}
	turn := rotation(r3.Scale(r.Turn*math.Pi/180, r.TurnAxis))
	d := [3]float64{1, 1, 1}
	for k, axis := range []string{"x", "y", "z"} {
		if r.Mirror == axis {
			d[k] = -1
		}
	}
	turn = product(turn, diagonal(d))
	if r.TurnedFirst {
		return product(stretch, turn)
	}
	return product(turn, stretch)
}

// done is something that was done to a part, and the map if it has one.
type done struct {
	name string
	kind Kind
	by   func(r3.Vec) r3.Vec
	flip bool
}

// deeds draws what may be done to a part.
func deeds(rng *rand.Rand) []done {
	turn, move := shape.Rotation(rng.Uint64()), vecOf(rng, 50)
	factor := 0.5 + 1.5*rng.Float64()
	axes := r3.Vec{X: 0.6 + rng.Float64(), Y: 0.6 + rng.Float64(), Z: 0.6 + rng.Float64()}
	moved := func(p r3.Vec) r3.Vec { return r3.Add(p, move) }
	rescaled := func(p r3.Vec) r3.Vec { return r3.Scale(factor, p) }
	mirrored := func(p r3.Vec) r3.Vec { return r3.Vec{X: -p.X, Y: p.Y, Z: p.Z} }
	stretched := func(p r3.Vec) r3.Vec { return r3.Vec{X: axes.X * p.X, Y: axes.Y * p.Y, Z: axes.Z * p.Z} }
	all := func(f ...func(r3.Vec) r3.Vec) func(r3.Vec) r3.Vec {
		return func(p r3.Vec) r3.Vec {
			for _, by := range f {
				p = by(p)
			}
			return p
		}
	}
	return []done{
		{"nothing", Same, all(), false},
		{"moved", Moved, moved, false},
		{"turned", Turned, turn.Rotate, false},
		{"turned and moved", Turned, all(turn.Rotate, moved), false},
		{"mirrored", Mirrored, mirrored, true},
		{"mirrored and turned", Mirrored, all(mirrored, turn.Rotate), true},
		{"rescaled", Rescaled, rescaled, false},
		{"rescaled, turned and moved", Rescaled, all(rescaled, turn.Rotate, moved), false},
		{"rescaled, mirrored, turned and moved", Rescaled, all(rescaled, mirrored, turn.Rotate, moved), true},
		{"rescaled by axes", Rescaled, stretched, false},
		{"rescaled by axes, mirrored, turned and moved", Rescaled, all(stretched, mirrored, turn.Rotate, moved), true},
		{"turned, then rescaled by axes", Rescaled, all(turn.Rotate, stretched), false},
		{"rescaled along a slant", Rescaled, all(turn.Rotate, stretched, shape.Rotation(rng.Uint64()).Rotate), false},
	}
}

// A hundred parts, whatever is done to them and in whatever order the file
// holds their facets: kind and amounts are right, scales to 0.01 %, through a
// file of float32.
func TestHundredPartsRescaledTurnedMovedMirrored(t *testing.T) {
	const seed = 20
	rng := rand.New(rand.NewPCG(seed, 1))
	worst := 0.0
	for n := range parts {
		old := saved(t, part(rng, n))
		signature := Of(old, 1)
		for k, d := range deeds(rng) {
			m := old.Map(d.by)
			if d.flip && (n+k)%4 < 3 { // some programs forget to
				m.Flip()
			}
			if (n+k)%2 == 0 {
				m = shape.Shuffle(m, uint64(n))
			}
			m = saved(t, m)
			got := Became(signature, Of(m, 1), m)
			if got.Kind != d.kind || (got.Mirror != "") != d.flip {
				t.Errorf("seed %d, part %d %s: %+v", seed, n, d.name, got)
				continue
			}
			off := farthest(old, d.by, got.Map.At)
			if worst = math.Max(worst, off); off > 5e-5 {
				t.Errorf("seed %d, part %d %s: off by %.2g of the size: %+v", seed, n, d.name, off, got)
			}
			said := told(got)
			for i := range 3 {
				for j := range 3 {
					if math.Abs(said[i][j]-got.Map.Linear[i][j]) > 1e-5 {
						t.Fatalf("seed %d, part %d %s: says %v of %v", seed, n, d.name, said, got.Map.Linear)
					}
				}
			}
		}
	}
	t.Logf("corners of %d parts found within %.2g of the size", parts, worst)
}

// What the words say of the plainest cases.
func TestAmounts(t *testing.T) {
	m := lump(rand.New(rand.NewPCG(2, 2)))
	z := r3.Vec{Z: 1}
	turned := func(degrees float64) *mesh.Mesh { return shape.Turn(m, r3.NewRotation(degrees*math.Pi/180, z)) }
	middle := m.Bounds().Center()
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want Relation
	}{
		{"107 %", m.Scaled(1.07), Relation{Kind: Rescaled, Percent: 107}},
		{"90° about z", turned(90), Relation{Kind: Turned, Percent: 100, Turn: 90, TurnAxis: z}},
		{"−30° about z", turned(-30), Relation{Kind: Turned, Percent: 100, Turn: -30, TurnAxis: z}},
		{"180° about z", turned(180), Relation{Kind: Turned, Percent: 100, Turn: 180, TurnAxis: z}},
		{"moved", shape.Offset(m, r3.Vec{X: 12, Z: -3}), Relation{Kind: Moved, Percent: 100, Shift: r3.Vec{X: 12, Z: -3}}},
		{"mirrored along x", shape.Mirror(m), Relation{Kind: Mirrored, Percent: 100, Mirror: "x"}},
		{"110 % along y", m.Map(func(p r3.Vec) r3.Vec { p.Y *= 1.1; return p }), Relation{Kind: Rescaled, Axes: [3]float64{100, 110, 100}}},
		{"about its middle", m.Map(func(p r3.Vec) r3.Vec { return r3.Add(middle, r3.Scale(2, r3.Sub(p, middle))) }), Relation{Kind: Rescaled, Percent: 200}},
	} {
		got := became(m, c.m)
		scale := math.Max(math.Abs(got.Percent-c.want.Percent), r3.Norm(r3.Sub(vector(got.Axes), vector(c.want.Axes))))
		if got.Kind != c.want.Kind || got.Mirror != c.want.Mirror || scale > 1e-3 ||
			math.Abs(got.Turn-c.want.Turn) > 1e-3 || r3.Norm(r3.Sub(got.TurnAxis, c.want.TurnAxis)) > 1e-4 ||
			r3.Norm(r3.Sub(got.Shift, c.want.Shift)) > 1e-3 {
			t.Errorf("%s: got %+v", c.name, got)
		}
	}
}

// subdivided returns m with four facets for every one.
func subdivided(m *mesh.Mesh) *mesh.Mesh {
	out := m.Clone()
	out.T = nil
	for t := range m.Triangles() {
		a, b, c := m.T[3*t], m.T[3*t+1], m.T[3*t+2]
		p, q, r := m.Corners(t)
		x, y, z := out.AddVertex(r3.Scale(0.5, r3.Add(p, q))), out.AddVertex(r3.Scale(0.5, r3.Add(q, r))), out.AddVertex(r3.Scale(0.5, r3.Add(r, p)))
		out.AddTriangle(a, x, z)
		out.AddTriangle(x, b, y)
		out.AddTriangle(z, y, c)
		out.AddTriangle(x, y, z)
	}
	return out
}

// writtenIn returns m with its places rounded to so many of a unit in mm.
func writtenIn(m *mesh.Mesh, per, unit float64) *mesh.Mesh {
	round := func(x float64) float64 { return math.Round(x/unit*per) / per * unit }
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: round(p.X), Y: round(p.Y), Z: round(p.Z)} })
}

// sixDigitsOf returns m with its places rounded to six significant digits.
func sixDigitsOf(m *mesh.Mesh) *mesh.Mesh {
	round := func(x float64) float64 {
		x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
		return x
	}
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: round(p.X), Y: round(p.Y), Z: round(p.Z)} })
}

// The same shape in another file is the same shape.
func TestOtherFilesOfTheSameShape(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	for n := range 10 {
		old := part(rng, n)
		flipped := old.Clone()
		flipped.Flip()
		for name, m := range map[string]*mesh.Mesh{
			"binary STL":  saved(t, old),
			"ASCII STL":   read(t, "a.stl", func(w io.Writer) error { return shape.WriteASCII(w, old, "a") }),
			"OBJ":         read(t, "a.obj", func(w io.Writer) error { return shape.WriteOBJ(w, old) }),
			"3MF":         read(t, "a.3mf", func(w io.Writer) error { return shape.Write3MF(w, old, "millimeter") }),
			"other order": shape.Shuffle(old, 5), "not welded": shape.SplitWalls(old), "inside out": flipped,
			"subdivided": subdivided(old), "other order, subdivided": shape.Shuffle(subdivided(subdivided(old)), 2),
			"with slivers": shape.Slivers(old, 7, 3),
			"two decimals": writtenIn(old, 1e2, 1), "three decimals": writtenIn(old, 1e3, 1), "four decimals": writtenIn(old, 1e4, 1),
			"six digits":                 sixDigitsOf(old),
			"four decimals of an inch":   writtenIn(old, 1e4, 25.4),
			"three decimals, subdivided": writtenIn(shape.Shuffle(subdivided(old), 3), 1e3, 1),
		} {
			for way, got := range map[string]Relation{"there": became(old, m), "back": became(m, old), "by signatures": Compare(Of(old, 1), Of(m, 1))} {
				if got.Kind != Same {
					t.Errorf("part %d, %s, %s: %+v", n, name, way, got)
				}
			}
			by := func(p r3.Vec) r3.Vec { return r3.Add(shape.Rotation(4).Rotate(r3.Scale(1.07, p)), r3.Vec{X: 90}) }
			if got := became(m, old.Map(by)); got.Kind != Rescaled || math.Abs(got.Percent-107) > 0.01 {
				t.Errorf("part %d, %s, then rescaled to 107 %%: %+v", n, name, got)
			}
		}
	}
}

// Whatever can be told simply is told simply.
func TestSymmetricParts(t *testing.T) {
	tube := shape.Tube{Sides: 64, Radius: 40, Wall: 3, Height: 60}.Mesh()
	cube := shape.Bar{X: 50, Y: 50, Z: 50}.Mesh()
	bent := shape.Plate{Width: 150, Height: 120, Wall: 4, Bend: 200}.Mesh() // left and right alike
	about := func(axis r3.Vec, degrees float64) func(*mesh.Mesh) *mesh.Mesh {
		return func(m *mesh.Mesh) *mesh.Mesh { return shape.Turn(m, r3.NewRotation(degrees*math.Pi/180, axis)) }
	}
	x, z := r3.Vec{X: 1}, r3.Vec{Z: 1}
	askew := func(m *mesh.Mesh) *mesh.Mesh { return shape.Turn(m, shape.Rotation(9)) }
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		do   func(*mesh.Mesh) *mesh.Mesh
		kind Kind
		turn float64 // −1 where there are many
	}{
		{"tube mirrored", tube, shape.Mirror, Same, 0},
		{"tube about its axis by facets", tube, about(z, 90), Same, 0},
		{"tube about its axis by less", tube, about(z, 1), Turned, 1},
		{"tube upside down", tube, about(x, 180), Moved, 0},
		{"tube laid down", tube, about(x, 90), Turned, 90},
		{"tube askew", tube, askew, Turned, -1},
		{"tube askew, mirrored", tube, func(m *mesh.Mesh) *mesh.Mesh { return askew(shape.Mirror(m)) }, Turned, -1},
		{"tube rescaled askew", tube, func(m *mesh.Mesh) *mesh.Mesh { return askew(m.Scaled(1.07)) }, Rescaled, -1},
		{"square tube", shape.Tube{Sides: 4, Radius: 40, Wall: 3, Height: 60}.Mesh(), about(z, 45), Turned, 45},
		{"square tube by a side", shape.Tube{Sides: 4, Radius: 40, Wall: 3, Height: 60}.Mesh(), about(z, 90), Same, 0},
		{"cube", shape.Offset(cube, r3.Vec{X: -25, Y: -25}), about(z, 90), Same, 0},
		{"cube askew", cube, askew, Turned, -1},
		{"plate mirrored", bent, shape.Mirror, Same, 0},
		{"plate turned", bent, about(z, 30), Turned, 30},
		{"plate askew, mirrored", bent, func(m *mesh.Mesh) *mesh.Mesh { return askew(shape.Mirror(m)) }, Turned, -1},
	} {
		for _, shuffle := range []bool{false, true} {
			m := saved(t, c.do(c.m))
			if shuffle {
				m = shape.Shuffle(m, 1)
			}
			got := became(c.m, m)
			if got.Kind != c.kind || got.Mirror != "" || c.turn >= 0 && math.Abs(got.Turn-c.turn) > 1e-3 {
				t.Errorf("%s (shuffled: %t): %+v", c.name, shuffle, got)
			}
			if off := offSurface(c.m, m, got.Map); off {
				t.Errorf("%s (shuffled: %t): %+v does not take the one to the other", c.name, shuffle, got)
			}
		}
	}
}

// offSurface reports whether the map takes a corner or the middle of a facet
// of old off the surface of new.
func offSurface(old, new *mesh.Mesh, by Map) bool {
	var points []r3.Vec
	for t := range old.Triangles() {
		a, b, c := old.Corners(t)
		points = append(points, by.At(a), by.At(r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))))
	}
	for _, on := range touched(new, points, 5e-3) {
		if !on {
			return true
		}
	}
	return false
}

// What changes the shape is an edit, be it small; never a cut or a turn.
func TestEdits(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for n := range 20 {
		old := part(rng, n)
		v := uint32(rng.IntN(old.Vertices()))
		dented := old.Clone()
		p := r3.Add(old.At(v), r3.Scale(1.5, r3.Unit(vecOf(rng, 1))))
		dented.X[v], dented.Y[v], dented.Z[v] = float32(p.X), float32(p.Y), float32(p.Z)
		at := old.At(v)
		knob := shape.Offset(shape.Tube{Sides: 12, Radius: 2, Wall: 1, Height: 5}.Mesh(), at)
		for name, m := range map[string]*mesh.Mesh{
			"a corner moved":    dented,
			"a facet less":      without(old, rng.IntN(old.Triangles())),
			"facets less":       shape.DropFacets(old, 9, 3),
			"a knob more":       shape.Join(old, knob),
			"bent":              old.Map(func(p r3.Vec) r3.Vec { p.X += p.Z * p.Z / 5000; return p }),
			"swollen at a side": old.Map(func(p r3.Vec) r3.Vec { p.X += math.Max(0, p.X-at.X) * 0.01; return p }),
			"another part":      lump(rng),
		} {
			if got := became(old, shape.Shuffle(m, 2)); got.Kind != Edited {
				t.Errorf("part %d, %s: %+v", n, name, got)
			}
			if got := became(old, m); got.Kind != Edited {
				t.Errorf("part %d, %s, in order: %+v", n, name, got)
			}
		}
	}
}

// without returns m without one facet.
func without(m *mesh.Mesh, t int) *mesh.Mesh {
	out := m.Clone()
	out.T = slices.Delete(out.T, 3*t, 3*t+3)
	return out
}

// Nothing breaks on what is hardly a mesh.
func TestDegenerateMeshes(t *testing.T) {
	sheet := &mesh.Mesh{}
	for _, p := range []r3.Vec{{}, {X: 100}, {X: 90, Y: 50}, {Y: 40}} {
		sheet.AddVertex(p)
	}
	sheet.AddTriangle(0, 1, 2)
	sheet.AddTriangle(0, 2, 3)
	line := &mesh.Mesh{X: []float32{0, 1, 2}, Y: make([]float32, 3), Z: make([]float32, 3), T: []uint32{0, 1, 2}}
	point := &mesh.Mesh{X: []float32{5}, Y: []float32{5}, Z: []float32{5}, T: []uint32{0, 0, 0}}
	nan := lump(rand.New(rand.NewPCG(1, 1)))
	nan.X[7] = float32(math.NaN())
	huge := sheet.Scaled(1e36)
	two := shape.Join(lump(rand.New(rand.NewPCG(1, 1))), shape.Offset(lump(rand.New(rand.NewPCG(2, 1))), r3.Vec{X: 300}))
	all := map[string]*mesh.Mesh{
		"empty": {}, "sheet": sheet, "line": line, "point": point, "not a number": nan, "huge": huge, "two": two,
		"two sheets": shape.Join(sheet, shape.Offset(sheet, r3.Vec{Z: 30})), "doubled sheet": shape.Join(sheet, sheet),
	}
	for name, m := range all {
		for other, n := range all {
			want := Edited
			switch pair := name + ", " + other; {
			case name == other:
				want = Same
			case pair == "sheet, huge" || pair == "huge, sheet":
				want = Rescaled
			}
			if got := became(m, n); got.Kind != want {
				t.Errorf("%s became %s: %+v", name, other, got)
			}
		}
	}
	for _, name := range []string{"sheet", "two sheets", "two"} {
		m := all[name]
		turn := shape.Rotation(9)
		if got := became(m, shape.Turn(m.Scaled(1.07), turn)); got.Kind != Rescaled || math.Abs(got.Percent-107) > 0.01 || got.Mirror != "" {
			t.Errorf("%s rescaled and turned: %+v", name, got)
		}
		if got := became(m, shape.Shuffle(shape.Offset(m, r3.Vec{Y: 3}), 1)); got.Kind != Moved {
			t.Errorf("%s moved: %+v", name, got)
		}
	}
}

func TestRelatives(t *testing.T) {
	a, b := lump(rand.New(rand.NewPCG(1, 3))), lump(rand.New(rand.NewPCG(2, 3)))
	_, half, _ := section.Halves(a, section.Plane{Point: r3.Vec{Z: 50}, Normal: r3.Vec{Z: 1}})
	all := []Signature{Of(a, 1), Of(b, 1), Of(a.Scaled(1.07), 1), Of(half, 1), Of(shape.Mirror(b), 1), {}, {}}
	got := Relatives(all)
	require.Len(t, got, 2)
	if got[0].Earlier != 0 || got[0].Later != 2 || math.Abs(got[0].Percent-107) > 0.01 || got[1].Earlier != 1 || got[1].Later != 4 || got[1].Mirror != "x" {
		t.Errorf("got %+v", got)
	}
}
