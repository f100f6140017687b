package tape

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"testing"

	"gambeson/config"
	"gambeson/report/picture"
	"gambeson/report/picture/proof"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// asked is what a report would ask to be drawn of a measure.
func asked(m config.Measure) Tape { return Tape{m.Name, strings.ReplaceAll(m.Name, "_", " "), m.How} }

// outer is the frame that a drawing alone on a sheet gets.
func outer() picture.Box { return cellsFor(make([]Tape, 1))[0].frame }

// curvePoints lists points along a curve as it is drawn, mm, the weights those
// of Bernstein.
func curvePoints(xy []float64, closed bool) (dots []r2.Vec) {
	const steps = 40
	for _, c := range cubics(xy, closed) {
		for i := range steps {
			t := float64(i) / steps
			u := 1 - t
			var p r2.Vec
			for k, w := range []float64{u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t} {
				p = r2.Add(p, r2.Scale(w, c[k]))
			}
			dots = append(dots, p)
		}
	}
	return dots
}

// far is the distance of a point from the nearest of others, mm.
func far(p r2.Vec, from []r2.Vec) float64 {
	least := math.Inf(1)
	for _, q := range from {
		least = min(least, r2.Norm(r2.Sub(p, q)))
	}
	return least
}

func TestEveryMeasureHasATape(t *testing.T) {
	for _, m := range config.Measures() {
		if !Has(m.Name) {
			t.Errorf("no drawing for %s", m.Name)
		}
	}
	require.Len(t, tapes, len(config.Measures()))
	if Has("weight") || Has("") || Has("calf_girth.left") {
		t.Error("a drawing for what is no measure")
	}
}

// Every sheet of up to six measures is tidy, says every heading and shows the
// tape, and nothing is inked but drawings in their frames and words.
func TestTapesAreTidy(t *testing.T) {
	all := config.Measures()
	for first := 0; first < len(all); first += 6 {
		for _, count := range []int{1, 2, 4, 6} {
			if count < 6 && first > 0 {
				continue // the first have shown how so many are laid out
			}
			var of []Tape
			for _, m := range all[first:min(first+count, len(all))] {
				of = append(of, asked(m))
			}
			s := sheet(of)
			proof.Look(t, fmt.Sprintf("tape-%s-%d", of[0].Measure, len(of)), s)
			proof.Tidy(t, s)
			var allowed []picture.Box
			for _, l := range s.Labels {
				allowed = append(allowed, l.Box)
			}
			lines := 0
			for i, c := range cellsFor(of) {
				allowed = append(allowed, c.frame.Grow(2))
				lines += len(of[i].lines(c.words.Right - c.words.Left))
				if c.words.Right > picture.Width-picture.Edge+0.1 {
					t.Errorf("words of %s go beyond the edge", of[i].Measure)
				}
			}
			require.Len(t, s.Labels, 1+lines)
			for _, b := range allowed { // what is left must be paper; a j begins 2 px before its place
				draw.Draw(s.Pixels, image.Rect(int(b.Left)-2, int(b.Top)-1, int(b.Right)+2, int(b.Bottom)+2), image.White, image.Point{}, draw.Src)
			}
			if bytes.Count(s.Pixels.Pix, []byte{255}) < len(s.Pixels.Pix) {
				t.Errorf("%d measures from %s: ink outside all frames and words", count, of[0].Measure)
			}
		}
	}
}

// tapePoints lists where the tape is seen, mm: in front of the body.
func tapePoints(run tapeRun) []r2.Vec {
	var xy []float64
	switch run := run.(type) {
	case round:
		xy = run.points(run.deep)
	case along:
		xy = run.points
	case straight:
		for i := range 9 {
			p := r2.Add(run.from, r2.Scale(float64(i)/8, r2.Sub(run.to, run.from)))
			xy = append(xy, p.X, p.Y)
		}
		xy = xy[2 : len(xy)-2] // the points of the arrows are thin
	}
	var out []r2.Vec
	for i := 0; i < len(xy); i += 2 {
		out = append(out, r2.Vec{X: xy[i], Y: xy[i+1]})
	}
	return out
}

// The tape is inked where it must be, and gone where the measure has no drawing.
func TestTapeIsWhereItMustBe(t *testing.T) {
	for _, m := range config.Measures() {
		p := tapes[m.Name]
		s := proof.Decoded(t, sheet([]Tape{asked(m)}))
		v := p.within(outer())
		window := picture.Box{Left: v.frame.Left, Top: v.frame.Top, Right: v.frame.Right, Bottom: v.frame.Bottom}
		for _, at := range tapePoints(p.tape) {
			x, y := v.at(at)
			if !(picture.Box{Left: x, Top: y, Right: x, Bottom: y}).Within(window.Grow(-6)) {
				t.Errorf("%s: the tape leaves the frame at %v", m.Name, at)
			}
			if !proof.InkNear(s, x, y, picture.Vermilion, 2) {
				t.Errorf("%s: no tape at %v", m.Name, at)
			}
		}
	}
	none := sheet([]Tape{{"weight", "weight", "on a scale"}})
	for y := range none.Pixels.Bounds().Dy() {
		for x := range picture.Width {
			if proof.Like(none.Pixels.At(x, y), picture.Vermilion) {
				t.Fatal("a tape for what has no drawing")
			}
		}
	}
}

// The ends of a tape that runs round lie on the outline, to 6 mm, and so do the
// places that a straight measure is taken from, or they are on the body where a
// mark is.
func TestTapesTouchTheBody(t *testing.T) {
	outlines := map[*float64][]r2.Vec{}
	marks := map[*float64][]r2.Vec{}
	for _, m := range config.Measures() {
		p := tapes[m.Name]
		key := &p.on.outline[0]
		if outlines[key] == nil {
			outlines[key] = curvePoints(p.on.outline, true)
			for _, line := range p.on.marks {
				marks[key] = append(marks[key], curvePoints(line, false)...)
			}
		}
		var ends []r2.Vec
		onMarks := false
		switch run := p.tape.(type) {
		case round:
			ends = []r2.Vec{run.from, run.to}
		case along:
			n := len(run.points)
			ends = []r2.Vec{{X: run.points[0], Y: run.points[1]}, {X: run.points[n-2], Y: run.points[n-1]}}
			onMarks = true
		case straight:
			ends, onMarks = []r2.Vec{run.toBody}, true
			if !run.floor {
				ends = append(ends, run.fromBody)
			}
		}
		for _, end := range ends {
			if m.Name == "back_waist_length" && end.Y == 1016 {
				continue // navel height, told by a line across
			}
			off := far(end, outlines[key])
			if onMarks {
				off = min(off, far(end, marks[key]))
			}
			within := 6.0
			if r := map[string]float64{"knee_height": 25, "ankle_height": 10}[m.Name]; r > 0 {
				within = r // in the middle of a bone whose rim is the mark
			}
			if off > within {
				t.Errorf("%s: an end of the tape at %v is %.1f mm off the body", m.Name, end, off)
			}
		}
	}
}

// The figures have the measures of a mean body: heights and lengths within 3 %
// of the middle of both sexes, and girths, of which only a width is seen, as an
// ellipse of that width has them whose other axis is 0.6 to 1.3 of it. Flatter
// are a hand (thickness over breadth 0.31 in USAF 1967), the forefoot, the body
// across the shoulders and the heel (breadth 67 to 72 in ANSUR II), seen from the
// side; rounder is only the foot at the instep, which is seen by its height.
func TestTapesAreDrawnToScale(t *testing.T) {
	for _, m := range config.Measures() {
		switch run := tapes[m.Name].tape.(type) {
		case straight:
			got := r2.Norm(r2.Sub(run.to, run.from))
			if off := got/m.Example - 1; math.Abs(off) > 0.03 {
				t.Errorf("%s: drawn %.0f mm long, %.0f mm in the mean", m.Name, got, m.Example)
			}
			if run.floor && run.from.Y != 0 {
				t.Errorf("%s: begins %.0f mm above the floor", m.Name, run.from.Y)
			}
		case round:
			wide := r2.Norm(r2.Sub(run.to, run.from))
			thin, thick := 0.6, 1.3
			switch m.Name {
			case "hand_girth", "ball_girth", "shoulder_girth":
				thin, thick = 0.3, 0.7
			case "heel_girth":
				thin, thick = 0.45, 0.7
			case "instep_girth":
				thin, thick = 1.1, 1.5
			}
			least, most := ellipseGirth(wide, thin*wide), ellipseGirth(wide, thick*wide)
			if m.Example < least || m.Example > most {
				t.Errorf("%s: drawn %.0f mm wide, which makes a girth of %.0f to %.0f mm; %.0f mm in the mean", m.Name, wide, least, most, m.Example)
			}
		case along:
			length := 0.0
			for i, p := range tapePoints(run)[1:] {
				length += r2.Norm(r2.Sub(p, tapePoints(run)[i]))
			}
			if m.Name == "head_over_face_girth" {
				length *= 2 // a half is seen, and the depth of the head is not
				if length < 0.75*m.Example || length > m.Example {
					t.Errorf("%s: drawn %.0f mm long, %.0f mm in the mean", m.Name, length, m.Example)
				}
			} else if off := length/m.Example - 1; math.Abs(off) > 0.07 {
				t.Errorf("%s: drawn %.0f mm long, %.0f mm in the mean", m.Name, length, m.Example)
			}
		}
	}
}

// ellipseGirth is Ramanujan's second approximation, of 1914, for full axes.
func ellipseGirth(a, b float64) float64 {
	h := (a - b) * (a - b) / ((a + b) * (a + b))
	return math.Pi / 2 * (a + b) * (1 + 3*h/(10+math.Sqrt(4-3*h)))
}

// On grey paper the tape stands out against the body and is thicker than any
// line of it, and what the body hides is dashed.
func TestTapeIsToldInGrey(t *testing.T) {
	grey := func(c color.Color) float64 { return float64(color.GrayModel.Convert(c).(color.Gray).Y) }
	for _, st := range []picture.Stroke{tapeLine, hiddenLine, rodLine} {
		if grey(picture.Faint)-grey(st.Colour) < 80 {
			t.Errorf("%v is too light on the body", st)
		}
	}
	if tapeLine.Width < 2.5*picture.SkinLine.Width || rodLine.Width < 1.5*picture.SkinLine.Width || len(hiddenLine.Dashes) == 0 || len(leadLine.Dashes) == 0 {
		t.Error("the tape is not told from the lines of the body")
	}
}

func TestTapesWithoutMeasuresOrWords(t *testing.T) {
	if s := sheet(nil); len(s.Labels) != 2 {
		t.Error("no measures, and the sheet does not say so")
	}
	s := sheet([]Tape{{Measure: "calf_girth"}, {Measure: "heel_girth", Name: "heel"}})
	require.Len(t, s.Labels, 2)
	many := sheet(make([]Tape, 40))
	if many.Pixels.Bounds().Dx() != picture.Width {
		t.Error("too wide")
	}
}

func TestTapesAreDeterministic(t *testing.T) {
	of := []Tape{{"heel_girth", "heel", "under the tip of the heel"}, {"calf_girth", "calf", "thickest place"}}
	a, err := picture.PNG(Draw(of...))
	require.NoError(t, err)
	b, err := picture.PNG(Draw(of...))
	require.NoError(t, err)
	if !bytes.Equal(a, b) {
		t.Error("two drawings of the same differ")
	}
	c, err := picture.PNG(Draw(of[1], of[0]))
	require.NoError(t, err)
	if bytes.Equal(a, c) {
		t.Error("the order of the measures makes no difference")
	}
}
