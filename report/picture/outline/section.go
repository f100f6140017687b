// Package outline draws outlines in a plane to scale: sections of a part with
// the body in them, and two parts at a joint from the side. Lengths come in as
// mm; on the sheet they are px, y downward.
package outline

import (
	"image"
	"image/color"
	"math"
	"slices"

	"gambeson/analysis"
	"gambeson/report/picture"

	"gonum.org/v1/gonum/spatial/r2"
)

var (
	wallLine  = picture.Stroke{Colour: picture.Ink, Width: 2.5}
	loopLine  = picture.Stroke{Colour: picture.Blue, Width: 5}
	frameLine = picture.Stroke{Colour: picture.Soft, Width: 1.8}
	gapLine   = picture.Stroke{Colour: picture.Blue, Width: 3, Dashes: []float64{4, 7}}
)

// Lines of a section that are not those of its walls.
var (
	padLine = picture.Stroke{Colour: picture.Soft, Width: 3, Dashes: []float64{10, 6}}      // the body with its padding
	fitLine = picture.Stroke{Colour: picture.Vermilion, Width: 4, Dashes: []float64{16, 9}} // greatest ellipse inside
)

// Section draws an outline to scale over a grid of 10 mm, v upward: walls
// hatched, the loop of the air round the body drawn thick, with its width and
// height as drawn, the body with its padding and the least and the greatest gap
// to the wall, the greatest ellipse dashed, and a bar to measure by. The note
// stands under the title, such as the girth; it may be empty.
func Section(title, note string, o analysis.Outline, also picture.Also) *image.RGBA {
	return outline(o).sheet(title, note, also).Pixels
}

// outline is a section as this package draws it.
type outline analysis.Outline

// view maps an outline's plane onto the sheet.
type view struct {
	zero  r2.Vec       // where the rulers count from, in plane coordinates
	u, v  picture.Axis // mm from zero
	frame picture.Box
	grid  float64 // mm between lines
}

func (w view) at(p r2.Vec) (x, y float64) {
	return w.u.Px(p.X - w.zero.X), w.v.Px(p.Y - w.zero.Y)
}

func (o outline) sheet(heading, line string, also picture.Also) *picture.Sheet {
	o = o.alone()
	low, high, any := bounds(append(o.loops(), o.room(), o.padded())...)
	if !any {
		s := picture.NewSheet(300)
		s.Heading(heading)
		s.Write(picture.Plain("The plane does not meet the part here."), picture.Width/2, 170, 0.5, 0.5)
		return s
	}
	lines := picture.Wrapped(line, picture.Plain, picture.Width-2*picture.Edge)
	w := o.layout(low, high, len(lines))
	s := picture.NewSheet(int(w.frame.Bottom) + 420)
	s.Heading(heading)
	for i, l := range lines {
		s.Write(l, picture.Edge, picture.Edge+picture.TitleSize+12+float64(i)*picture.RowStep, 0, 0)
	}
	w.drawGrid(s)
	o.hatchWalls(s, w)
	o.fillBody(s, w)
	o.drawWalls(s, w)
	if o.apart() {
		trace(s, o.room(), w)
		s.Use(fitLine)
		s.Stroke()
	}
	o.drawBody(s, w)
	o.drawSizes(s, w, also)
	o.drawGaps(s, w, also)
	o.drawKey(s, w)
	return s.Trim()
}

// alone leaves out walls that lie apart from where the body goes, such as the
// other leg: they would only make the drawing smaller.
func (o outline) alone() outline {
	const apart = 12 // mm
	low, high, any := bounds(o.void(), o.room(), o.padded())
	if !any {
		return o
	}
	var near []analysis.Polyline
	for _, l := range o.Walls {
		a, b, _ := bounds(l)
		if a.X < high.X+apart && b.X > low.X-apart && a.Y < high.Y+apart && b.Y > low.Y-apart {
			near = append(near, l)
		}
	}
	o.Walls = near
	return o
}

// void is the loop of the air round the body; it has no points where the part
// is open.
func (o outline) void() analysis.Polyline { return analysis.Polyline{Points: o.Void, Closed: true} }

// room is the capacity ellipse as a run of short pieces: none where there is
// none. Where the part is open it may reach out of the part.
func (o outline) room() analysis.Polyline {
	e := o.Room
	if e == nil {
		return analysis.Polyline{}
	}
	sin, cos := math.Sincos(e.Turn)
	run := analysis.Polyline{Closed: true}
	for i := range 180 {
		b, a := math.Sincos(float64(i) * math.Pi / 90)
		a, b = a*e.Major/2, b*e.Minor/2
		run.Points = append(run.Points, r2.Vec{X: e.Center.X + a*cos - b*sin, Y: e.Center.Y + a*sin + b*cos})
	}
	return run
}

// loops lists all that was cut: the walls, then the void.
func (o outline) loops() []analysis.Polyline {
	return append(o.Walls[:len(o.Walls):len(o.Walls)], o.void())
}

// sized is what the size lines measure and the rulers count from: the void,
// or all of it where there is none.
func (o outline) sized() []analysis.Polyline {
	if len(o.Void) > 0 {
		return []analysis.Polyline{o.void()}
	}
	return o.Walls
}

func bounds(loops ...analysis.Polyline) (low, high r2.Vec, any bool) {
	low, high = r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, l := range loops {
		for _, p := range l.Points {
			low = r2.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y)}
			high = r2.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
		}
	}
	return low, high, low.X <= high.X
}

// layout fits the outline into the sheet's width, or into a height that a
// page still takes, and lets the sheet be as high as needed. The rulers count
// from the corner of the loop that faces the body.
func (o outline) layout(low, high r2.Vec, lines int) view {
	const left, right = 124, 250
	const widest, highest, least = picture.Width - left - right, 800, 400
	top := float64(picture.Edge + picture.TitleSize + 108 + lines*picture.RowStep)
	w, h := max(high.X-low.X, 1), max(high.Y-low.Y, 1)
	margin := 0.06 * max(w, h)
	scale := min(widest/(w+2*margin), highest/(h+2*margin), 12) // px per mm
	sideX := max(margin, (least/scale-w)/2)
	sideY := max(margin, (least/3/scale-h)/2)
	w, h = w+2*sideX, h+2*sideY
	x := left + (widest-w*scale)/2
	f := picture.Box{Left: x, Top: top, Right: x + w*scale, Bottom: top + h*scale}
	zero, _, _ := bounds(o.sized()...)
	grid := 10.0
	for grid*scale < 7 {
		grid *= 5
	}
	u := picture.Axis{Low: low.X - sideX - zero.X, High: high.X + sideX - zero.X, Start: f.Left, End: f.Right}
	v := picture.Axis{Low: low.Y - sideY - zero.Y, High: high.Y + sideY - zero.Y, Start: f.Bottom, End: f.Top}
	return view{zero, u, v, f, grid}
}

// hatch is a wall's filling: grey with darker strokes at 45°, which stays a
// wall on grey paper and in a copy of a copy.
type hatch struct{}

func (hatch) ColorAt(x, y int) color.Color {
	if (x+y)%10 < 2 {
		return color.RGBA{R: 120, G: 120, B: 120, A: 255}
	}
	return color.RGBA{R: 226, G: 226, B: 226, A: 255}
}

func trace(s *picture.Sheet, l analysis.Polyline, w view) {
	for i, p := range l.Points {
		x, y := w.at(p)
		if i == 0 {
			s.MoveTo(x, y)
			continue
		}
		s.LineTo(x, y)
	}
	if l.Closed {
		s.ClosePath()
	}
}

// hatchWalls hatches what the closed walls enclose by their winding, so that
// walls that overlap stay walls, and clears the room for the body.
func (o outline) hatchWalls(s *picture.Sheet, w view) {
	for _, l := range o.Walls {
		if l.Closed {
			trace(s, l, w)
		}
	}
	s.SetFillStyle(hatch{})
	s.Fill()
	if len(o.Void) > 0 {
		trace(s, o.void(), w)
		s.SetColor(picture.Paper)
		s.FillPreserve()
		s.Clip()
		w.drawLines(s)
		s.ResetClip()
	}
}

// drawWalls draws the edges of the walls and the loop of the air between them.
func (o outline) drawWalls(s *picture.Sheet, w view) {
	for _, l := range o.Walls {
		s.Use(wallLine)
		trace(s, l, w)
		s.Stroke()
		if !l.Closed {
			ends(s, l, w)
		}
	}
	o.drawVoid(s, w)
}

// ends marks where an open wall ends.
func ends(s *picture.Sheet, l analysis.Polyline, w view) {
	if len(l.Points) == 0 {
		return
	}
	for _, p := range []r2.Vec{l.Points[0], l.Points[len(l.Points)-1]} {
		x, y := w.at(p)
		s.DrawCircle(x, y, 6)
		s.SetColor(picture.Ink)
		s.Fill()
	}
}

// drawVoid draws the loop of the air round the body: thick along the walls,
// thin and dotted where it crosses a gap from rim to rim.
func (o outline) drawVoid(s *picture.Sheet, w view) {
	gaps := o.gaps()
	for i, p := range o.Void {
		q := o.Void[(i+1)%len(o.Void)]
		if !gaps[i] {
			s.LineTo(w.at(p))
			s.LineTo(w.at(q))
			continue
		}
		s.Use(loopLine)
		s.Stroke()
		x0, y0 := w.at(p)
		x1, y1 := w.at(q)
		s.Line(gapLine, x0, y0, x1, y1)
	}
	s.Use(loopLine)
	s.Stroke()
}

// gaps tells which pieces of the void run along no wall: the chords from rim
// to rim of an open part. Only a piece longer than a fiftieth of the drawing
// is looked at: a shorter one would not be seen.
func (o outline) gaps() []bool {
	low, high, _ := bounds(o.void())
	size := max(high.X-low.X, high.Y-low.Y)
	out := make([]bool, len(o.Void))
	for i, p := range o.Void {
		q := o.Void[(i+1)%len(o.Void)]
		if r2.Norm(r2.Sub(q, p)) > size/50 {
			out[i] = o.fromWall(r2.Scale(0.5, r2.Add(p, q))) > size/200
		}
	}
	return out
}

// fromWall returns how far a point is from the nearest wall.
func (o outline) fromWall(p r2.Vec) float64 {
	least := math.Inf(1)
	for _, l := range o.Walls {
		for i := range l.Points {
			if i+1 == len(l.Points) && !l.Closed {
				break
			}
			a, b := l.Points[i], l.Points[(i+1)%len(l.Points)]
			ab, ap := r2.Sub(b, a), r2.Sub(p, a)
			share := 0.0
			if long := r2.Dot(ab, ab); long > 0 {
				share = min(max(r2.Dot(ap, ab)/long, 0), 1)
			}
			least = min(least, r2.Norm(r2.Sub(ap, r2.Scale(share, ab))))
		}
	}
	return least
}

// drawGrid draws the grid, the frame and its two rulers: ticks every 5 mm,
// every millimetre where there is room, numbers where they do not crowd.
func (w view) drawGrid(s *picture.Sheet) {
	w.drawLines(s)
	s.Use(frameLine)
	s.DrawRectangle(w.frame.Left, w.frame.Top, w.frame.Right-w.frame.Left, w.frame.Bottom-w.frame.Top)
	s.Stroke()
	scale := (w.u.End - w.u.Start) / (w.u.High - w.u.Low)
	tick := w.grid / 2
	if scale >= 6 {
		tick = w.grid / 10
	}
	numbers := w.grid
	for _, k := range []float64{2, 5, 10, 20, 50, 100} {
		if numbers*scale < 88 {
			numbers = k * w.grid
		}
	}
	long := func(v float64) float64 {
		if math.Abs(math.Remainder(v, w.grid)) < 1e-6 {
			return 12
		}
		return 6
	}
	for _, v := range w.u.Ticks(tick) {
		s.Line(frameLine, w.u.Px(v), w.frame.Bottom, w.u.Px(v), w.frame.Bottom+long(v))
	}
	for _, v := range w.v.Ticks(tick) {
		s.Line(frameLine, w.frame.Left-long(v), w.v.Px(v), w.frame.Left, w.v.Px(v))
	}
	for _, v := range w.u.Ticks(numbers) {
		s.Write(picture.Plain(picture.TickText(v, numbers)), w.u.Px(v), w.frame.Bottom+16, 0.5, 0)
	}
	for _, v := range w.v.Ticks(numbers) {
		s.Write(picture.Plain(picture.TickText(v, numbers)), w.frame.Left-18, w.v.Px(v), 1, 0.5)
	}
}

// drawLines draws the lines of the grid, every fifth one stronger.
func (w view) drawLines(s *picture.Sheet) {
	weight := func(v float64) picture.Stroke {
		if math.Abs(math.Remainder(v, 5*w.grid)) < 1e-6 {
			return picture.Stroke{Colour: color.RGBA{R: 168, G: 168, B: 168, A: 255}, Width: 1.8}
		}
		return picture.Stroke{Colour: color.RGBA{R: 216, G: 216, B: 216, A: 255}, Width: 1.4}
	}
	for _, v := range w.u.Ticks(w.grid) {
		x := picture.Crisp(w.u.Px(v))
		s.Line(weight(v), x, w.frame.Top, x, w.frame.Bottom)
	}
	for _, v := range w.v.Ticks(w.grid) {
		y := picture.Crisp(w.v.Px(v))
		s.Line(weight(v), w.frame.Left, y, w.frame.Right, y)
	}
}

// drawSizes measures the loop that faces the body, or all that was cut, as it
// is drawn: width above the frame, height on its right.
func (o outline) drawSizes(s *picture.Sheet, w view, also picture.Also) {
	loops, what := o.sized(), "overall "
	if len(o.Void) > 0 {
		what = "inside "
	}
	low, high, _ := bounds(loops...)
	ends := extremes(loops, low, high)
	guide := picture.Stroke{Colour: picture.Soft, Width: 1.5, Dashes: []float64{5, 5}}
	y, x := w.frame.Top-22, w.frame.Right+22
	for _, p := range ends[:2] {
		px, py := w.at(p)
		s.Line(guide, px, py, px, y-8)
	}
	for _, p := range ends[2:] {
		px, py := w.at(p)
		s.Line(guide, px, py, x+8, py)
	}
	left, bottom := w.at(low)
	right, top := w.at(high)
	s.Arrow(left, y, right, y)
	s.Arrow(x, bottom, x, top)
	s.Write(picture.Strong(what+also.After(picture.MM1(high.X-low.X), high.X-low.X)), (left+right)/2, y-10, 0.5, 1)
	s.Size(high.Y-low.Y, also, x+12, (top+bottom)/2, 0, 0.5)
}

// extremes returns the points furthest left, right, down and up: of several
// the one nearest to the size line.
func extremes(loops []analysis.Polyline, low, high r2.Vec) [4]r2.Vec {
	out := [4]r2.Vec{{X: low.X, Y: low.Y}, {X: high.X, Y: low.Y}, {X: low.X, Y: low.Y}, {X: low.X, Y: high.Y}}
	for _, l := range loops {
		for _, p := range l.Points {
			if p.X == low.X {
				out[0].Y = max(out[0].Y, p.Y)
			}
			if p.X == high.X {
				out[1].Y = max(out[1].Y, p.Y)
			}
			if p.Y == low.Y {
				out[2].X = max(out[2].X, p.X)
			}
			if p.Y == high.Y {
				out[3].X = max(out[3].X, p.X)
			}
		}
	}
	return out
}

// drawKey explains the lines at the foot of the sheet.
func (o outline) drawKey(s *picture.Sheet, w view) {
	l := s.Explain(w.frame.Bottom + 96)
	open := false
	for _, wall := range o.Walls {
		open = open || !wall.Closed
	}
	if len(o.Void) > 0 {
		l.Line("inside", loopLine)
	}
	if slices.Contains(o.gaps(), true) {
		l.Line("open: no wall", gapLine)
	}
	l.Add("wall", func(x, y float64) {
		s.DrawRectangle(x, y-picture.SampleHigh/2, picture.SampleWide, picture.SampleHigh)
		s.SetFillStyle(hatch{})
		s.FillPreserve()
		s.Use(wallLine)
		s.Stroke()
	})
	if open {
		l.Add("wall that ends here", func(x, y float64) {
			s.Line(wallLine, x, y, x+picture.SampleWide, y)
			s.DrawCircle(x+picture.SampleWide, y, 6)
			s.SetColor(picture.Ink)
			s.Fill()
		})
	}
	if o.Body != nil {
		l.Add("body, taken as an ellipse", func(x, y float64) {
			s.SetDash()
			s.SetColor(picture.Faint)
			s.DrawRectangle(x, y, picture.SampleWide, picture.SampleHigh/2)
			s.Fill()
			s.Line(picture.SkinLine, x, y, x+picture.SampleWide, y)
		})
		l.Line("with its padding", padLine)
	}
	if o.apart() {
		text := "greatest ellipse inside"
		if o.Body != nil {
			text = "greatest such ellipse inside"
		}
		l.Line(text, fitLine)
	}
	scale := (w.u.End - w.u.Start) / (w.u.High - w.u.Low)
	l.Add("grid "+picture.TickText(w.grid, w.grid)+" mm", func(x, y float64) {
		for _, at := range []float64{x + 8, x + picture.SampleWide/2, x + picture.SampleWide - 8} {
			s.Line(picture.Stroke{Colour: picture.Hair, Width: 2}, at, y-12, at, y+12)
		}
		s.Line(picture.Stroke{Colour: picture.Hair, Width: 2}, x, y, x+picture.SampleWide, y)
	})
	l.Bar(scale)
}
