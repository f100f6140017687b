package chart

import (
	"image"
	"math"
	"strings"
	"testing"

	"gambeson/report/picture"
	"gambeson/report/picture/proof"
)

// greave's ladder after two try-ons, and one without any band, bed or try-on.
func ladders() map[string]Belief {
	all := map[string]Belief{
		"tried": {Title: "The scale that fits, by all that is known", Smallest: 104.4, SD: 2.4, Print: 109, Least: 104.4, Most: 113.2, Bed: 112.4,
			Rungs: []Rung{{106, "print next"}, {109, "if it is tight"}, {103.5, "if it is loose"}},
			Tried: []Trial{{101, "tight", ""}, {112, "loose", "on legs/greave-right.stl"}, {107, "fits", "does not go with the rest"}}},
		"bare":   {Title: "The scale that fits", Smallest: 96, SD: 4, Print: 99},
		"sure":   {Title: "The scale that fits", Smallest: 100, SD: 0, Print: 101, Least: 100, Most: 120, Bed: 640},
		"never":  {Title: "The scale that fits", Smallest: 120, SD: 2, Print: 120, Least: 120, Most: 110, Bed: 80, Rungs: []Rung{{120, "print next"}}},
		"closed": {Title: "The scale that fits", Smallest: 100, SD: 1, Print: 101.9, Least: 100, Most: 100.4, Bed: 101, Tried: []Trial{{101, "fits", ""}, {101, "tight", ""}}},
	}
	for name, b := range all {
		all[name] = b.belled()
	}
	return all
}

// belled gives a belief the curve of a normal distribution.
func (b Belief) belled() Belief {
	b.Curve = nil
	sd := max(b.SD, 1e-6)
	for k := range 401 {
		p := b.Smallest + (float64(k)/40-5)*sd
		b.Curve = append(b.Curve, [2]float64{p, phi((p - b.Smallest) / sd)})
	}
	b.Chance = phi((b.Print - b.Smallest) / sd)
	return b
}

// at the three values of the normal distribution that every table has (the
// quantiles of 0.05, 0.5 and 0.95 lie at −1.645, 0 and 1.645).
func TestLadderDrawsTheChance(t *testing.T) {
	for name, b := range ladders() {
		t.Run(name, func(t *testing.T) {
			s := b.sheet()
			proof.Look(t, "ladder-"+name, s)
			proof.Tidy(t, s)
			if b.SD == 0 {
				return
			}
			x, y := b.axes(picture.Edge + picture.TitleSize + 34 + 84)
			im := proof.Decoded(t, s)
			for sds, chance := range map[float64]float64{-1.645: 5, -1: 15.866, 1: 84.134, 1.645: 95} {
				px, py := x.Px(b.Smallest+sds*b.SD), y.Px(chance)
				if !proof.InkNear(im, px, py, picture.Blue, 2) {
					t.Errorf("no curve at %+.3f SD", sds)
				}
				if math.Abs(sds) < 1.1 && proof.InkNear(im, px-40, py, picture.Blue, 1) {
					t.Errorf("the curve is also elsewhere at %+.3f SD", sds)
				}
			}
			if px := x.Px(b.Print); !proof.InkNear(im, px-12, y.Px(100*phi((b.Print-b.Smallest)/b.SD)), picture.Ink, 3) {
				t.Error("the scale to print is not marked")
			}
			moved := b
			moved.Smallest, moved.Print = b.Smallest+b.SD, b.Print+b.SD
			moved = moved.belled()
			mx, my := moved.axes(picture.Edge + picture.TitleSize + 34 + 84)
			if px, py := mx.Px(b.Smallest), my.Px(50); proof.InkNear(proof.Decoded(t, moved.sheet()), px, py, picture.Blue, 2) {
				t.Error("the curve did not move with the belief")
			}
		})
	}
}

// phi is the distribution function of the standard normal, by the error
// function.
func phi(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// Bands and try-ons stand under the curve at their scale; verdicts differ in
// their shape.
func TestLadderShowsBandsAndTryons(t *testing.T) {
	b := ladders()["tried"]
	s := b.sheet()
	im := proof.Decoded(t, s)
	x, _ := b.axes(picture.Edge + picture.TitleSize + 34 + 84)
	row := func(text string) float64 {
		for _, l := range s.Labels {
			if strings.HasPrefix(l.Text, text) {
				return (l.Top + l.Bottom) / 2
			}
		}
		t.Fatalf("%q is not written", text)
		return 0
	}
	for _, r := range b.Rungs {
		if !proof.InkNear(im, x.Px(r.Percent), row(percent1(r.Percent)+": "+r.Text), picture.Vermilion, 4) {
			t.Errorf("no band at %g %%", r.Percent)
		}
	}
	wide := map[string][2]bool{}
	for _, v := range b.Tried {
		y := row(v.Verdict + " at " + percent1(v.Percent))
		at := x.Px(v.Percent)
		wide[v.Verdict] = [2]bool{proof.InkNear(im, at-8, y-11, picture.Ink, 1), proof.InkNear(im, at+8, y-11, picture.Ink, 1)}
	}
	if wide["tight"] == wide["loose"] {
		t.Errorf("tight and loose look alike: %v", wide)
	}
	for _, what := range []string{"fits as asked", "the bed takes", "104.4 to 113.2 %", "up to 112.4 %", "likeliest at 109 %", "scale, %"} {
		row(what)
	}
	b.Untested = true // then that is what to print
	s = b.sheet()
	row("print at 109 %")
}

// What is said of a mark is written whole: beside it, else below it, and nothing over
// anything else.
func TestLadderCutsNoWordsOff(t *testing.T) {
	said := "on legs/greave-right-of-the-second-try.stl"
	for _, at := range []float64{99, 101, 103, 107, 112} {
		b := ladders()["tried"]
		b.Rungs = []Rung{{at, "then, if it is tight, or fits, or is loose at the calf"}, {at, "print next"}}
		b.Tried = []Trial{{at, "loose", said}, {at, "tight", ""}, {at, "fits", said}}
		s := b.sheet()
		proof.Tidy(t, s)
		for _, want := range []string{b.Rungs[0].Text, "loose at " + percent1(at) + ", " + said, "tight at " + percent1(at), "fits at " + percent1(at) + ", " + said} {
			found := false
			for _, l := range s.Labels {
				found = found || strings.HasSuffix(l.Text, want)
			}
			if !found {
				t.Errorf("at %g %%: %q is not written whole", at, want)
			}
		}
	}
}

func BenchmarkLadder(b *testing.B) {
	l := ladders()["tried"]
	proof.Drawn(b, func() *image.RGBA { return Ladder(l) })
}
