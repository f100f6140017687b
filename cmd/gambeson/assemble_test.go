package main

import (
	"archive/zip"
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"
	"gambeson/config"
	"gambeson/report/disk"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// kit writes files into a new suit folder; what lies in kit.zip goes there.
func kit(t *testing.T, toml string, parts map[string]*mesh.Mesh) *folder {
	t.Helper()
	ownFolders(t)
	dir := t.TempDir()
	var zipped bytes.Buffer
	archive := zip.NewWriter(&zipped)
	for name, m := range parts {
		var b bytes.Buffer
		require.NoError(t, mesh.WriteSTL(&b, m, "drawn"))
		if member, ok := strings.CutPrefix(name, "kit.zip/"); ok {
			w, err := archive.Create(member)
			require.NoError(t, err)
			_, err = w.Write(b.Bytes())
			require.NoError(t, err)
			continue
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o666))
	}
	require.NoError(t, archive.Close())
	require.NoError(t, os.WriteFile(filepath.Join(dir, "kit.zip"), zipped.Bytes(), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "suit.toml"), []byte(toml), 0o666))
	f := newFolder(dir, 2, zerolog.Nop())
	require.Empty(t, f.kept)
	require.NoError(t, f.survey(t.Context()))
	return f
}

// shellsOf lists the shells of a folder as text: "name: a b, name: c d".
func shellsOf(f *folder) string {
	said := map[string]string{}
	for _, s := range f.shells() {
		var names []string
		for _, m := range s.members {
			names = append(names, m.place.Name())
		}
		said[s.name] = s.name + ": " + strings.Join(names, " ")
	}
	var all []string
	for _, s := range said {
		all = append(all, s)
	}
	slices.Sort(all)
	return strings.Join(all, ", ")
}

// halvesOf parts a low tube, across (z) or from side to side (x).
func halvesOf(normal r3.Vec) (above, below *mesh.Mesh) {
	above, below, _ = section.Halves(shape.Tube{Sides: 48, Radius: 25, Wall: 3, Height: 40}.Mesh(), section.Plane{Point: r3.Vec{Z: 20.5 * normal.Z}, Normal: normal})
	return above, below
}

// nested is two gauges drawn about one place: the one just goes into the bore of
// the other, and its handle through the wall of that.
func nested() map[string]*mesh.Mesh {
	handle := shape.Offset(shape.Bar{X: 40, Y: 6, Z: 4}.Mesh(), r3.Vec{X: 20, Y: -3, Z: 2})
	return map[string]*mesh.Mesh{
		"outer.stl": shape.Tube{Sides: 48, Radius: 25, Wall: 10, Height: 8}.Mesh(),
		"inner.stl": shape.Join(shape.Tube{Sides: 48, Radius: 15, Wall: 9.9, Height: 8}.Mesh(), handle),
	}
}

func TestWhichFilesMakeOneShell(t *testing.T) {
	top, low := halvesOf(r3.Vec{Z: 1})
	left, right := halvesOf(r3.Vec{X: 1})
	for name, c := range map[string]struct {
		toml  string
		parts map[string]*mesh.Mesh
		want  string
	}{
		"rings about one place": {"", nested(), ""},
		"two files":             {"", map[string]*mesh.Mesh{"a-top.stl": top, "a-low.stl": low}, "a-low + a-top: a-low.stl a-top.stl"},
		"members of an archive": {"", map[string]*mesh.Mesh{"kit.zip/x/top.stl": top, "kit.zip/x/low.stl": low},
			"low + top: kit.zip/x/low.stl kit.zip/x/top.stl"},
		"a file and a member": {"", map[string]*mesh.Mesh{"kit.zip/top.stl": top, "low.stl": low}, "top + low: kit.zip/top.stl low.stl"},
		"a copy":              {"", map[string]*mesh.Mesh{"top.stl": top, "top (1).stl": top, "low.stl": low}, "low + top: low.stl top.stl"},
		"other units": {"[[part]]\nfile = \"b-top.stl\"\nunit = \"inch\"\n",
			map[string]*mesh.Mesh{"b-top.stl": top.Scaled(1 / inch), "b-low.stl": low}, "b-low + b-top: b-low.stl b-top.stl"},
		"units not told": {"", map[string]*mesh.Mesh{"b-top.stl": top.Scaled(1 / inch), "b-low.stl": low}, ""},
		"halves of a helm": {"", map[string]*mesh.Mesh{"helm-left.stl": left, "helm-right.stl": right},
			"helm-left + helm-right: helm-left.stl helm-right.stl"},
		"a left and a right part": {"", map[string]*mesh.Mesh{"shoulder-left.stl": left, "shoulder-right.stl": right}, ""},
		"a thigh on a greave":     {"", map[string]*mesh.Mesh{"thigh.stl": top, "greave.stl": low}, ""},
		"named so": {"[[assembly]]\nname = \"leg\"\nfiles = [\"thigh.stl\", \"greave.stl\"]\n",
			map[string]*mesh.Mesh{"thigh.stl": top, "greave.stl": low}, "leg: greave.stl thigh.stl"},
		"named, though far apart": {"[[assembly]]\nname = \"a\"\nfiles = [\"1.stl\", \"[2-3].stl\"]\n",
			map[string]*mesh.Mesh{"1.stl": top, "2.stl": shape.Offset(low, r3.Vec{X: 500})}, "a: 1.stl 2.stl"},
		"named with none that is there": {"[[assembly]]\nname = \"a\"\nfiles = [\"top.stl\", \"none.stl\"]\n",
			map[string]*mesh.Mesh{"top.stl": top, "low.stl": low}, ""},
	} {
		if got := shellsOf(kit(t, c.toml, c.parts)); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

// Of two versions of a piece the other is judged alone, and told why; a piece
// whose name tells nothing takes over what that of another tells.
func TestRivalsAndNames(t *testing.T) {
	top, low := halvesOf(r3.Vec{Z: 1})
	f := kit(t, "", map[string]*mesh.Mesh{"greave-top.stl": top, "greave-top (1).stl": top, "x.stl": low})
	of := func(name string) analysis.Brief { return f.brief(disk.Place{Root: f.root, Part: name}) }
	if b := of("greave-top (1).stl"); b.Rival != "greave-top.stl" || len(b.Mates) != 0 {
		t.Errorf("the copy: rival %q, mates %v", b.Rival, b.Mates)
	}
	if b := of("x.stl"); b.Region.Name != "lower_leg" || b.Region.Source != "name" || b.Rival != "" {
		t.Errorf("the piece without a telling name: %+v", b.Region)
	}
	if b := of("greave-top.stl"); b.Region.Source != "unknown" {
		t.Errorf("its own name was not left to the examination: %+v", b.Region)
	}
}

// No two parts of the demo suit make one shell.
func TestDemoSuitHasNoShellsInPieces(t *testing.T) {
	ownFolders(t)
	dir := t.TempDir()
	require.NoError(t, (&demoCmd{}).write(dir))
	f := newFolder(dir, 2, zerolog.Nop())
	require.NoError(t, f.survey(t.Context()))
	if got := shellsOf(f); got != "" || len(f.pieces.of) < 10 {
		t.Errorf("%d files, shells %q", len(f.pieces.of), got)
	}
}

// A piece of three that goes is missed by those that are left, whether they still meet or
// lay on both sides of it, and by nobody who says that the shell is whole without.
func TestPieceOfThreeGoes(t *testing.T) {
	top, rest := halvesOf(r3.Vec{Z: 1})
	box := rest.Bounds()
	mid, low, _ := section.Halves(rest, section.Plane{Point: r3.Vec{Z: (box.Min.Z + box.Max.Z) / 2}, Normal: r3.Vec{Z: 1}})
	for gone, apart := range map[string]bool{"top.stl": false, "mid.stl": true, "low.stl": false} {
		f := kit(t, "", map[string]*mesh.Mesh{"top.stl": top, "mid.stl": mid, "low.stl": low})
		for _, name := range []string{"top.stl", "mid.stl", "low.stl"} {
			_, err := f.look(t.Context(), name)
			require.NoError(t, err)
		}
		require.Len(t, f.rows["top.stl"][0].joined.Mates, 2)
		require.NoError(t, os.Remove(filepath.Join(f.root, gone)))
		f.forget(gone)
		_, err := f.lookAtMates(t.Context(), gone)
		require.NoError(t, err)
		for _, name := range []string{"top.stl", "mid.stl", "low.stl"} {
			if name == gone {
				continue
			}
			joined := f.rows[name][0].joined
			require.Equal(t, []string{gone}, joined.Gone, "%s without %s", name, gone)
			require.Equal(t, apart, joined.Name == "", "%s without %s", name, gone)
			require.Empty(t, joined.Apart, "nothing was moved")
		}
		require.NoError(t, os.WriteFile(filepath.Join(f.root, "suit.toml"), []byte("[[part]]\nfile = '*.stl'\nwhole = true\n"), 0o666))
		f.asked, err = config.Load(f.root)
		require.NoError(t, err)
		for _, r := range f.pieces.of {
			for _, p := range r.pieces {
				require.Empty(t, f.brief(p.place).Gone)
			}
		}
	}
}

// A piece is asked about with what was tried on of its mates, and with what suit.toml
// says of their being glued; one that is a part by itself is not, nor misses them.
func TestPiecesShareWhatIsKnown(t *testing.T) {
	left, right := halvesOf(r3.Vec{X: 1})
	f := kit(t, "[[part]]\nfile = 'left.stl'\nstrapped = false\n", map[string]*mesh.Mesh{"left.stl": left, "right.stl": right})
	require.NoError(t, os.WriteFile(filepath.Join(f.root, "logbook.toml"), []byte("[[tryon]]\npart = 'left.stl'\nstation = 20\npercent = 104\nverdict = 'tight'\n"), 0o666))
	asked, err := config.Load(f.root)
	require.NoError(t, err)
	f.asked = asked
	b := f.brief(f.pieces.of["right.stl"].pieces[0].place)
	require.Equal(t, []analysis.Tryon{{Along: 20, Percent: 104, Verdict: "tight"}}, b.Tryons)
	require.True(t, b.Glued)
}

// What is known of a file is remembered while it stays as it is.
func TestRimsAreRemembered(t *testing.T) {
	top, low := halvesOf(r3.Vec{Z: 1})
	f := kit(t, "", map[string]*mesh.Mesh{"top.stl": top, "low.stl": low})
	before := f.pieces.of["top.stl"].sum
	r, ok := f.remembered("top.stl", before)
	if !ok || len(r.Pieces) != 1 {
		t.Fatalf("not remembered: %v, %d pieces", ok, len(r.Pieces))
	}
	again := newFolder(f.root, 2, zerolog.Nop())
	require.NoError(t, again.survey(t.Context()))
	if got := shellsOf(again); got != shellsOf(f) || got == "" {
		t.Errorf("after a new start %q, before %q", got, shellsOf(f))
	}
	var b bytes.Buffer
	require.NoError(t, mesh.WriteSTL(&b, top.Scaled(1.1), "drawn"))
	require.NoError(t, os.WriteFile(filepath.Join(f.root, "top.stl"), append(b.Bytes(), ' '), 0o666))
	again = newFolder(f.root, 2, zerolog.Nop())
	require.NoError(t, again.survey(t.Context()))
	if again.pieces.of["top.stl"].sum == before || shellsOf(again) != "" {
		t.Errorf("a file that changed is taken for the old one: %q", shellsOf(again))
	}
	require.NoError(t, os.Remove(filepath.Join(f.root, "low.stl")))
	require.NoError(t, newFolder(f.root, 2, zerolog.Nop()).survey(t.Context()))
	dir, err := f.memoryDir()
	require.NoError(t, err)
	if _, err := os.Stat(filepath.Join(dir, memoryName("low.stl"))); err == nil {
		t.Error("what was known of a file that is gone is still there")
	}
}

// A change of one piece has the others looked into again, each once, and
// nothing more at the next look. A piece that changes unannounced is met as it
// is then.
func TestMatesAreLookedIntoOnce(t *testing.T) {
	top, low := halvesOf(r3.Vec{Z: 1})
	other := shape.Tube{Sides: 48, Radius: 20, Wall: 3, Height: 40}.Mesh()
	f := kit(t, "", map[string]*mesh.Mesh{"top.stl": top, "low.stl": low, "other.stl": shape.Offset(other, r3.Vec{X: 400})})
	look := func(part string) string {
		done, err := f.look(t.Context(), part)
		require.NoError(t, err)
		var names []string
		for _, o := range done {
			name := o.row.Place.Name()
			if o.kept {
				name += " (kept)"
			}
			names = append(names, name)
		}
		if f.pieces.whole.shell != nil {
			t.Error("the shell is still held")
		}
		return strings.Join(names, " ")
	}
	rewrite := func(part string, m *mesh.Mesh) {
		var b bytes.Buffer
		require.NoError(t, mesh.WriteSTL(&b, m, "drawn"))
		require.NoError(t, os.WriteFile(filepath.Join(f.root, part), b.Bytes(), 0o666))
	}
	for i, step := range []struct{ part, want string }{
		{"top.stl", "top.stl low.stl"}, {"low.stl", "low.stl (kept)"}, {"other.stl", "other.stl"},
		{"top.stl", "top.stl (kept)"}, {"other.stl", "other.stl (kept)"},
	} {
		if got := look(step.part); got != step.want {
			t.Errorf("step %d: %q, want %q", i, got, step.want)
		}
	}
	rewrite("top.stl", top.Scaled(1.1))
	if got := look("top.stl"); got != "top.stl low.stl" {
		t.Errorf("a piece rescaled: %q", got)
	}
	rewrite("top.stl", top) // unannounced
	rewrite("low.stl", shape.Shuffle(low, 1))
	if got := look("low.stl"); got != "low.stl top.stl" && got != "low.stl" {
		t.Errorf("both changed, one announced: %q", got)
	}
	if got := look("top.stl"); got != "top.stl low.stl" || len(f.brief(f.pieces.of["top.stl"].pieces[0].place).Mates) != 1 {
		t.Errorf("then the other: %q", got)
	}
	rewrite("top.stl", top.Scaled(1.1))
	if got := look("top.stl"); got != "top.stl low.stl" || f.rows["low.stl"][0].Findings.Assembly.Apart[0] != "top.stl" {
		t.Errorf("a piece rescaled once more: %q", got)
	}
	require.NoError(t, os.Remove(filepath.Join(f.root, "top.stl")))
	f.forget("top.stl")
	done, err := f.lookAtMates(t.Context(), "top.stl")
	require.NoError(t, err)
	if len(done) != 1 || !slices.Equal(done[0].row.Findings.Assembly.Gone, []string{"top.stl"}) {
		t.Errorf("a piece gone: %d looked into", len(done))
	}
	if got := look("low.stl"); got != "low.stl (kept)" {
		t.Errorf("after that: %q", got)
	}
}
