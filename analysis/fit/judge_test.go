package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/fit/survey"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// mira has measured all that a leg asks for.
func mira(t *testing.T) Wearer {
	return wearer(t, map[string]float64{
		"stature": 1710, "calf_girth": 382, "calf_height": 330, "ankle_girth": 222, "ankle_height": 66, "knee_height": 470, "knee_girth": 380, "heel_girth": 331,
	})
}

func judged(t *testing.T, m *mesh.Mesh, name string, w Wearer, wants Wants, pin *float64) Answer {
	t.Helper()
	q := Question{Wearer: w, Wants: wants}
	q.Seat = q.Choose(Seats(find(t, m), region(t, name), "", pin))
	require.NotNil(t, q.Seat)
	return q.Judge()
}

// In a tube all that rests there has the same room, so the calf alone decides:
// it fits from (girth + 2π·layer + ease)/room on, and is loose above
// (girth + 2π·layer + loosest)/room (Steiner's formula for the layer).
func TestScalesOfATube(t *testing.T) {
	const radius = 62.0
	tube := shape.Tube{Radius: radius, Wall: 3, Height: 320}
	room := 2 * math.Pi * radius * math.Cos(math.Pi/128) // the circle in the polygon
	for _, wants := range []Wants{{Ease: 0, Loosest: 30}, {Padding: 5, Ease: 6, Loosest: 40}, {Padding: 3, Liner: 2, Ease: 10, Loosest: 60}} {
		a := judged(t, tube.Mesh(), "lower_leg", mira(t), wants, nil)
		layer := 2 * math.Pi * (wants.Padding + wants.Liner)
		smallest, loosest := (382+layer+wants.Ease)/room, (382+layer+wants.Loosest)/room
		for what, pair := range map[string][2]float64{
			"smallest": {a.Smallest, smallest}, "rests": {a.Rests, smallest}, "loosest": {a.Loosest, loosest}, "recommended": {a.Recommended, (smallest + loosest) / 2},
		} {
			if math.Abs(pair[0]/pair[1]-1) > 0.003 {
				t.Errorf("%+v: %s %.4f, want %.4f", wants, what, pair[0], pair[1])
			}
		}
		// The reading of a calf is good to 4 mm, a normal's 5 % lies 1.645 of it off.
		v, _ := mira(t).Of("calf_girth")
		for k, sign := range []float64{-1, 1} {
			if want := smallest + sign*1.645*v.SD/room; math.Abs(a.SmallestInterval[k]-want) > 0.3*v.SD/room {
				t.Errorf("%+v: the interval %v, want an end at %.4f", wants, a.SmallestInterval, want)
			}
		}
	}
}

// Answers follow the part: turned, mirrored and moved they stay, scaled they
// scale where nothing but a girth decides.
func TestScalesFollowThePart(t *testing.T) {
	limb := shape.Taper{Rows: 4, Bottom: shape.Ellipse{A: 52, B: 50}, Top: shape.Ellipse{A: 67, B: 62}, Wall: 3, Height: 300}.Mesh()
	wants := Wants{Padding: 5, Ease: 6, Loosest: 40}
	first := judged(t, limb, "lower_leg", mira(t), wants, nil)
	random := rand.New(rand.NewPCG(4, 2))
	turn := r3.NewRotation(2.3, r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()})
	for what, m := range map[string]*mesh.Mesh{
		"turned and moved": limb.Map(func(p r3.Vec) r3.Vec { return r3.Add(turn.Rotate(p), r3.Vec{X: 300, Y: -70, Z: 9}) }),
		"mirrored":         shape.Mirror(limb),
	} {
		a := judged(t, m, "lower_leg", mira(t), wants, nil)
		if math.Abs(a.Smallest/first.Smallest-1) > 0.003 || math.Abs(a.Loosest/first.Loosest-1) > 0.003 {
			t.Errorf("%s: %.4f to %.4f, was %.4f to %.4f", what, a.Smallest, a.Loosest, first.Smallest, first.Loosest)
		}
	}
	grown := judged(t, limb.Scaled(1.1), "lower_leg", mira(t), wants, nil)
	if math.Abs(grown.Smallest*1.1/first.Smallest-1) > 0.003 || math.Abs(grown.Recommended*1.1/first.Recommended-1) > 0.003 {
		t.Errorf("a tenth larger: %.4f, was %.4f", grown.Smallest, first.Smallest)
	}
}

// Where a tube is as good all along the leg, it is worn in the middle of where it
// holds calf and ankle: its upper rim may lie from 320 mm above the outer ankle
// up to where its lower one is at the thinnest place of the leg.
func TestWornInTheMiddle(t *testing.T) {
	a := judged(t, shape.Tube{Radius: 68, Wall: 3, Height: 320}.Mesh(), "lower_leg", mira(t), Wants{Padding: 5, Ease: 6, Loosest: 40}, nil)
	require.NotNil(t, a.Covers)
	lowest, highest := 66+320.0, 137.17/1773.43*1710+320
	if want := (lowest + highest) / 2; a.Covers.Limb != Leg || math.Abs(a.Covers.Span[0]-want) > 4 || math.Abs(a.Covers.Span[0]-a.Covers.Span[1]-320) > 0.5 {
		t.Errorf("covers %v, want from %.1f mm down", a.Covers.Span, want)
	}
}

// Pinned, the calf rests where suit.toml says: there the room of a taper is
// known, and so is the scale, which moves the pinned place within the part: the
// room is f·G(pin/f).
func TestPinnedSeat(t *testing.T) {
	taper := shape.Taper{Rows: 2, Bottom: shape.Circle(50), Top: shape.Circle(70), Wall: 3, Height: 300}
	pin := 90.0
	wants := Wants{Padding: 5, Ease: 6, Loosest: 40}
	a := judged(t, taper.Mesh(), "lower_leg", mira(t), wants, &pin)
	require.NotEmpty(t, a.Seated)
	for _, s := range a.Seated {
		if s.Lead && math.Abs(s.Along-pin) > 1e-6 {
			t.Errorf("the calf rests %.2f mm in", s.Along)
		}
	}
	// f·2π·(70 − 20·(pin/f)/300) = need
	need := 382 + 2*math.Pi*5 + 6
	want := (need/(2*math.Pi*math.Cos(math.Pi/128)) + 20*pin/300) / 70
	if math.Abs(a.Smallest/want-1) > 0.003 {
		t.Errorf("fits from %.4f, want %.4f", a.Smallest, want)
	}
}

// What is not known makes the scale uncertain, and the measure that would settle
// it comes first.
func TestDoubtAndHelp(t *testing.T) {
	tube := shape.Tube{Radius: 62, Wall: 3, Height: 320}.Mesh()
	wants := Wants{Padding: 5, Ease: 6, Loosest: 40}
	sure := judged(t, tube, "lower_leg", mira(t), wants, nil)
	unsure := judged(t, tube, "lower_leg", wearer(t, map[string]float64{"stature": 1710, "weight": 68}), wants, nil)
	wide := func(a Answer) float64 { return a.SmallestInterval[1] - a.SmallestInterval[0] }
	if wide(unsure) < 3*wide(sure) {
		t.Errorf("the interval is %.4f wide with the calf measured, %.4f without", wide(sure), wide(unsure))
	}
	require.NotEmpty(t, unsure.Helps)
	if h := unsure.Helps[0]; h.Measure != "calf_girth" || h.Cut < 0.8 {
		t.Errorf("first of all %+v helps", h)
	}
	for _, s := range unsure.Seated {
		if s.Measure == "calf_girth" && s.Body.Given {
			t.Error("an estimate counts as measured")
		}
	}
}

// A body of which nothing is known fits nothing, and no part has it.
func TestNobody(t *testing.T) {
	w, err := Measure(nil, "", "left", 1)
	require.NoError(t, err)
	if _, ok := w.Of("calf_girth"); ok || w.Known() || w.Odds() != nil {
		t.Errorf("nobody is known: %+v", w)
	}
	_, err = Measure(map[string]float64{"tail": 300}, "", "", 0)
	require.Error(t, err)
}

// Over an undersuit the tape reads longer by 2π of its thickness (Steiner); the
// head and the foot are bare.
func TestUndersuitIsNotCountedTwice(t *testing.T) {
	over, err := Measure(map[string]float64{"calf_girth": 382, "head_girth": 565, "heel_girth.left": 331, "stature": 1710}, survey.Female, "left", 1.5)
	require.NoError(t, err)
	for measure, want := range map[string]float64{"calf_girth": 382 - 3*math.Pi, "head_girth": 565, "heel_girth": 331, "stature": 1710} {
		if v, _ := over.Of(measure); math.Abs(v.Mean-want) > 1e-9 || !v.Given {
			t.Errorf("%s: %.2f mm, want %.2f", measure, v.Mean, want)
		}
	}
}

// Each side takes its own reading.
func TestSidesDiffer(t *testing.T) {
	readings := map[string]float64{"heel_girth.left": 331, "heel_girth.right": 327}
	for side, want := range map[string]float64{"left": 331, "right": 327} {
		w, err := Measure(readings, "", side, 0)
		require.NoError(t, err)
		if v, _ := w.Of("heel_girth"); v.Mean != want || !v.Given {
			t.Errorf("%s: %+v", side, v)
		}
	}
	w, err := Measure(readings, "", "", 0) // both must pass
	require.NoError(t, err)
	if v, _ := w.Of("heel_girth"); v.Mean != 331 || !v.Given {
		t.Errorf("both sides: %+v", v)
	}
	require.Len(t, readings, 2, "the readings stay as they are")
}

// A ring through which only a hand passes at a scale at which it hangs loose on
// the wrist has to be opened: then the scale is that of what rests inside.
func TestOpenedWhereNothingElseHelps(t *testing.T) {
	p := &problem{entry: 1.8}
	r := Range{Smallest: 1.8, Rests: 1, Loosest: 1.1}
	if !r.Opened() || math.Abs(p.between(r)-1.05) > 1e-9 {
		t.Errorf("recommends %.3f", p.between(r))
	}
	passes := Range{Smallest: 1.04, Rests: 1, Loosest: 1.1}
	if passes.Opened() || math.Abs(p.between(passes)-1.07) > 1e-9 {
		t.Errorf("recommends %.3f where it passes", p.between(passes))
	}
}

// A part is opened where hardly a scale is left at which it gets in closed and is not
// loose, and one that nothing makes loose where it would have to be far too large.
func TestOpenedWhereHardlyAScaleIsLeft(t *testing.T) {
	for _, c := range []struct {
		smallest, rests, loosest float64
		opened                   bool
	}{
		{1.44, 1.212, 1.444, true},  // a hand before a forearm shell: 0.4 % left of 23
		{1.37, 1.212, 1.444, false}, // a third left
		{1.212, 1.212, 1.214, false},
		{1.3, 1.25, 1.2, false}, // opened it would be loose all the same: padding
		{math.Inf(1), 1, 1.1, true},
		{1.58, 0.91, 0, true}, // a helm with a narrow neck
		{1.1, 0.91, 0, false},
		{1.1, 0.91, math.Inf(1), false},
		{1.58, 0, 0, false}, // nothing rests in it
	} {
		r := Range{Smallest: c.smallest, Rests: c.rests, Loosest: c.loosest}
		if r.Opened() != c.opened {
			t.Errorf("%+v is opened: %v", r, r.Opened())
		}
	}
}

// A length that asks for less than the girth does is offered as a second scale,
// one that asks for more as well; within the range it moves the recommendation.
func TestLengthAndGirth(t *testing.T) {
	r := Range{Smallest: 1.05, Rests: 1.05, Loosest: 1.15}
	seat := &Seat{}
	for _, c := range []struct {
		limit       limit
		recommended float64
		length      float64
		differ      bool
	}{
		{limit{0, 1.3}, 1.10, 0, false},
		{limit{0, 1.09}, 1.07, 0, false},
		{limit{1.12, 1.2}, 1.135, 0, false},
		{limit{0.9, 0.98}, 1.05, 0.98, true},
		{limit{1.2, 1.25}, 1.2, 1.2, true},
	} {
		p := &problem{seat: seat, lengths: []limit{c.limit}}
		length, differ := p.conflict(r)
		if got := p.between(r); math.Abs(got-c.recommended) > 1e-9 || differ != c.differ || differ && length != c.length {
			t.Errorf("%v: recommends %.3f, length %.3f (%v)", c.limit, got, length, differ)
		}
	}
}

// A length that would have the part smaller than its girths allow leaves it where
// 19 of 20 bodies get their girths, and never past the middle of what fits.
func TestKeepOffTheEnd(t *testing.T) {
	for _, c := range []struct {
		what string
		a    Answer
		want float64
	}{
		{"pinned", Answer{Range: Range{Smallest: 1.05, Rests: 1.05, Loosest: 1.15, Recommended: 1.05}, SmallestInterval: [2]float64{1.03, 1.07}}, 1.07},
		{"hardly known", Answer{Range: Range{Smallest: 1.05, Rests: 1.05, Loosest: 1.15, Recommended: 1.05}, SmallestInterval: [2]float64{0.9, 1.2}}, 1.10},
		{"in the middle", Answer{Range: Range{Smallest: 1.05, Rests: 1.05, Loosest: 1.15, Recommended: 1.10}, SmallestInterval: [2]float64{1.03, 1.07}}, 1.10},
		{"loose at once", Answer{Range: Range{Smallest: 1.05, Rests: 1.05, Loosest: 1.02, Recommended: 1.05}, SmallestInterval: [2]float64{1.03, 1.07}}, 1.05},
		{"nobody knows", Answer{Range: Range{Smallest: 1.05, Rests: 1.05, Loosest: 1.15, Recommended: 1.05}, SmallestInterval: [2]float64{1, math.Inf(1)}}, 1.05},
		{"no scale", Answer{Range: Range{Smallest: math.Inf(1)}}, 0},
	} {
		c.a.keepOff()
		if math.Abs(c.a.Recommended-c.want) > 1e-12 {
			t.Errorf("%s: recommends %.4f, want %.4f", c.what, c.a.Recommended, c.want)
		}
	}
}
