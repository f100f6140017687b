package chart

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gambeson/report/picture"
	"gambeson/report/picture/proof"
)

// The tightest and the widest place keep their labels in inches too, shorter where
// there is no room for both.
func TestGirthInInches(t *testing.T) {
	c := limb()
	c.Also = func(float64) string { return "12 13/16 in" }
	s := c.sheet()
	proof.Look(t, "girth-inches", s)
	proof.Tidy(t, s)
	found := map[string]bool{}
	for _, l := range s.Labels {
		for _, word := range []string{"tightest ", "widest "} {
			found[word] = found[word] || strings.HasPrefix(l.Text, word)
		}
	}
	if !found["tightest "] || !found["widest "] {
		t.Errorf("labels of the tightest and the widest place: %v", found)
	}
}

// Where a body of its own shape has less room than the capacity that is drawn, its
// room is marked with a cross and explained; where it has as much, nothing is.
func TestGirthMarksRoomForAnOwnShape(t *testing.T) {
	c := limb()
	for i := range c.Needs {
		n := &c.Needs[i]
		n.Has = 0.995 * c.roomAt(n.Along) // within a hundredth: the same
	}
	if got := c.Own(); len(got) != 0 {
		t.Errorf("marked apart: %v", got)
	}
	calf := &c.Needs[0]
	calf.Has = c.roomAt(calf.Along) - 60
	s := c.sheet()
	proof.Look(t, "girth-own", s)
	proof.Tidy(t, s)
	if got := c.Own(); len(got) != 1 || got[0] != "calf" {
		t.Errorf("marked apart: %v, want the calf", got)
	}
	im := proof.Decoded(t, s)
	x, y := plot(c)
	for _, d := range [][2]float64{{-8, -8}, {8, 8}, {-8, 8}, {8, -8}} {
		if !proof.InkNear(im, x.Px(calf.Along)+d[0], y.Px(calf.Has)+d[1], picture.Ink, 1) {
			t.Errorf("no cross at %v mm", calf.Has)
		}
	}
	if !slices.ContainsFunc(s.Labels, func(l picture.Label) bool { return l.Text == "room there for its own shape" }) {
		t.Error("the cross is not explained")
	}
}

// plot returns the axes on which a curve was drawn.
func plot(c Curve) (x, y picture.Axis) { return c.axes(c.key(picture.NewSheet(760)) + 70) }

func TestGirthDrawsTheCurveWhereItIs(t *testing.T) {
	for name, c := range map[string]Curve{"limb": limb(), "bare": bare()} {
		t.Run(name, func(t *testing.T) {
			s := c.sheet()
			proof.Look(t, "girth-"+name, s)
			proof.Tidy(t, s)
			im := proof.Decoded(t, s)
			x, y := plot(c)
			for _, i := range []int{10, 35, 60} {
				st := c.Stations[i]
				if !proof.InkNear(im, x.Px(st.Along), y.Px(st.Inner), picture.Blue, 1) {
					t.Errorf("no curve at %.0f mm", st.Along)
				}
				if proof.InkNear(im, x.Px(st.Along), y.Px(st.Inner-14), picture.Blue, 2) {
					t.Errorf("curve also below itself at %.0f mm", st.Along)
				}
			}
			moved := c
			moved.Stations = append([]Station(nil), c.Stations...)
			moved.Stations[35].Inner -= 25
			if proof.InkNear(proof.Decoded(t, moved.sheet()), x.Px(175), y.Px(c.Stations[35].Inner), picture.Blue, 2) {
				t.Error("the curve did not move with its station")
			}
		})
	}
}

// What rests is a bar from the skin to what is needed, where it rests; what
// passes is a line all along; an estimate is shaded as far as it may be off.
func TestGirthDrawsWhatTheBodyNeeds(t *testing.T) {
	c := limb()
	im := proof.Decoded(t, c.sheet())
	x, y := plot(c)
	for _, n := range c.Needs {
		if n.Passes {
			found := 0
			for px := x.Start; px < x.End; px++ {
				if proof.InkNear(im, px, y.Px(n.Girth), picture.Soft, 1) {
					found++
				}
			}
			if share := float64(found) / (x.End - x.Start); share < 0.5 {
				t.Errorf("%s: line on %.0f %% of the width", n.Label, 100*share)
			}
			continue
		}
		if at := x.Px(n.Along); !proof.InkNear(im, at, y.Px(n.Girth), picture.Ink, 1) || !proof.InkNear(im, at-picture.BarWide/2, y.Px(n.Body)-6, picture.Ink, 1) || proof.InkNear(im, at-picture.BarWide/2, y.Px(n.Body)+8, picture.Ink, 2) {
			t.Errorf("%s: no bar from %g to %g mm", n.Label, n.Body, n.Girth)
		}
	}
	if px := x.Px(330) + 1.3*picture.BarWide; !proof.InkNear(im, px, y.Px(290.1+6), picture.Hair, 0) || proof.InkNear(im, px, y.Px(290.1+9), picture.Hair, 1) {
		t.Error("the range of the estimate is not shaded as wide as it is")
	}
	c.Needs[0].Girth += 20
	if x, y := plot(limb()); proof.InkNear(proof.Decoded(t, c.sheet()), x.Px(260), y.Px(414.2), picture.Ink, 1) {
		t.Error("the bar did not move with what is needed")
	}
}

// Every need has its number in the plot and its words below.
func TestGirthNumbersAndExplainsTheNeeds(t *testing.T) {
	c := limb()
	s := c.sheet()
	_, y := plot(c)
	for i, n := range c.Needs {
		in, below := 0, 0
		for _, l := range s.Labels {
			switch {
			case l.Text == strconv.Itoa(i+1) && l.Bottom < y.Start:
				in++
			case l.Text == strconv.Itoa(i+1) || l.Text == n.Label || strings.HasPrefix(n.Text, l.Text):
				below++
			}
		}
		if in != 1 || below < 3 {
			t.Errorf("%s: %d numbers in the plot, %d words below", n.Label, in, below)
		}
	}
}

// A gutter that holds the body only here and there shows one line for its room,
// thin where it is not held, and no line where nothing is known.
func TestGirthBridgesWhatIsNotHeld(t *testing.T) {
	c := limb()
	for i := range c.Stations {
		c.Stations[i].Open = true
		if i/10%2 == 1 || i < 10 || i > 74 {
			c.Stations[i].Capacity = 0
		}
	}
	s := c.sheet()
	proof.Look(t, "girth-gutter", s)
	proof.Tidy(t, s)
	im := proof.Decoded(t, s)
	x, y := plot(c)
	held, lost := c.Stations[25], 35
	if !proof.InkNear(im, x.Px(held.Along), y.Px(held.Capacity), picture.Pale, 6) {
		t.Error("no room where it is held")
	}
	a, b := c.Stations[29], c.Stations[40]
	found := 0
	for k := range 40 {
		share := float64(k) / 40
		along, room := a.Along+share*(b.Along-a.Along), a.Capacity+share*(b.Capacity-a.Capacity)
		if proof.InkNear(im, x.Px(along), y.Px(room), picture.Soft, 1) {
			found++
		}
	}
	if found < 12 {
		t.Errorf("no thin line over station %d: inked at %d of 40 places", lost, found)
	}
	if len(c.lost()) != 2 {
		t.Errorf("stretches that are not held: %v", c.lost())
	}
}

func TestGirthMarksTightestAndWidest(t *testing.T) {
	c := bare()
	x, y := plot(c)
	at := func(im image.Image, i int) bool {
		px, py := x.Px(c.Stations[i].Along), y.Px(c.Stations[i].Inner)
		return proof.InkNear(im, px, py, picture.Paper, 1) && proof.InkNear(im, px, py+12, picture.Ink, 6)
	}
	im := proof.Decoded(t, c.sheet())
	if !at(im, c.Tightest) || !at(im, c.Widest) {
		t.Error("tightest or widest has no mark")
	}
	c.Tightest, c.Widest = -1, -1
	im = proof.Decoded(t, c.sheet())
	if at(im, limb().Tightest) {
		t.Error("a mark without a station")
	}
}

func TestGirthHoldsAnyCurve(t *testing.T) {
	const seed = 7
	rng := rand.New(rand.NewPCG(seed, seed))
	for round := range 12 {
		c := Curve{Title: "Girth along the part at 100 %", From: "the lower end (low z)", Tightest: -1, Widest: -1}
		for i := range rng.IntN(120) {
			s := Station{Along: float64(i) * 5, Inner: rng.ExpFloat64() * 300, Open: rng.IntN(9) == 0}
			if rng.IntN(9) == 0 {
				s.Inner = 0
			}
			if rng.IntN(2) == 0 {
				s.Capacity = s.Inner * 0.9
			}
			c.Stations = append(c.Stations, s)
			c.Tightest, c.Widest = rng.IntN(len(c.Stations)), rng.IntN(len(c.Stations))
		}
		for i := range rng.IntN(9) {
			c.Needs = append(c.Needs, Need{Label: fmt.Sprintf("upper arm %d, on the way in", i), Along: rng.Float64() * 900, Girth: 300 + rng.NormFloat64()*20, SD: rng.Float64() * 9, Estimated: true})
		}
		if len(c.Stations) == 0 {
			continue
		}
		proof.Tidy(t, c.sheet())
		if t.Failed() {
			t.Fatalf("seed %d, round %d: %d stations, %d needs", seed, round, len(c.Stations), len(c.Needs))
		}
	}
}

func TestGirthOfNothingSaysSo(t *testing.T) {
	s := Curve{Title: "Girth", From: "its end", Tightest: -1, Widest: -1}.sheet()
	if len(s.Labels) < 2 {
		t.Error("an empty curve says nothing")
	}
	straight := Curve{Title: "Girth", From: "its end", Tightest: 0, Widest: 0, Stations: []Station{{Along: 0, Inner: 300}, {Along: 5, Inner: 300}}}
	proof.Tidy(t, straight.sheet())
}

// limb is a curve with everything on it: capacity, an open end, what the body
// needs, measured and estimated.
func limb() Curve {
	c := Curve{Title: "Girth along the part at 107 %", From: "opening A", Tightest: 8, Widest: 52}
	for i := range 81 {
		z := float64(i) * 5
		g := 330 + 90*math.Sin((z-120)/100) + z*0.1
		c.Stations = append(c.Stations, Station{Along: z, Inner: g, Capacity: g * 0.97, Open: z > 340})
	}
	for i, s := range c.Stations {
		if s.Inner < c.Stations[c.Tightest].Inner {
			c.Tightest = i
		}
		if s.Inner > c.Stations[c.Widest].Inner {
			c.Widest = i
		}
	}
	c.Needs = []Need{
		{Label: "calf", Text: "needs 414.2 mm, has 409.1 mm: 5.1 mm too tight", Along: 260, Body: 377, Girth: 414.2},
		{Label: "ankle", Text: "needs about 290.1 ± 7.0 mm, has 300.0 mm: 9.9 mm to spare", Along: 330, Body: 253, Girth: 290.1, SD: 7, Estimated: true},
		{Label: "heel", Text: "303.8 mm must pass, least room 258.3 mm: 45.5 mm too tight", Along: 45, Passes: true, Body: 291.2, Girth: 303.8},
	}
	return c
}

// bare is the first form of a curve: one girth, nothing else known.
func bare() Curve {
	c := limb()
	c.Needs = nil
	for i := range c.Stations {
		c.Stations[i].Capacity, c.Stations[i].Open = 0, false
	}
	return c
}

// A title of any length stays on the sheet of every kind of picture.
func TestLongTitlesStayOnTheSheet(t *testing.T) {
	proof.LongTitles(t, func(long string) map[string]*picture.Sheet {
		c, l := limb(), ladders()["tried"]
		c.Title, l.Title = long, long
		return map[string]*picture.Sheet{"girth": c.sheet(), "ladder": l.sheet()}
	})
}

func TestGirthIsDeterministic(t *testing.T) {
	proof.Alike(t, func() *image.RGBA { return Girth(limb()) })
}

func TestLinesAreToldApartInGrey(t *testing.T) {
	proof.ToldApart(t, roomLine, slackLine, lostLine, innerLine, openLine, needLine)
}

func BenchmarkGirth(b *testing.B) {
	c := limb()
	proof.Drawn(b, func() *image.RGBA { return Girth(c) })
}
