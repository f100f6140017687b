package chart

import (
	"cmp"
	"image"
	"math"
	"slices"
	"strconv"
	"strings"

	"gambeson/report/picture"
)

// Belief is what is known of the scale at which a part is wide enough, and the
// ladder of what is to be printed. Scales are percent of the file; 0 is not
// known.
type Belief struct {
	Title    string
	Smallest float64      // the least scale that is wide enough, by all that is known
	SD       float64      // its standard deviation
	Curve    [][2]float64 // percent and the chance that it fits, 0–1, the smallest first; not empty
	Print    float64      // the scale to print the part at
	Chance   float64      // that it fits then, 0–1
	Least    float64      // the part fits from here
	Most     float64      // to here; 0 where it never gets too loose
	Bed      float64      // the largest that the bed takes in one piece
	Rungs    []Rung       // bands to print, the next one first
	Untested bool         // the part is to be printed without them
	Tried    []Trial      // in the order in which they were tried
}

// Rung is a band of the ladder.
type Rung struct {
	Percent float64
	Text    string // "print next", "if it is tight"
}

// Trial is a try-on.
type Trial struct {
	Percent float64
	Verdict string // tight, fits or loose
	Text    string // what is to be said of it, may be empty
}

// Ladder draws a belief: the chance that the part fits against the scale, as a
// curve, and under it the scales that fit, those that the bed takes,
// the bands to print and what was tried on.
func Ladder(b Belief) *image.RGBA { return b.sheet().Pixels }

// Lines of a ladder.
var (
	chanceLine = picture.Stroke{Colour: picture.Blue, Width: 6}  // a chance against the scale
	fitBar     = picture.Stroke{Colour: picture.Pale, Width: 40} // scales that fit the body
	bedBar     = picture.Stroke{Colour: picture.Hair, Width: 40} // scales that the bed takes
)

// Sizes of a ladder's sheet, px.
const (
	ladderLeft = 225 // names of rows stand to the left of it
	ladderHigh = 400
	ladderRow  = 56
)

func (b Belief) sheet() *picture.Sheet {
	s := picture.NewSheet(900 + ladderRow*(4+2*len(b.Rungs)+2*len(b.Tried))) // each with a row for words that go nowhere beside
	s.Heading(b.Title)
	l := s.Explain(picture.Edge + picture.TitleSize + 34)
	l.Line("chance that it fits, once on", chanceLine)
	x, y := b.axes(l.Y + 84)
	b.curve(s, x, y)
	b.rows(s, x, y.Start+110)
	return s.Trim()
}

// axes: the scale reaches over all that is drawn, but not on and on for a bed
// that takes much more.
func (b Belief) axes(top float64) (x, y picture.Axis) {
	low, high := b.Smallest-3*b.SD, b.Smallest+3*b.SD
	see := func(p float64) {
		if p > 0 {
			low, high = min(low, p), max(high, p)
		}
	}
	see(b.Print)
	see(b.Least)
	for _, r := range b.Rungs {
		see(r.Percent)
	}
	for _, t := range b.Tried {
		see(t.Percent)
	}
	for _, p := range []float64{b.Most, b.Bed} {
		if p < high+(high-low) && p > low-(high-low) {
			see(p)
		}
	}
	low, high = widen(low, high, 4)
	pad := (high - low) * 0.06
	return picture.Axis{Low: low - pad, High: high + pad, Start: ladderLeft, End: picture.Width - picture.Edge - 20}, picture.Axis{Low: 0, High: 100, Start: top + ladderHigh, End: top}
}

// curve draws the chance, and how it stands at the scale to print.
func (b Belief) curve(s *picture.Sheet, x, y picture.Axis) {
	grid(s, x, y, x.Step(8), 25)
	s.Write(picture.Note("chance, in 100"), picture.Edge, y.End-18, 0, 1)
	s.Write(picture.Note("scale, %"), x.End, y.Start+58, 1, 0)
	var run []float64
	// Beyond its ends nothing was reckoned.
	from, to := max(x.Low, b.Curve[0][0]), min(x.High, b.Curve[len(b.Curve)-1][0])
	for k := range 241 {
		at := from + (to-from)*float64(k)/240
		run = append(run, x.Px(at), y.Px(100*b.chance(at)))
	}
	s.Line(chanceLine, run...)
	if b.Print <= 0 {
		return
	}
	px, py := x.Px(b.Print), y.Px(100*b.Chance)
	s.Line(picture.GuideLine, px, py, px, y.Start)
	dot(s, px, py)
}

// chance is that of a scale: straight between those of the curve, and as at its
// ends beyond them.
func (b Belief) chance(percent float64) float64 {
	i, _ := slices.BinarySearchFunc(b.Curve, percent, func(c [2]float64, p float64) int { return cmp.Compare(c[0], p) })
	switch {
	case i == 0:
		return b.Curve[0][1]
	case i == len(b.Curve):
		return b.Curve[i-1][1]
	}
	from, to := b.Curve[i-1], b.Curve[i]
	return from[1] + (to[1]-from[1])*(percent-from[0])/(to[0]-from[0])
}

// dot marks the scale at which the part is printed.
func dot(s *picture.Sheet, x, y float64) {
	s.SetDash()
	s.DrawCircle(x, y, 12)
	s.SetColor(picture.Ink)
	s.FillPreserve()
	s.Use(picture.Stroke{Colour: picture.Paper, Width: 3})
	s.Stroke()
}

// rows draws the ladder under the curve, to the same scale.
func (b Belief) rows(s *picture.Sheet, x picture.Axis, top float64) {
	at := top
	row := func(name string) float64 {
		at += ladderRow
		s.Line(picture.GridLine, picture.Edge, picture.Crisp(at-ladderRow/2), x.End, picture.Crisp(at-ladderRow/2))
		if name != "" {
			s.Write(picture.Note(name), picture.Edge, at, 0, 0.5)
		}
		return at
	}
	// beside writes a text beside a mark or, where it is too long for that, below it.
	beside := func(text string, px, py float64) {
		if beside(s, text, px, py, x) {
			return
		}
		at += ladderRow * 2 / 3
		t := picture.Plain(text)
		w, _, _ := t.Size()
		s.Write(picture.Shorten(t, picture.Width-2*picture.Edge), max(min(px-w/2, picture.Width-picture.Edge-w), picture.Edge), at, 0, 0.5)
	}
	if b.Least > 0 {
		b.span(s, x, row("fits as asked"), b.Least, b.Most, fitBar)
	}
	if b.Bed > 0 {
		b.span(s, x, row("the bed takes"), 0, b.Bed, bedBar)
	}
	if b.Print > 0 {
		py, px := row("the part"), x.Px(b.Print)
		dot(s, px, py)
		does := "print at "
		if len(b.Rungs) > 0 && !b.Untested {
			does = "likeliest at "
		}
		beside(does+percent1(b.Print), px, py)
	}
	name := "bands"
	for _, r := range b.Rungs {
		py := row(name)
		px := x.Px(min(max(r.Percent, x.Low), x.High))
		s.SetDash()
		s.DrawRectangle(px-11, py-11, 22, 22)
		s.SetColor(picture.Vermilion)
		s.FillPreserve()
		s.Use(picture.AxisLine)
		s.Stroke()
		beside(percent1(r.Percent)+": "+r.Text, px, py)
		name = ""
	}
	name = "tried on"
	for _, t := range b.Tried {
		py := row(name)
		px := x.Px(min(max(t.Percent, x.Low), x.High))
		verdict(s, t.Verdict, px, py)
		text := t.Verdict + " at " + percent1(t.Percent)
		if t.Text != "" {
			text += ", " + t.Text
		}
		beside(text, px, py)
		name = ""
	}
}

// span draws a stretch of scales with its ends; one that is 0 lies beyond the
// sheet.
func (b Belief) span(s *picture.Sheet, x picture.Axis, y, low, high float64, look picture.Stroke) {
	left, right, text := x.Start, x.End, ""
	if low > x.Low {
		left, text = x.Px(low), "from "+percent1(low)
	}
	if high > 0 {
		right = min(x.Px(high), x.End)
		text = "up to " + percent1(high)
		if low > 0 {
			text = strings.TrimSuffix(percent1(low), " %") + " to " + percent1(high)
		}
	}
	if low > 0 && high > 0 && high <= low { // at no scale
		text, left, right = "wide enough from "+percent1(low)+", loose from "+percent1(high), x.Start, x.Start
	}
	left, right = min(max(left, x.Start), x.End), max(right, x.Start)
	if right > left {
		s.Line(look, left, y, right, y)
	}
	for _, at := range []float64{left, right} {
		if at > x.Start && at < x.End {
			s.Line(picture.Stroke{Colour: picture.Ink, Width: 3}, at, y-12, at, y+12)
		}
	}
	t := picture.Plain(text)
	w, _, _ := t.Size()
	switch {
	case right-left > w+20:
		s.Mark(t, (left+right)/2, y, 0.5, 0.5)
	case right+14+w < picture.Width-picture.Edge:
		s.Write(t, right+14, y, 0, 0.5)
	default:
		s.Write(t, left-14, y, 1, 0.5)
	}
}

// beside writes a text beside a mark: on the right, or on the left where only there is
// room; false where it has none on either side.
func beside(s *picture.Sheet, text string, x, y float64, within picture.Axis) bool {
	t := picture.Plain(text)
	switch w, _, _ := t.Size(); {
	case w <= picture.Width-picture.Edge-x-24:
		s.Write(t, x+24, y, 0, 0.5)
	case w <= x-24-within.Start:
		s.Write(t, x-24, y, 1, 0.5)
	default:
		return false
	}
	return true
}

// verdict marks a try-on by its shape: tight points to larger scales, loose to
// smaller ones, what fits is round.
func verdict(s *picture.Sheet, verdict string, x, y float64) {
	s.SetDash()
	switch verdict {
	case "tight":
		s.DrawRegularPolygon(3, x, y, 16, math.Pi/2)
	case "loose":
		s.DrawRegularPolygon(3, x, y, 16, -math.Pi/2)
	default:
		s.DrawCircle(x, y, 12)
	}
	s.SetColor(picture.Paper)
	if verdict != "fits" {
		s.SetColor(picture.Hair)
	}
	s.FillPreserve()
	s.Use(picture.Stroke{Colour: picture.Ink, Width: 4})
	s.Stroke()
}

// percent1 writes a scale as every report does: to a tenth of a percent where it
// is not a whole one.
func percent1(p float64) string {
	return strconv.FormatFloat(math.Round(p*10)/10, 'f', -1, 64) + " %"
}
