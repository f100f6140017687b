package picture

import "math"

// Sizes of marks, px.
const (
	DiscSize = 19 // radius of a numbered disc
	BarWide  = 34 // of the bar that stands for a girth of the body
)

// Disc writes a short name in a circle.
func (s *Sheet) Disc(name string, x, y float64) {
	s.SetDash()
	s.DrawCircle(x, y, DiscSize)
	s.SetColor(Paper)
	s.FillPreserve()
	s.Use(Stroke{Colour: Ink, Width: 3})
	s.Stroke()
	t := Firm(name)
	if len(name) > 1 {
		t.face = face(NoteSize*0.82, true)
	}
	r := s.Mark(t, x, y, 0.5, 0.42)
	s.Reserve(r, Box{x - DiscSize, y - DiscSize, x + DiscSize, y + DiscSize})
}

// DiscOn writes a disc on a level line, as near to a place as nothing else is
// covered; false where all of the line is taken.
func (s *Sheet) DiscOn(name string, x, y float64, inside Box) bool {
	for k := range 14 { // now left, now right of the place, but not far from it
		px := x + float64((k+1)/2)*20*float64(1-2*(k%2))
		room := Box{px - DiscSize, y - DiscSize, px + DiscSize, y + DiscSize}
		if room.Within(inside) && !s.Covers(room.Grow(3)) {
			s.Disc(name, px, y)
			return true
		}
	}
	return false
}

// DiscNear writes a disc at the nearest free place round a point.
func (s *Sheet) DiscNear(name string, x, y float64, inside Box) {
	for far := DiscSize + 8.0; far < 260; far += 14 {
		for k := range 12 {
			sin, cos := math.Sincos(-math.Pi/2 + float64((k+1)/2)*math.Pi/6*float64(1-2*(k%2)))
			px, py := x+(far+BarWide/2*math.Abs(cos))*cos, y+far*sin
			room := Box{px - DiscSize, py - DiscSize, px + DiscSize, py + DiscSize}
			if !room.Within(inside) || s.Covers(room.Grow(2)) {
				continue
			}
			if far > DiscSize+30 {
				s.leader(x, y, 0, room)
			}
			s.Disc(name, px, py)
			return
		}
	}
}

// Badge writes a letter in a circle, with a stem to the place it names.
func (s *Sheet) Badge(name string, x, y, stemX, stemY float64) {
	s.Line(HaloLine, stemX, stemY, x, y)
	s.Line(Stroke{Colour: Ink, Width: 3}, stemX, stemY, x, y)
	s.Disc(name, x, y)
}

// Arrow draws a line with a head at either end.
func (s *Sheet) Arrow(x0, y0, x1, y1 float64) {
	s.Line(Stroke{Colour: Ink, Width: 2}, x0, y0, x1, y1)
	far := math.Hypot(x1-x0, y1-y0)
	if far < 1 {
		return
	}
	ux, uy := (x1-x0)/far, (y1-y0)/far
	for _, e := range [][3]float64{{x0, y0, 1}, {x1, y1, -1}} {
		bx, by := e[0]+e[2]*14*ux, e[1]+e[2]*14*uy
		s.MoveTo(e[0], e[1])
		s.LineTo(bx-5*uy, by+5*ux)
		s.LineTo(bx+5*uy, by-5*ux)
		s.ClosePath()
		s.SetColor(Ink)
		s.Fill()
	}
}
