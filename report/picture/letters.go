package picture

import (
	"image"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
)

// letters is a face that keeps the forms of the letters it has drawn: a report
// writes the same ones again and again, and drawing one from its outline takes longer
// than laying it down. Several may write with it at once.
type letters struct {
	lock  sync.Mutex
	face  font.Face
	forms map[form]drawn
}

// form is a letter and where in its pixel it starts: two with the same differ by
// whole pixels only.
type form struct {
	letter rune
	x, y   fixed.Int26_6 // 0 to 63
}

// drawn is a form, and where it lies when its pixel is (0, 0).
type drawn struct {
	where   image.Rectangle
	mask    *image.Alpha
	advance fixed.Int26_6
	ok      bool
}

// mostForms of a face are kept, somewhat less than 1 MB: a guess, more than twice as
// many as the reports of the demo draw of any face.
const mostForms = 3000

// Glyph is that of font.Face.
func (l *letters) Glyph(dot fixed.Point26_6, letter rune) (where image.Rectangle, mask image.Image, from image.Point, advance fixed.Int26_6, ok bool) {
	l.lock.Lock()
	defer l.lock.Unlock()
	key := form{letter, dot.X & 63, dot.Y & 63}
	d, known := l.forms[key]
	if !known {
		d = l.draw(key)
		if len(l.forms) >= mostForms {
			clear(l.forms)
		}
		l.forms[key] = d
	}
	return d.where.Add(image.Pt(dot.X.Floor(), dot.Y.Floor())), d.mask, image.Point{}, d.advance, d.ok
}

// draw draws a letter; the face itself draws all of them in the same place.
func (l *letters) draw(of form) drawn {
	where, mask, from, advance, ok := l.face.Glyph(fixed.Point26_6{X: of.x, Y: of.y}, of.letter)
	d := drawn{where: where, mask: image.NewAlpha(image.Rectangle{Max: where.Size()}), advance: advance, ok: ok}
	if mask, is := mask.(*image.Alpha); is {
		cover(d.mask, d.mask.Rect, mask, from)
	}
	return d
}

// GlyphAdvance is that of font.Face.
func (l *letters) GlyphAdvance(letter rune) (fixed.Int26_6, bool) {
	l.lock.Lock()
	defer l.lock.Unlock()
	return l.face.GlyphAdvance(letter)
}

// GlyphBounds is that of font.Face.
func (l *letters) GlyphBounds(letter rune) (fixed.Rectangle26_6, fixed.Int26_6, bool) {
	l.lock.Lock()
	defer l.lock.Unlock()
	return l.face.GlyphBounds(letter)
}

// Kern is that of font.Face.
func (l *letters) Kern(before, letter rune) fixed.Int26_6 {
	l.lock.Lock()
	defer l.lock.Unlock()
	return l.face.Kern(before, letter)
}

// Metrics is that of font.Face.
func (l *letters) Metrics() font.Metrics {
	l.lock.Lock()
	defer l.lock.Unlock()
	return l.face.Metrics()
}

// Close is that of font.Face.
func (l *letters) Close() error { return l.face.Close() }
