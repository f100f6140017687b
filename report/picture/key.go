package picture

import "image/color"

// legend explains, in rows under a drawing or over it, what its lines and marks
// are.
type legend struct {
	s    *sheet
	x, y float64 // of the next sample
}

// Sizes of a legend, px.
const (
	sampleWide = 58
	sampleHigh = 22
)

// explain starts a legend in a row whose middle is at y.
func (s *sheet) explain(y float64) *legend { return &legend{s: s, x: edge, y: y} }

// add writes one entry, in a new row where it does not fit. The sample is drawn
// from x on, sampleWide broad, y its middle.
func (l *legend) add(text string, sample func(x, y float64)) {
	t := note(text)
	w, _, _ := t.size()
	if l.x > edge && l.x+sampleWide+10+w > width-edge {
		l.x, l.y = edge, l.y+rowStep
	}
	sample(l.x, l.y)
	l.s.write(t, l.x+sampleWide+10, l.y, 0, 0.5)
	l.x += sampleWide + 10 + w + 36
}

// line adds an entry for a kind of line.
func (l *legend) line(text string, st stroke) {
	l.add(text, func(x, y float64) { l.s.line(st, x, y, x+sampleWide, y) })
}

// stripes adds an entry for what is hatched in a colour.
func (l *legend) stripes(text string, c color.RGBA) {
	l.add(text, func(x, y float64) {
		for px := range sampleWide {
			for py := range sampleHigh {
				if striped(px, py) {
					l.s.im.SetRGBA(int(x)+px, int(y)-sampleHigh/2+py, c)
				}
			}
		}
	})
}

// striped tells the pixels of a hatching at 45°.
func striped(x, y int) bool { return (x+y)%9 < 4 }

// bar adds a new row with a bar as long as a round number of mm, to compare
// lengths with, and returns the lower edge of the legend.
func (l *legend) bar(scale float64) (bottom float64) {
	if l.x > edge {
		l.y += rowStep
	}
	mm := barLength(scale)
	for i := range 5 {
		left, wide := edge+float64(i)*mm*scale/5, mm*scale/5
		l.s.SetDash()
		l.s.DrawRectangle(left, l.y-7, wide, 14)
		l.s.SetColor(paper)
		if i%2 == 0 {
			l.s.SetColor(ink)
		}
		l.s.FillPreserve()
		l.s.use(axisLine)
		l.s.Stroke()
	}
	l.s.write(note(tickText(mm, 1)+" mm"), edge+mm*scale+14, l.y, 0, 0.5)
	l.x, l.y = edge, l.y+rowStep
	return l.y - rowStep/2
}

// barLength is the longest of the round lengths, in mm, that stays below a
// quarter of the sheet at a scale in px per mm.
func barLength(scale float64) float64 {
	best := 1.0
	for _, mm := range []float64{2, 5, 10, 20, 50, 100, 200, 500, 1000} {
		if mm*scale <= width/4 {
			best = mm
		}
	}
	return best
}
