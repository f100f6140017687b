package joint

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

const rad = math.Pi / 180

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.6f, want %.6f", what, got, want)
	}
}

// Equal discs, equally far from an axis in the middle, touch edge to edge where
// each has turned by the angle under which its edge is seen from the axis.
func TestTouchOfEqualRims(t *testing.T) {
	for _, c := range []struct{ gap, radius, angle float64 }{
		{0, 60, 0},
		{120, 60, 90},                          // each edge under 45°
		{2 * 60 / math.Sqrt(3), 60, 60},        // tan 30° = 1/√3
		{2 * 60 * math.Sqrt(3), 60, 120},       // tan 60° = √3
		{2 * 60 * math.Tan(15*rad), 60, 30},    //
		{2 * 60 * math.Tan(67.5*rad), 60, 135}, //
		{1e12, 60, 180},
	} {
		r := rims{above: c.gap / 2, below: c.gap / 2, upper: c.radius, lower: c.radius}
		near(t, "equal rims", r.touch(), c.angle, 1e-5)
	}
}

// One rim level with the axis: its edge stays where it is, and the other edge
// turns down onto it by the whole angle, tan⁻¹(gap/radius).
func TestTouchWithARimAtTheAxis(t *testing.T) {
	near(t, "lower rim at the axis", rims{above: 60, upper: 60, lower: 200}.touch(), 45, 1e-9)
	near(t, "upper rim at the axis", rims{below: 60, upper: 200, lower: 60}.touch(), 45, 1e-9)
}

// A narrow rim between the axis and a wide one meets the wide disc within:
// radius 50, 50 below the axis, is on a circle of 50·√2 and meets a line 50
// above the axis a quarter turn on, whatever the wide disc's radius.
func TestTouchOfUnequalRims(t *testing.T) {
	for _, wide := range []float64{50, 70, 1000} {
		near(t, "narrow below wide", rims{above: 50, below: 50, upper: wide, lower: 50}.touch(), 90, 1e-9)
		near(t, "narrow above wide", rims{above: 50, below: 50, upper: 50, lower: wide}.touch(), 90, 1e-9)
	}
	near(t, "3-4-5", rims{above: 3, below: 4, upper: 9, lower: 3}.touch()*rad, math.Atan2(4, 3)+math.Asin(3.0/5), 1e-9)
}

func TestTouchAtItsLimits(t *testing.T) {
	for what, r := range map[string]rims{
		"zero":                  {},
		"overlap":               {above: -30, below: 20, upper: 60, lower: 60},
		"rims together":         {above: -35, below: 35, upper: 60, lower: 50},
		"overlap past the axis": {above: 20, below: -90, upper: 60, lower: 60},
	} {
		near(t, what, r.touch(), 0, 1e-9)
	}
	for what, r := range map[string]rims{
		"far apart":                    {above: 1e6, below: 1e6, upper: 60, lower: 60},
		"axis outside on the far side": {above: 40, below: 40, upper: 60, lower: 60, axis: 60},
		"no thickness":                 {above: 40, below: 40},
	} {
		if got := r.touch(); got < 179.9 {
			t.Errorf("%s: touches at %.3f°", what, got)
		}
	}
	if got := (rims{above: -35 + 1e-9, below: 35, upper: 60, lower: 50}).touch(); !(got >= 0 && got < 1e-3) {
		t.Errorf("a gap of nothing touches at %v°", got)
	}
}

// random are rims as bodies and parts have them.
func random(rng *rand.Rand) rims {
	r := rims{
		above: rng.Float64()*160 - 40, upper: 20 + rng.Float64()*130, lower: 20 + rng.Float64()*130,
	}
	r.below = rng.Float64()*160 - r.above
	r.axis = (rng.Float64() - 0.5) * min(r.upper, r.lower)
	return r
}

const seed = 41

// A lower rim that is close to the axis passes under the upper one, and the
// upper edge meets the wall behind it: as if the lower rim stood as far off.
// atan 2 twice, for the edge 60 out and 120 up.
func TestTouchOfAWallBehindItsRim(t *testing.T) {
	for _, below := range []float64{-50, 0, 30, 60, 110, 120} {
		near(t, "wall", rims{above: 120, below: below, upper: 60, lower: 60}.touch()*rad, 2*math.Atan(2), 1e-9)
	}
}

// The whole joint does not care in which unit it is measured nor which part is
// called the upper one.
func TestTouchKeepsUnderScaleAndMirror(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 2000 {
		r := random(rng)
		want := r.touch()
		for _, s := range []float64{1 / 25.4, 10} {
			near(t, "scaled", rims{r.above * s, r.below * s, r.upper * s, r.lower * s, r.axis * s}.touch(), want, 1e-6)
		}
		near(t, "mirrored", rims{r.below, r.above, r.lower, r.upper, r.axis}.touch(), want, 1e-6)
		if t.Failed() {
			t.Fatalf("seed %d: %+v", seed, r)
		}
	}
}

func TestTouchIsMonotone(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 2))
	for range 5000 {
		r := random(rng)
		now := r.touch()
		step := rng.ExpFloat64() * 20
		for what, c := range map[string]rims{
			"wider upper rim":      {r.above, r.below, r.upper + step, r.lower, r.axis},
			"wider lower rim":      {r.above, r.below, r.upper, r.lower + step, r.axis},
			"axis less towards it": {r.above, r.below, r.upper, r.lower, r.axis - step},
		} {
			if got := c.touch(); got > now+1e-7 {
				t.Errorf("%s by %v: %v° after %v°", what, step, got, now)
			}
		}
		for what, c := range map[string]rims{
			"upper rim back": {r.above + step, r.below, r.upper, r.lower, r.axis},
			"lower rim back": {r.above, r.below + step, r.upper, r.lower, r.axis},
		} {
			if got := c.touch(); got < now-1e-7 {
				t.Errorf("%s by %v: %v° after %v°", what, step, got, now)
			}
		}
		if got := r.beside(rng.Float64() * min(r.upper, r.lower)); got < now-1e-7 {
			t.Errorf("beside the middle: %v° after %v°", got, now)
		}
		if t.Failed() {
			t.Fatalf("seed %d: %+v", seed, r)
		}
	}
}

// shell is a rim in space, with points of its edge and all that lies behind it.
type shell struct {
	middle, back r3.Vec // back is the unit vector from the rim into the shell
	radius       float64
	edge         []r3.Vec
}

func newShell(middle, back r3.Vec, radius float64) shell {
	s := shell{middle: middle, back: back, radius: radius}
	for i := range 180 {
		sin, cos := math.Sincos(float64(i) * 2 * rad)
		s.edge = append(s.edge, r3.Add(middle, r3.Vec{X: radius * cos, Z: radius * sin}))
	}
	return s
}

func (s shell) turned(angle float64) shell {
	turn := r3.NewRotation(angle*rad, r3.Vec{Z: 1})
	out := shell{middle: turn.Rotate(s.middle), back: turn.Rotate(s.back), radius: s.radius}
	for _, p := range s.edge {
		out.edge = append(out.edge, turn.Rotate(p))
	}
	return out
}

// holds reports whether a point of the other's edge lies within the shell: the
// first touch of two such bodies is one of an edge.
func (s shell) holds(other shell) bool {
	for _, p := range other.edge {
		from := r3.Sub(p, s.middle)
		in := r3.Dot(from, s.back)
		if in > 0 && r3.Norm(r3.Sub(from, r3.Scale(in, s.back))) < s.radius {
			return true
		}
	}
	return false
}

// turned turns two shells on each other about the axis in small steps until
// they touch.
func turned(r rims, step float64) float64 {
	upper := newShell(r3.Vec{X: -r.axis, Y: r.above}, r3.Vec{Y: 1}, r.upper)
	start := newShell(r3.Vec{X: -r.axis, Y: -r.below}, r3.Vec{Y: -1}, r.lower)
	for angle := 0.0; angle < 180; angle += step {
		if lower := start.turned(angle); upper.holds(lower) || lower.holds(upper) {
			return angle
		}
	}
	return 180
}

// By brute force in space: the first angle at which one shell enters the other
// is the one that the closed form gives.
func TestTouchAgainstTurningTwoShells(t *testing.T) {
	const step = 0.25
	rng := rand.New(rand.NewPCG(seed, 3))
	var met [2]int
	for range 150 {
		r := random(rng)
		got, want := r.touch(), turned(r, step)
		if want < 90 {
			met[0]++
		} else if want < 180 {
			met[1]++
		}
		if want-got > step+1e-9 || got-want > 1e-9 {
			t.Fatalf("seed %d: %+v: closed form %.3f°, turned %.3f°", seed, r, got, want)
		}
	}
	if met[0] < 40 || met[1] < 20 {
		t.Errorf("only %d touched before 90° and %d after", met[0], met[1])
	}
}

// What is cut off gives the angle asked for, and a tenth of a millimetre less
// does not.
func TestCutGivesJustEnough(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 4))
	done := 0
	for range 500 {
		r := random(rng)
		angle := r.touch() + rng.Float64()*60
		if r.touch() == 0 || angle > 150 {
			continue
		}
		for _, by := range [][2]float64{{1, 0}, {0, 1}, {1, 1}} {
			mm, ok := r.cut(angle, by[0], by[1], 400)
			if !ok {
				continue
			}
			done++
			back := func(mm float64) float64 {
				return rims{r.above + mm*by[0], r.below + mm*by[1], r.upper, r.lower, r.axis}.touch()
			}
			if back(mm) < angle-1e-6 {
				t.Errorf("%v mm give %v° of %v°", mm, back(mm), angle)
			}
			if mm > 0.1 && back(mm-0.1) >= angle {
				t.Errorf("%v mm would do for %v°: %v mm asked", mm-0.1, angle, mm)
			}
		}
		if t.Failed() {
			t.Fatalf("seed %d: %+v", seed, r)
		}
	}
	if done < 500 {
		t.Errorf("only %d cuts were tried", done)
	}
	if _, ok := (rims{above: 1, below: 1, upper: 60, lower: 60}).cut(110, 0, 1, 20); ok {
		t.Error("20 mm do for 110° where they do not")
	}
}

// Equal rims at 45° each want the chord to lie under 55° for 110°: half a chord
// of 60/tan 55°, so that the cut spans 2·60·acos(1/tan 55°) of the rim.
func TestWidthOfACut(t *testing.T) {
	r := rims{above: 60, below: 60, upper: 60, lower: 60}
	upper, lower := r.width(110)
	want := 2 * 60 * math.Acos(1/math.Tan(55*rad))
	near(t, "upper", upper, want, 1e-6)
	near(t, "lower", lower, want, 1e-6)
	if upper, _ := r.width(90 - 1e-6); upper > 0.1 {
		t.Errorf("%v mm to cut where there is room", upper)
	}
}
