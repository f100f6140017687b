package main

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/config"

	"github.com/stretchr/testify/require"
)

// layDemo writes the demo suit into a folder of the test.
func layDemo(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	for _, f := range demoSuit() {
		data, err := f.Bytes()
		require.NoError(t, err, f.Name)
		path := filepath.Join(dir, filepath.FromSlash(f.Name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, data, 0o666))
	}
	return dir
}

// demoParts loads every part of the demo suit, in mm where the file says so.
func demoParts(t testing.TB, dir string) map[string]*mesh.Loaded {
	t.Helper()
	parts := map[string]*mesh.Loaded{}
	for _, d := range demoSuit() {
		if !mesh.Known(d.Name) {
			continue
		}
		f, err := mesh.Open(filepath.Join(dir, filepath.FromSlash(d.Name)))
		require.NoError(t, err)
		if f.Archive() {
			members, err := f.Members(context.Background())
			require.NoError(t, err)
			for _, m := range members {
				require.NoError(t, m.Err, m.Name)
				parts[d.Name+"/"+m.Name], err = f.LoadMember(context.Background(), m.Name, mesh.DefaultLimits())
				require.NoError(t, err)
			}
		} else {
			parts[d.Name], err = f.Load(context.Background(), mesh.DefaultLimits())
			require.NoError(t, err)
		}
		require.NoError(t, f.Close())
	}
	return parts
}

func TestDemoSuitIsTheSameEveryDay(t *testing.T) {
	again := demoSuit()
	size := 0
	for k, f := range demoSuit() {
		require.Equal(t, f.Name, again[k].Name)
		one, err := f.Bytes()
		require.NoError(t, err)
		two, err := again[k].Bytes()
		require.NoError(t, err)
		if !bytes.Equal(one, two) {
			t.Errorf("%s differs when written again", f.Name)
		}
		size += len(one)
	}
	if size > 15e6 {
		t.Errorf("the suit has %d bytes, want less than 15 MB", size)
	}
}

func TestDemoPartsAreSoundAndSmall(t *testing.T) {
	parts := demoParts(t, layDemo(t))
	if len(parts) < 9 {
		t.Errorf("%d parts, want at least nine", len(parts))
	}
	formats := map[string]int{}
	for name, p := range parts {
		formats[p.Format]++
		if n := p.Mesh.Triangles(); n > 40_000 {
			t.Errorf("%s has %d triangles, want 40,000 at most", name, n)
		}
		if c := p.Mesh.Condition(); !c.Closed || len(c.Defects) > 0 || c.Components != 1 {
			t.Errorf("%s: %+v, want one closed shell without defects", name, c)
		}
		if v := p.Mesh.Volume(); v <= 0 {
			t.Errorf("%s has the volume %g", name, v)
		}
		if len(p.Remarks) > 0 {
			t.Errorf("%s: %v", name, p.Remarks)
		}
	}
	for _, f := range []string{mesh.FormatSTLBinary, mesh.FormatSTLASCII, mesh.Format3MF, mesh.FormatOBJ} {
		if formats[f] == 0 {
			t.Errorf("no part is %s", f)
		}
	}
	torso, forearm := parts["body/torso.3mf"], parts["arms/forearm-left.stl"]
	if got, want := torso.Mesh.Bounds().Size().X, 2*demoTorso().ArmX; math.Abs(got-want) > 0.01 || !torso.Unit.FromFile {
		t.Errorf("the torso is %g mm wide, want %g read from inches", got, want)
	}
	if got, want := forearm.Mesh.Bounds().Size().Z, 235/25.4; math.Abs(got-want) > 0.001 || forearm.Unit.FromFile {
		t.Errorf("the forearm is %g high in the file's numbers, want %g", got, want)
	}
	mirrored := parts["legs/greave-left.stl"].Mesh.Volume()
	if got := parts["legs/greave-right.stl"].Mesh.Volume(); math.Abs(got-mirrored) > 1e-5*mirrored {
		t.Errorf("the greaves have the volumes %g and %g, want a pair", mirrored, got)
	}
}

func TestDemoSettingsAreUnderstood(t *testing.T) {
	dir := layDemo(t)
	folder, err := config.Load(dir)
	require.NoError(t, err)
	var names []string
	for name := range demoParts(t, dir) {
		names = append(names, name)
	}
	for _, note := range folder.Unmatched(names, nil) {
		t.Error(note)
	}
	for name, want := range map[string][3]string{
		"legs/greave-left.stl":  {"lower_leg", "left", ""},
		"legs/greave-right.stl": {"lower_leg", "right", ""},
		"arms/forearm-left.stl": {"forearm", "left", "inch"},
		"body/torso.3mf":        {"torso", "", ""},
	} {
		b := folder.Brief(name)
		if got := [3]string{b.Region.Name, b.Region.Side, b.Unit}; got != want {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

// TestMiraIsPlausible holds her measures against the regressions on stature
// (mm) and weight (kg) of the 1,986 women of ANSUR II (Gordon et al. 2014,
// NATICK/TR-15/007; computed from its raw data): within two residual standard
// deviations.
func TestMiraIsPlausible(t *testing.T) {
	folder, err := config.Load(layDemo(t))
	require.NoError(t, err)
	mira := folder.Brief("legs/greave-left.stl").Wearer
	stature, ok := mira.Measure("stature", "")
	require.True(t, ok)
	for name, r := range map[string]struct{ base, stature, weight, sd float64 }{
		"foot_length":   {37.85494, 0.11804, 0.23932, 8.314},
		"ball_girth":    {118.60186, 0.04832, 0.45485, 9.355},
		"heel_girth":    {111.01748, 0.09465, 0.66668, 9.818},
		"ankle_girth":   {139.86667, 0.01407, 0.78151, 11.795},
		"calf_girth":    {305.85437, -0.05141, 2.23044, 16.986},
		"hip_girth":     {846.89196, -0.17841, 6.86093, 29.51},
		"waist_girth":   {1014.12371, -0.47172, 9.07584, 48.516},
		"chest_girth":   {990.34122, -0.32916, 7.26921, 42.647},
		"forearm_girth": {215.88279, -0.03185, 1.47675, 10.54},
		"wrist_girth":   {80.86197, 0.02795, 0.41945, 5.295},
		"hand_girth":    {108.16247, 0.03419, 0.33515, 7.131},
		"neck_girth":    {305.81637, -0.04685, 1.47991, 12.184},
		"head_girth":    {446.94668, 0.04939, 0.49802, 17.795},
	} {
		got, ok := mira.Measure(name, "left")
		if want := r.base + r.stature*stature + r.weight*mira.Weight; !ok || math.Abs(got-want) > 2*r.sd {
			t.Errorf("%s is %g, the survey has %.0f ± %.0f", name, got, want, r.sd)
		}
	}
}

// TestDemoAsksRealQuestions: what each part is in the demo for, from the shapes'
// own formulas.
func TestDemoAsksRealQuestions(t *testing.T) {
	const entry, sit = 2 * math.Pi * 2, 2*math.Pi*5 + 6 // padding and ease of suit.toml
	throat := math.Inf(1)
	for _, at := range demoGreave().Ways(1)[0].Stations {
		throat = min(throat, at.Loop.Girth())
	}
	// The heel passes at no less than 104 %, and the calf is not yet loose there.
	smallest := (331 + entry) / throat
	if smallest < 1.02 || smallest > 1.09 {
		t.Errorf("the heel passes the greave at %.3f, want a little above its own size", smallest)
	}
	calf := demoGreave().At(225).Inner.Girth()
	if smallest*calf > 382+2*math.Pi*5+40 || smallest*calf < 382+sit {
		t.Errorf("there the calf has %.0f mm", smallest*calf)
	}
	hips := demoHips()
	if width := 2 * (hips.Apart + hips.Leg.A); width < 290 {
		t.Errorf("the hips are %.0f mm wide, want more than the bed", width)
	}
	if waist := hips.Waist.Girth(); waist > 1015+entry || waist < 0.95*1015 {
		t.Errorf("the waist is %.0f mm, want about the hips that must pass it", waist)
	}
	helm := demoHelm()
	if helm.Neck.Girth() >= helm.Skull.Girth() {
		t.Error("the helm's neck is as wide as its skull")
	}
	if neck := demoGorget().Top.Girth(); neck > 565 {
		t.Errorf("the gorget is %.0f mm wide, want less than the head", neck)
	}
}
