// Package chart draws numbers of a part along an axis: its girths against the
// place along it, and the chance that it fits against the scale. Lengths come in
// as mm, scales as percent and chances as shares of 1; on the sheet lengths are px,
// y downward.
package chart

import (
	"image"
	"math"
	"slices"
	"strconv"

	"gambeson/report/picture"
)

// Curve is what Girth draws: the girths along one way through a part.
type Curve struct {
	Title    string
	From     string    // what Along counts from, such as "opening A"
	Stations []Station // in the order of Along
	Tightest int       // index of the station to mark, -1 for none
	Widest   int       // index of the station to mark, -1 for none
	Needs    []Need
	Also     picture.Also
}

// Station is one point of a Curve, in mm. A girth of 0 or less is not known.
type Station struct {
	Along    float64
	Inner    float64 // inner girth
	Capacity float64 // girth of the greatest ellipse
	Open     bool    // the part does not go all the way round here
}

// Need is a girth that the body wants, in mm.
type Need struct {
	Label     string  // "calf"
	Text      string  // what it comes to, such as "needs 419.4 mm, has 401.7 mm: 17.7 mm too tight"
	Along     float64 // where it rests or, where it passes, has the least room; NaN where that is not known
	Passes    bool    // it has to get by on the way in
	Body      float64 // on the skin, 0 where that is not known
	Girth     float64 // with padding and, where it rests, ease
	SD        float64 // standard deviation, 0 where measured
	Estimated bool
	// Has is the room for it there, 0 where that is not known. A body keeps its own
	// shape, so that it may have less than the capacity.
	Has float64
}

// Girth draws a curve: inner girth and capacity against the distance along the
// part, what of the body rests or passes where, each with a number that is
// explained below, the tightest and the widest station marked.
func Girth(c Curve) *image.RGBA {
	return c.sheet().Pixels
}

// Lines of a curve.
var (
	barLine   = picture.Stroke{Colour: picture.Ink, Width: 6}
	roomLine  = picture.Stroke{Colour: picture.Pale, Width: 13}                                // room for the body: capacity
	slackLine = picture.Stroke{Colour: picture.Pale, Width: 13, Dashes: []float64{10, 7}}      // the same where the part is open
	lostLine  = picture.Stroke{Colour: picture.Soft, Width: 2.5, Dashes: []float64{3, 7}}      // where it is not known
	innerLine = picture.Stroke{Colour: picture.Blue, Width: 4}                                 // inner girth
	openLine  = picture.Stroke{Colour: picture.Blue, Width: 4, Dashes: []float64{4, 7}}        // the same where the part is open
	needLine  = picture.Stroke{Colour: picture.Soft, Width: 3, Dashes: []float64{18, 6, 4, 6}} // what must pass
)

// Sizes of a curve's sheet, px.
const (
	plotHigh = 520
	plotLeft = 130
)

func (c Curve) sheet() *picture.Sheet {
	s := picture.NewSheet(1400)
	s.Heading(c.Title)
	bottom := c.key(s)
	x, y := c.axes(bottom + 70)
	if len(c.Stations) == 0 {
		s.Write(picture.Plain("No station was measured."), picture.Width/2, 380, 0.5, 0.5)
		return s.Trim()
	}
	frame := picture.Box{Left: x.Start, Top: y.End, Right: x.End, Bottom: y.Start}
	c.frame(s, x, y)
	c.shadeDoubt(s, x, y)
	c.passLines(s, x, y)
	c.bars(s, x, y)
	c.lines(s, x, y)
	c.tops(s, x, y)
	for _, n := range c.own() {
		px, py := x.Px(c.within(n.Along)), y.Px(n.Has)
		own(s, px, py)
		s.Take(12, px, py, px, py)
	}
	c.discs(s, x, y, frame)
	c.marks(s, x, y, frame)
	c.table(s, y.Start+120)
	return s.Trim()
}

// axes lays the plot out under the key.
func (c Curve) axes(top float64) (x, y picture.Axis) {
	low, high := math.Inf(1), math.Inf(-1)
	see := func(v float64) {
		if v > 0 {
			low, high = min(low, v), max(high, v)
		}
	}
	from, to := math.Inf(1), math.Inf(-1)
	for _, st := range c.Stations {
		from, to = min(from, st.Along), max(to, st.Along)
		see(st.Inner)
		see(st.Capacity)
	}
	for _, n := range c.Needs {
		see(n.Girth - n.SD)
		see(n.Girth + n.SD)
		see(n.Has)
		if !n.Passes {
			see(n.Body)
		}
	}
	low, high = widen(low, high, 20)
	from, to = widen(from, to, 1)
	pad := (high - low) * 0.14
	side := (to - from) * 0.035 // marks at an end keep clear of the axis
	return picture.Axis{Low: from - side, High: to + side, Start: plotLeft, End: picture.Width - picture.Edge - 16}, picture.Axis{Low: max(0, low-pad), High: high + pad, Start: top + plotHigh, End: top}
}

// widen keeps a range at least as wide as given, so that a straight tube draws
// as a straight line and not as its rounding.
func widen(low, high, least float64) (float64, float64) {
	if math.IsInf(low, 0) || math.IsInf(high, 0) {
		return 0, least
	}
	if missing := least - (high - low); missing > 0 {
		return low - missing/2, high + missing/2
	}
	return low, high
}

// frame draws grid, ticks and the two axes with their units.
func (c Curve) frame(s *picture.Sheet, x, y picture.Axis) {
	grid(s, x, y, x.Step(9), y.Step(7))
	s.Write(picture.Note("girth, mm"), picture.Edge, y.End-16, 0, 1)
	s.Write(picture.Note("distance along the part from "+c.From+", mm"), x.End, y.Start+58, 1, 0)
}

// grid draws grid, ticks and two axes.
func grid(s *picture.Sheet, x, y picture.Axis, stepX, stepY float64) {
	for _, v := range x.Ticks(stepX) {
		s.Line(picture.GridLine, picture.Crisp(x.Px(v)), y.Start, picture.Crisp(x.Px(v)), y.End)
		s.Line(picture.AxisLine, x.Px(v), y.Start, x.Px(v), y.Start+8)
		s.Write(picture.Plain(picture.TickText(v, stepX)), x.Px(v), y.Start+14, 0.5, 0)
	}
	for _, v := range y.Ticks(stepY) {
		s.Line(picture.GridLine, x.Start, picture.Crisp(y.Px(v)), x.End, picture.Crisp(y.Px(v)))
		s.Line(picture.AxisLine, x.Start-8, y.Px(v), x.Start, y.Px(v))
		s.Write(picture.Plain(picture.TickText(v, stepY)), x.Start-14, y.Px(v), 1, 0.5)
	}
	s.Line(picture.AxisLine, x.Start, y.End, x.Start, y.Start, x.End, y.Start)
}

// key explains the lines in use, under the title; it returns its lower edge.
func (c Curve) key(s *picture.Sheet) float64 {
	l := s.Explain(picture.Edge + picture.TitleSize + 34)
	has := func(f func(Station) bool) bool { return slices.ContainsFunc(c.Stations, f) }
	need := func(f func(Need) bool) bool { return slices.ContainsFunc(c.Needs, f) }
	if has(func(st Station) bool { return !st.Open && st.Capacity > 0 }) {
		l.Line("room for a body (capacity)", roomLine)
	}
	if has(func(st Station) bool { return st.Open && st.Capacity > 0 }) {
		l.Line("room where it is open: a body may stand out", slackLine)
	}
	if len(c.lost()) > 0 {
		l.Line("not held: less than half round", lostLine)
	}
	if has(func(st Station) bool { return !st.Open }) {
		l.Line("inner girth", innerLine)
	}
	if has(func(st Station) bool { return st.Open }) {
		l.Line("open: girth of the wall alone", openLine)
	}
	if need(func(n Need) bool { return !n.Passes }) {
		l.Add("body that rests there, padding on top", func(x, y float64) {
			bar(s, x+picture.SampleWide/2, y+15, y-12)
		})
	}
	if need(func(n Need) bool { return n.Passes }) {
		l.Line("must pass, padding and all", needLine)
	}
	if len(c.own()) > 0 {
		l.Add("room there for its own shape", func(x, y float64) { own(s, x+picture.SampleWide/2, y) })
	}
	if need(func(n Need) bool { return n.SD > 0 }) {
		l.Line("estimate, give or take", picture.Stroke{Colour: picture.Hair, Width: picture.SampleHigh})
	}
	return l.Y + 14
}

// shadeDoubt fills the range of one standard deviation round every estimate:
// all along for what passes, round its bar for what rests.
func (c Curve) shadeDoubt(s *picture.Sheet, x, y picture.Axis) {
	for _, n := range c.Needs {
		if n.SD <= 0 || n.Girth <= 0 {
			continue
		}
		left, right := x.Start+1, x.End
		if !n.Passes && !math.IsNaN(n.Along) {
			at := x.Px(c.within(n.Along))
			left, right = max(left, at-1.6*picture.BarWide), min(right, at+1.6*picture.BarWide)
		}
		top, bottom := y.Px(n.Girth+n.SD), y.Px(n.Girth-n.SD)
		s.SetColor(picture.Hair)
		s.DrawRectangle(left, top, right-left, bottom-top)
		s.Fill()
	}
}

// within keeps a place on the way as far as it was measured.
func (c Curve) within(along float64) float64 {
	return min(max(along, c.Stations[0].Along), c.Stations[len(c.Stations)-1].Along)
}

// passLines draws what must pass, all along the part.
func (c Curve) passLines(s *picture.Sheet, x, y picture.Axis) {
	for _, n := range c.Needs {
		if n.Passes && n.Girth > 0 {
			s.Line(needLine, x.Start, y.Px(n.Girth), x.End, y.Px(n.Girth))
		}
	}
}

// bars draws what rests: the body's girth as the foot of a bar, what lies
// between as its height, the girth that is needed as its thick top.
func (c Curve) bars(s *picture.Sheet, x, y picture.Axis) {
	for _, n := range c.Needs {
		if n.Passes || !(n.Girth > 0) || math.IsNaN(n.Along) {
			continue
		}
		foot := n.Girth
		if n.Body > 0 {
			foot = n.Body
		}
		at := x.Px(c.within(n.Along))
		bar(s, at, y.Px(foot), y.Px(n.Girth))
		s.Take(picture.BarWide/2+2, at, y.Px(foot), at, y.Px(n.Girth))
	}
}

// bar draws the bar of a girth: hatched padding from the foot, which is the
// skin, to the thick top, in px.
func bar(s *picture.Sheet, x, foot, top float64) {
	s.SetDash()
	s.SetColor(picture.Paper)
	s.DrawRectangle(x-picture.BarWide/2, top, picture.BarWide, foot-top)
	s.Fill()
	for at := top + 9; at < foot; at += 8 {
		s.Line(picture.Stroke{Colour: picture.Soft, Width: 1.5}, x-picture.BarWide/2, picture.Crisp(at), x+picture.BarWide/2, picture.Crisp(at))
	}
	s.Line(picture.AxisLine, x-picture.BarWide/2, foot, x-picture.BarWide/2, top, x+picture.BarWide/2, top, x+picture.BarWide/2, foot, x-picture.BarWide/2, foot)
	thickTop(s, x, top)
}

// thickTop draws the thick top of a bar.
func thickTop(s *picture.Sheet, x, y float64) {
	s.Line(barLine, x-picture.BarWide/2-6, y, x+picture.BarWide/2+6, y)
}

// tops draws the tops of bars once more, over the curves.
func (c Curve) tops(s *picture.Sheet, x, y picture.Axis) {
	for _, n := range c.Needs {
		if !n.Passes && n.Girth > 0 && !math.IsNaN(n.Along) {
			thickTop(s, x.Px(c.within(n.Along)), y.Px(n.Girth))
		}
	}
}

// discs numbers the needs: beside the bar, or on the line of what passes where
// it has the least room.
func (c Curve) discs(s *picture.Sheet, x, y picture.Axis, frame picture.Box) {
	for i, n := range c.Needs {
		if !(n.Girth > 0) {
			continue
		}
		at, py := (x.Start+x.End)/2, y.Px(n.Girth)
		if !math.IsNaN(n.Along) {
			at = x.Px(c.within(n.Along))
		}
		if !n.Passes {
			s.DiscNear(strconv.Itoa(i+1), at, py, frame.Grow(-3))
			continue
		}
		if !s.DiscOn(strconv.Itoa(i+1), at, py, frame) {
			s.DiscNear(strconv.Itoa(i+1), at, py, frame.Grow(-3))
		}
	}
	for _, n := range c.Needs {
		if n.Passes && n.Girth > 0 {
			s.Take(5, x.Start, y.Px(n.Girth), x.End, y.Px(n.Girth))
		}
	}
}

// own lists the needs whose room is less than the capacity that is drawn where
// they are, by more than a hundredth.
func (c Curve) own() (out []Need) {
	for _, n := range c.Needs {
		if !(n.Has > 0) || math.IsNaN(n.Along) || len(c.Stations) == 0 {
			continue
		}
		if room := c.roomAt(n.Along); room-n.Has > 0.01*room {
			out = append(out, n)
		}
	}
	return out
}

// Own names the needs whose room is marked apart from the capacity.
func (c Curve) Own() (labels []string) {
	for _, n := range c.own() {
		if !slices.Contains(labels, n.Label) {
			labels = append(labels, n.Label)
		}
	}
	return labels
}

// roomAt is the capacity of the station nearest to a place that has one.
func (c Curve) roomAt(along float64) float64 {
	best, far := 0.0, math.Inf(1)
	for _, st := range c.Stations {
		if d := math.Abs(st.Along - along); st.Capacity > 0 && d < far {
			best, far = st.Capacity, d
		}
	}
	return best
}

// own marks room with a cross on white.
func own(s *picture.Sheet, x, y float64) {
	const arm = 11
	for _, look := range []picture.Stroke{{Colour: picture.Paper, Width: 11}, {Colour: picture.Ink, Width: 4.5}} {
		s.Line(look, x-arm, y-arm, x+arm, y+arm)
		s.Line(look, x-arm, y+arm, x+arm, y-arm)
	}
}

// table says in words what each number is, and what it comes to.
func (c Curve) table(s *picture.Sheet, top float64) {
	left, y := 0.0, top
	for _, n := range c.Needs {
		w, _, _ := picture.Shorten(picture.Strong(n.Label), 330).Size()
		left = max(left, picture.Edge+2*picture.DiscSize+14+w+22)
	}
	for i, n := range c.Needs {
		s.Disc(strconv.Itoa(i+1), picture.Edge+picture.DiscSize, y)
		s.Write(picture.Shorten(picture.Strong(n.Label), 330), picture.Edge+2*picture.DiscSize+14, y, 0, 0.5)
		for k, line := range picture.Wrapped(n.Text, picture.Note, picture.Width-picture.Edge-left) {
			if k > 0 {
				y += picture.RowStep * 0.9
			}
			s.Write(line, left, y, 0, 0.5)
		}
		y += picture.RowStep * 1.1
	}
}

// lost lists the stretches in which the capacity is not known between two
// stations at which it is: pairs of indexes of those two.
func (c Curve) lost() (out [][2]int) {
	last := -1
	for i, st := range c.Stations {
		if !(st.Capacity > 0) {
			continue
		}
		if last >= 0 && last < i-1 {
			out = append(out, [2]int{last, i})
		}
		last = i
	}
	return out
}

// lines draws capacity and inner girth; what of the capacity is not known is
// bridged by a thin line.
func (c Curve) lines(s *picture.Sheet, x, y picture.Axis) {
	for i := 1; i < len(c.Stations); i++ {
		a, b := c.Stations[i-1], c.Stations[i]
		for _, v := range [][2]float64{{a.Inner, b.Inner}, {a.Capacity, b.Capacity}} {
			if v[0] > 0 && v[1] > 0 {
				s.Take(8, x.Px(a.Along), y.Px(v[0]), x.Px(b.Along), y.Px(v[1]))
			}
		}
	}
	capacity := func(st Station) float64 { return st.Capacity }
	inner := func(st Station) float64 { return st.Inner }
	c.run(s, x, y, roomLine, capacity, false)
	c.run(s, x, y, slackLine, capacity, true)
	for _, l := range c.lost() {
		a, b := c.Stations[l[0]], c.Stations[l[1]]
		s.Line(lostLine, x.Px(a.Along), y.Px(a.Capacity), x.Px(b.Along), y.Px(b.Capacity))
	}
	c.run(s, x, y, openLine, inner, true)
	c.run(s, x, y, innerLine, inner, false)
}

// run strokes the unbroken runs of known values as one line each: of the closed
// or of the open stations. A run of closed ones ends where the part opens, one
// of open ones reaches to its closed neighbours.
func (c Curve) run(s *picture.Sheet, x, y picture.Axis, st picture.Stroke, value func(Station) float64, open bool) {
	s.Use(st)
	n := 0
	put := func(q Station) {
		s.LineTo(x.Px(q.Along), y.Px(value(q)))
		n++
	}
	end := func() {
		if n == 1 { // a lone station shows as a short dash
			p, _ := s.GetCurrentPoint()
			s.LineTo(p.X+6, p.Y)
		}
		s.Stroke()
		n = 0
	}
	known := func(i int) bool { return i >= 0 && i < len(c.Stations) && value(c.Stations[i]) > 0 }
	for i, q := range c.Stations {
		switch {
		case known(i) && q.Open == open:
			if n == 0 && open && known(i-1) {
				put(c.Stations[i-1])
			}
			put(q)
		case n > 0:
			if open && known(i) {
				put(q)
			}
			end()
		}
	}
	end()
}

// even reports whether the tightest and the widest station read the same.
func (c Curve) even() bool {
	n := len(c.Stations)
	return c.Tightest >= 0 && c.Widest >= 0 && c.Tightest < n && c.Widest < n &&
		picture.MM1(c.Stations[c.Tightest].Inner) == picture.MM1(c.Stations[c.Widest].Inner)
}

// marks points out the tightest and the widest station.
func (c Curve) marks(s *picture.Sheet, x, y picture.Axis, frame picture.Box) {
	even := c.even()
	mark := func(i int, closed, open string, sides int, turn float64) {
		if i < 0 || i >= len(c.Stations) || !(c.Stations[i].Inner > 0) {
			return
		}
		st := c.Stations[i]
		word := closed
		if st.Open {
			word = open
		}
		px, py := x.Px(st.Along), y.Px(st.Inner)
		s.SetDash()
		s.DrawRegularPolygon(sides, px, py, 16, turn)
		s.SetColor(picture.Paper)
		s.FillPreserve()
		s.Use(picture.Stroke{Colour: picture.Ink, Width: 3.5})
		s.Stroke()
		s.Take(15, px, py, px, py)
		for _, length := range []string{c.Also.After(picture.MM1(st.Inner), st.Inner), picture.MM1(st.Inner)} { // shorter where there is no room
			text := word + " " + length + " at " + picture.MM0(st.Along)
			if even {
				text = length + " all along"
			}
			if _, ok := s.Label(picture.Strong(text), px, py, 28, frame.Grow(-6)); ok {
				break
			}
		}
	}
	mark(c.Tightest, "tightest", "least length of wall", 3, math.Pi)
	if c.Widest != c.Tightest && !even {
		mark(c.Widest, "widest", "most wall", 4, 0)
	}
}
