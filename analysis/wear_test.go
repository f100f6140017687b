package analysis

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"gambeson/analysis/fit"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// leg asks about a lower leg whose calf is so many mm round.
func leg(calf float64) func(*Brief) {
	return func(b *Brief) {
		b.Region = Region{Name: "lower_leg", Side: "left", Source: "config"}
		b.Strapped = true // what passes is another matter
		b.Printer.Height = 400
		b.Wearer.Measures = map[string]float64{
			"stature": 1710, "calf_girth": calf, "calf_height": 330, "ankle_girth": 222, "ankle_height": 66, "knee_height": 470, "knee_girth": 360, "heel_girth": 331,
		}
	}
}

// The verdict turns where a tube's closed form says: the room of the polygon is
// 2πr·cos(π/128), the calf needs its girth, 2π·5 for the padding (Steiner), and
// 6 mm of ease; above 40 mm it is loose.
func TestVerdictTurnsWhereItShould(t *testing.T) {
	numbers(t)
	const radius = 62.0
	tube := shape.Tube{Radius: radius, Wall: 3, Height: 300}.Mesh()
	room := 2*math.Pi*radius*math.Cos(math.Pi/128) - 2*math.Pi*5
	for _, c := range []struct {
		calf          float64
		verdict, code string
	}{
		{room - 6 + 1, "tight", "too-tight"},
		{room - 6 - 1, "fits", ""},
		{room - 40 + 1, "fits", ""},
		{room - 40 - 1, "loose", "too-loose"},
	} {
		f := examine(t, tube, leg(c.calf), nil).Findings
		if f.Fit == nil || f.Fit.Verdict != c.verdict {
			t.Errorf("a calf of %.1f mm: %+v, want %s", c.calf, f.Fit, c.verdict)
			continue
		}
		for _, code := range []string{"too-tight", "too-loose"} {
			if f.has(code) != (code == c.code) {
				t.Errorf("a calf of %.1f mm: %v", c.calf, f.Warnings)
			}
		}
		sure := f.Fit.Chance
		if math.Abs(sure-0.5) > 0.45 {
			t.Errorf("1 mm off the limit the chance to fit is %.2f, with a tape good to 4 mm", sure)
		}
		if f.Fit.Lead != "calf_girth" || f.Fit.Interval == nil || f.Fit.Covers == nil || f.Fit.Covers.Limb != "leg" {
			t.Errorf("the fit lacks something: %+v", f.Fit)
		}
	}
}

// Where suit.toml says nothing the region's own padding and ease hold, key by
// key; what it says holds.
func TestUsualForTheRegion(t *testing.T) {
	hips, _ := fit.Of("hips")
	usual := DefaultBrief().Shell
	if s := usual.on(hips); s.Padding != hips.Usual.Padding || s.Ease != hips.Usual.Ease || s.Loosest != hips.Usual.Loosest || s.Liner != 0 {
		t.Errorf("nothing asked: %+v", s)
	}
	asked := usual
	asked.Padding, asked.Asked.Padding = 3, true
	if s := asked.on(hips); s.Padding != 3 || s.Ease != hips.Usual.Ease {
		t.Errorf("padding asked: %+v", s)
	}
	asked = usual
	asked.Ease, asked.Asked.Ease = 90, true
	if s := asked.on(hips); s.Ease != 90 || s.Loosest != 90+hips.Usual.Loosest-hips.Usual.Ease {
		t.Errorf("ease asked: %+v", s)
	}
	asked = usual
	asked.Loosest, asked.Asked.Loosest = 15, true
	if s := asked.on(hips); s.Loosest != 15 || s.Ease != 15 {
		t.Errorf("loosest asked: %+v", s)
	}
	for _, r := range fit.Regions() {
		if u := r.Usual; u.Padding <= 0 || u.Ease <= 0 || !r.Roomy && u.Loosest <= u.Ease {
			t.Errorf("%s usually wants %+v", r.Name, u)
		}
	}
}

// Percents are of the file, whatever scale the report is for.
func TestFitIsOfTheFile(t *testing.T) {
	numbers(t)
	limb := shape.Taper{Rows: 4, Bottom: shape.Circle(48), Top: shape.Circle(62), Wall: 3, Height: 290}.Mesh()
	at := func(percent float64) *Fit {
		return examine(t, limb, func(b *Brief) { leg(382)(b); b.Percent = percent }, nil).Findings.Fit
	}
	one, other := at(100), at(115)
	for what, pair := range map[string][2]float64{
		"smallest": {one.Smallest, other.Smallest}, "loosest": {one.Loosest, other.Loosest}, "recommended": {one.Recommended, other.Recommended},
		"low": {one.SmallestInterval[0], other.SmallestInterval[0]}, "too long": {one.Lengths[0].Largest, other.Lengths[0].Largest},
	} {
		if math.Abs(pair[0]/pair[1]-1) > 1e-4 {
			t.Errorf("%s %.4f %% of the file, %.4f %% asked at 115 %%", what, pair[0], pair[1])
		}
	}
	if one.Verdict != "tight" || other.Verdict != "fits" {
		t.Errorf("at 100 %% %s, at 115 %% %s", one.Verdict, other.Verdict)
	}
}

// Who sets the scale that is recommended has a part that fits, and is told the
// same scales as before.
func TestRecommendedFits(t *testing.T) {
	numbers(t)
	for _, m := range []*mesh.Mesh{
		shape.Taper{Rows: 4, Bottom: shape.Circle(45), Top: shape.Circle(56), Wall: 3, Height: 270}.Mesh(),
		shape.Tube{Radius: 80, Wall: 3, Height: 300}.Mesh(),
		shape.Gutter{Bottom: 52, Top: 64, Wall: 4, Height: 260, Arc: 270, Round: true}.Mesh(),
	} {
		first := examine(t, m, leg(382), nil).Findings
		require.NotZero(t, first.Fit.Recommended)
		then := examine(t, m, func(b *Brief) { leg(382)(b); b.Percent = first.Fit.Recommended }, nil).Findings
		if then.Fit.Verdict != "fits" || math.Abs(then.Fit.Recommended-first.Fit.Recommended) > 0.11 || math.Abs(then.Fit.Smallest/first.Fit.Smallest-1) > 1e-4 {
			t.Errorf("recommends %g %%, at which it is %s and recommends %g %%", first.Fit.Recommended, then.Fit.Verdict, then.Fit.Recommended)
		}
	}
}

// A solid limb (radius 55 in the mean) has to be hollowed first; a plate 3 mm
// thick has no cavity and is as it should be.
func TestSolidBlock(t *testing.T) {
	numbers(t)
	solid := examine(t, shape.Limb{Wall: 3, Rings: []shape.Ring{{Inner: shape.Circle(50)}, {Center: r3.Vec{Z: 200}, Inner: shape.Circle(60)}}}.Solid(), leg(382), nil).Findings
	if !solid.has("solid-block") || !solid.Warned() || solid.Fit != nil {
		t.Errorf("a solid limb: %+v", solid.Warnings)
	}
	plate := examine(t, shape.Plate{Width: 150, Height: 160, Wall: 3, Sides: 8}.Mesh(), leg(382), nil).Findings
	if plate.has("solid-block") || !plate.has("no-cavity") {
		t.Errorf("a plate: %+v", plate.Warnings)
	}
}

// The inside length of a boot runs from the heel's wall, which bends from y =
// Bend(1 − cos θ) − A·cos θ, to the toe's cap at Bend + Foot + Toe.
func TestInsideLengthOfABoot(t *testing.T) {
	numbers(t)
	boot := shape.Boot{
		Rim: shape.Ellipse{A: 62, B: 58}, Ankle: shape.Ellipse{A: 58, B: 52}, Instep: shape.Ellipse{A: 47, B: 48}, Ball: shape.Ellipse{A: 42, B: 51},
		Wall: 3, Shaft: 150, Bend: 60, Foot: 95, Toe: 55,
	}
	f := examine(t, boot.Mesh(), func(b *Brief) {
		b.Region = Region{Name: "foot", Side: "left", Source: "config"}
		b.Printer.Bed, b.Printer.Height = [2]float64{400, 400}, 400
		b.Shell.Asked.Padding = true
		b.Wearer.Measures = map[string]float64{"stature": 1710, "foot_length": 256, "heel_girth": 331}
	}, nil).Findings
	require.NotNil(t, f.Fit)
	require.Len(t, f.Fit.Lengths, 1)
	heel := 0.0
	for theta := math.Asin(math.Sqrt2 / 4); theta < math.Pi/2; theta += 0.01 {
		a := 58 + (47-58)*theta/(math.Pi/2)
		heel = min(heel, 60*(1-math.Cos(theta))-a*math.Cos(theta))
	}
	want := 60 + 95 + 55 - heel
	l := f.Fit.Lengths[0]
	if math.Abs(l.Room/want-1) > 0.025 {
		t.Errorf("%.1f mm from heel to toe, want %.1f", l.Room, want)
	}
	// ISO 9407: the Mondopoint size is the foot's own length; 10 mm of toe room
	// and 5 mm of padding at both ends come on top.
	if from := 100 * (256 + 10 + 10) / l.Room; l.Measure != "foot_length" || math.Abs(l.Smallest-from) > 1e-6 {
		t.Errorf("long enough from %.2f %%, want %.2f", l.Smallest, from)
	}
}

// A boot that is right round the heel and far too short in the foot gets a scale
// of its own for its length, along the axis that the foot points. Rescaled so, it fits
// both.
func TestTwoWayScale(t *testing.T) {
	numbers(t)
	boot := shape.Boot{
		Rim: shape.Ellipse{A: 68, B: 66}, Ankle: shape.Ellipse{A: 66, B: 62}, Instep: shape.Ellipse{A: 60, B: 56}, Ball: shape.Ellipse{A: 48, B: 54},
		Wall: 3, Shaft: 120, Bend: 64, Foot: 40, Toe: 40,
	}
	worn := func(b *Brief) {
		b.Region = Region{Name: "foot", Side: "left", Source: "config"}
		b.Printer.Bed, b.Printer.Height = [2]float64{400, 400}, 400
		b.Shell.Padding, b.Shell.Loosest, b.Shell.Asked = 3, 30, Asked{Padding: true, Loosest: true}
		b.Wearer.Measures = map[string]float64{"stature": 1710, "foot_length": 285, "heel_girth": 331, "ankle_girth": 222, "instep_girth": 245, "ball_girth": 236}
	}
	f := examine(t, boot.Mesh(), worn, nil).Findings
	two := f.Fit.TwoWay
	require.NotNil(t, two, fmt.Sprintf("%+v", f.Fit))
	long := f.Fit.Lengths[0]
	if !(two.Length > two.Girth) || two.Length < long.Smallest || two.Length > long.Largest || math.Abs(two.Axis[1]) < 0.99 || !two.Fits {
		t.Errorf("two-way %+v, the length asks for %.1f to %.1f %%", two, long.Smallest, long.Largest)
	}
	if two.Axes[1] != two.Length || two.Axes[0] != two.Girth || two.Axes[2] != two.Girth {
		t.Errorf("by axes %v", two.Axes)
	}
	if want := f.Mesh.Bounds[1] * two.Length / 100; math.Abs(two.Size[1]-want) > 0.5 {
		t.Errorf("%.1f mm long, want %.1f", two.Size[1], want)
	}
	stretched := boot.Mesh().Map(func(p r3.Vec) r3.Vec {
		return r3.Vec{X: p.X * two.Axes[0] / 100, Y: p.Y * two.Axes[1] / 100, Z: p.Z * two.Axes[2] / 100}
	})
	g := examine(t, stretched, worn, nil).Findings
	require.True(t, g.Fit.bearableAt(100, false) && g.suitsLengths(100), "%+v", g.Fit)
	for _, code := range []string{"does-not-enter", "too-tight", "too-short", "too-long"} {
		require.False(t, g.has(code), "%v", g.Warnings)
	}
}

// What a part needs of a bent or sitting body is said with the survey's numbers.
func TestPosesAreSaid(t *testing.T) {
	numbers(t)
	arm := shape.Taper{Rows: 2, Bottom: shape.Circle(50), Top: shape.Circle(57), Wall: 3, Height: 160}.Mesh()
	f := examine(t, arm, func(b *Brief) {
		b.Region = Region{Name: "upper_arm", Side: "left", Source: "config"}
		b.Wearer.Measures = map[string]float64{"stature": 1710, "upper_arm_girth": 300}
	}, nil).Findings
	// 300 mm flexed are 300/1.065 relaxed (USAF 1967, 2420 men): 18.3 mm less
	if !strings.Contains(text(f, "pose"), "18.3 mm less round") {
		t.Errorf("says %q", text(f, "pose"))
	}
}

// A shell that goes round the elbow is longer than a forearm, and right; a straight one of
// that length is too long for it.
func TestShellRoundTheElbowIsNotTooLong(t *testing.T) {
	numbers(t)
	const arm, bend = 110.0, 90.0
	straight := shape.Taper{Rows: 72, Bottom: shape.Circle(50), Top: shape.Circle(50), Wall: 3, Height: 2*arm + bend*math.Pi/2}.Mesh()
	round := straight.Map(func(p r3.Vec) r3.Vec {
		turn := min(max(p.Z-arm, 0), bend*math.Pi/2) / bend
		first := min(p.Z, arm)
		last := max(p.Z-arm-bend*math.Pi/2, 0)
		sin, cos := math.Sincos(turn)
		return r3.Vec{X: (bend+p.X)*cos - bend - last*sin, Y: p.Y, Z: first + (bend+p.X)*sin + last*cos}
	})
	for name, m := range map[string]*mesh.Mesh{"too-long": straight, "round-joint": round} {
		f := examine(t, m, func(b *Brief) {
			b.Region = Region{Name: "forearm", Side: "left", Source: "config"}
			b.Wearer.Measures = map[string]float64{"stature": 1710, "forearm_girth": 262, "wrist_girth": 157}
		}, nil).Findings
		require.True(t, f.has(name), "%s: %v", name, f.Warnings)
		require.NotEqual(t, f.has("too-long"), f.has("round-joint"), name)
		require.Equal(t, name == "round-joint", f.suitsLengths(100), name)
		require.InEpsilon(t, 2*math.Pi*50, f.Fit.Sits[0].Capacity, 0.01, name)
		if name == "round-joint" {
			require.Nil(t, f.Fit.TwoWay)
		}
	}
}

// A half shell holds nothing: no verdict, and no number that pretends one.
func TestHalfShellIsNotHeld(t *testing.T) {
	numbers(t)
	half := shape.Gutter{Bottom: 60, Top: 72, Wall: 3, Height: 130, Arc: 180, Round: true}.Mesh()
	f := examine(t, half, func(b *Brief) { leg(382)(b) }, nil).Findings
	if f.Fit == nil || f.Fit.Verdict != "unknown" || len(f.Fit.Sits) != 0 || f.Fit.Smallest != 0 || !f.has("not-held") {
		t.Errorf("a half shell: %+v", f.Fit)
	}
}

// An odd reading is doubted, and nobody's measures give no fit.
func TestOddReadings(t *testing.T) {
	numbers(t)
	odd := examine(t, tube(), func(b *Brief) {
		b.Region = Region{Name: "lower_leg", Source: "config"}
		b.Wearer.Measures = map[string]float64{"stature": 1710, "calf_girth": 382, "ankle_girth": 330}
	}, nil).Findings
	if !strings.Contains(text(odd, "measure-odd"), "ankle of 330.0 mm") {
		t.Errorf("says %q", text(odd, "measure-odd"))
	}
	if !odd.Warned() || !strings.Contains(text(odd, "measure-odd"), "The verdict rests on it") {
		t.Errorf("does not warn of an ankle as thick as a heel: %v", odd.Warnings)
	}
	elsewhere := examine(t, tube(), func(b *Brief) {
		b.Region = Region{Name: "forearm", Source: "config"}
		b.Wearer.Measures = map[string]float64{"stature": 1710, "calf_girth": 382, "ankle_girth": 330, "forearm_girth": 260}
	}, nil).Findings
	for _, w := range elsewhere.Warnings {
		if w.Code == "measure-odd" && w.Level != LevelNote {
			t.Errorf("an arm asks for the ankle: %s", w.Text)
		}
	}
	swapped := examine(t, tube(), func(b *Brief) {
		b.Region = Region{Name: "lower_leg", Source: "config"}
		b.Wearer.Measures = map[string]float64{"stature": 1710, "calf_girth": 225, "ankle_girth": 382, "heel_girth": 331}
	}, nil).Findings
	if said := text(swapped, "measure-odd"); !strings.Contains(said, "Was it exchanged with the calf?") {
		t.Errorf("a swap says %q", said)
	}
	over := examine(t, tube(), func(b *Brief) {
		b.Region = Region{Name: "lower_leg", Side: "left", Source: "config"}
		b.Wearer.OverUndersuit, b.Shell.Undersuit = true, 2
		b.Wearer.Measures = map[string]float64{"stature": 1710, "calf_girth": 382, "ankle_girth.left": 330}
	}, nil).Findings
	if !strings.Contains(text(over, "measure-odd"), "ankle of 330.0 mm") {
		t.Errorf("over an undersuit says %q", text(over, "measure-odd"))
	}
	if nobody := examine(t, tube(), func(b *Brief) { b.Region = Region{Name: "lower_leg", Source: "config"} }, nil).Findings; nobody.Fit != nil {
		t.Errorf("nobody fits: %+v", nobody.Fit)
	}
}

// A place that is pinned beyond the end is said to be so, and no girth that has
// room is blamed; the part is long enough from (300 − 2)/250 on.
func TestPinnedBeyondTheEnd(t *testing.T) {
	limb := shape.Taper{Rows: 2, Bottom: shape.Circle(62), Top: shape.Circle(75), Wall: 3, Height: 250}.Mesh()
	f := examine(t, limb, func(b *Brief) {
		leg(382)(b)
		pin := 300.0
		b.Rest = &pin
		b.Wearer.Measures["knee_girth"] = 340
	}, nil).Findings
	if said := text(f, "too-tight"); f.Fit.Verdict != "tight" || !strings.Contains(said, "finds no place inside") || !strings.Contains(said, "from 119.2 % on") && !strings.Contains(said, "from 119.3 % on") {
		t.Errorf("%s: %q", f.Fit.Verdict, said)
	}
}

// Loose at the calf and too tight at the ankle not far below: no scale fits, and
// none is promised.
func TestLooseHereTightThere(t *testing.T) {
	numbers(t)
	limb := shape.Taper{Rows: 2, Bottom: shape.Circle(38), Top: shape.Circle(84), Wall: 3, Height: 335}.Mesh()
	at := func(percent float64) *Findings {
		return &examine(t, limb, func(b *Brief) {
			leg(382)(b)
			b.Shell.Loosest, b.Shell.Asked.Loosest = 25, true
			b.Percent = percent
			b.Wearer.Measures["ankle_girth"] = 280
		}, nil).Findings
	}
	f := at(100)
	f = at(1.01 * f.Fit.Rests)
	said := text(*f, "too-loose")
	if f.Fit.Verdict != "loose" || f.Fit.Rests <= f.Fit.Loosest || strings.Contains(said, "up to") || !strings.Contains(said, "more padding") {
		t.Errorf("%s, fits from %.1f %%, loose from %.1f %%: %q", f.Fit.Verdict, f.Fit.Rests, f.Fit.Loosest, said)
	}
}

// A shell in another unit, ten times too small, has findings that can be written,
// though some bodies would need more than the scales that are sought.
func TestTenTimesTooSmall(t *testing.T) {
	numbers(t)
	for _, radius := range []float64{16.2, 16.55, 16.7} {
		f := examine(t, shape.Tube{Radius: radius, Wall: 1, Height: 50}.Mesh(), func(b *Brief) {
			b.Region = Region{Name: "torso", Source: "config"}
			b.Halves = true
			b.Wearer.Measures = map[string]float64{"stature": 1710, "chest_girth": 950}
		}, nil).Findings
		_, err := json.Marshal(f)
		require.NoError(t, err)
		if f.Fit == nil || f.Fit.Verdict != "tight" || f.Fit.Interval != nil && math.IsInf(f.Fit.Interval[1], 0) {
			t.Errorf("%+v", f.Fit)
		}
	}
}

// A scale is written as one sets it, and never leaves the range for that.
func TestPlainScales(t *testing.T) {
	for _, c := range []struct{ percent, least, most, want float64 }{
		{107.3, 100, 120, 107.5},
		{100.31, 100.1, 100.4, 100.3},
		{107.22, 107.22, 107.24, 107.3}, // narrower than a tenth: the larger
		{93.1, 93.1, 0, 93.1},
		{112.26, 112.26, 101, 112.3}, // no range: the least that does
	} {
		if got := plain(c.percent, c.least, c.most); got != c.want {
			t.Errorf("%v within %v to %v: %v, want %v", c.percent, c.least, c.most, got, c.want)
		}
	}
}

// A half shell is put on from the side: nothing has to pass through it, and only
// straps hold it; so is one that goes a good way farther round.
func TestHalfShellsAreNotEntered(t *testing.T) {
	numbers(t)
	numbers(t)
	entered := func(b *Brief) {
		leg(380)(b)
		b.Strapped = false
	}
	for _, arc := range []float64{150, 170, 178, 180, 182, 200, 230, 250} {
		f := examine(t, shape.Gutter{Bottom: 55, Top: 70, Wall: 3, Height: 300, Arc: arc, Round: true}.Mesh(), entered, nil).Findings
		if f.Fit == nil || len(f.Fit.Entries) > 0 || f.Fit.Verdict == "blocked" || !strings.Contains(text(f, "not-held"), "only straps do") {
			t.Errorf("%g°: %+v, %v", arc, f.Fit, f.Warnings)
		}
	}
	// What goes farther round is entered, or opened.
	f := examine(t, shape.Gutter{Bottom: 40, Top: 70, Wall: 3, Height: 300, Arc: 300, Round: true}.Mesh(), entered, nil).Findings
	if f.Fit == nil || len(f.Fit.Entries) == 0 {
		t.Errorf("300°: nothing has to pass: %+v", f.Fit)
	}
	for _, w := range f.Warnings {
		if strings.Contains(w.Text, ".;") || strings.Contains(w.Text, "..") {
			t.Errorf("%q", w.Text)
		}
	}
}

// A cap for the shoulder holds no arm, however its rim would suit one; where a way
// leads through it does. On a head the same cap holds what it goes over.
func TestCapOnlyCovers(t *testing.T) {
	dome := shape.Helm{
		Sides: 64, Neck: shape.Circle(60), Skull: shape.Circle(62), Wall: 3, NeckRise: 20, Widen: 20, Rise: 20, Dome: 50,
	}.Mesh()
	in := func(name string) func(*Brief) {
		return func(b *Brief) {
			b.Region = Region{Name: name, Source: "config"}
			b.Wearer.Measures = map[string]float64{"stature": 1710, "upper_arm_girth": 300}
		}
	}
	f := examine(t, dome, in("shoulder"), nil).Findings
	require.NotEmpty(t, f.Cavities)
	require.True(t, f.OnlyCovers())
	require.Empty(t, f.Fit.Sits)
	require.Equal(t, "unknown", f.Fit.Verdict)
	through := examine(t, shape.Tube{Sides: 64, Radius: 60, Wall: 3, Height: 80}.Mesh(), in("shoulder"), nil).Findings
	require.False(t, through.OnlyCovers())
	require.NotEmpty(t, through.Fit.Sits)
	head := examine(t, dome, in("head"), nil).Findings
	require.False(t, head.OnlyCovers())

	// A cop for the knee lies on it, and nothing has to pass; deeper than wide, the
	// same has a limb in it.
	for _, region := range []string{"lower_leg", "knee", "elbow"} {
		cop := examine(t, dome, in(region), nil).Findings
		require.True(t, cop.OnlyCovers(), region)
		require.Empty(t, cop.Fit.Sits, region)
		require.Empty(t, cop.Fit.Entries, region)
		deep := examine(t, dome.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: p.Y, Z: 2.5 * p.Z} }), in(region), nil).Findings
		require.False(t, deep.OnlyCovers(), region)
	}
}

// A scale that somebody wants is thought over where it may fit or nearly so; one that
// is far off, as after the file itself was rescaled, is not what bands are cut at.
func TestScaleThatIsFarOff(t *testing.T) {
	f := Findings{Fit: &Fit{Verdict: "loose", Rests: 96, Smallest: 96, Loosest: 104, Recommended: 100}}
	for percent, holds := range map[float64]bool{90: false, 92: true, 100: true, 109: true, 110: false, 126: false} {
		f.Percent = percent
		require.Equal(t, holds, f.holdsTo(Brief{PercentSet: true}), "%g %%", percent)
		require.False(t, f.holdsTo(Brief{}), "%g %%", percent)
		want := 100.0
		if holds {
			want = percent
		}
		require.Equal(t, want, f.bandPercent(Brief{PercentSet: true}))
	}
	f.Percent = 126
	require.True(t, f.holdsTo(Brief{PercentSet: true, Tryons: []Tryon{{Percent: 120, Verdict: "tight"}}}), "try-ons count for more")
	f.Fit.Smallest = 121 // it gets in closed from there on
	require.True(t, f.holdsTo(Brief{PercentSet: true}))
	f.Fit.Loosest, f.Percent = 0, 150 // a helm
	require.True(t, f.holdsTo(Brief{PercentSet: true}))
}
