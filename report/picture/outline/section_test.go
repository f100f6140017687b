package outline

import (
	"image"
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/report/picture"
	"gambeson/report/picture/proof"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// The body lies where it is said to, its padding round it, and both gaps are
// drawn and written in mm.
func TestSectionShowsTheBodyAndItsGaps(t *testing.T) {
	o := withBody(shell())
	s := outline(o).sheet("Section at 80 mm", "calf: needs 300.0 mm, has 297.0 mm", nil)
	proof.Look(t, "section-body", s)
	proof.Tidy(t, s)
	im := proof.Decoded(t, s)
	low, high, _ := bounds(append(outline(o).loops(), outline(o).room(), outline(o).padded())...)
	w := outline(o).layout(low, high, 1)
	missed, dashes := 0, 0
	for i := range 60 {
		p, out := o.Body.Skin.At(float64(i) * math.Pi / 30)
		if x, y := w.at(p); !proof.InkNear(im, x, y, picture.Soft, 1) {
			missed++
		}
		if x, y := w.at(r2.Add(p, r2.Scale(o.Body.Padding, out))); proof.InkNear(im, x, y, picture.Soft, 1) {
			dashes++
		}
	}
	if missed > 12 || dashes < 25 || dashes > 58 { // words lie over some, dashes leave some out
		t.Errorf("skin missed at %d of 60 places, padding inked at %d", missed, dashes)
	}
	shaded := func(share float64) (n int) { // at so much of the way from the middle to the skin
		for i := range 60 {
			p, _ := o.Body.Skin.At(float64(i) * math.Pi / 30)
			x, y := w.at(r2.Add(o.Body.Skin.Center, r2.Scale(share, r2.Sub(p, o.Body.Skin.Center))))
			if g := color.GrayModel.Convert(im.At(int(x), int(y))).(color.Gray).Y; g < 240 && g > 150 {
				n++
			}
		}
		return n
	}
	if in, out := shaded(0.8), shaded(1.02); in < 45 || out > 30 { // words and lines of the grid
		t.Errorf("the body is shaded at %d of 60 places in it, and at %d out of it", in, out)
	}
	for _, g := range o.Body.Gaps {
		if x, y := w.at(r2.Scale(0.5, r2.Add(g.From, g.To))); !proof.InkNear(im, x, y, picture.Ink, 2) {
			t.Errorf("the gap of %g mm is not drawn", g.Gap)
		}
		found := false
		for _, l := range s.Labels {
			found = found || l.Text == "gap "+picture.MM1(g.Gap)
		}
		if !found {
			t.Errorf("the gap of %g mm is not written", g.Gap)
		}
	}
	moved := withBody(shell())
	moved.Body.Skin.Center.X -= 9
	x, y := w.at(r2.Vec{X: 30 + 50, Y: 12})
	if !proof.InkNear(im, x, y, picture.Soft, 2) || proof.InkNear(proof.Decoded(t, outline(moved).sheet("", "a line", nil)), x, y, picture.Soft, 2) {
		t.Error("the body did not move with its place")
	}
}

// A body that is too large says so, a body without walls to face has no gap, and
// what is nearly the same is said once.
func TestSectionSaysWhatIsTooLarge(t *testing.T) {
	texts := func(o analysis.Outline) string {
		var all []string
		s := outline(o).sheet("Section", "a line", nil)
		proof.Tidy(t, s)
		for _, l := range s.Labels {
			all = append(all, l.Text)
		}
		return strings.Join(all, "\n")
	}
	o := withBody(shell())
	o.Body.Gaps[0].Gap, o.Body.Gaps[0].To = -2.44, r2.Vec{X: 80.56, Y: 12}
	if got := texts(o); !strings.Contains(got, "too large by 2.4 mm") || !strings.Contains(got, "gap 4.0 mm") {
		t.Errorf("got %q", got)
	}
	o.Body.Gaps[1].Gap = -2
	if got := texts(o); strings.Contains(got, "gap") || strings.Count(got, "too large") != 1 {
		t.Errorf("got %q", got)
	}
	o.Body.Gaps = nil
	if got := texts(o); strings.Contains(got, "gap") || strings.Contains(got, "too large") {
		t.Errorf("got %q", got)
	}
}

// Where body and air leave no room for a third line the greatest ellipse is left
// out, else it is there.
func TestSectionLeavesOutAnEllipseThatIsTheAir(t *testing.T) {
	o := withBody(shell())
	round := 0.0
	for i, p := range o.Void {
		round += r2.Norm(r2.Sub(o.Void[(i+1)%len(o.Void)], p))
	}
	for has, want := range map[float64]bool{round: false, 0.999 * round: false, 0.9 * round: true} {
		o.Body.Has = has
		if got := outline(o).apart(); got != want {
			t.Errorf("room %.1f of %.1f mm: drawn %v", has, round, got)
		}
	}
	if !outline(shell()).apart() || (outline{}).apart() {
		t.Error("without a body it is drawn where there is one")
	}
}

// The other leg is left out where it lies apart, and does not make the drawing
// smaller; what touches stays.
func TestSectionLeavesOutTheOtherLeg(t *testing.T) {
	for down, want := range map[float64]int{100: 4, 170: 3} {
		o := outline(shell())
		far := analysis.Polyline{Closed: true}
		for _, p := range loop(60, 48, 128, 1) {
			far.Points = append(far.Points, r2.Sub(p, r2.Vec{Y: down}))
		}
		o.Walls = append(o.Walls, far)
		if got := len(o.alone().Walls); got != want {
			t.Errorf("%g mm down: %d walls, want %d", down, got, want)
		}
	}
	if o := (outline{Walls: shell().Walls}); len(o.alone().Walls) != 3 {
		t.Error("walls are left out where nothing is known of the body")
	}
}

// A gap is written however narrow the section is drawn: two legs, one over the
// other, leave little room beside the body.
func TestSectionWritesGapsInNarrowFrames(t *testing.T) {
	o := withBody(shell())
	below := analysis.Polyline{Closed: true}
	for _, p := range loop(60, 48, 128, 1) {
		below.Points = append(below.Points, r2.Sub(p, r2.Vec{Y: 100}))
	}
	o.Walls = append(o.Walls, below)
	o.Body.Gaps[0] = analysis.WallGap{From: r2.Vec{X: 30, Y: -29}, To: r2.Vec{X: 30, Y: -28}, Gap: -1}
	s := outline(o).sheet("Section", "a line", nil)
	proof.Look(t, "section-legs", s)
	proof.Tidy(t, s)
	for _, length := range []string{"1.0 mm", "4.0 mm"} {
		found := false
		for _, l := range s.Labels {
			found = found || strings.HasSuffix(l.Text, length)
		}
		if !found {
			t.Errorf("no gap of %s", length)
		}
	}
}

// Inches stand behind every length of a section where they are asked for.
func TestSectionInInches(t *testing.T) {
	o := withBody(shell())
	s := outline(o).sheet("Section", "a line", func(mm float64) string { return strconv.Itoa(int(mm)) + " in" })
	proof.Look(t, "section-inches", s)
	proof.Tidy(t, s)
	var all []string
	for _, l := range s.Labels {
		all = append(all, l.Text)
	}
	for _, want := range []string{"inside 110.0 mm (110 in)", "86.0 mm", "(86 in)", "gap 2.0 mm (2 in)", "gap 4.0 mm (4 in)"} {
		require.Contains(t, all, want)
	}
}

func TestSectionIsToScale(t *testing.T) {
	for name, o := range map[string]analysis.Outline{"shell": shell(), "gutter": gutter()} {
		t.Run(name, func(t *testing.T) {
			s := outline(o).sheet("Section at the tightest place, 72 mm from opening A", "inner girth 312.4 mm, capacity 301.0 mm", nil)
			proof.Look(t, "section-"+name, s)
			proof.Tidy(t, s)
			im := proof.Decoded(t, s)
			low, high, _ := bounds(append(outline(o).loops(), outline(o).room())...)
			w := outline(o).layout(low, high, 1)
			scaleX := (w.u.End - w.u.Start) / (w.u.High - w.u.Low)
			scaleY := (w.v.Start - w.v.End) / (w.v.High - w.v.Low)
			if math.Abs(scaleX-scaleY) > 1e-9 {
				t.Errorf("%.4f px/mm across, %.4f up", scaleX, scaleY)
			}
			missed := 0
			for _, p := range o.Void {
				if x, y := w.at(p); !proof.InkNear(im, x, y, picture.Blue, 1) {
					missed++
				}
			}
			if missed > len(o.Void)/20 { // the ellipse may cross it
				t.Errorf("no loop at %d of %d points", missed, len(o.Void))
			}
			if x, y := w.at(o.Walls[0].Points[20]); name == "gutter" && !proof.InkNear(im, x, y, picture.Ink, 2) {
				t.Error("no wall drawn")
			}
			for y := range int(w.frame.Bottom) + 20 { // the key below has its own sample
				for x := range picture.Width {
					if inFrame := (picture.Box{Left: float64(x), Top: float64(y), Right: float64(x), Bottom: float64(y)}).Within(w.frame); !inFrame && proof.Like(im.At(x, y), picture.Vermilion) {
						t.Fatalf("the ellipse leaves the frame at (%d, %d)", x, y)
					}
				}
			}
			if gaps := outline(o).gaps(); slices.Contains(gaps, true) != (name == "gutter") {
				t.Errorf("gaps: %v", gaps)
			}
			grid := 0
			for u := 10.0; u < w.u.High; u += 10 {
				if !proof.Like(im.At(int(w.u.Px(u)), int(w.frame.Top)+6), picture.Paper) {
					grid++
				}
			}
			if want := int(w.u.High / 10); grid < want {
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
		im := proof.Decoded(t, outline(o).sheet("", "a line", nil))
		x, y := w.at(r2.Vec{X: 30, Y: 12 + 45.5})
		grey := 0
		for dx := range 40 {
			if !proof.Like(im.At(int(x)+dx-20, int(y)), picture.Paper) {
				grey++
			}
		}
		if grey < 40 {
			t.Errorf("turn %v: only %d of 40 px of the wall are filled", turn, grey)
		}
		if x, y := w.at(r2.Vec{X: 30 + 3, Y: 12 + 3}); !proof.Like(im.At(int(x), int(y)), picture.Paper) {
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
		proof.Tidy(t, s)
		if h := s.Pixels.Bounds().Dy(); h > 1500 {
			t.Errorf("scale %v: %d px high", scale, h)
		}
		if t.Failed() {
			t.Fatalf("scale %v", scale)
		}
	}
	if s := (outline{}).sheet("Section", "", nil); len(s.Labels) != 2 {
		t.Error("an empty section does not say so")
	}
}

// loop is an ellipse of n points round (30, 12); turn −1 goes clockwise.
func loop(a, b float64, n int, turn float64) []r2.Vec {
	var out []r2.Vec
	for i := range n {
		sin, cos := math.Sincos(turn * 2 * math.Pi * float64(i) / float64(n))
		out = append(out, r2.Vec{X: 30 + a*cos, Y: 12 + b*sin})
	}
	return out
}

// shell is the section of an elliptical shell with junk in its wall.
func shell() analysis.Outline {
	return analysis.Outline{
		Walls: []analysis.Polyline{
			{Points: loop(60, 48, 128, 1), Closed: true},
			{Points: loop(55, 43, 128, -1), Closed: true},
			{Points: loop(58, 46, 20, 1)[:4]},
		},
		Void: loop(55, 43, 128, 1),
		Room: &analysis.Ellipse{Center: r2.Vec{X: 30, Y: 12}, Major: 106, Minor: 82, Turn: 0.03},
	}
}

// gutter is an open section: a wall of 240° without a void.
func gutter() analysis.Outline {
	outer, inner := loop(60, 60, 120, 1)[:81], loop(56, 56, 120, 1)[:81]
	for i := range inner {
		outer = append(outer, inner[len(inner)-1-i])
	}
	return analysis.Outline{
		Walls: []analysis.Polyline{{Points: outer, Closed: true}}, Void: loop(56, 56, 120, 1)[:81],
		Room: &analysis.Ellipse{Center: r2.Vec{X: 20, Y: -30}, Major: 190, Minor: 100, Turn: 1},
	}
}

// fineShell is a section as a mesh of a part cuts it: thousands of points.
func fineShell() analysis.Outline {
	o := shell()
	o.Walls[0] = analysis.Polyline{Points: loop(60, 48, 2000, 1), Closed: true}
	o.Walls[1] = analysis.Polyline{Points: loop(55, 43, 2000, -1), Closed: true}
	o.Void = loop(55, 43, 2000, 1)
	return withBody(o)
}

// withBody puts a body into a section of the shell: an ellipse 2 mm smaller all
// round, with 3 mm of padding.
func withBody(o analysis.Outline) analysis.Outline {
	o.Body = &analysis.BodyOutline{
		Measure: "calf_girth", Skin: analysis.Ellipse{Center: r2.Vec{X: 30, Y: 12}, Major: 100, Minor: 76}, Padding: 3,
		Needed: 300, Has: 297,
		Gaps: []analysis.WallGap{
			{From: r2.Vec{X: 83, Y: 12}, To: r2.Vec{X: 85, Y: 12}, Gap: 2},
			{From: r2.Vec{X: 30, Y: 53}, To: r2.Vec{X: 30, Y: 57}, Gap: 4},
		},
	}
	return o
}

// A title of any length stays on the sheet of every kind of picture.
func TestLongTitlesStayOnTheSheet(t *testing.T) {
	proof.LongTitles(t, func(long string) map[string]*picture.Sheet {
		j := joints()["knee"]
		j.Title = long
		return map[string]*picture.Sheet{"joint": j.sheet(), "section": outline(shell()).sheet(long, long, nil)}
	})
}

func TestSectionIsDeterministic(t *testing.T) {
	proof.Alike(t, func() *image.RGBA { return Section("Section", "", shell(), nil) })
}

func TestLinesAreToldApartInGrey(t *testing.T) {
	proof.ToldApart(t, loopLine, gapLine, picture.SkinLine, padLine, fitLine)
}

func BenchmarkSection(b *testing.B) {
	cut := fineShell()
	proof.Drawn(b, func() *image.RGBA {
		return Section("Section at 80 mm", "calf: needs 300.0 mm, has 297.0 mm", cut, nil)
	})
}
