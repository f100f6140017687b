package picture

import (
	"image"
	"math"
	"slices"
	"strings"
)

// Curve is what Girth draws: the girths along one way through a part.
type Curve struct {
	Title    string
	From     string    // what Along counts from, such as "opening A"
	Stations []Station // in the order of Along
	Tightest int       // index of the station to mark, -1 for none
	Widest   int       // index of the station to mark, -1 for none
	Needs    []Need
}

// Station is one point of a Curve, in mm. A girth of 0 or less is not known.
type Station struct {
	Along    float64
	Inner    float64 // inner girth
	Capacity float64 // girth of the greatest ellipse
	Open     bool    // the part does not go all the way round here
}

// Need is a girth that the body wants, padding and all, in mm.
type Need struct {
	Label     string  // "calf"
	Along     float64 // where it rests; NaN where it passes all along
	Girth     float64
	SD        float64 // standard deviation, 0 where measured
	Estimated bool
}

// The lines of a curve differ in their dashes, so that grey paper tells them apart.
var (
	innerLine = stroke{colour: blue, width: 5}
	openLine  = stroke{colour: blue, width: 3, dashes: []float64{3, 6}}
	roomLine  = stroke{colour: vermilion, width: 4, dashes: []float64{16, 9}}
	needLine  = stroke{colour: soft, width: 3, dashes: []float64{18, 6, 4, 6}}
)

// Girth draws a curve: inner girth against the distance along the part, the
// capacity where it is known, what the body needs, the tightest and the
// widest station marked and labelled.
func Girth(c Curve) *image.RGBA {
	return c.sheet().im
}

func (c Curve) sheet() *sheet {
	s := newSheet(760)
	s.write(title(c.Title), edge, edge, 0, 0)
	bottom := c.key(s)
	x, y := c.axes(bottom + 56)
	if len(c.Stations) == 0 {
		s.write(plain("No station was measured."), width/2, 380, 0.5, 0.5)
		return s
	}
	c.frame(s, x, y)
	frame := box{x.start, y.end, x.end, y.start}
	c.shadeDoubt(s, x, y)
	c.needLines(s, x, y)
	c.lines(s, x, y)
	c.marks(s, x, y, frame)
	return s
}

// axes lays the plot out under the key: body labels take the right margin.
func (c Curve) axes(top float64) (x, y axis) {
	right := float64(width - 40)
	if len(c.Needs) > 0 {
		right = width - 330
	}
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
	}
	low, high = widen(low, high, 20)
	from, to = widen(from, to, 1)
	pad := (high - low) * 0.14
	side := (to - from) * 0.025 // marks at an end keep clear of the axis
	return axis{from - side, to + side, 130, right}, axis{max(0, low-pad), high + pad, 760 - 112, top}
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
	grid := stroke{colour: faint, width: 1.5}
	stepX, stepY := x.step(9), y.step(7)
	for _, v := range x.ticks(stepX) {
		s.line(grid, crisp(x.px(v)), y.start, crisp(x.px(v)), y.end)
		s.line(stroke{colour: ink, width: 2}, x.px(v), y.start, x.px(v), y.start+8)
		s.write(plain(tickText(v, stepX)), x.px(v), y.start+12, 0.5, 0)
	}
	for _, v := range y.ticks(stepY) {
		s.line(grid, x.start, crisp(y.px(v)), x.end, crisp(y.px(v)))
		s.line(stroke{colour: ink, width: 2}, x.start-8, y.px(v), x.start, y.px(v))
		s.write(plain(tickText(v, stepY)), x.start-14, y.px(v), 1, 0.5)
	}
	s.line(stroke{colour: ink, width: 2}, x.start, y.end, x.start, y.start, x.end, y.start)
	s.write(note("girth, mm"), edge, y.end-14, 0, 1)
	s.write(note("distance along the part from "+c.From+", mm"), x.end, y.start+50, 1, 0)
}

// key explains the lines in use, under the title; it returns its lower edge.
func (c Curve) key(s *sheet) float64 {
	x, y := float64(edge), float64(edge+titleSize+26)
	entry := func(st stroke, text string) {
		t := note(text)
		w, _, _ := t.size()
		if x > edge && x+70+w > width-edge {
			x, y = edge, y+34
		}
		s.line(st, x, y, x+58, y)
		s.write(t, x+68, y, 0, 0.5)
		x += 68 + w + 36
	}
	has := func(f func(Station) bool) bool { return slices.ContainsFunc(c.Stations, f) }
	if has(func(st Station) bool { return !st.Open }) {
		entry(innerLine, "inner girth")
	}
	if has(func(st Station) bool { return st.Open }) {
		entry(openLine, "open at the side: wall only")
	}
	if has(func(st Station) bool { return st.Capacity > 0 }) {
		entry(roomLine, "capacity: greatest ellipse inside")
	}
	if len(c.Needs) > 0 {
		entry(needLine, "body with padding")
	}
	if slices.ContainsFunc(c.Needs, func(n Need) bool { return n.SD > 0 }) {
		entry(stroke{colour: hair, width: 20}, "estimated: likely range")
	}
	return y + 12
}

// shadeDoubt fills the range of one standard deviation round every estimate.
func (c Curve) shadeDoubt(s *sheet, x, y axis) {
	for _, n := range c.Needs {
		if n.SD <= 0 || n.Girth <= 0 {
			continue
		}
		top, bottom := y.px(n.Girth+n.SD), y.px(n.Girth-n.SD)
		s.SetColor(hair)
		s.DrawRectangle(x.start+1, top, x.end-x.start-1, bottom-top)
		s.Fill()
	}
}

// needLines draws what the body wants, each with its label in the margin,
// pushed apart where they would touch.
func (c Curve) needLines(s *sheet, x, y axis) {
	needs := slices.DeleteFunc(slices.Clone(c.Needs), func(n Need) bool { return !(n.Girth > 0) })
	slices.SortStableFunc(needs, func(a, b Need) int {
		if d := y.px(a.Girth) - y.px(b.Girth); d != 0 {
			return int(math.Copysign(1, d))
		}
		return strings.Compare(a.Label, b.Label)
	})
	at := make([]float64, len(needs))
	for i, n := range needs {
		at[i] = y.px(n.Girth)
	}
	for i, text := range spread(at, 58, y.end-20, y.start-20) {
		n := needs[i]
		py := y.px(n.Girth)
		s.line(needLine, x.start, py, x.end, py)
		s.take(5, x.start, py, x.end, py)
		if !math.IsNaN(n.Along) {
			px := x.px(min(max(n.Along, x.low), x.high))
			s.diamond(px, py)
		}
		s.line(stroke{colour: soft, width: 1.5}, x.end+2, py, x.end+16, text)
		value := mm1(n.Girth)
		if n.Estimated {
			value = "about " + value
		}
		if math.IsNaN(n.Along) {
			value += ", going in"
		}
		s.write(shorten(strong(n.Label), 290), x.end+22, text-1, 0, 1)
		s.write(shorten(plain(value), 290), x.end+22, text+1, 0, 0)
	}
}

// shorten cuts a text that is wider than it may be.
func shorten(t script, most float64) script {
	full := []rune(t.text)
	for n := len(full) - 1; n > 0; n-- {
		if w, _, _ := t.size(); w <= most {
			return t
		}
		t.text = string(full[:n]) + "…"
	}
	return t
}

// spread moves sorted places apart until neighbours are at least gap away from
// each other, within low and high; too many of them are spaced evenly.
func spread(at []float64, gap, low, high float64) []float64 {
	out := slices.Clone(at)
	if n := len(out); n > 1 && gap*float64(n-1) > high-low {
		gap = (high - low) / float64(n-1)
	}
	for i := range out {
		out[i] = max(out[i], low)
		if i > 0 {
			out[i] = max(out[i], out[i-1]+gap)
		}
	}
	for i := len(out) - 1; i >= 0; i-- {
		out[i] = min(out[i], high)
		if i+1 < len(out) {
			out[i] = min(out[i], out[i+1]-gap)
		}
	}
	return out
}

// lines draws capacity and inner girth, with gaps where they are not known.
func (c Curve) lines(s *sheet, x, y axis) {
	for i := 1; i < len(c.Stations); i++ {
		a, b := c.Stations[i-1], c.Stations[i]
		for _, v := range [][2]float64{{a.Inner, b.Inner}, {a.Capacity, b.Capacity}} {
			if v[0] > 0 && v[1] > 0 {
				s.take(6, x.px(a.Along), y.px(v[0]), x.px(b.Along), y.px(v[1]))
			}
		}
	}
	c.run(s, x, y, roomLine, func(st Station) float64 { return st.Capacity })
	c.run(s, x, y, openLine, func(st Station) float64 { return st.Inner })
	c.run(s, x, y, innerLine, func(st Station) float64 {
		if st.Open {
			return 0
		}
		return st.Inner
	})
}

// run strokes the unbroken runs of known values as one line each.
func (c Curve) run(s *sheet, x, y axis, st stroke, value func(Station) float64) {
	s.use(st)
	for _, q := range c.Stations {
		if v := value(q); v > 0 {
			s.LineTo(x.px(q.Along), y.px(v))
			continue
		}
		s.Stroke()
	}
	s.Stroke()
}

// marks points out the tightest and the widest station.
func (c Curve) marks(s *sheet, x, y axis, frame box) {
	mark := func(i int, word string, sides int, turn float64) {
		if i < 0 || i >= len(c.Stations) || !(c.Stations[i].Inner > 0) {
			return
		}
		st := c.Stations[i]
		px, py := x.px(st.Along), y.px(st.Inner)
		s.SetDash()
		s.DrawRegularPolygon(sides, px, py, 15, turn)
		s.SetColor(paper)
		s.FillPreserve()
		s.use(stroke{colour: ink, width: 3.5})
		s.Stroke()
		s.take(14, px, py, px, py)
		s.label(strong(word+" "+mm1(st.Inner)+" at "+mm0(st.Along)), px, py, 26, frame.grow(-6))
	}
	mark(c.Tightest, "tightest", 3, math.Pi)
	if c.Widest != c.Tightest {
		mark(c.Widest, "widest", 4, 0)
	}
}

// diamond marks where a measure of the body rests.
func (s *sheet) diamond(x, y float64) {
	s.SetDash()
	s.DrawRegularPolygon(4, x, y, 11, math.Pi/4)
	s.SetColor(soft)
	s.Fill()
	s.take(11, x, y, x, y)
}
