package main

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/adrg/xdg"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/spatial/r3"
)

// ownFolders keeps locks, state and what is kept of parts in a test away from
// the person's.
func ownFolders(t testing.TB) {
	t.Cleanup(xdg.Reload) // after the variables are what they were
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	t.Setenv("XDG_RUNTIME_DIR", t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	xdg.Reload()
}

// checkJSON runs check --json on a folder and returns its findings by part.
func checkJSON(t *testing.T, dir string) (map[string]analysis.Findings, int) {
	t.Helper()
	var out, errs bytes.Buffer
	code := run(t.Context(), []string{"check", "--json", dir}, &out, &errs)
	found := map[string]analysis.Findings{}
	for _, line := range strings.Split(strings.TrimSpace(out.String()), "\n") {
		var f analysis.Findings
		require.NoError(t, json.Unmarshal([]byte(line), &f), "%q, standard error: %s", line, &errs)
		found[f.Part] = f
	}
	return found, code
}

// The same two-walled elliptical taper in every format, each turned another
// way: inner girth by the complete elliptic integral 4·a·E(1 − b²/a²) (DLMF
// 19.30.5), volume by the prismatoid formula of the 256-sided polyhedron, area
// as the mesh's own. Every station is checked, by its place along the taper.
func TestEveryFormatGivesTheSameAnswers(t *testing.T) {
	ownFolders(t)
	dir := t.TempDir()
	drawn := taper()
	writers := map[string]func(*bytes.Buffer, *mesh.Mesh) error{
		"binary.stl": func(b *bytes.Buffer, m *mesh.Mesh) error { return mesh.WriteSTL(b, m, "taper") },
		"ascii.stl":  func(b *bytes.Buffer, m *mesh.Mesh) error { return shape.WriteASCII(b, m, "taper") },
		"taper.obj":  func(b *bytes.Buffer, m *mesh.Mesh) error { return shape.WriteOBJ(b, m) },
		"taper.3mf":  func(b *bytes.Buffer, m *mesh.Mesh) error { return shape.Write3MF(b, m, "millimeter") },
		"inch.3mf":   func(b *bytes.Buffer, m *mesh.Mesh) error { return shape.Write3MF(b, m.Scaled(1/inch), "inch") },
	}
	seed := uint64(1)
	for name, write := range writers {
		var b bytes.Buffer
		require.NoError(t, write(&b, shape.Turn(drawn.Mesh(), shape.Rotation(seed))))
		seed++
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o666))
	}
	zipped := zipOf(t, "legs/taper.stl", func(b *bytes.Buffer) error {
		return mesh.WriteSTL(b, shape.Turn(drawn.Mesh(), shape.Rotation(seed)), "taper")
	})
	require.NoError(t, os.WriteFile(filepath.Join(dir, "kit.zip"), zipped, 0o666))

	found, code := checkJSON(t, dir)
	if code > exitWarning || len(found) != len(writers)+1 {
		t.Fatalf("exit %d with %d parts, want %d", code, len(found), len(writers)+1)
	}
	for name, f := range found {
		if f.Schema != analysis.Schema || f.Percent != 100 || !f.Mesh.Closed || f.Mesh.Components != 1 {
			t.Errorf("%s: %+v, mesh %+v", name, f, f.Mesh)
		}
		if want := drawn.Volume(); math.Abs(f.Mesh.Volume/want-1) > 2e-6 {
			t.Errorf("%s: volume %.3f mm³, want %.3f", name, f.Mesh.Volume, want)
		}
		if want := drawn.Mesh().Area(); math.Abs(f.Mesh.Area/want-1) > 1e-6 {
			t.Errorf("%s: area %.3f mm², want %.3f", name, f.Mesh.Area, want)
		}
		stations := f.Cavities[0].Centrelines[0].Stations
		if len(stations) < 40 {
			t.Errorf("%s: only %d stations on 240 mm", name, len(stations))
		}
		for _, s := range stations {
			up, down := taperGirth(drawn, s.Along), taperGirth(drawn, drawn.Height-s.Along)
			if off := min(math.Abs(s.InnerGirth/up-1), math.Abs(s.InnerGirth/down-1)); off > 0.002 {
				t.Errorf("%s at %.1f mm: inner girth %.3f mm, want %.3f or %.3f", name, s.Along, s.InnerGirth, up, down)
			}
		}
		if len(f.Bands) != 1 {
			t.Errorf("%s: %d bands", name, len(f.Bands))
		}
	}
}

// taperGirth is the perimeter of the inner ellipse z mm up the taper.
func taperGirth(tp shape.Taper, z float64) float64 {
	share := z / tp.Height
	a := tp.Bottom.A + share*(tp.Top.A-tp.Bottom.A)
	b := tp.Bottom.B + share*(tp.Top.B-tp.Bottom.B)
	return 4 * a * mathext.CompleteE(1-b*b/(a*a))
}

func zipOf(t *testing.T, name string, write func(*bytes.Buffer) error) []byte {
	t.Helper()
	var content, b bytes.Buffer
	require.NoError(t, write(&content))
	z := zip.NewWriter(&b)
	w, err := z.Create(name)
	require.NoError(t, err)
	_, err = w.Write(content.Bytes())
	require.NoError(t, err)
	require.NoError(t, z.Close())
	return b.Bytes()
}

// A band is the part's own geometry: a closed ring, flat on the bed, as high
// as said, whose volume is the integral of the section area over its height
// (here a frustum of elliptical rings, by the prismatoid formula).
func TestBandIsTheOwnGeometry(t *testing.T) {
	ownFolders(t)
	dir := t.TempDir()
	var b bytes.Buffer
	drawn := taper()
	require.NoError(t, mesh.WriteSTL(&b, shape.Turn(drawn.Mesh(), shape.Rotation(7)), "taper"))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "taper.stl"), b.Bytes(), 0o666))
	found, _ := checkJSON(t, dir)
	band := found["taper.stl"].Bands[0]

	file, err := mesh.Open(filepath.Join(dir, band.File))
	require.NoError(t, err)
	defer file.Close()
	ring, err := file.Load(t.Context(), mesh.DefaultLimits())
	require.NoError(t, err)
	box := ring.Mesh.Bounds()
	if c := ring.Mesh.Condition(); !c.Closed {
		t.Errorf("the band is not closed: %+v", c)
	}
	if math.Abs(box.Min.X)+math.Abs(box.Min.Y)+math.Abs(box.Min.Z) > 1e-4 || math.Abs(box.Max.Z-12) > 1e-3 {
		t.Errorf("the band does not lie on the bed 12 mm high: %+v", box)
	}
	// The tightest place is the narrow end, so the band is the last 12 mm.
	ringArea := func(z float64) float64 {
		share := z / drawn.Height
		inner := drawn.Bottom.Toward(drawn.Top, share)
		n := drawn.Sides
		return inner.Grown(drawn.Wall).PolygonArea(n) - inner.PolygonArea(n)
	}
	low, high := drawn.Height-12, drawn.Height
	want := 12.0 / 6 * (ringArea(low) + 4*ringArea((low+high)/2) + ringArea(high))
	want -= 1.2 * 1 * (drawn.Wall - 0.8) // one notch, which leaves 0.8 mm of the wall inside
	if got := largestShell(ring.Mesh); math.Abs(got/want-1) > 1e-3 || band.Notches != 1 {
		t.Errorf("the band has %.3f mm³ without its letters, and %d notches, want %.3f and 1", got, band.Notches, want)
	}
}

// largestShell is the volume of the largest of the shells of m.
func largestShell(m *mesh.Mesh) float64 {
	of := make([]uint32, m.Vertices()) // the least vertex known to be on the same shell
	for v := range of {
		of[v] = uint32(v)
	}
	for changed := true; changed; {
		changed = false
		for t := range m.Triangles() {
			corners := m.T[3*t : 3*t+3]
			least := min(of[corners[0]], of[corners[1]], of[corners[2]])
			for _, v := range corners {
				changed = changed || of[v] != least
				of[v] = least
			}
		}
	}
	volumes := map[uint32]float64{}
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		volumes[of[m.T[3*t]]] += r3.Dot(a, r3.Cross(b, c)) / 6
	}
	largest := 0.0
	for _, v := range volumes {
		largest = max(largest, v)
	}
	return largest
}

// 300 × 20 on a 220 mm square bed without margin: √2·220/320 (Carver 1957); laid
// on its narrow side 300 × 10: √2·220/310.
func TestBarOnSquareBed(t *testing.T) {
	ownFolders(t)
	dir := t.TempDir()
	var b bytes.Buffer
	require.NoError(t, mesh.WriteSTL(&b, shape.Bar{X: 300, Y: 20, Z: 10}.Mesh(), "bar"))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "bar.stl"), b.Bytes(), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "suit.toml"), []byte("[printer]\nbed = [220, 220]\nheight = 250\nmargin = 0\n"), 0o666))
	found, code := checkJSON(t, dir)
	bed := found["bar.stl"].Bed
	if l := bed.Largest; math.Abs(l.Turned-97.227) > 0.001 || math.Abs(l.Laid-100.363) > 0.001 || code != 0 || !bed.Fits || bed.Placement.Kind != "laid" {
		t.Errorf("%+v, exit %d, fits %v, %s; want turned 97.227, laid 100.363, 0, true", l, code, bed.Fits, bed.Placement.Kind)
	}
}

// The plain difference: a tube of inner radius 60, a polygon of n sides, has room
// for the circle 2π·r·cos(π/n); a calf of 360 mm under 5 mm of padding has that
// less 360 + 2π·5 to spare.
func TestPlainDifference(t *testing.T) {
	ownFolders(t)
	dir := t.TempDir()
	var b bytes.Buffer
	tube := shape.Tube{Sides: 128, Radius: 60, Wall: 3, Height: 220}
	require.NoError(t, mesh.WriteSTL(&b, tube.Mesh().Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: 1000, Z: -50}) }), "tube"))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "tube.stl"), b.Bytes(), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "suit.toml"), []byte("[shell]\npadding = 5\n[[part]]\nfile = \"tube.stl\"\nregion = \"lower_leg\"\n"), 0o666))
	for calf, wearer := range map[float64]string{360: "calf_girth = 360\n", 340: "calf_girth = \"34 cm\"\n"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "wearer.toml"), []byte(wearer), 0o666))
		found, _ := checkJSON(t, dir)
		fit := found["tube.stl"].Fit
		want := 2*math.Pi*60*math.Cos(math.Pi/128) - calf - 2*math.Pi*5
		if fit == nil || len(fit.Sits) == 0 || fit.Sits[0].Measure != "calf_girth" || math.Abs(fit.Sits[0].Ease-want) > 0.01 {
			t.Errorf("calf %g: fit %+v, want ease %.3f", calf, fit, want)
		}
	}
}
