package tape

import (
	"math"

	"gambeson/report/picture"

	"gonum.org/v1/gonum/spatial/r2"
)

// figure is a piece of body in outline. Lengths are mm, y upward. Runs of points
// are x, y, x, y, … and drawn as smooth curves; a point that is there twice is a
// corner.
type figure struct {
	outline []float64   // closed
	over    [][]float64 // outlines of what lies on it, open
	marks   [][]float64 // lines on it
}

// placed is the drawing of one measure: a figure seen through a window, and the
// tape on it.
type placed struct {
	on     figure
	window [4]float64 // left, bottom, right, top, mm
	tape   tapeRun
}

// tapeRun is where the tape runs, in the frame of its figure.
type tapeRun interface {
	draw(s *picture.Sheet, v pane)
}

// round runs from one side of a limb to the other in front, and back behind it.
type round struct {
	from, to r2.Vec
	deep     float64 // how far the front is seen off the straight line, mm; < 0 for the other side
}

// along lies on the body from end to end. Thin lines lead to what an end is told
// by.
type along struct {
	points []float64
	leads  [][2]r2.Vec
}

// straight is taken in a straight line, with a ruler or a rod. From its ends
// thin lines lead to what it is taken from.
type straight struct {
	from, to         r2.Vec
	fromBody, toBody r2.Vec
	floor            bool // from is on the floor
}

// pane maps mm of a figure to px of the sheet.
type pane struct {
	scale float64 // px per mm
	x, y  float64 // of the figure's origin, px
	frame picture.Box
}

func (v pane) at(p r2.Vec) (x, y float64) { return v.x + v.scale*p.X, v.y - v.scale*p.Y }

// tapeLine is the tape as it lies on the body, hiddenLine where the body hides
// it.
var (
	tapeHalo   = picture.Stroke{Colour: picture.Paper, Width: 15}
	tapeLine   = picture.Stroke{Colour: picture.Vermilion, Width: 9}
	hiddenLine = picture.Stroke{Colour: picture.Vermilion, Width: 3.5, Dashes: []float64{6, 6}}
	rodHalo    = picture.Stroke{Colour: picture.Paper, Width: 11}
	rodLine    = picture.Stroke{Colour: picture.Vermilion, Width: 5}
	leadLine   = picture.Stroke{Colour: picture.Soft, Width: 2, Dashes: []float64{3, 5}}
	markLine   = picture.Stroke{Colour: picture.Soft, Width: 2}
	floorLine  = picture.Stroke{Colour: picture.Ink, Width: 4}
)

// within returns the pane of the window in a frame, as large as it goes, in
// the middle.
func (p placed) within(frame picture.Box) pane {
	w := p.window
	v := pane{frame: frame}
	v.scale = min((frame.Right-frame.Left)/(w[2]-w[0]), (frame.Bottom-frame.Top)/(w[3]-w[1]))
	v.x = (frame.Left+frame.Right)/2 - v.scale*(w[0]+w[2])/2
	v.y = (frame.Top+frame.Bottom)/2 + v.scale*(w[1]+w[3])/2
	return v
}

// draw draws figure and tape, and nothing outside the frame.
func (p placed) draw(s *picture.Sheet, frame picture.Box) {
	v := p.within(frame)
	s.DrawRectangle(frame.Left, frame.Top, frame.Right-frame.Left, frame.Bottom-frame.Top)
	s.Clip()
	p.on.draw(s, v)
	s.SetLineCapRound()
	p.tape.draw(s, v)
	s.SetLineCapButt()
	s.ResetClip()
	s.Line(picture.Stroke{Colour: picture.Hair, Width: 2}, frame.Left, frame.Top, frame.Right, frame.Top,
		frame.Right, frame.Bottom, frame.Left, frame.Bottom, frame.Left, frame.Top)
	s.Reserve(frame)
}

func (f figure) draw(s *picture.Sheet, v pane) {
	curve(s, v, f.outline, true)
	s.SetColor(picture.Faint)
	s.FillPreserve()
	s.Use(picture.SkinLine)
	s.Stroke()
	for _, o := range f.over {
		stroked(s, v, o, picture.SkinLine)
	}
	for _, m := range f.marks {
		stroked(s, v, m, markLine)
	}
}

// curve lays a path through points.
func curve(s *picture.Sheet, v pane, xy []float64, closed bool) {
	s.MoveTo(v.at(r2.Vec{X: xy[0], Y: xy[1]}))
	for _, c := range cubics(xy, closed) {
		x1, y1 := v.at(c[1])
		x2, y2 := v.at(c[2])
		x3, y3 := v.at(c[3])
		s.CubicTo(x1, y1, x2, y2, x3, y3)
	}
	if closed {
		s.ClosePath()
	}
}

// cubics leads a smooth curve through points by the four control points of each
// of its cubics; the slope at a point is that from its forerunner to its follower
// (Catmull and Rom 1974).
func cubics(xy []float64, closed bool) (out [][4]r2.Vec) {
	n := len(xy) / 2
	at := func(i int) r2.Vec {
		if closed {
			i = (i + n) % n
		}
		i = max(0, min(i, n-1))
		return r2.Vec{X: xy[2*i], Y: xy[2*i+1]}
	}
	last := n - 1
	if closed {
		last = n
	}
	for i := range last {
		b, c := at(i), at(i+1)
		if b == c {
			continue
		}
		out = append(out, [4]r2.Vec{b, r2.Add(b, r2.Scale(1.0/6, r2.Sub(c, at(i-1)))),
			r2.Sub(c, r2.Scale(1.0/6, r2.Sub(at(i+2), b))), c})
	}
	return out
}

// points lists the half of an ellipse between from and to that bulges by deep.
func (r round) points(deep float64) []float64 {
	const steps = 24
	middle := r2.Scale(0.5, r2.Add(r.from, r.to))
	half := r2.Sub(r.to, middle)
	side := r2.Scale(deep, r2.Unit(r2.Vec{X: half.Y, Y: -half.X}))
	var xy []float64
	for i := range steps + 1 {
		sin, cos := math.Sincos(math.Pi * float64(i) / steps)
		p := r2.Add(middle, r2.Add(r2.Scale(-cos, half), r2.Scale(sin, side)))
		xy = append(xy, p.X, p.Y)
	}
	return xy
}

func (r round) draw(s *picture.Sheet, v pane) {
	stroked(s, v, r.points(-r.deep), hiddenLine)
	stroked(s, v, r.points(r.deep), tapeHalo, tapeLine)
}

func (a along) draw(s *picture.Sheet, v pane) {
	for _, l := range a.leads {
		lead(s, v, l[0], l[1])
	}
	stroked(s, v, a.points, tapeHalo, tapeLine)
}

// lead draws a thin line from an end of the tape to what it is told by.
func lead(s *picture.Sheet, v pane, from, to r2.Vec) {
	x1, y1 := v.at(from)
	x2, y2 := v.at(to)
	s.Line(leadLine, x1, y1, x2, y2)
}

// stroked draws one curve with several strokes, one over the other.
func stroked(s *picture.Sheet, v pane, xy []float64, with ...picture.Stroke) {
	for _, st := range with {
		curve(s, v, xy, false)
		s.Use(st)
		s.Stroke()
	}
}

func (r straight) draw(s *picture.Sheet, v pane) {
	x1, y1 := v.at(r.from)
	x2, y2 := v.at(r.to)
	if r.floor {
		s.Line(floorLine, v.frame.Left+10, y1, v.frame.Right-10, y1)
	}
	lead(s, v, r.from, r.fromBody)
	lead(s, v, r.to, r.toBody)
	d := r2.Scale(10, r2.Unit(r2.Vec{X: x2 - x1, Y: y2 - y1})) // the line ends inside its arrow heads
	for _, st := range []picture.Stroke{rodHalo, rodLine} {
		s.Line(st, x1+d.X, y1+d.Y, x2-d.X, y2-d.Y)
	}
	arrowHead(s, x1, y1, x2, y2)
	arrowHead(s, x2, y2, x1, y1)
}

// arrowHead draws the head of an arrow that comes from (x, y) and ends at (tx, ty).
func arrowHead(s *picture.Sheet, x, y, tx, ty float64) {
	const long, wide = 20, 8
	d := r2.Unit(r2.Vec{X: tx - x, Y: ty - y})
	s.MoveTo(tx, ty)
	s.LineTo(tx-long*d.X-wide*d.Y, ty-long*d.Y+wide*d.X)
	s.LineTo(tx-long*d.X+wide*d.Y, ty-long*d.Y-wide*d.X)
	s.ClosePath()
	s.SetColor(picture.Vermilion)
	s.Fill()
}
