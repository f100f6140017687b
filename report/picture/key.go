package picture

import "image/color"

// Legend explains, in rows under a drawing or over it, what its lines and marks
// are.
type Legend struct {
	s    *Sheet
	x, Y float64 // of the next sample
}

// Sizes of a legend, px.
const (
	SampleWide = 58
	SampleHigh = 22
)

// Explain starts a legend in a row whose middle is at y.
func (s *Sheet) Explain(y float64) *Legend { return &Legend{s: s, x: Edge, Y: y} }

// Add writes one entry, in a new row where it does not fit. The sample is drawn
// from x on, SampleWide broad, y its middle.
func (l *Legend) Add(text string, sample func(x, y float64)) {
	t := Note(text)
	w, _, _ := t.Size()
	if l.x > Edge && l.x+SampleWide+10+w > Width-Edge {
		l.x, l.Y = Edge, l.Y+RowStep
	}
	sample(l.x, l.Y)
	l.s.Write(t, l.x+SampleWide+10, l.Y, 0, 0.5)
	l.x += SampleWide + 10 + w + 36
}

// Line adds an entry for a kind of line.
func (l *Legend) Line(text string, st Stroke) {
	l.Add(text, func(x, y float64) { l.s.Line(st, x, y, x+SampleWide, y) })
}

// Stripes adds an entry for what is hatched in a colour.
func (l *Legend) Stripes(text string, c color.RGBA) {
	l.Add(text, func(x, y float64) {
		for px := range SampleWide {
			for py := range SampleHigh {
				if Striped(px, py) {
					l.s.Pixels.SetRGBA(int(x)+px, int(y)-SampleHigh/2+py, c)
				}
			}
		}
	})
}

// Striped tells the pixels of a hatching at 45°.
func Striped(x, y int) bool { return (x+y)%9 < 4 }

// Bar adds a new row with a bar as long as a round number of mm, to compare
// lengths with, and returns the lower edge of the legend.
func (l *Legend) Bar(scale float64) (bottom float64) {
	if l.x > Edge {
		l.Y += RowStep
	}
	mm := BarLength(scale)
	for i := range 5 {
		left, wide := Edge+float64(i)*mm*scale/5, mm*scale/5
		l.s.SetDash()
		l.s.DrawRectangle(left, l.Y-7, wide, 14)
		l.s.SetColor(Paper)
		if i%2 == 0 {
			l.s.SetColor(Ink)
		}
		l.s.FillPreserve()
		l.s.Use(AxisLine)
		l.s.Stroke()
	}
	l.s.Write(Note(TickText(mm, 1)+" mm"), Edge+mm*scale+14, l.Y, 0, 0.5)
	l.x, l.Y = Edge, l.Y+RowStep
	return l.Y - RowStep/2
}

// BarLength is the longest of the round lengths, in mm, that stays below a
// quarter of the sheet at a scale in px per mm.
func BarLength(scale float64) float64 {
	best := 1.0
	for _, mm := range []float64{2, 5, 10, 20, 50, 100, 200, 500, 1000} {
		if mm*scale <= Width/4 {
			best = mm
		}
	}
	return best
}
