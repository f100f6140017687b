package outline

import (
	"math"

	"gambeson/analysis"
	"gambeson/report/picture"

	"gonum.org/v1/gonum/spatial/r2"
)

// skin is the body's outline as a run of points, out of which so many mm of
// padding stand.
func (o outline) skin(padding float64) analysis.Polyline {
	if o.Body == nil {
		return analysis.Polyline{}
	}
	run := analysis.Polyline{Closed: true}
	for i := range 180 {
		p, out := o.Body.Skin.At(float64(i) * math.Pi / 90)
		run.Points = append(run.Points, r2.Add(p, r2.Scale(padding, out)))
	}
	return run
}

// padded is the outline of the body with its padding.
func (o outline) padded() analysis.Polyline {
	if o.Body == nil {
		return analysis.Polyline{}
	}
	return o.skin(o.Body.Padding)
}

// apart reports whether the greatest ellipse is to be seen beside the loop of the
// air: with the body between them a third line would only blur the two.
func (o outline) apart() bool {
	if o.Room == nil || o.Body == nil {
		return o.Room != nil
	}
	round := 0.0
	for i, p := range o.Void {
		round += r2.Norm(r2.Sub(o.Void[(i+1)%len(o.Void)], p))
	}
	return math.Abs(round-o.Body.Has) > 0.01*o.Body.Has
}

// fillBody shades the body; grid and walls show through.
func (o outline) fillBody(s *picture.Sheet, w view) {
	s.SetDash()
	trace(s, o.skin(0), w)
	s.SetRGBA(0, 0, 0, 0.1)
	s.Fill()
}

// drawBody draws the outlines of the body and of its padding.
func (o outline) drawBody(s *picture.Sheet, w view) {
	trace(s, o.skin(0), w)
	s.Use(picture.SkinLine)
	s.Stroke()
	trace(s, o.padded(), w)
	s.Use(padLine)
	s.Stroke()
}

// drawGaps writes the gaps between the padded body and the wall where they are
// least and greatest.
func (o outline) drawGaps(s *picture.Sheet, w view, also picture.Also) {
	if o.Body == nil {
		return
	}
	keepOff(s, o.padded(), w)
	keepOff(s, o.skin(0), w)
	keepOff(s, o.void(), w)
	for _, l := range o.Walls {
		keepOff(s, l, w)
	}
	for i, g := range o.Body.Gaps {
		if i > 0 && g.Gap-o.Body.Gaps[0].Gap < 1 {
			return // as good as the same
		}
		x0, y0 := w.at(g.From)
		x1, y1 := w.at(g.To)
		s.Line(picture.Stroke{Colour: picture.Paper, Width: 14}, x0, y0, x1, y1)
		s.Line(picture.Stroke{Colour: picture.Ink, Width: 7}, x0, y0, x1, y1)
		if math.Hypot(x1-x0, y1-y0) < 24 { // hard to see
			s.SetDash()
			s.DrawCircle((x0+x1)/2, (y0+y1)/2, 16)
			s.Use(picture.Stroke{Colour: picture.Ink, Width: 3})
			s.Stroke()
		}
		text := "gap "
		if g.Gap < 0 {
			text = "too large by "
		}
		said(s, text, also.After(picture.MM1(math.Abs(g.Gap)), math.Abs(g.Gap)), (x0+x1)/2, (y0+y1)/2, w.frame.Grow(-6))
	}
}

// said labels a place with words and a length, smaller where there is little room,
// and with the length alone where there is less.
func said(s *picture.Sheet, words, length string, x, y float64, inside picture.Box) {
	for _, t := range []picture.Script{picture.Strong(words + length), picture.Firm(words + length), picture.Firm(length)} {
		if _, ok := s.Label(t, x, y, 20, inside); ok {
			return
		}
	}
}

// keepOff keeps labels off a loop.
func keepOff(s *picture.Sheet, l analysis.Polyline, w view) {
	var xy []float64
	for _, p := range l.Points {
		x, y := w.at(p)
		if n := len(xy); n >= 2 && math.Hypot(x-xy[n-2], y-xy[n-1]) < 12 {
			continue // close enough for a label
		}
		xy = append(xy, x, y)
	}
	s.Take(6, xy...)
}
