package analysis

import (
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// namedMesh is what a file holds whose objects have names.
type namedMesh struct {
	name string
	m    *mesh.Mesh
}

// examineNamed examines a file of named objects.
func examineNamed(t *testing.T, part string, change func(*Brief), objects ...namedMesh) *Answer {
	t.Helper()
	var all []*mesh.Mesh
	var named []mesh.Object
	for _, o := range objects {
		all = append(all, o.m)
		if o.name != "" {
			named = append(named, mesh.Object{Name: o.name, Box: o.m.Bounds()})
		}
	}
	brief := DefaultBrief()
	brief.Part = part
	if change != nil {
		change(&brief)
	}
	l := loaded(shape.Join(all...))
	l.Objects = named
	a, err := Examine(t.Context(), l, brief, nil, 2)
	require.NoError(t, err)
	return a
}

// The name of the file counts before those of its objects, these before those of folders,
// suit.toml before all; where they contradict each other a note says so.
func TestNamesOfObjectsTellWhatIsCovered(t *testing.T) {
	tube := shape.Tube{Sides: 32, Radius: 60, Wall: 3, Height: 80}.Mesh()
	for _, c := range []struct {
		part, object          string
		region, side          string
		pinned, pinnedSide    string
		source, reason, doubt string
	}{
		{part: "part7.3mf", object: "greave left", region: "lower_leg", side: "left", source: "name", reason: `the object in the file is called "greave left"`},
		{part: "greave.3mf", object: "L", region: "lower_leg", side: "left", source: "name", reason: `the file's name says greave and the object in the file is called "L"`},
		{part: "left-greave.3mf", object: "Cube.003", region: "lower_leg", side: "left", source: "name", reason: "the file's name says"},
		{part: "greave-right.3mf", object: "greave left", region: "lower_leg", side: "right", source: "name", doubt: "by the name of the file or of its folder it is the right one"},
		{part: "greave.3mf", object: "thigh", region: "lower_leg", source: "name", doubt: `called "thigh", a thigh, but by the file's name it covers lower leg`},
		{part: "arms/part7.3mf", object: "thigh right", region: "thigh", side: "right", source: "name"},
		{part: "part7.3mf", object: "greave left", pinned: "forearm", pinnedSide: "right", region: "forearm", side: "right", source: "config", doubt: "but by suit.toml it covers forearm"},
		{part: "part7.3mf", object: "greave left", pinned: "lower_leg", pinnedSide: "right", region: "lower_leg", side: "right", source: "config", doubt: "but by suit.toml it is the right one"},
		{part: "part7.3mf", object: "greave left", pinned: "lower_leg", region: "lower_leg", side: "left", source: "config"},
		{part: "helm.3mf", object: "left", region: "head", source: "name"},
		{part: "greave-strap.3mf", object: "thigh", source: "unknown"},
		{part: "hand-to-forearm.3mf", object: "thigh", source: "shape"},
	} {
		f := examineNamed(t, c.part, func(b *Brief) {
			b.Region.Side = c.pinnedSide
			if c.pinned != "" {
				b.Region.Name, b.Region.Source = c.pinned, "config"
			}
		}, namedMesh{c.object, tube}).Findings
		if c.source != "shape" {
			require.Equal(t, c.region, f.Region.Name, "%+v", c)
		} else {
			require.NotEqual(t, "thigh", f.Region.Name)
		}
		require.Equal(t, c.side, f.Region.Side, "%+v", c)
		require.Contains(t, f.Region.Reason, c.reason)
		if c.doubt == "" {
			require.Empty(t, textOf(f, "object-names"), "%+v", c)
		} else {
			require.Contains(t, textOf(f, "object-names"), c.doubt)
		}
	}
}

// Parts that are named for different places of the body are told apart wherever they lie;
// pieces of one shell are not.
func TestNamesOfObjectsTellPartsApart(t *testing.T) {
	greave := shape.Tube{Sides: 48, Radius: 60, Wall: 3, Height: 150}.Mesh()
	thigh := func(z float64) *mesh.Mesh {
		return shape.Offset(shape.Tube{Sides: 48, Radius: 78, Wall: 3, Height: 140}.Mesh(), r3.Vec{Z: z})
	}
	strap := shape.Offset(shape.Bar{X: 20, Y: 3, Z: 8}.Mesh(), r3.Vec{X: 100})
	for name, c := range map[string]struct {
		part    string
		objects []namedMesh
		files   []string
	}{
		"one above the other":    {"leg.3mf", []namedMesh{{"Greave_L", greave}, {"Thigh_L", thigh(160)}}, []string{"singles/1-of-2-greave-l.stl", "singles/2-of-2-thigh-l.stl"}},
		"one into the other":     {"leg.3mf", []namedMesh{{"Greave_L", greave}, {"Thigh_L", thigh(140)}}, []string{"singles/1-of-2-greave-l.stl", "singles/2-of-2-thigh-l.stl"}},
		"with something more":    {"leg.3mf", []namedMesh{{"strap", strap}, {"greave", greave}, {"", thigh(400)}, {"thigh", thigh(160)}}, nil},
		"side by side, swapped":  {"pair.3mf", []namedMesh{{"left", greave}, {"right", shape.Offset(greave, r3.Vec{X: 200})}}, []string{"singles/1-of-2-left.stl", "singles/2-of-2-right.stl"}},
		"names of no place":      {"boot.3mf", []namedMesh{{"a", greave}, {"b", thigh(160)}}, nil},
		"one lies in the other":  {"leg.3mf", []namedMesh{{"greave", greave}, {"thigh", thigh(0)}}, nil},
		"halves of one shell":    {"torso.3mf", []namedMesh{{"torso left", greave}, {"torso right", thigh(160)}}, nil},
		"a word only one says":   {"greave.3mf", []namedMesh{{"greave", greave}, {"greave left", thigh(160)}}, nil},
		"another of all objects": {"leg.3mf", []namedMesh{{"thigh", greave}}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			a := examineNamed(t, c.part, nil, c.objects...)
			f := &a.Findings
			if name == "with something more" {
				require.Equal(t, []string{"greave", "thigh"}, []string{f.Singles[0].Object, f.Singles[1].Object})
				require.InEpsilon(t, greave.Volume()+strap.Volume(), a.Singles[0].Volume(), 1e-5, "a strap goes to what is near")
				require.InEpsilon(t, 2*thigh(0).Volume(), a.Singles[1].Volume(), 1e-5, "so does what has no name")
				return
			}
			var files []string
			for i, s := range f.Singles {
				files = append(files, s.File)
				require.Equal(t, c.objects[i].name, s.Object)
				require.InEpsilon(t, c.objects[i].m.Volume(), a.Singles[i].Volume(), 1e-5)
				require.InDelta(t, c.objects[i].m.Bounds().Min.Z, a.Singles[i].Bounds().Min.Z, 1e-3)
			}
			require.Equal(t, c.files, files)
			require.Equal(t, c.files != nil, f.has("parts-several"), f.Warnings)
			require.Equal(t, c.part == "pair.3mf", f.has("object-sides"), f.Warnings)
			if c.part == "leg.3mf" && c.files != nil {
				require.Contains(t, textOf(*f, "parts-several"), `two parts of the suit: "Greave_L" (a left lower leg) and "Thigh_L" (a left thigh)`)
				require.Nil(t, f.Fit, "both were judged as one body's")
				pinned := examineNamed(t, c.part, func(b *Brief) { b.Region.Name, b.Region.Source = "thigh", "config" }, c.objects...)
				require.Empty(t, pinned.Findings.Singles, "suit.toml says that it is one")
			}
		})
	}
}
