package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gambeson/analysis"

	"gonum.org/v1/gonum/spatial/r2"
)

// like reports whether two colours are the same but for the edge of a stroke
// and the steps of the palette.
func like(a, b color.Color) bool {
	ar, ag, ab, _ := a.RGBA()
	br, bg, bb, _ := b.RGBA()
	far := func(x, y uint32) bool { return math.Abs(float64(x)-float64(y)) > 24*257 }
	return !far(ar, br) && !far(ag, bg) && !far(ab, bb)
}

// inkNear reports whether a colour is found within px of a place.
func inkNear(im image.Image, x, y float64, c color.Color, within int) bool {
	for dx := -within; dx <= within; dx++ {
		for dy := -within; dy <= within; dy++ {
			if like(im.At(int(x)+dx, int(y)+dy), c) {
				return true
			}
		}
	}
	return false
}

// decoded is the picture as its reader will see it.
func decoded(t *testing.T, s *sheet) image.Image {
	t.Helper()
	data, err := PNG(s.im)
	if err != nil {
		t.Fatal(err)
	}
	im, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return im
}

// tidy checks what holds for every picture: it is not blank, its edge is free,
// labels lie within it and apart from one another.
func tidy(t *testing.T, s *sheet) {
	t.Helper()
	im := decoded(t, s).(*image.Paletted)
	b := im.Bounds()
	inked := 0
	for i, ink := range im.Pix {
		if ink == greys-1 { // paper
			continue
		}
		inked++
		if x, y := i%im.Stride, i/im.Stride; x < 8 || y < 8 || x >= b.Max.X-8 || y >= b.Max.Y-8 {
			t.Fatalf("ink at the sheet's edge, (%d, %d)", x, y)
		}
	}
	if share := float64(inked) / float64(b.Dx()*b.Dy()); share < 0.005 || share > 0.6 {
		t.Errorf("%.1f %% of the sheet is inked", 100*share)
	}
	whole := box{0, 0, float64(b.Dx()), float64(b.Dy())}
	if len(s.labels) < 3 {
		t.Errorf("only %d labels", len(s.labels))
	}
	for i, l := range s.labels {
		if !l.within(whole) {
			t.Errorf("label %d leaves the sheet: %+v", i, l)
		}
		for k, o := range s.labels[:i] {
			if l.meets(o.box) {
				t.Errorf("label %d %+v lies on label %d %+v", i, l, k, o)
			}
		}
	}
}

// plot returns the axes on which a curve was drawn.
func plot(c Curve) (x, y axis) { return c.axes(c.key(newSheet(760)) + 70) }

func TestGirthDrawsTheCurveWhereItIs(t *testing.T) {
	for name, c := range map[string]Curve{"limb": limb(), "bare": bare()} {
		t.Run(name, func(t *testing.T) {
			s := c.sheet()
			look(t, "girth-"+name, s)
			tidy(t, s)
			im := decoded(t, s)
			x, y := plot(c)
			for _, i := range []int{10, 35, 60} {
				st := c.Stations[i]
				if !inkNear(im, x.px(st.Along), y.px(st.Inner), blue, 1) {
					t.Errorf("no curve at %.0f mm", st.Along)
				}
				if inkNear(im, x.px(st.Along), y.px(st.Inner-14), blue, 2) {
					t.Errorf("curve also below itself at %.0f mm", st.Along)
				}
			}
			moved := c
			moved.Stations = append([]Station(nil), c.Stations...)
			moved.Stations[35].Inner -= 25
			if inkNear(decoded(t, moved.sheet()), x.px(175), y.px(c.Stations[35].Inner), blue, 2) {
				t.Error("the curve did not move with its station")
			}
		})
	}
}

// What rests is a bar from the skin to what is needed, where it rests; what
// passes is a line all along; an estimate is shaded as far as it may be off.
func TestGirthDrawsWhatTheBodyNeeds(t *testing.T) {
	c := limb()
	im := decoded(t, c.sheet())
	x, y := plot(c)
	for _, n := range c.Needs {
		if n.Passes {
			found := 0
			for px := x.start; px < x.end; px++ {
				if inkNear(im, px, y.px(n.Girth), soft, 1) {
					found++
				}
			}
			if share := float64(found) / (x.end - x.start); share < 0.5 {
				t.Errorf("%s: line on %.0f %% of the width", n.Label, 100*share)
			}
			continue
		}
		if at := x.px(n.Along); !inkNear(im, at, y.px(n.Girth), ink, 1) || !inkNear(im, at-barWide/2, y.px(n.Body)-6, ink, 1) || inkNear(im, at-barWide/2, y.px(n.Body)+8, ink, 2) {
			t.Errorf("%s: no bar from %g to %g mm", n.Label, n.Body, n.Girth)
		}
	}
	if px := x.px(330) + 1.3*barWide; !inkNear(im, px, y.px(290.1+6), hair, 0) || inkNear(im, px, y.px(290.1+9), hair, 1) {
		t.Error("the range of the estimate is not shaded as wide as it is")
	}
	c.Needs[0].Girth += 20
	if x, y := plot(limb()); inkNear(decoded(t, c.sheet()), x.px(260), y.px(414.2), ink, 1) {
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
		for _, l := range s.labels {
			switch {
			case l.text == strconv.Itoa(i+1) && l.bottom < y.start:
				in++
			case l.text == strconv.Itoa(i+1) || l.text == n.Label || strings.HasPrefix(n.Text, l.text):
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
	look(t, "girth-gutter", s)
	tidy(t, s)
	im := decoded(t, s)
	x, y := plot(c)
	held, lost := c.Stations[25], 35
	if !inkNear(im, x.px(held.Along), y.px(held.Capacity), pale, 6) {
		t.Error("no room where it is held")
	}
	a, b := c.Stations[29], c.Stations[40]
	found := 0
	for k := range 40 {
		share := float64(k) / 40
		along, room := a.Along+share*(b.Along-a.Along), a.Capacity+share*(b.Capacity-a.Capacity)
		if inkNear(im, x.px(along), y.px(room), soft, 1) {
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
		px, py := x.px(c.Stations[i].Along), y.px(c.Stations[i].Inner)
		return inkNear(im, px, py, paper, 1) && inkNear(im, px, py+12, ink, 6)
	}
	im := decoded(t, c.sheet())
	if !at(im, c.Tightest) || !at(im, c.Widest) {
		t.Error("tightest or widest has no mark")
	}
	c.Tightest, c.Widest = -1, -1
	im = decoded(t, c.sheet())
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
		tidy(t, c.sheet())
		if t.Failed() {
			t.Fatalf("seed %d, round %d: %d stations, %d needs", seed, round, len(c.Stations), len(c.Needs))
		}
	}
}

func TestGirthOfNothingSaysSo(t *testing.T) {
	s := Curve{Title: "Girth", From: "its end", Tightest: -1, Widest: -1}.sheet()
	if len(s.labels) < 2 {
		t.Error("an empty curve says nothing")
	}
	straight := Curve{Title: "Girth", From: "its end", Tightest: 0, Widest: 0, Stations: []Station{{Along: 0, Inner: 300}, {Along: 5, Inner: 300}}}
	tidy(t, straight.sheet())
}

func TestSectionIsToScale(t *testing.T) {
	for name, o := range map[string]analysis.Outline{"shell": shell(), "gutter": gutter()} {
		t.Run(name, func(t *testing.T) {
			s := outline(o).sheet("Section at the tightest place, 72 mm from opening A", "inner girth 312.4 mm, capacity 301.0 mm", nil)
			look(t, "section-"+name, s)
			tidy(t, s)
			im := decoded(t, s)
			low, high, _ := bounds(append(outline(o).loops(), outline(o).room())...)
			w := outline(o).layout(low, high, 1)
			scaleX := (w.u.end - w.u.start) / (w.u.high - w.u.low)
			scaleY := (w.v.start - w.v.end) / (w.v.high - w.v.low)
			if math.Abs(scaleX-scaleY) > 1e-9 {
				t.Errorf("%.4f px/mm across, %.4f up", scaleX, scaleY)
			}
			missed := 0
			for _, p := range o.Void {
				if x, y := w.at(p); !inkNear(im, x, y, blue, 1) {
					missed++
				}
			}
			if missed > len(o.Void)/20 { // the ellipse may cross it
				t.Errorf("no loop at %d of %d points", missed, len(o.Void))
			}
			if x, y := w.at(o.Walls[0].Points[20]); name == "gutter" && !inkNear(im, x, y, ink, 2) {
				t.Error("no wall drawn")
			}
			for y := range int(w.frame.bottom) + 20 { // the key below has its own sample
				for x := range width {
					if inFrame := (box{float64(x), float64(y), float64(x), float64(y)}).within(w.frame); !inFrame && like(im.At(x, y), vermilion) {
						t.Fatalf("the ellipse leaves the frame at (%d, %d)", x, y)
					}
				}
			}
			if gaps := outline(o).gaps(); slices.Contains(gaps, true) != (name == "gutter") {
				t.Errorf("gaps: %v", gaps)
			}
			grid := 0
			for u := 10.0; u < w.u.high; u += 10 {
				if !like(im.At(int(w.u.px(u)), int(w.frame.top)+6), paper) {
					grid++
				}
			}
			if want := int(w.u.high / 10); grid < want {
				t.Errorf("%d of %d grid lines where 10 mm are", grid, want)
			}
		})
	}
}

// Between the two loops of a wall it is hatched, inside it is paper, whichever
// way the loops turn.
func TestSectionHatchesWallsOnly(t *testing.T) {
	for _, turn := range []float64{1, -1} {
		o := shell()
		o.Walls = o.Walls[:2]
		o.Walls[1].Points = loop(55, 43, 128, turn)
		low, high, _ := bounds(append(outline(o).loops(), outline(o).room())...)
		w := outline(o).layout(low, high, 1)
		im := decoded(t, outline(o).sheet("", "a line", nil))
		x, y := w.at(r2.Vec{X: 30, Y: 12 + 45.5})
		grey := 0
		for dx := range 40 {
			if !like(im.At(int(x)+dx-20, int(y)), paper) {
				grey++
			}
		}
		if grey < 40 {
			t.Errorf("turn %v: only %d of 40 px of the wall are filled", turn, grey)
		}
		if x, y := w.at(r2.Vec{X: 30 + 3, Y: 12 + 3}); !like(im.At(int(x), int(y)), paper) {
			t.Errorf("turn %v: the room for the body is not clear", turn)
		}
	}
}

func TestSectionHoldsAnySize(t *testing.T) {
	for _, scale := range []float64{0.01, 0.2, 1, 9, 200} {
		o := shell()
		o.Room = nil
		for _, l := range append(outline(o).Walls, outline(o).void()) {
			for i := range l.Points {
				l.Points[i] = r2.Scale(scale, l.Points[i])
			}
		}
		s := outline(o).sheet("Section", "", nil)
		tidy(t, s)
		if h := s.im.Bounds().Dy(); h > 1500 {
			t.Errorf("scale %v: %d px high", scale, h)
		}
		if t.Failed() {
			t.Fatalf("scale %v", scale)
		}
	}
	if s := (outline{}).sheet("Section", "", nil); len(s.labels) != 2 {
		t.Error("an empty section does not say so")
	}
}

// A title of any length stays on the sheet of every kind of picture.
func TestLongTitlesStayOnTheSheet(t *testing.T) {
	for _, long := range []string{
		"Too large for the bed at 107.5 %, laid on a face 25° from its left side, on supports",
		strings.Repeat("Too large for the second printer at 107.5 % ", 9),
	} {
		c, h, p, l, b, j := limb(), greave(), parted(), ladders()["tried"], beds()["square"], joints()["knee"]
		c.Title, h.Title, p.Title, l.Title, b.Title, j.Title = long, long, long, long, long, long
		for name, s := range map[string]*sheet{
			"girth": c.sheet(), "part": h.draw(), "pieces": p.sheet(), "ladder": l.sheet(), "bed": b.draw(), "joint": j.sheet(), "section": outline(shell()).sheet(long, long, nil),
		} {
			tidy(t, s)
			if first := s.labels[0].text; !strings.HasPrefix(long, strings.TrimSuffix(first, "…")) || len(first) < 40 {
				t.Errorf("the title is %q", first)
			}
			if t.Failed() {
				t.Fatal(name)
			}
		}
	}
}

func TestPicturesAreDeterministic(t *testing.T) {
	for name, draw := range map[string]func() *image.RGBA{
		"girth":   func() *image.RGBA { return Girth(limb()) },
		"section": func() *image.RGBA { return Section("Section", "", shell(), nil) },
	} {
		a, err := PNG(draw())
		if err != nil {
			t.Fatal(err)
		}
		b, err := PNG(draw())
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Errorf("%s differs from one time to the next", name)
		}
	}
}

// A picture in grey still tells its lines apart: none of their inks comes out
// as light as the paper, and two that meet in one picture differ in their dashes
// or are three times as broad.
func TestLinesAreToldApartInGrey(t *testing.T) {
	for name, lines := range map[string][]stroke{
		"girth":   {roomLine, slackLine, lostLine, innerLine, openLine, needLine},
		"section": {loopLine, gapLine, skinLine, padLine, fitLine},
		"part":    {wayLine, backLine},
		"bed":     {bedLine, marginLine, limitLine},
	} {
		for i, a := range lines {
			if g := color.GrayModel.Convert(a.colour).(color.Gray).Y; g > 180 || g > 150 && a.width < 8 {
				t.Errorf("%s: grey %d is too light to be read", name, g)
			}
			for _, b := range lines[:i] {
				alike := slices.Equal(a.dashes, b.dashes) && max(a.width, b.width) < 3*min(a.width, b.width)
				if alike && a.colour == b.colour {
					t.Errorf("%s: lines with dashes %v are %g and %g broad", name, a.dashes, a.width, b.width)
				}
			}
		}
	}
}

func TestTicksAreRound(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		most      int
		step      float64
	}{{0, 100, 10, 10}, {0, 100, 9, 20}, {290, 310, 7, 5}, {0, 0.7, 7, 0.1}, {0, 12345, 9, 2000}} {
		a := axis{c.low, c.high, 0, 1}
		if got := a.step(c.most); math.Abs(got-c.step) > 1e-12 {
			t.Errorf("%v to %v in %d: step %v, want %v", c.low, c.high, c.most, got, c.step)
		}
		for _, v := range a.ticks(c.step) {
			if v < c.low-1e-9 || v > c.high+1e-9 {
				t.Errorf("tick %v outside %v to %v", v, c.low, c.high)
			}
		}
	}
	for _, c := range []struct {
		v, step float64
		text    string
	}{{math.Copysign(0, -1), 10, "0"}, {0.3, 0.1, "0.3"}, {1e6, 1e5, "1000000"}, {-10, 5, "-10"}} {
		if got := tickText(c.v, c.step); got != c.text {
			t.Errorf("%v by %v: %q, want %q", c.v, c.step, got, c.text)
		}
	}
}
