package picture

import (
	"image/color"
	"math"
	"strconv"
	"strings"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// The body lies where it is said to, its padding round it, and both gaps are
// drawn and written in mm.
func TestSectionShowsTheBodyAndItsGaps(t *testing.T) {
	o := withBody(shell())
	s := outline(o).sheet("Section at 80 mm", "calf: needs 300.0 mm, has 297.0 mm", nil)
	look(t, "section-body", s)
	tidy(t, s)
	im := decoded(t, s)
	low, high, _ := bounds(append(outline(o).loops(), outline(o).room(), outline(o).padded())...)
	w := outline(o).layout(low, high, 1)
	missed, dashes := 0, 0
	for i := range 60 {
		p, out := o.Body.Skin.At(float64(i) * math.Pi / 30)
		if x, y := w.at(p); !inkNear(im, x, y, soft, 1) {
			missed++
		}
		if x, y := w.at(r2.Add(p, r2.Scale(o.Body.Padding, out))); inkNear(im, x, y, soft, 1) {
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
		if x, y := w.at(r2.Scale(0.5, r2.Add(g.From, g.To))); !inkNear(im, x, y, ink, 2) {
			t.Errorf("the gap of %g mm is not drawn", g.Gap)
		}
		found := false
		for _, l := range s.labels {
			found = found || l.text == "gap "+mm1(g.Gap)
		}
		if !found {
			t.Errorf("the gap of %g mm is not written", g.Gap)
		}
	}
	moved := withBody(shell())
	moved.Body.Skin.Center.X -= 9
	x, y := w.at(r2.Vec{X: 30 + 50, Y: 12})
	if !inkNear(im, x, y, soft, 2) || inkNear(decoded(t, outline(moved).sheet("", "a line", nil)), x, y, soft, 2) {
		t.Error("the body did not move with its place")
	}
}

// A body that is too large says so, a body without walls to face has no gap, and
// what is nearly the same is said once.
func TestSectionSaysWhatIsTooLarge(t *testing.T) {
	texts := func(o analysis.Outline) string {
		var all []string
		s := outline(o).sheet("Section", "a line", nil)
		tidy(t, s)
		for _, l := range s.labels {
			all = append(all, l.text)
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
	look(t, "section-legs", s)
	tidy(t, s)
	for _, length := range []string{"1.0 mm", "4.0 mm"} {
		found := false
		for _, l := range s.labels {
			found = found || strings.HasSuffix(l.text, length)
		}
		if !found {
			t.Errorf("no gap of %s", length)
		}
	}
}

func TestWrappedKeepsUnitsAndWidth(t *testing.T) {
	text := "Thigh: 2.9 mm too little, needs 645.4 mm, has 642.5 mm at 107 % of a very long sentence"
	for _, wide := range []float64{200, 333, 500, 5000} {
		var all []string
		for _, l := range wrapped(text, plain, wide) {
			if w, _, _ := l.size(); w > wide {
				t.Errorf("%q is %.0f px wide, may be %.0f", l.text, w, wide)
			}
			if strings.HasPrefix(l.text, "mm") || strings.HasPrefix(l.text, "%") {
				t.Errorf("a unit has lost its number: %q", l.text)
			}
			all = append(all, l.text)
		}
		if strings.Join(all, " ") != text {
			t.Errorf("words are lost: %q", all)
		}
	}
}

// Inches stand behind every length of a section where they are asked for.
func TestSectionInInches(t *testing.T) {
	o := withBody(shell())
	s := outline(o).sheet("Section", "a line", func(mm float64) string { return strconv.Itoa(int(mm)) + " in" })
	look(t, "section-inches", s)
	tidy(t, s)
	var all []string
	for _, l := range s.labels {
		all = append(all, l.text)
	}
	for _, want := range []string{"inside 110.0 mm (110 in)", "86.0 mm", "(86 in)", "gap 2.0 mm (2 in)", "gap 4.0 mm (4 in)"} {
		require.Contains(t, all, want)
	}
}
