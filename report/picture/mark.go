package picture

import "math"

const discSize = 19 // radius of a numbered disc, px

// disc writes a short name in a circle.
func (s *sheet) disc(name string, x, y float64) {
	s.SetDash()
	s.DrawCircle(x, y, discSize)
	s.SetColor(paper)
	s.FillPreserve()
	s.use(stroke{colour: ink, width: 3})
	s.Stroke()
	t := script{name, face(noteSize, true), ink}
	if len(name) > 1 {
		t.face = face(noteSize*0.82, true)
	}
	r := s.mark(t, x, y, 0.5, 0.42)
	s.taken = append(s.taken, r, box{x - discSize, y - discSize, x + discSize, y + discSize})
}

// discOn writes a disc on a level line, as near to a place as nothing else is
// covered; false where all of the line is taken.
func (s *sheet) discOn(name string, x, y float64, inside box) bool {
	for k := range 14 { // now left, now right of the place, but not far from it
		px := x + float64((k+1)/2)*20*float64(1-2*(k%2))
		room := box{px - discSize, y - discSize, px + discSize, y + discSize}
		if room.within(inside) && !s.covers(room.grow(3)) {
			s.disc(name, px, y)
			return true
		}
	}
	return false
}

// discNear writes a disc at the nearest free place round a point.
func (s *sheet) discNear(name string, x, y float64, inside box) {
	for far := discSize + 8.0; far < 260; far += 14 {
		for k := range 12 {
			sin, cos := math.Sincos(-math.Pi/2 + float64((k+1)/2)*math.Pi/6*float64(1-2*(k%2)))
			px, py := x+(far+barWide/2*math.Abs(cos))*cos, y+far*sin
			room := box{px - discSize, py - discSize, px + discSize, py + discSize}
			if !room.within(inside) || s.covers(room.grow(2)) {
				continue
			}
			if far > discSize+30 {
				s.leader(x, y, 0, room)
			}
			s.disc(name, px, py)
			return
		}
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

// badge writes a letter in a circle, with a stem to the place it names.
func (s *sheet) badge(name string, x, y, stemX, stemY float64) {
	s.line(haloLine, stemX, stemY, x, y)
	s.line(stroke{colour: ink, width: 3}, stemX, stemY, x, y)
	s.disc(name, x, y)
}
