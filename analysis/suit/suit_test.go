package suit

import (
	"fmt"
	"hash/crc32"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/likeness"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// part is one of the Copper Heron that fits Mira from lo to hi percent; hi 0:
// it is never too loose.
func part(name, region, side string, lo, hi float64) *analysis.Findings {
	f := &analysis.Findings{
		Part: name, Percent: 100,
		Region:   &analysis.Region{Name: region, Side: side, Source: "name"},
		Mesh:     meshOf(1000 + int(crc32.ChecksumIEEE([]byte(name))%1000)), // no two alike
		Bed:      &analysis.Bed{Fits: true, Largest: analysis.Largest{AsIs: 150}},
		Cavities: []analysis.Cavity{{Centrelines: []analysis.Centreline{way()}}},
		Print:    &analysis.Print{Hours: 10},
	}
	if lo > 0 {
		f.Fit = &analysis.Fit{Verdict: "fits", Smallest: lo, Loosest: hi, Recommended: (lo + max(lo, hi)) / 2}
	}
	return f
}

func meshOf(triangles int) *analysis.Mesh {
	t := float64(triangles)
	return &analysis.Mesh{Triangles: triangles, Bounds: [3]float64{90, 120, t / 4}, Area: 200 * t, Volume: 300 * t, Closed: true}
}

// way is 200 mm long and 314 mm round.
func way() analysis.Centreline {
	var w analysis.Centreline
	for z := 0.0; z <= 200; z += 10 {
		w.Stations = append(w.Stations, analysis.Station{Along: z, InnerGirth: 314, Capacity: 314})
	}
	return w
}

// doubtful gives a part an interval of 9 in 10 of ± doubt.
func doubtful(f *analysis.Findings, doubt float64) *analysis.Findings {
	best := f.Fit.Recommended
	f.Fit.Interval = &[2]float64{best - doubt, best + doubt}
	return f
}

func judged(parts ...*analysis.Findings) Suit { return Judge(parts, analysis.DefaultBrief()) }

// scalesOf says a suit's groups: "104: a b; 112: c".
func scalesOf(groups []Group) string {
	var out []string
	for _, g := range groups {
		out = append(out, fmt.Sprint(g.Scale, ": ", strings.Join(g.Parts, " ")))
	}
	return strings.Join(out, "; ")
}

func pairsOf(s Suit) string {
	var out []string
	for _, p := range s.Pairs {
		out = append(out, fmt.Sprint(p.Left, " ", p.Right, " by ", p.By))
	}
	return strings.Join(out, "; ")
}

func TestPairs(t *testing.T) {
	side := func(name, region, side string) *analysis.Findings { return part(name, region, side, 0, 0) }
	alike := func(name, region, side string) *analysis.Findings {
		f := part(name, region, side, 0, 0)
		f.Mesh = meshOf(2000)
		return f
	}
	turned := alike("b.stl", "", "")
	turned.Mesh.Bounds = [3]float64{500, 90, 120}
	for _, c := range []struct {
		name  string
		parts []*analysis.Findings
		want  string
	}{
		{"names", []*analysis.Findings{
			side("legs/shin_R.stl", "lower_leg", "right"), side("legs/greave-left.stl", "lower_leg", "left"),
			side("legs/greave-right.stl", "lower_leg", "right"), side("kit.zip/x/ShinLeft.obj", "lower_leg", "left"),
		}, "kit.zip/x/ShinLeft.obj legs/shin_R.stl by name; legs/greave-left.stl legs/greave-right.stl by name"},
		{"the only two of a region", []*analysis.Findings{side("a.stl", "foot", "left"), side("sock.stl", "foot", "right")}, "a.stl sock.stl by side"},
		{"three of a region", []*analysis.Findings{side("a.stl", "foot", "left"), side("sock.stl", "foot", "right"), side("toe.stl", "foot", "right")}, ""},
		{"two lefts", []*analysis.Findings{side("a-left.stl", "foot", "left"), side("a-l.stl", "foot", "left")}, ""},
		{"two regions", []*analysis.Findings{side("a-left.stl", "foot", "left"), side("a-right.stl", "hand", "right")}, ""},
		{"mirror images without names", []*analysis.Findings{alike("a.stl", "", ""), side("c.stl", "", ""), turned}, "a.stl b.stl by shape"},
		{"mirror images, one name", []*analysis.Findings{alike("x.stl", "", ""), alike("l.stl", "foot", "left")}, "l.stl x.stl by shape"},
		{"mirror images, but copies of one side", []*analysis.Findings{alike("a.stl", "foot", "left"), alike("b.stl", "foot", "left")}, ""},
		{"mirror images, but of two regions", []*analysis.Findings{alike("a.stl", "foot", ""), alike("b.stl", "hand", "")}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := pairsOf(judged(c.parts...)); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestRatioOfAPair(t *testing.T) {
	left, right := part("g-left.stl", "lower_leg", "left", 90, 110), part("g-right.stl", "lower_leg", "right", 90, 110)
	scaled := func(s float64) *analysis.Mesh {
		m := *left.Mesh
		m.Bounds = [3]float64{m.Bounds[2] * s, m.Bounds[0] * s, m.Bounds[1] * s}
		m.Area, m.Volume = m.Area*s*s, -m.Volume*s*s*s
		return &m
	}
	for _, s := range []float64{1, 1.02, 25.4} {
		right.Mesh = scaled(s)
		if got := judged(left, right).Pairs[0].Ratio; math.Abs(got-s) > 1e-9*s {
			t.Errorf("drawn at %v of the left: ratio %v", s, got)
		}
	}
	right.Mesh.Bounds[0] *= 1.01 // along one axis only
	if got := judged(left, right).Pairs[0].Ratio; got != 0 {
		t.Errorf("another shape has ratio %v", got)
	}
}

// One file of a pair that was rescaled already: each gets its own percent, so that
// both come out of one size, and neither is asked to be rescaled once more.
func TestPairDrawnInTwoSizes(t *testing.T) {
	left, right := part("g-left.stl", "lower_leg", "left", 94.5, 104.3), part("g-right.stl", "lower_leg", "right", 107.7, 118.9)
	m := *right.Mesh
	m.Bounds = [3]float64{1.14 * m.Bounds[0], 1.14 * m.Bounds[1], 1.14 * m.Bounds[2]}
	m.Area, m.Volume = 1.14*1.14*m.Area, 1.14*1.14*1.14*m.Volume
	left.Mesh = &m
	for _, parts := range [][]*analysis.Findings{{left, right}, {right, left}} {
		s := judged(parts...)
		l, _ := s.Part("g-left.stl")
		r, _ := s.Part("g-right.stl")
		if math.Abs(r.Scale/l.Scale-1.14) > 1e-3 || l.Scale < 94.5 || l.Scale > 104.3 || r.Scale < 107.7 || r.Scale > 118.9 {
			t.Errorf("%g and %g %%", l.Scale, r.Scale)
		}
		if len(s.Scales) != 2 || s.Scales[0].Scale != l.Scale || s.Scales[1].Scale != r.Scale {
			t.Errorf("%+v", s.Scales)
		}
	}
	left.Percent, right.Percent = 101, 115.15 // set so, it stays to the last digit
	s := judged(left, right)
	if l, r := s.Parts[0].Scale, s.Parts[1].Scale; l != 101 || r != 115.15 {
		t.Errorf("set to 101 and 115.15 %%: %g and %g %%", l, r)
	}
}

// A band tells whether a part fits the body, not whether parting it for the bed goes
// well: where that is all the risk there is, none is asked for.
func TestNoBandForTheBed(t *testing.T) {
	f := part("greave.stl", "lower_leg", "left", 95, 105)
	f.Bands, f.Bed.Largest.AsIs = []analysis.Band{{Station: 50, Height: 12, Hours: 1, File: "50"}}, 80
	s := judged(f)
	require.Equal(t, Some, s.Parts[0].Risk.Level)
	require.Empty(t, s.First)
	f.Fit.Chance = 0.5
	require.NotEmpty(t, judged(f).First)
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "try-ons-odd"}}
	require.Empty(t, judged(f).First, "what was tried on is to be settled first")
}

// A scale that somebody set stays where it is nearly as good as the best, though it be one
// more: what is learnt of one part is no reason to print a dozen others anew.
func TestSetScalesStay(t *testing.T) {
	parts := func(set float64) []*analysis.Findings {
		out := []*analysis.Findings{
			doubtful(part("greave", "lower_leg", "", 98, 108), 1), doubtful(part("thigh", "thigh", "", 99, 109), 1), doubtful(part("arm", "upper_arm", "", 100, 112), 1),
		}
		for _, f := range out {
			f.Percent = set
		}
		return out
	}
	free := scalesOf(judged(parts(100)...).Scales)
	require.NotEqual(t, "103.5: greave thigh arm", free)
	require.Equal(t, "103.5: greave thigh arm", scalesOf(judged(parts(103.5)...).Scales))
	require.Equal(t, "103: greave; 107.9: thigh arm", scalesOf(judged(parts(107.9)...).Scales), "at an end of what fits one, and good enough for the others")
	require.Equal(t, free, scalesOf(judged(parts(90)...).Scales))
	mixed := parts(103.5)
	mixed[2].Percent = 105
	require.Equal(t, "103.5: greave thigh; 105: arm", scalesOf(judged(mixed...).Scales), "both are set, and both are good")

	// The file's own scale is as good as set where the part was found to fit at it.
	tried := func(e analysis.Tried) string {
		f := doubtful(part("greave", "lower_leg", "", 96, 108), 1)
		f.Testing = &analysis.Testing{Tried: []analysis.Tried{e}}
		return scalesOf(judged(f).Scales)
	}
	require.Equal(t, "100: greave", tried(analysis.Tried{Percent: 100, Verdict: "fits", Counts: true}))
	for _, e := range []analysis.Tried{
		{Percent: 100, Verdict: "fits"}, {Percent: 100, Verdict: "fits", Counts: true, Odd: true},
		{Percent: 100, Verdict: "loose", Counts: true}, {Percent: 101, Verdict: "fits", Counts: true},
		{Part: "thigh", Percent: 100, Verdict: "fits", Counts: true}, // which covers the knee as well
	} {
		require.Equal(t, "102: greave", tried(e), "%+v", e)
	}
	// What was found on one of a pair holds for both.
	left, right := doubtful(part("g-left", "lower_leg", "left", 96, 108), 1), doubtful(part("g-right", "lower_leg", "right", 96, 108), 1)
	left.Testing = &analysis.Testing{Tried: []analysis.Tried{{Percent: 100, Verdict: "fits", Counts: true}}}
	require.Equal(t, "102: g-left g-right", scalesOf(judged(left, right).Scales), "nothing is known of the right one")
	right.Testing = &analysis.Testing{Tried: []analysis.Tried{{Part: "g-left", Percent: 100, Verdict: "fits", Counts: true}}}
	require.Equal(t, "100: g-left g-right", scalesOf(judged(left, right).Scales))
}

// What is printed stays as it is: its pair takes its scale where that fits both, and
// nothing is asked about it any more. Where it does not fit, it moves nobody.
func TestPrintedPartsStay(t *testing.T) {
	left, right := part("g-left.stl", "lower_leg", "left", 100, 110), part("g-right.stl", "lower_leg", "right", 100, 110)
	thigh := part("thigh.stl", "thigh", "", 107, 115)
	scale := func(s Suit, name string) float64 { p, _ := s.Part(name); return p.Scale }
	s := judged(left, right, thigh)
	if scale(s, "g-left.stl") < 107 || len(s.Scales) != 1 {
		t.Fatalf("%+v", s.Scales)
	}
	left.Printed = 103
	s = judged(left, right, thigh)
	if scale(s, "g-left.stl") != 103 || scale(s, "g-right.stl") != 103 || scale(s, "thigh.stl") < 107 {
		t.Errorf("printed at 103 %%: %+v", s.Parts)
	}
	doubtful(left, 6)
	left.Fit.Helps = []analysis.Help{{Measure: "calf_girth", Cut: 0.8, SD: 1}}
	left.Fit.Chance, left.Bands = 0.5, []analysis.Band{{Station: 100, Height: 12, Hours: 1, File: "100"}}
	s = judged(left)
	if len(s.Measures) > 0 || len(s.First) > 0 {
		t.Errorf("asked about what is printed: %+v, %+v", s.Measures, s.First)
	}
	left.Printed = 0
	if s = judged(left); len(s.Measures) == 0 || len(s.First) == 0 {
		t.Errorf("nothing is asked about what is not printed: %+v, %+v, %+v", s.Measures, s.First, s.Parts[0].Risk)
	}
	left = part("g-left.stl", "lower_leg", "left", 100, 110)
	left.Printed = 90
	s = judged(left, right, thigh)
	p, _ := s.Part("g-left.stl")
	if p.Misprinted != 90 || p.Printed != 0 || p.Scale < 107 || scale(s, "g-right.stl") < 107 || len(s.Scales) != 1 {
		t.Errorf("printed at 90 %%: %+v", s.Parts)
	}
}

// Shapes as they come out of files: the right greave is the left one mirrored,
// turned, moved and written anew.
func TestPairsByTheShapeKept(t *testing.T) {
	greave := shape.Taper{Rows: 12, Bottom: shape.Ellipse{A: 50, B: 60}, Top: shape.Ellipse{A: 64, B: 70}, Wall: 3, Height: 300, Sides: 96}.Mesh()
	greave = greave.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X + p.Z*p.Z/3000, Y: p.Y - p.Z*p.Y/900, Z: p.Z} })
	other := greave.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: p.Y, Z: 1.05 * p.Z} })
	lie := func(m *mesh.Mesh) *mesh.Mesh {
		turn := r3.NewRotation(1.1, r3.Vec{X: 1, Y: 2, Z: -1})
		return m.Map(func(p r3.Vec) r3.Vec { return r3.Add(turn.Rotate(p), r3.Vec{X: 40, Z: -7}) })
	}
	file := func(name, side string, m *mesh.Mesh) *analysis.Findings {
		f := part(name, "", side, 90, 110)
		sign := likeness.Of(m, 1)
		f.Shape, f.Mesh.Area = &sign, m.Area()
		return f
	}
	left := file("a.stl", "", greave)
	for _, c := range []struct {
		name  string
		right *analysis.Findings
		want  string
	}{
		{"mirror image", file("b.stl", "", lie(shape.Mirror(greave))), "a.stl b.stl by shape"},
		{"copy", file("b.stl", "", lie(greave)), "a.stl b.stl by shape"},
		{"longer", file("b.stl", "", lie(other)), ""},
		{"scaled by 1.02", file("b.stl", "", lie(greave.Scaled(1.02))), ""},
	} {
		if got := pairsOf(judged(left, c.right)); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	named, scaled := file("g-left.stl", "left", greave), file("g-right.stl", "right", lie(shape.Mirror(greave.Scaled(1.02))))
	named.Region.Name, scaled.Region.Name = "lower_leg", "lower_leg"
	if got := judged(named, scaled).Pairs[0].Ratio; math.Abs(got-1.02) > 1e-5 {
		t.Errorf("a mirror image drawn at 102 %% has ratio %v", got)
	}
}

// One file under both names is made for one side only, unless its shape is its own
// mirror image.
func TestCopiedPairs(t *testing.T) {
	limb := shape.Taper{Rows: 12, Bottom: shape.Ellipse{A: 50, B: 60}, Top: shape.Ellipse{A: 64, B: 70}, Wall: 3, Height: 300, Sides: 96}.Mesh()
	bent := limb.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X + p.Z*p.Z/3000, Y: p.Y - p.Z*p.Y/900, Z: p.Z} })
	twisted := bent.Map(func(p r3.Vec) r3.Vec {
		return r3.Vec{X: p.X, Y: p.Y + 20*math.Exp(-(p.Z-100)*(p.Z-100)/2000), Z: p.Z}
	})
	lie := func(m *mesh.Mesh) *mesh.Mesh {
		turn := r3.NewRotation(0.7, r3.Vec{X: -1, Y: 2, Z: 1})
		return m.Map(func(p r3.Vec) r3.Vec { return r3.Add(turn.Rotate(p), r3.Vec{Y: 30, Z: 12}) })
	}
	file := func(side string, m *mesh.Mesh) *analysis.Findings {
		f := part("g-"+side+".stl", "lower_leg", side, 90, 110)
		sign := likeness.Of(m, 1)
		f.Shape, f.Mesh.Area = &sign, m.Area()
		return f
	}
	for _, c := range []struct {
		name        string
		left, right *mesh.Mesh
		want        bool
	}{
		{"copy", twisted, twisted, true},
		{"copy that lies otherwise", twisted, lie(twisted), true},
		{"larger copy", twisted, lie(twisted.Scaled(1.03)), true},
		{"mirror image", twisted, lie(shape.Mirror(twisted)), false},
		{"copy of what is its own mirror image", bent, lie(bent), false},
		{"another shape", twisted, limb, false},
	} {
		if pairs := judged(file("left", c.left), file("right", c.right)).Pairs; len(pairs) != 1 || pairs[0].Copied != c.want {
			t.Errorf("%s: %+v, want %t", c.name, pairs, c.want)
		}
	}
	// Where the names tell no side, two of a kind may be meant.
	if pairs := judged(file("", twisted), file("", lie(twisted))).Pairs; len(pairs) != 1 || pairs[0].Copied {
		t.Errorf("without sides: %+v", pairs)
	}
}

func TestPiecesOfAShellShareAScale(t *testing.T) {
	top, bottom := part("top.stl", "lower_leg", "left", 100, 110), part("bottom.stl", "", "", 0, 0)
	top.Assembly = &analysis.Assembly{Name: "greave", Mates: []string{"bottom.stl", "gone.stl"}}
	bottom.Assembly = &analysis.Assembly{Name: "greave", Mates: []string{"top.stl", "gone.stl"}}
	s := judged(top, part("hips.stl", "hips", "", 90, 104), bottom)
	if got, want := scalesOf(s.Scales), "104: top.stl hips.stl bottom.stl"; got != want {
		t.Errorf("scales %q, want %q", got, want)
	}
}

func TestScales(t *testing.T) {
	bed := func(f *analysis.Findings, most float64) *analysis.Findings {
		f.Bed.Largest = analysis.Largest{AsIs: most / 2, Turned: most, Tilted: 2 * most}
		return f
	}
	for _, c := range []struct {
		name        string
		parts       []*analysis.Findings
		want, onBed string
	}{
		{"nothing known", []*analysis.Findings{part("a", "foot", "", 0, 0)}, "", ""},
		{"one for all", []*analysis.Findings{part("a", "foot", "", 100, 110), part("b", "hips", "", 104, 112), part("c", "", "", 96, 108)}, "105: a b c", ""},
		{"two", []*analysis.Findings{part("a", "foot", "", 100, 108), part("b", "hips", "", 108.5, 115), part("c", "lower_leg", "", 100, 106)}, "104: a c; 112: b", ""},
		{"no end", []*analysis.Findings{part("a", "head", "", 120, 0), part("b", "neck", "", 100, 130)}, "120: a b", ""},
		{"a pair is one: left alone would do with 104", []*analysis.Findings{
			part("g-left", "lower_leg", "left", 100, 108), part("g-right", "lower_leg", "right", 106, 112), part("a", "hips", "", 95, 105),
		}, "100: a; 106.5: g-left g-right", ""},
		{"a pair that nothing serves keeps the larger", []*analysis.Findings{
			part("g-left", "lower_leg", "left", 100, 104), part("g-right", "lower_leg", "right", 106, 112),
		}, "106: g-left g-right", ""},
		{"the neighbour's, not the nearer", []*analysis.Findings{
			part("boot", "foot", "", 100, 110), part("greave", "lower_leg", "", 100, 136), part("hips", "hips", "", 120, 130),
		}, "108: boot greave; 125: hips", ""},
		{"as many keep to the bed", []*analysis.Findings{bed(part("a", "foot", "", 100, 110), 103), part("b", "hips", "", 101, 120)}, "103: a b", ""},
		{"the bed asks for more", []*analysis.Findings{bed(part("a", "foot", "", 100, 110), 103), part("b", "hips", "", 104, 112)}, "107: a b", "103: a; 108: b"},
		{"the bed takes it at no scale", []*analysis.Findings{bed(part("a", "foot", "", 100, 110), 90), part("b", "hips", "", 104, 112)}, "107: a b", ""},
		{"well within: 104.5 would do for all but be tight for b half of the time", []*analysis.Findings{
			part("a", "foot", "", 99, 110), part("c", "foot", "", 99, 110), part("d", "foot", "", 99, 110), doubtful(part("b", "hips", "", 104, 130), 1),
		}, "105: a c d b", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := judged(c.parts...)
			if got := scalesOf(s.Scales); got != c.want {
				t.Errorf("scales %q, want %q", got, c.want)
			}
			if got := scalesOf(s.OnBed); got != c.onBed {
				t.Errorf("on the bed %q, want %q", got, c.onBed)
			}
		})
	}
}

// One scale would do for an arm that fits from 96 to 105.8 % and a greave from
// 105.5 % on, at the very end of both: the arm would be too loose half of the time.
func TestNoSharedScaleIsAHighRisk(t *testing.T) {
	arm := func() *analysis.Findings { return doubtful(part("arm", "upper_arm", "", 96, 105.8), 5.5) }
	s := judged(arm(), doubtful(part("greave", "lower_leg", "", 105.5, 112.8), 1.3))
	if got, want := scalesOf(s.Scales), "101: arm; 109: greave"; got != want {
		t.Errorf("scales %q, want %q", got, want)
	}
	sure := part("arm", "upper_arm", "", 96, 105.8) // known without doubt, its end will do
	if got, want := scalesOf(judged(sure, part("greave", "lower_leg", "", 105.5, 112.8)).Scales), "105.5: arm greave"; got != want {
		t.Errorf("without doubt %q, want %q", got, want)
	}

	const seed, rounds = 31, 300
	r := rand.New(rand.NewPCG(seed, 0))
	for round := range rounds {
		var parts []*analysis.Findings
		for i := range 6 {
			lo, hi := 90+20*r.Float64(), 0.0
			if i > 0 {
				hi = lo + 3 + 9*r.Float64()
			}
			parts = append(parts, doubtful(part(fmt.Sprint("p", i), some[r.IntN(len(some))], "", lo, hi), 6*r.Float64()))
		}
		for _, p := range judged(parts...).Parts {
			lo, hi := p.Range.Smallest, p.Range.Loosest
			least := 0.0 // of all scales, by trying them
			if hi > 0 {
				least = 1
				for x := lo; x <= hi; x += 0.01 {
					least = min(least, p.Range.misfit(x))
				}
			}
			// A scale may be rounded by a tenth of a percent.
			near := min(p.Range.misfit(p.Scale), p.Range.misfit(p.Scale-0.1), p.Range.misfit(p.Scale+0.1))
			if own := p.Range.misfit(p.Range.Recommended); near > max(0.25, least+0.1, own)+1e-6 {
				t.Fatalf("seed %d round %d: %s gets %v, which fails %.2f of the time; the least is %.2f", seed, round, p.Name, p.Scale, near, least)
			}
		}
	}
}

func TestScalesDoNotDependOnOrder(t *testing.T) {
	const seed = 15
	r := rand.New(rand.NewPCG(seed, 0))
	sorted := func(s Suit) string {
		for _, g := range s.Scales {
			slices.Sort(g.Parts)
		}
		return scalesOf(s.Scales)
	}
	for round := range 100 {
		var parts []*analysis.Findings
		for i := range 8 {
			lo := 90 + 20*r.Float64()
			parts = append(parts, doubtful(part(fmt.Sprint("p", i), some[r.IntN(len(some))], "", lo, lo+10*r.Float64()), 3*r.Float64()))
		}
		want := sorted(judged(parts...))
		r.Shuffle(len(parts), func(i, k int) { parts[i], parts[k] = parts[k], parts[i] })
		if got := sorted(judged(parts...)); got != want {
			t.Fatalf("seed %d round %d: %q, shuffled %q", seed, round, want, got)
		}
	}
}

func TestPartsWithoutARangeFollow(t *testing.T) {
	s := judged(part("boot", "foot", "", 105, 109), part("hips", "hips", "", 95, 99), part("thigh", "thigh", "", 0, 0),
		part("plate", "hips", "", 0, 0), part("hand", "hand", "", 0, 0), part("lost", "", "", 0, 0), part("shin", "lower_leg", "", 0, 0))
	for name, want := range map[string]float64{"thigh": 97, "plate": 97, "hand": 97, "lost": 0, "shin": 107, "boot": 107} {
		if p, _ := s.Part(name); p.Scale != want || p.Follows != (want > 0 && name != "boot") {
			t.Errorf("%s gets %v (follows: %v), want %v", name, p.Scale, p.Follows, want)
		}
	}
}

func TestRanges(t *testing.T) {
	entry := func(smallest, rests, loosest float64) *analysis.Findings {
		f := part("gorget", "neck", "", smallest, loosest)
		f.Fit = &analysis.Fit{Smallest: smallest, Rests: rests, Loosest: loosest, Recommended: 103}
		return f
	}
	long := part("boot", "foot", "", 100, 120)
	long.Fit.Lengths = []analysis.Length{{Smallest: 104, Largest: 110}, {Smallest: 90}, {Largest: 60}}
	tried := func(f *analysis.Findings, passes, counts bool) *analysis.Findings {
		f.Testing = &analysis.Testing{Print: 110, Chance: 0.97, SD: 2, Passes: passes, Tried: []analysis.Tried{{Counts: counts}},
			Odds: [][2]float64{{100, 0.05}, {104, 0.45}, {108, 0.9}, {110, 0.97}, {112, 0.9}, {116, 0.3}}}
		return f
	}
	for _, c := range []struct {
		name string
		f    *analysis.Findings
		want *Range
	}{
		{"tried on", tried(part("a", "foot", "", 98, 106), false, true), &Range{Smallest: 108, Loosest: 112, Recommended: 110, SD: 2, Shown: [2]float64{110, 110}}},
		{"tried on, and nothing is too loose", tried(entry(98, 98, 0), false, true), &Range{Smallest: 108, Recommended: 110, SD: 2, Shown: [2]float64{110, 110}}},
		{"tried on, but the heel asks for more", tried(entry(111, 98, 120), false, true), &Range{Smallest: 111, Loosest: 112, Recommended: 111, SD: 2, Shown: [2]float64{111, 111}}},
		{"tried on what passes, but the calf asks for more", tried(entry(111, 111, 120), true, true), &Range{Smallest: 111, Loosest: 112, Recommended: 111, SD: 2, Shown: [2]float64{111, 111}}},
		{"stuck: no smaller than advised", func() *analysis.Findings {
			f := tried(entry(107, 98, 120), true, true)
			f.Testing.Smallest = 109 // and 2.6 more to be sure
			f.Testing.Tried[0].Verdict = "tight"
			return f
		}(), &Range{Smallest: 110, Loosest: 112, Recommended: 110, SD: 2, Shown: [2]float64{110, 110}}},
		{"stuck, and passed at a larger scale", func() *analysis.Findings {
			f := tried(entry(107, 98, 120), true, true)
			f.Testing.Smallest = 109
			f.Testing.Tried = []analysis.Tried{{Counts: true, Verdict: "tight", Percent: 104}, {Counts: true, Verdict: "fits", Percent: 109.5}}
			return f
		}(), &Range{Smallest: 109.5, Loosest: 112, Recommended: 110, SD: 2, Shown: [2]float64{110, 110}}},
		{"passed: the scale at which it did stays", func() *analysis.Findings {
			f := tried(entry(103, 98, 120), true, true)
			f.Testing.Smallest, f.Testing.Tried[0] = 109.5, analysis.Tried{Counts: true, Verdict: "fits", Percent: 110}
			return f
		}(), &Range{Smallest: 108, Loosest: 112, Recommended: 110, SD: 2, Shown: [2]float64{110, 110}}},
		{"tight where it rests says nothing of the way in", func() *analysis.Findings {
			f := tried(entry(107, 98, 120), true, true)
			f.Testing.Smallest, f.Testing.Measure = 109, "heel_girth"
			f.Testing.Tried = []analysis.Tried{{Counts: true, Verdict: "tight", Station: "calf_girth"}, {Verdict: "tight", Station: "heel_girth"}}
			return f
		}(), &Range{Smallest: 108, Loosest: 112, Recommended: 110, SD: 2, Shown: [2]float64{110, 110}}},
		{"tried on what passes, and advised to open it", func() *analysis.Findings {
			f := tried(entry(107, 98, 120), true, true)
			f.Testing.Smallest, f.Testing.Tried[0].Verdict = 113, "tight"
			return f
		}(), &Range{Smallest: 108, Loosest: 112, Recommended: 110, SD: 2, Shown: [2]float64{110, 110}}},
		{"fits closed as it is set", func() *analysis.Findings {
			f := entry(107, 98, 109)
			f.Fit.Verdict = "fits"
			return f
		}(), &Range{Smallest: 107, Loosest: 109, Recommended: 107}},
		{"tried on in vain", tried(part("a", "foot", "", 98, 106), false, false), &Range{Smallest: 98, Loosest: 106, Recommended: 102}},
		{"plain", part("a", "foot", "", 98, 106), &Range{Smallest: 98, Loosest: 106, Recommended: 102}},
		{"nothing", part("a", "foot", "", 0, 0), nil},
		{"opened, because too loose where the head gets in", entry(163, 98, 109), &Range{Smallest: 98, Loosest: 109, Recommended: 103, Opened: true}},
		{"opened, because the head gets in at no scale", entry(0, 98, 109), &Range{Smallest: 98, Loosest: 109, Recommended: 103, Opened: true}},
		{"no scale is both wide enough and not too loose", entry(112, 112, 109), &Range{Smallest: 112, Loosest: 109, Recommended: 112, Point: true}},
		{"no scale at all", entry(0, 0, 0), nil},
		{"lengths count while something is left", long, &Range{Smallest: 104, Loosest: 110, Recommended: 110}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := rangeOf(c.f)
			if (got == nil) != (c.want == nil) || got != nil && *got != *c.want {
				t.Errorf("got %+v, want %+v", got, c.want)
			}
		})
	}
}

// The chance of a misfit, against drawing bodies by the thousand.
func TestMisfitIsTheShareOfBodies(t *testing.T) {
	const seed, bodies = 16, 50_000
	r := rand.New(rand.NewPCG(seed, 0))
	for _, p := range []Range{{Smallest: 98, Loosest: 106, SD: 3}, {Smallest: 98, SD: 2}, {Smallest: 112, Loosest: 109, SD: 2, Point: true}} {
		for _, scale := range []float64{97, 100, 104, 113} {
			wrong := 0
			for range bodies {
				shift := p.SD * r.NormFloat64()
				tight := scale < p.Smallest+shift
				loose := p.Loosest > 0 && scale > p.Loosest+shift && !p.Point
				if tight || loose {
					wrong++
				}
			}
			if got, want := p.misfit(scale), float64(wrong)/bodies; math.Abs(got-want) > 0.01 { // over four standard errors
				t.Errorf("%+v at %v: %v, of %d bodies %v (seed %d)", p, scale, got, bodies, want, seed)
			}
		}
	}
	sure := Range{Smallest: 98, Loosest: 106}
	if sure.misfit(98) != 0 || sure.misfit(97) != 1 || sure.misfit(107) != 1 {
		t.Error("a range without doubt has other chances than 0 and 1")
	}
}

func TestRisk(t *testing.T) {
	warned := func(f *analysis.Findings, code string) *analysis.Findings {
		f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: code}}
		return f
	}
	with := func(f *analysis.Findings, change func(*analysis.Findings)) *analysis.Findings {
		change(f)
		return f
	}
	for _, c := range []struct {
		name  string
		f     *analysis.Findings
		level Level
		at    float64
	}{
		{"well within", doubtful(part("a", "foot", "", 96, 104), 2), Low, 100},
		{"at the edge", with(doubtful(part("a", "foot", "", 99.9, 110), 3), func(f *analysis.Findings) { f.Fit.Recommended = 100 }), High, 100},
		{"between", doubtful(part("a", "foot", "", 98, 102), 2), Some, 100},
		{"its own chance counts before", with(part("a", "foot", "", 96, 104), func(f *analysis.Findings) { f.Fit.Chance = 0.6 }), High, 100},
		{"judged at the suit's scale", doubtful(part("a", "foot", "", 104, 116), 2), Low, 110},
		{"open mesh", warned(part("a", "foot", "", 96, 104), "mesh-open"), Some, 100},
		{"solid", warned(part("a", "foot", "", 96, 104), "solid-block"), High, 100},
		{"over the bed", with(part("a", "foot", "", 96, 104), func(f *analysis.Findings) { f.Bed.Largest.AsIs = 90 }), Some, 100},
		{"no measures", part("a", "foot", "", 0, 0), Unknown, 100},
		{"only covers", with(part("a", "torso", "", 0, 0), func(f *analysis.Findings) { f.Cavities = nil }), Low, 100},
		{"tight, without a scale", with(part("a", "foot", "", 0, 0), func(f *analysis.Findings) { f.Fit = &analysis.Fit{Verdict: "tight"} }), High, 100},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := judged(c.f).Parts[0].Risk
			if r.Level != c.level || r.At != c.at {
				t.Errorf("%s at %v (%+v), want %s at %v", r.Level, r.At, r, c.level, c.at)
			}
		})
	}
}

// The two boots of a pair are stretched to one size, whatever each was found to need; not
// where that is too far from one of them, or where they are not of one shape.
func TestPairIsStretchedAlike(t *testing.T) {
	boot := func(side string, girth, length, size float64) *analysis.Findings {
		f := part("boot-"+side+".stl", "foot", side, 116, 124)
		f.Fit.Verdict = "tight"
		f.Mesh = &analysis.Mesh{Triangles: 1000, Area: 90000 * size * size, Bounds: [3]float64{100 * size, 280 * size, 200 * size}}
		f.Fit.TwoWay = &analysis.TwoWay{Girth: girth, Length: length, Axis: [3]float64{0, 1, 0}, Axes: [3]float64{girth, length, girth}, Fits: true}
		return f
	}
	axes := func(left, right *analysis.Findings) (out [2][3]float64) {
		s := judged(left, right)
		require.Len(t, s.Pairs, 1)
		for i, name := range []string{left.Part, right.Part} {
			p, ok := s.Part(name)
			require.True(t, ok)
			require.Equal(t, p.Stretch.Girth, p.Stretch.Axes[0])
			require.Equal(t, p.Stretch.Length, p.Stretch.Axes[1])
			out[i] = p.Stretch.Axes
		}
		return out
	}
	both := func(x, y float64) [2][3]float64 { return [2][3]float64{{x, y, x}, {x, y, x}} }
	left := boot("left", 123, 114, 1)
	require.Equal(t, both(122.5, 114), axes(left, boot("right", 122, 114.5, 1)), "too long above the lesser")
	require.Equal(t, 123.0, left.Fit.TwoWay.Axes[0], "what was found of it stays")
	require.Equal(t, both(101.5, 114.5), axes(boot("left", 101, 114, 1), boot("right", 102, 114.5, 1)), "too short below the larger")
	require.Equal(t, [2][3]float64{{123, 114, 123}, {120, 114, 120}}, axes(boot("left", 123, 114, 1), boot("right", 120, 114, 1)), "too far apart")
	require.Equal(t, [2][3]float64{{122.5, 114, 122.5}, {61.25, 57, 61.25}}, axes(boot("left", 123, 114, 1), boot("right", 61, 57.25, 2)), "one drawn twice as large")
	other := boot("right", 122, 114, 1)
	other.Mesh.Triangles = 900
	require.Equal(t, [2][3]float64{{123, 114, 123}, {122, 114, 122}}, axes(boot("left", 123, 114, 1), other), "of another shape")

	narrow := boot("left", 123, 114, 1)
	narrow.Fit.TwoWay.Fits = false
	p, _ := judged(narrow, boot("right", 122, 114, 1)).Part("boot-right.stl")
	require.True(t, p.Risk.OverBed, "as large as the other")
}

// A boot for which no one scale fits girth and length takes no part in the suit's
// scales: its file is to be rescaled first. Its pair goes on without it.
func TestWhatIsStretchedTakesNoScale(t *testing.T) {
	boot := func(side string, lo, hi float64) *analysis.Findings {
		f := part("boot-"+side+".stl", "foot", side, lo, hi)
		f.Fit.Verdict = "tight"
		f.Fit.Lengths = []analysis.Length{{Measure: "foot_length", Smallest: 98, Largest: 104}}
		return f
	}
	stretched := func(f *analysis.Findings, fits bool) *analysis.Findings {
		f.Fit.TwoWay = &analysis.TwoWay{Girth: 120, Length: 101, Axis: [3]float64{0, 1, 0}, Axes: [3]float64{120, 101, 120}, Fits: fits}
		return f
	}
	greave := part("greave-left.stl", "lower_leg", "left", 103, 105)
	s := judged(greave, stretched(boot("left", 116, 124), true), stretched(boot("right", 116, 124), true))
	require.Equal(t, "104: greave-left.stl", scalesOf(s.Scales))
	left, _ := s.Part("boot-left.stl")
	require.NotNil(t, left.Stretch)
	require.Zero(t, left.Scale)
	require.False(t, left.Follows)
	require.Equal(t, 120.0, left.Risk.At)
	require.Equal(t, Low, left.Risk.Level, "it is then neither too short nor too long")
	require.Empty(t, s.First)

	s = judged(greave, stretched(boot("left", 116, 124), false), boot("right", 98, 104))
	left, _ = s.Part("boot-left.stl")
	require.True(t, left.Risk.OverBed, "so rescaled")
	require.Equal(t, "103: greave-left.stl boot-right.stl", scalesOf(s.Scales))

	askew := stretched(boot("left", 116, 124), true)
	askew.Fit.TwoWay.Axes = [3]float64{}
	fits := stretched(boot("left", 116, 124), true)
	fits.Percent, fits.Fit.Verdict = 120, "fits" // its wearer accepts that it is too long
	for name, f := range map[string]*analysis.Findings{"askew in its file": askew, "set and fits": fits} {
		s = judged(f)
		p, _ := s.Part("boot-left.stl")
		require.Nil(t, p.Stretch, name)
		require.Equal(t, 120.0, p.Scale, name)
		require.True(t, p.Risk.TooLong, name)
		require.Equal(t, Some, p.Risk.Level, name)
	}
	short := askew
	short.Fit.Lengths[0] = analysis.Length{Measure: "foot_length", Body: 256, Room: 210, Smallest: 131, Largest: 137}
	p, _ := judged(short).Part("boot-left.stl")
	require.True(t, p.Risk.NoRoom, "210 mm at 120 %% are 252 mm")
	require.Equal(t, High, p.Risk.Level)
	short.Fit.Lengths[0].Room, short.Fit.Lengths[0].Smallest = 220, 125
	p, _ = judged(short).Part("boot-left.stl")
	require.True(t, p.Risk.TooShort, "264 mm, but less toe room than asked for")
	require.False(t, p.Risk.NoRoom)
	require.Equal(t, Some, p.Risk.Level)
}

func TestStakesAreRankedByChanceTimesCost(t *testing.T) {
	chance := func(name string, fits, hours float64) *analysis.Findings {
		f := part(name, "hips", "", 96, 104)
		f.Fit.Chance, f.Print.Hours = fits, hours
		return f
	}
	order := func(s Suit) string {
		var out []string
		for _, x := range s.Stakes {
			out = append(out, strings.Join(x.Parts, "+"))
		}
		return strings.Join(out, " ")
	}
	parts := []*analysis.Findings{chance("a", 0.9, 10), chance("b", 0.7, 5), chance("c", 0.99, 200), chance("d", 0.5, 1)}
	if got := order(judged(parts...)); got != "c b a d" { // 2, 1.5, 1, 0.5 h
		t.Errorf("ranked %s", got)
	}
	parts[2].Print = nil // then by material
	for i, triangles := range []int{1000, 90, 1100, 1010} {
		parts[i].Mesh = meshOf(triangles)
	}
	s := judged(parts...)
	if got := order(s); got != "d a b c" || !s.ByVolume { // 505, 100, 27, 11
		t.Errorf("by volume ranked %s", got)
	}
	left, right := chance("g-left", 0.9, 10), chance("g-right", 0.8, 10)
	left.Region, right.Region = &analysis.Region{Name: "foot", Side: "left"}, &analysis.Region{Name: "foot", Side: "right"}
	s = judged(left, right)
	if x := s.Stakes[0]; len(s.Stakes) != 1 || x.Cost != 20 || math.Abs(x.Misfit-0.2) > 1e-12 {
		t.Errorf("a pair is at stake as %+v", s.Stakes)
	}
}

func TestMeasures(t *testing.T) {
	help := func(f *analysis.Findings, helps ...analysis.Help) *analysis.Findings {
		f.Fit.Helps = helps
		return f
	}
	// The variances are 4 (the pair, once), 9 and 1.
	after := func(variance, cut float64) float64 { return math.Sqrt(variance * (1 - cut)) }
	heel := func(variance, cut float64) analysis.Help {
		return analysis.Help{Measure: "heel_girth", Cut: cut, SD: after(variance, cut)}
	}
	calf := analysis.Help{Measure: "calf_girth", Cut: 0.5, SD: after(4, 0.5)}
	neck := analysis.Help{Measure: "neck_girth", Cut: 0.9, SD: after(1, 0.9)}
	thumb := analysis.Help{Measure: "hand_girth", Cut: 0.01, SD: after(1, 0.01)}
	s := judged(
		help(part("g-left", "lower_leg", "left", 90, 110), heel(4, 0.8), calf), help(part("g-right", "lower_leg", "right", 90, 110), heel(4, 0.8), calf),
		help(part("boot", "foot", "", 90, 110), heel(9, 0.5)), help(part("gorget", "neck", "", 90, 110), neck, thumb),
	)
	var got []string
	for _, m := range s.Measures {
		got = append(got, fmt.Sprintf("%s for %s: %.3f to %.3f", m.Name, strings.Join(m.Parts, " "), m.Before, m.After))
	}
	z := 1.6448536269514722 // 95th percentile of the normal, NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1 (to 1.645)
	want := []string{
		// 0.8·4 + 0.5·9 = 7.7 goes of 13; then 0.9 of 1; then half of what the heel left of 4.
		fmt.Sprintf("heel_girth for g-left g-right boot: %.3f to %.3f", z*math.Sqrt(6.5), z*math.Sqrt(5.3/2)),
		fmt.Sprintf("neck_girth for gorget: %.3f to %.3f", z, z*math.Sqrt(0.1)),
		fmt.Sprintf("calf_girth for g-left g-right: %.3f to %.3f", z*math.Sqrt(0.8), z*math.Sqrt(0.4)),
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	// What is left is below half where more than three quarters of the variance go.
	require.Equal(t, []string{"g-left", "g-right"}, s.Measures[0].Settled)
	require.Equal(t, []string{"gorget"}, s.Measures[1].Settled)
	require.Empty(t, s.Measures[2].Settled)
}

// A pair gets one size: where try-ons of one side are odd, the other waits, too.
func TestOddTryonsStopBothSides(t *testing.T) {
	left, right, thigh := part("g-left.stl", "lower_leg", "left", 95, 105), part("g-right.stl", "lower_leg", "right", 95, 105), part("thigh.stl", "thigh", "left", 95, 105)
	left.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Code: "try-ons-disagree"}}
	s := judged(left, right, thigh)
	for name, odd := range map[string]bool{"g-left.stl": true, "g-right.stl": true, "thigh.stl": false} {
		p, _ := s.Part(name)
		require.Equal(t, odd, p.Odd, name)
	}
}

// A band that was tried on at that scale, on the part itself or on its like, is not asked
// for again.
func TestNoBandTwice(t *testing.T) {
	f := part("greave.stl", "lower_leg", "left", 95, 105)
	f.Fit.Chance, f.Bands = 0.5, []analysis.Band{{Station: 50, Height: 12, Hours: 1, File: "50", Measure: "calf_girth", Percent: 102}}
	tried := func(e analysis.Tried) int {
		f.Testing = &analysis.Testing{Print: 98, Next: &analysis.NextBand{Band: "50"}, Tried: []analysis.Tried{e}}
		return len(judged(f).First)
	}
	require.Equal(t, 0, tried(analysis.Tried{Station: "calf_girth", Percent: 102.1, Verdict: "fits", Counts: true}))
	for _, e := range []analysis.Tried{
		{Station: "calf_girth", Percent: 103, Verdict: "fits", Counts: true}, {Station: "ankle_girth", Percent: 102, Verdict: "fits", Counts: true}, {Station: "calf_girth", Percent: 102, Verdict: "fits"},
		{Part: "thigh.stl", Station: "calf_girth", Percent: 102, Verdict: "fits", Counts: true},
	} {
		require.Equal(t, 1, tried(e), "%+v", e)
	}
}

// Where a tape is asked for, no band is: it costs nothing and mostly leaves no need of one.
func TestTapeBeforeBand(t *testing.T) {
	f := doubtful(part("greave.stl", "lower_leg", "left", 95, 105), 6)
	f.Fit.Helps = []analysis.Help{{Measure: "calf_girth", Cut: 0.8, SD: 1}}
	f.Fit.Chance = 0.5
	first := func(measure string) int {
		f.Bands = []analysis.Band{{Station: 100, Height: 12, Hours: 1, File: "100", Measure: measure}}
		s := judged(f)
		require.Len(t, s.Measures, 1)
		return len(s.First)
	}
	require.Equal(t, 0, first("calf_girth"))
	require.Equal(t, 1, first("heel_girth"))
}

// Each side of a pair is likelier to fit at another scale: what is set between them stays,
// be it the one or the other, or it goes back and forth for ever.
func TestPairThatWantsTwoScalesSettles(t *testing.T) {
	pair := func(set float64) Suit {
		left, right := doubtful(part("g-left.stl", "lower_leg", "left", 101, 104), 1.5), doubtful(part("g-right.stl", "lower_leg", "right", 100, 103), 1.5)
		left.Percent, right.Percent = set, set
		return judged(left, right)
	}
	left := pair(101.7).Parts[0].Range
	require.Greater(t, left.misfit(101.7)-left.misfit(102), stays, "one side alone would have it changed")
	for _, set := range []float64{101.7, 102.3} {
		for _, p := range pair(set).Parts {
			require.Equal(t, set, p.Scale)
		}
	}
	for _, p := range pair(103).Parts {
		require.Equal(t, 102.0, p.Scale, "the worse for both")
	}
}

func TestWhatToPrintFirst(t *testing.T) {
	banded := func(name, region, side string, fits, hours float64, bands ...analysis.Band) *analysis.Findings {
		f := part(name, region, side, 90, 110)
		f.Fit.Chance, f.Print.Hours, f.Bands = fits, hours, bands
		f.Fit.Sits = []analysis.Sit{{Measure: "calf_girth", Along: 52}}
		return f
	}
	band := func(station, hours float64) analysis.Band {
		return analysis.Band{Station: station, Height: 12, Hours: hours, File: fmt.Sprint(station)}
	}
	said := func(trials []Trial) string {
		var out []string
		for _, x := range trials {
			out = append(out, fmt.Sprintf("%s at %v %s moves %s", x.Part, x.Band.Station, x.Measure, strings.Join(x.Moves, " ")))
		}
		return strings.Join(out, "; ")
	}
	parts := []*analysis.Findings{
		banded("g-left", "lower_leg", "left", 0.7, 10, band(50, 1), band(150, 0.9)),   // 3 h at stake
		banded("g-right", "lower_leg", "right", 0.7, 10, band(50, 1), band(150, 0.9)), // 3 h
		banded("hips", "hips", "", 0.5, 4, band(100, 1.2)),                            // 2 h
		banded("torso", "torso", "", 0.95, 40, band(100, 1)),                          // too sure to be tried
	}
	parts[2].Fit.Sits = []analysis.Sit{{Measure: "waist_girth", Along: 100}}
	parts[3].Fit.Sits = nil
	brief := analysis.DefaultBrief()
	brief.Printer.Bed = [2]float64{300, 300}
	// At the calf: 3 + 3 h for 1 h; at 150 mm, where nothing rests, the same for 0.9 h.
	if got, want := said(Judge(parts, brief).First), "g-left at 150  moves g-right; hips at 100 waist_girth moves "; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	// Where the parts' own reports name the band at the calf, the suit names no other.
	for _, p := range parts[:2] {
		p.Testing = &analysis.Testing{Next: &analysis.NextBand{Band: "50"}}
	}
	if got, want := said(Judge(parts, brief).First), "g-left at 50 calf_girth moves g-right; hips at 100 waist_girth moves "; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	parts[0].Testing, parts[1].Testing = nil, nil
	// The hips rest on the calf as well: its band tells half of their 2 h, 7 h for 1 h.
	parts[2].Fit.Sits[0].Measure = "calf_girth"
	if got, want := said(Judge(parts, brief).First), "g-left at 50 calf_girth moves g-right hips; hips at 100 calf_girth moves g-left g-right"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	// Where the part's own advice is to print it untested, and at the very scale
	// that the suit has for it, the suit does not say otherwise.
	scale := Judge(parts, brief).Parts[2].Scale
	parts[2].Testing = &analysis.Testing{Print: scale}
	if got := said(Judge(parts, brief).First); strings.Contains(got, "hips at") {
		t.Errorf("the hips need no test: %s", got)
	}
	parts[2].Testing.Print = scale + 3
	if got := said(Judge(parts, brief).First); !strings.Contains(got, "hips at") {
		t.Errorf("at the suit's scale the hips are in doubt: %s", got)
	}
	parts[2].Testing = nil
	// Bands are 100 mm wide inside: a bed of 150 mm takes one.
	brief.Printer.Bed = [2]float64{150, 150}
	if got := Judge(parts, brief).First; len(got) != 1 {
		t.Errorf("%d bands on a bed for one", len(got))
	}
	// Without hours the wall of the band counts: the same girth and height, so what is at stake decides.
	for i, p := range parts {
		p.Print, p.Mesh = nil, meshOf(1000+i)
	}
	parts[2].Mesh = meshOf(9000)
	s := judged(parts...)
	if got := said(s.First); !strings.HasPrefix(got, "hips at 100") || s.First[0].Cost != 314*12 {
		t.Errorf("by material: %s", got)
	}
}

func TestPartsThatCouldNotBeReadAreLeftOut(t *testing.T) {
	refused := analysis.Refused("half.stl", "11 of 12 triangles are there")
	s := judged(nil, &refused, part("a", "foot", "", 100, 110))
	if len(s.Parts) != 1 || scalesOf(s.Scales) != "105: a" {
		t.Errorf("%+v", s)
	}
}

// What is several parts, or has a bar inside, takes no part in the suit before that is
// mended, and of a surface without a wall no band is printed.
func TestWhatIsToBeMendedFirst(t *testing.T) {
	says := func(f *analysis.Findings, code string) *analysis.Findings {
		f.Warnings = append(f.Warnings, analysis.Warning{Level: analysis.LevelWarning, Code: code})
		return f
	}
	greave := func() *analysis.Findings {
		f := part("greave.stl", "lower_leg", "left", 95, 105)
		f.Fit.Chance, f.Bands = 0.5, []analysis.Band{{Station: 50, Height: 12, Hours: 1, File: "50"}}
		return f
	}
	require.NotEmpty(t, judged(greave()).First)
	s := judged(says(greave(), "no-wall"))
	require.Len(t, s.Parts, 1)
	require.Empty(t, s.First)
	for _, code := range []string{"parts-several", "stands-in-way", "unit-unlikely", "size-unlikely", "pieces-clear"} {
		require.Empty(t, judged(says(greave(), code)).Parts, code)
	}
}

func TestRiskNamesTheEstimatesThatDecide(t *testing.T) {
	f := doubtful(part("boot", "foot", "", 98, 102), 4)
	f.Fit.Sits = []analysis.Sit{{Measure: "instep_girth"}, {Measure: "ankle_girth"}}
	f.Fit.Entries = []analysis.Entry{{Measure: "heel_girth"}}
	f.Fit.Helps = []analysis.Help{{Measure: "heel_girth", Cut: 0.6}, {Measure: "weight", Cut: 0.5}, {Measure: "instep_girth", Cut: 0.3}, {Measure: "ankle_girth", Cut: 0.01}}
	if got, want := judged(f).Parts[0].Risk.Estimated, []string{"heel_girth", "instep_girth"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	f.Fit.Helps = f.Fit.Helps[1:2]
	if got, want := judged(f).Parts[0].Risk.Estimated, []string{"weight"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// What was tried on keeps to what that has shown, though a lower scale would serve
// more parts better, and nothing more is asked about it.
func TestTriedPartsKeepTheirScale(t *testing.T) {
	thigh := doubtful(part("thigh", "thigh", "", 98, 108), 5) // 1 in 10 at its own scale
	thigh.Fit.Helps = []analysis.Help{{Measure: "thigh_girth", Cut: 0.8, SD: 1}}
	thigh.Bands = []analysis.Band{{Station: 100, Height: 12, Hours: 1, File: "100"}}
	arm := func(name string) *analysis.Findings { return doubtful(part(name, "upper_arm", "", 95, 105), 2) }
	parts := []*analysis.Findings{thigh, arm("arm"), arm("other")}
	asked := func(s Suit) (asked []string) {
		for _, m := range s.Measures {
			asked = append(asked, m.Name)
		}
		return asked
	}

	before := judged(parts...)
	require.Equal(t, "102: thigh arm other", scalesOf(before.Scales))
	require.Equal(t, []string{"thigh_girth"}, asked(before))
	require.Len(t, before.First, 1)

	thigh.Testing = &analysis.Testing{
		Print: 104, Chance: 0.97, SD: 1.5, Settled: true, Tried: []analysis.Tried{{Counts: true}},
		Odds: [][2]float64{{98, 0.1}, {101, 0.8}, {102, 0.93}, {103, 0.96}, {104, 0.97}, {105, 0.955}, {106, 0.8}, {110, 0.01}},
	}
	after := judged(parts...)
	require.Equal(t, "103: thigh arm other", scalesOf(after.Scales))
	require.Equal(t, [2]float64{103, 105}, after.Parts[0].Range.Shown)
	require.InDelta(t, 0.04, after.Parts[0].Risk.Misfit, 1e-9)
	require.Empty(t, after.First)
	require.Empty(t, asked(after))

	// Found to fit itself, it keeps that scale; for the others it is not worth having.
	thigh.Testing.Tried = []analysis.Tried{{Counts: true, Verdict: "fits", Percent: 104.2}}
	require.Equal(t, "100: arm other; 104: thigh", scalesOf(judged(parts...).Scales))
	thigh.Testing.Tried[0].Part = "other thigh"
	require.Equal(t, "103: thigh arm other", scalesOf(judged(parts...).Scales))

	// Not quite sure, but at a scale nearly as good as the best: no more test.
	thigh.Testing.Chance, thigh.Testing.Settled = 0.89, false
	thigh.Testing.Odds = [][2]float64{{98, 0.1}, {102, 0.8}, {103, 0.88}, {104, 0.89}, {105, 0.875}, {106, 0.7}, {110, 0.01}}
	unsure := judged(parts...)
	require.Equal(t, "103: thigh arm other", scalesOf(unsure.Scales))
	require.Greater(t, unsure.Parts[0].Risk.Misfit, 0.1)
	require.Empty(t, unsure.First)

	// Where the others cannot follow, it has a scale of its own.
	for _, p := range parts[1:] {
		p.Fit.Loosest, p.Fit.Recommended, p.Fit.Interval = 102, 98, &[2]float64{97, 99}
	}
	require.Equal(t, "98: arm other; 104: thigh", scalesOf(judged(parts...).Scales))
}

// A helm is loose at no scale, and yet does not grow with the other parts for nothing.
func TestWhatIsNeverLooseStaysNearItsOwnScale(t *testing.T) {
	helm := func(lo float64) *analysis.Findings {
		f := part("helm", "head", "", lo, 0)
		f.Fit.Rests = lo
		return f
	}
	greave := part("greave", "lower_leg", "", 112, 120)
	greave.Fit.Rests = 112
	for lo, together := range map[float64]bool{94: false, 101: false, 104: false, 109: true, 115: true} {
		s := judged(helm(lo), greave)
		p, _ := s.Part("helm")
		require.GreaterOrEqual(t, p.Scale, lo)
		require.LessOrEqual(t, p.Scale, 1.03*lo+0.5)
		require.Equal(t, together, len(s.Scales) == 1, "helm from %v %%: %s", lo, scalesOf(s.Scales))
	}
}
