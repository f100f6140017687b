package picture

import (
	"image"
	"image/color"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
)

// Script is text in one size, ready to be measured and written.
type Script struct {
	text   string
	face   font.Face
	colour color.Color
}

// Plain is most of the text in a picture.
func Plain(text string) Script { return Script{text, face(textSize, false), Ink} }

// Note is small and grey: axes, keys, what is said beside.
func Note(text string) Script { return Script{text, face(NoteSize, false), Soft} }

// Strong is bold: what is measured.
func Strong(text string) Script { return Script{text, face(textSize, true), Ink} }

// Firm is bold and as small as a note.
func Firm(text string) Script { return Script{text, face(NoteSize, true), Ink} }

func title(text string) Script { return Script{text, face(TitleSize, true), Ink} }

// Size returns width, height above the baseline and depth below it.
func (t Script) Size() (w, up, down float64) {
	m := t.face.Metrics()
	return px(font.MeasureString(t.face, t.text)), px(m.Ascent) * 0.82, px(m.Descent)
}

// room is the box of the text when the point (x, y) lies at the share (ax, ay)
// of it: (0, 0) is its top left corner, (1, 1) its bottom right one.
func (t Script) room(x, y, ax, ay float64) Box {
	w, up, down := t.Size()
	left, top := x-ax*w, y-ay*(up+down)
	return Box{left, top, left + w, top + up + down}
}

// mask draws the text once, with its baseline starting at (x, y), and returns
// where on the sheet it lies.
func (t Script) mask(x, y int) (*image.Alpha, image.Rectangle) {
	w, _, _ := t.Size()
	m := t.face.Metrics()
	const spare = 4 // a letter may reach over
	at := image.Rect(x-spare, y-m.Ascent.Ceil()-spare, x+int(w)+2*spare, y+m.Descent.Ceil()+spare)
	mask := image.NewAlpha(at)
	dot, before := fixed.P(x, y), rune(-1)
	for _, letter := range t.text {
		if before >= 0 {
			dot.X += t.face.Kern(before, letter)
		}
		where, form, from, advance, _ := t.face.Glyph(dot, letter)
		if form, ok := form.(*image.Alpha); ok {
			cover(mask, where, form, from)
		}
		dot.X += advance
		before = letter
	}
	return mask, at
}

// cover adds a letter to a mask. It does what image/draw does with two masks, where
// that has no quick way.
func cover(mask *image.Alpha, where image.Rectangle, form *image.Alpha, from image.Point) {
	in := where.Intersect(mask.Rect)
	from = from.Add(in.Min.Sub(where.Min))
	for y := range in.Dy() {
		to := mask.Pix[mask.PixOffset(in.Min.X, in.Min.Y+y):]
		for x, share := range form.Pix[form.PixOffset(from.X, from.Y+y):][:in.Dx()] {
			if share > 0 {
				to[x] = over(to[x], share)
			}
		}
	}
}

// over is what comes of a value that a share of 255 is laid over, as image/draw
// rounds it.
func over(value, share uint8) uint8 {
	const all, wide = 0xffff, 0x101 // from 8 bits to 16
	s := wide * uint32(share)
	return uint8((wide*uint32(value)*(all-s) + all*s) / all >> 8)
}

// Wrapped breaks words into lines of at most a width in px; a word that is wider
// stands alone, and a number keeps its unit.
func Wrapped(words string, set func(string) Script, wide float64) []Script {
	var lines []Script
	line := ""
	var whole []string
	for _, word := range strings.Fields(words) {
		if n := len(whole); n > 0 && (strings.HasPrefix(word, "mm") || strings.HasPrefix(word, "%")) {
			whole[n-1] += " " + word
			continue
		}
		whole = append(whole, word)
	}
	for _, word := range whole {
		longer := strings.TrimSpace(line + " " + word)
		if w, _, _ := set(longer).Size(); w > wide && line != "" {
			lines = append(lines, set(line))
			longer = word
		}
		line = longer
	}
	if line != "" {
		lines = append(lines, set(line))
	}
	return lines
}

func px(v fixed.Int26_6) float64 { return float64(v) / 64 }

// Shorten cuts a text that is wider than it may be.
func Shorten(t Script, most float64) Script {
	full := []rune(t.text)
	for n := len(full) - 1; n > 0; n-- {
		if w, _, _ := t.Size(); w <= most {
			return t
		}
		t.text = string(full[:n]) + "…"
	}
	return t
}
