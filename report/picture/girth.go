package picture

import (
	"image"
	"math"
	"slices"
	"strconv"
)

// Curve is what Girth draws: the girths along one way through a part.
type Curve struct {
	Title    string
	From     string    // what Along counts from, such as "opening A"
	Stations []Station // in the order of Along
	Tightest int       // index of the station to mark, -1 for none
	Widest   int       // index of the station to mark, -1 for none
	Needs    []Need
	Also     Also
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
	return c.sheet().im
}

// Sizes of a curve's sheet, px.
const (
	plotHigh = 520
	plotLeft = 130
	barWide  = 34 // of the bar that stands for a girth of the body
)

func (c Curve) sheet() *sheet {
	s := newSheet(1400)
	s.heading(c.Title)
	bottom := c.key(s)
	x, y := c.axes(bottom + 70)
	if len(c.Stations) == 0 {
		s.write(plain("No station was measured."), width/2, 380, 0.5, 0.5)
		return s.trim()
	}
	frame := box{x.start, y.end, x.end, y.start}
	c.frame(s, x, y)
	c.shadeDoubt(s, x, y)
	c.passLines(s, x, y)
	c.bars(s, x, y)
	c.lines(s, x, y)
	c.tops(s, x, y)
	for _, n := range c.own() {
		px, py := x.px(c.within(n.Along)), y.px(n.Has)
		s.own(px, py)
		s.take(12, px, py, px, py)
	}
	c.discs(s, x, y, frame)
	c.marks(s, x, y, frame)
	c.table(s, y.start+120)
	return s.trim()
}

// axes lays the plot out under the key.
func (c Curve) axes(top float64) (x, y axis) {
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
	return axis{from - side, to + side, plotLeft, width - edge - 16}, axis{max(0, low-pad), high + pad, top + plotHigh, top}
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
func (c Curve) frame(s *sheet, x, y axis) {
	s.grid(x, y, x.step(9), y.step(7))
	s.write(note("girth, mm"), edge, y.end-16, 0, 1)
	s.write(note("distance along the part from "+c.From+", mm"), x.end, y.start+58, 1, 0)
}

// grid draws grid, ticks and two axes.
func (s *sheet) grid(x, y axis, stepX, stepY float64) {
	for _, v := range x.ticks(stepX) {
		s.line(gridLine, crisp(x.px(v)), y.start, crisp(x.px(v)), y.end)
		s.line(axisLine, x.px(v), y.start, x.px(v), y.start+8)
		s.write(plain(tickText(v, stepX)), x.px(v), y.start+14, 0.5, 0)
	}
	for _, v := range y.ticks(stepY) {
		s.line(gridLine, x.start, crisp(y.px(v)), x.end, crisp(y.px(v)))
		s.line(axisLine, x.start-8, y.px(v), x.start, y.px(v))
		s.write(plain(tickText(v, stepY)), x.start-14, y.px(v), 1, 0.5)
	}
	s.line(axisLine, x.start, y.end, x.start, y.start, x.end, y.start)
}

// key explains the lines in use, under the title; it returns its lower edge.
func (c Curve) key(s *sheet) float64 {
	l := s.explain(edge + titleSize + 34)
	has := func(f func(Station) bool) bool { return slices.ContainsFunc(c.Stations, f) }
	need := func(f func(Need) bool) bool { return slices.ContainsFunc(c.Needs, f) }
	if has(func(st Station) bool { return !st.Open && st.Capacity > 0 }) {
		l.line("room for a body (capacity)", roomLine)
	}
	if has(func(st Station) bool { return st.Open && st.Capacity > 0 }) {
		l.line("room where it is open: a body may stand out", slackLine)
	}
	if len(c.lost()) > 0 {
		l.line("not held: less than half round", lostLine)
	}
	if has(func(st Station) bool { return !st.Open }) {
		l.line("inner girth", innerLine)
	}
	if has(func(st Station) bool { return st.Open }) {
		l.line("open: girth of the wall alone", openLine)
	}
	if need(func(n Need) bool { return !n.Passes }) {
		l.add("body that rests there, padding on top", func(x, y float64) {
			s.bar(x+sampleWide/2, y+15, y-12)
		})
	}
	if need(func(n Need) bool { return n.Passes }) {
		l.line("must pass, padding and all", needLine)
	}
	if len(c.own()) > 0 {
		l.add("room there for its own shape", func(x, y float64) { s.own(x+sampleWide/2, y) })
	}
	if need(func(n Need) bool { return n.SD > 0 }) {
		l.line("estimate, give or take", stroke{colour: hair, width: sampleHigh})
	}
	return l.y + 14
}

// shadeDoubt fills the range of one standard deviation round every estimate:
// all along for what passes, round its bar for what rests.
func (c Curve) shadeDoubt(s *sheet, x, y axis) {
	for _, n := range c.Needs {
		if n.SD <= 0 || n.Girth <= 0 {
			continue
		}
		left, right := x.start+1, x.end
		if !n.Passes && !math.IsNaN(n.Along) {
			at := x.px(c.within(n.Along))
			left, right = max(left, at-1.6*barWide), min(right, at+1.6*barWide)
		}
		top, bottom := y.px(n.Girth+n.SD), y.px(n.Girth-n.SD)
		s.SetColor(hair)
		s.DrawRectangle(left, top, right-left, bottom-top)
		s.Fill()
	}
}

// within keeps a place on the way as far as it was measured.
func (c Curve) within(along float64) float64 {
	return min(max(along, c.Stations[0].Along), c.Stations[len(c.Stations)-1].Along)
}

// passLines draws what must pass, all along the part.
func (c Curve) passLines(s *sheet, x, y axis) {
	for _, n := range c.Needs {
		if n.Passes && n.Girth > 0 {
			s.line(needLine, x.start, y.px(n.Girth), x.end, y.px(n.Girth))
		}
	}
}

// bars draws what rests: the body's girth as the foot of a bar, what lies
// between as its height, the girth that is needed as its thick top.
func (c Curve) bars(s *sheet, x, y axis) {
	for _, n := range c.Needs {
		if n.Passes || !(n.Girth > 0) || math.IsNaN(n.Along) {
			continue
		}
		foot := n.Girth
		if n.Body > 0 {
			foot = n.Body
		}
		at := x.px(c.within(n.Along))
		s.bar(at, y.px(foot), y.px(n.Girth))
		s.take(barWide/2+2, at, y.px(foot), at, y.px(n.Girth))
	}
}

// bar draws the bar of a girth: hatched padding from the foot, which is the
// skin, to the thick top, in px.
func (s *sheet) bar(x, foot, top float64) {
	s.SetDash()
	s.SetColor(paper)
	s.DrawRectangle(x-barWide/2, top, barWide, foot-top)
	s.Fill()
	for at := top + 9; at < foot; at += 8 {
		s.line(stroke{colour: soft, width: 1.5}, x-barWide/2, crisp(at), x+barWide/2, crisp(at))
	}
	s.line(axisLine, x-barWide/2, foot, x-barWide/2, top, x+barWide/2, top, x+barWide/2, foot, x-barWide/2, foot)
	s.top(x, top)
}

// top draws the thick top of a bar.
func (s *sheet) top(x, y float64) { s.line(barLine, x-barWide/2-6, y, x+barWide/2+6, y) }

// tops draws the tops of bars once more, over the curves.
func (c Curve) tops(s *sheet, x, y axis) {
	for _, n := range c.Needs {
		if !n.Passes && n.Girth > 0 && !math.IsNaN(n.Along) {
			s.top(x.px(c.within(n.Along)), y.px(n.Girth))
		}
	}
}

// discs numbers the needs: beside the bar, or on the line of what passes where
// it has the least room.
func (c Curve) discs(s *sheet, x, y axis, frame box) {
	for i, n := range c.Needs {
		if !(n.Girth > 0) {
			continue
		}
		at, py := (x.start+x.end)/2, y.px(n.Girth)
		if !math.IsNaN(n.Along) {
			at = x.px(c.within(n.Along))
		}
		if !n.Passes {
			s.discNear(strconv.Itoa(i+1), at, py, frame.grow(-3))
			continue
		}
		if !s.discOn(strconv.Itoa(i+1), at, py, frame) {
			s.discNear(strconv.Itoa(i+1), at, py, frame.grow(-3))
		}
	}
	for _, n := range c.Needs {
		if n.Passes && n.Girth > 0 {
			s.take(5, x.start, y.px(n.Girth), x.end, y.px(n.Girth))
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
func (s *sheet) own(x, y float64) {
	const arm = 11
	for _, look := range []stroke{{colour: paper, width: 11}, {colour: ink, width: 4.5}} {
		s.line(look, x-arm, y-arm, x+arm, y+arm)
		s.line(look, x-arm, y+arm, x+arm, y-arm)
	}
}

// table says in words what each number is, and what it comes to.
func (c Curve) table(s *sheet, top float64) {
	left, y := 0.0, top
	for _, n := range c.Needs {
		w, _, _ := shorten(strong(n.Label), 330).size()
		left = max(left, edge+2*discSize+14+w+22)
	}
	for i, n := range c.Needs {
		s.disc(strconv.Itoa(i+1), edge+discSize, y)
		s.write(shorten(strong(n.Label), 330), edge+2*discSize+14, y, 0, 0.5)
		for k, line := range wrapped(n.Text, note, width-edge-left) {
			if k > 0 {
				y += rowStep * 0.9
			}
			s.write(line, left, y, 0, 0.5)
		}
		y += rowStep * 1.1
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
func (c Curve) lines(s *sheet, x, y axis) {
	for i := 1; i < len(c.Stations); i++ {
		a, b := c.Stations[i-1], c.Stations[i]
		for _, v := range [][2]float64{{a.Inner, b.Inner}, {a.Capacity, b.Capacity}} {
			if v[0] > 0 && v[1] > 0 {
				s.take(8, x.px(a.Along), y.px(v[0]), x.px(b.Along), y.px(v[1]))
			}
		}
	}
	capacity := func(st Station) float64 { return st.Capacity }
	inner := func(st Station) float64 { return st.Inner }
	c.run(s, x, y, roomLine, capacity, false)
	c.run(s, x, y, slackLine, capacity, true)
	for _, l := range c.lost() {
		a, b := c.Stations[l[0]], c.Stations[l[1]]
		s.line(lostLine, x.px(a.Along), y.px(a.Capacity), x.px(b.Along), y.px(b.Capacity))
	}
	c.run(s, x, y, openLine, inner, true)
	c.run(s, x, y, innerLine, inner, false)
}

// run strokes the unbroken runs of known values as one line each: of the closed
// or of the open stations. A run of closed ones ends where the part opens, one
// of open ones reaches to its closed neighbours.
func (c Curve) run(s *sheet, x, y axis, st stroke, value func(Station) float64, open bool) {
	s.use(st)
	n := 0
	put := func(q Station) {
		s.LineTo(x.px(q.Along), y.px(value(q)))
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
		mm1(c.Stations[c.Tightest].Inner) == mm1(c.Stations[c.Widest].Inner)
}

// marks points out the tightest and the widest station.
func (c Curve) marks(s *sheet, x, y axis, frame box) {
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
		px, py := x.px(st.Along), y.px(st.Inner)
		s.SetDash()
		s.DrawRegularPolygon(sides, px, py, 16, turn)
		s.SetColor(paper)
		s.FillPreserve()
		s.use(stroke{colour: ink, width: 3.5})
		s.Stroke()
		s.take(15, px, py, px, py)
		for _, length := range []string{c.Also.after(mm1(st.Inner), st.Inner), mm1(st.Inner)} { // shorter where there is no room
			text := word + " " + length + " at " + mm0(st.Along)
			if even {
				text = length + " all along"
			}
			if _, ok := s.label(strong(text), px, py, 28, frame.grow(-6)); ok {
				break
			}
		}
	}
	mark(c.Tightest, "tightest", "least wall", 3, math.Pi)
	if c.Widest != c.Tightest && !even {
		mark(c.Widest, "widest", "most wall", 4, 0)
	}
}
