// Package picture draws the pictures of a report: girths along a part,
// sections to scale, the part itself. They are read on paper and by
// colour-blind people, so nothing is told by colour alone: lines differ in
// their dashes, marks in their shape. The same input gives the same bytes.
//
// Lengths come in as mm and angles as radians; inside a picture lengths are
// pixels, y downward.
package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"strings"
	"sync"

	"git.sr.ht/~sbinet/gg"
	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
)

// box is a rectangle of the sheet, in px.
type box struct{ left, top, right, bottom float64 }

func (b box) meets(o box) bool {
	return b.left < o.right && o.left < b.right && b.top < o.bottom && o.top < b.bottom
}

func (b box) within(o box) bool {
	return b.left >= o.left && b.right <= o.right && b.top >= o.top && b.bottom <= o.bottom
}

func (b box) grow(by float64) box {
	return box{b.left - by, b.top - by, b.right + by, b.bottom + by}
}

// sheet is white paper to draw on. It remembers what its labels and marks
// cover, so that no label comes to lie on another.
type sheet struct {
	*gg.Context
	im     *image.RGBA
	labels []label // text that was written
	marks  []box   // small marks that are to be seen
	taken  []box   // text and everything else a label must not cover
}

func newSheet(height int) *sheet {
	im := &image.RGBA{Pix: sheetsAgain.Take(4 * width * height), Stride: 4 * width, Rect: image.Rect(0, 0, width, height)}
	for y := range height {
		copy(im.Pix[y*im.Stride:], blankRow)
	}
	s := &sheet{Context: gg.NewContextForRGBA(im), im: im}
	s.SetLineCapButt()
	return s
}

// blankRow is a row of paper.
var blankRow = bytes.Repeat([]byte{paper.R}, 4*width)

// script is text in one size, ready to be measured and written.
type script struct {
	text   string
	face   font.Face
	colour color.Color
}

func plain(text string) script  { return script{text, face(textSize, false), ink} }
func note(text string) script   { return script{text, face(noteSize, false), soft} }
func strong(text string) script { return script{text, face(textSize, true), ink} }
func title(text string) script  { return script{text, face(titleSize, true), ink} }

// size returns width, height above the baseline and depth below it.
func (t script) size() (w, up, down float64) {
	m := t.face.Metrics()
	return px(font.MeasureString(t.face, t.text)), px(m.Ascent) * 0.82, px(m.Descent)
}

// room is the box of the text when the point (x, y) lies at the share (ax, ay)
// of it: (0, 0) is its top left corner, (1, 1) its bottom right one.
func (t script) room(x, y, ax, ay float64) box {
	w, up, down := t.size()
	left, top := x-ax*w, y-ay*(up+down)
	return box{left, top, left + w, top + up + down}
}

// write sets the text in its room, on a white halo, and remembers it.
func (s *sheet) write(t script, x, y, ax, ay float64) box {
	r := t.room(x, y, ax, ay)
	_, up, _ := t.size()
	mask, at := t.mask(int(math.Round(r.left)), int(math.Round(r.top+up)))
	s.halo(mask, at)
	s.stamp(mask, at, t.colour)
	return s.wrote(t, r)
}

// stamp lays a colour through a mask.
func (s *sheet) stamp(mask *image.Alpha, at image.Rectangle, c color.Color) {
	draw.DrawMask(s.im, at, image.NewUniform(c), image.Point{}, mask, mask.Rect.Min, draw.Over)
}

// beside8 are the eight places round a letter where paper in its form makes its halo.
var beside8 = func() (places [8]image.Point) {
	for turn := range places {
		sin, cos := math.Sincos(float64(turn) * math.Pi / 4)
		places[turn] = image.Pt(int(math.Round(halo*cos)), int(math.Round(halo*sin)))
	}
	return places
}()

// halo lays paper round what is to come through a mask: as stamping it at eight
// places would, but only where something is drawn. Most text is not on a drawing.
func (s *sheet) halo(mask *image.Alpha, at image.Rectangle) {
	in := at.Inset(-halo).Intersect(s.im.Rect)
	for y := in.Min.Y; y < in.Max.Y; y++ {
		row := s.im.Pix[s.im.PixOffset(in.Min.X, y):][:4*in.Dx()]
		if bytes.HasPrefix(blankRow, row) {
			continue
		}
		for x := in.Min.X; x < in.Max.X; x, row = x+1, row[4:] {
			whiten(row[:3:3], mask, at, image.Pt(x, y))
		}
	}
}

// whiten lays paper on one pixel through a mask at each of the eight places.
func whiten(pixel []uint8, mask *image.Alpha, at image.Rectangle, here image.Point) {
	for _, by := range beside8 {
		if pixel[0] == paper.R && pixel[1] == paper.G && pixel[2] == paper.B {
			return
		}
		from := here.Sub(by)
		if !from.In(at) {
			continue
		}
		if share := mask.Pix[mask.PixOffset(from.X, from.Y)]; share > 0 {
			for i := range pixel {
				pixel[i] = over(pixel[i], share)
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

// mark sets the text without a halo, on what was drawn for it.
func (s *sheet) mark(t script, x, y, ax, ay float64) box {
	r := t.room(x, y, ax, ay)
	_, up, _ := t.size()
	mask, at := t.mask(int(math.Round(r.left)), int(math.Round(r.top+up)))
	s.stamp(mask, at, t.colour)
	return s.wrote(t, r)
}

func (s *sheet) wrote(t script, r box) box {
	s.labels = append(s.labels, label{r, t.text})
	s.taken = append(s.taken, r)
	return r
}

// mask draws the text once, with its baseline starting at (x, y), and returns
// where on the sheet it lies.
func (t script) mask(x, y int) (*image.Alpha, image.Rectangle) {
	w, _, _ := t.size()
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

// heading writes the title at the top of the sheet, smaller where it is long and
// cut short where that does not do.
func (s *sheet) heading(text string) {
	t := title(text)
	for size := titleSize - 2.0; size >= noteSize; size -= 2 {
		if w, _, _ := t.size(); w <= width-2*edge {
			break
		}
		t.face = face(size, true)
	}
	s.write(shorten(t, width-2*edge), edge, edge, 0, 0)
}

// wrapped breaks words into lines of at most a width in px; a word that is wider
// stands alone, and a number keeps its unit.
func wrapped(words string, set func(string) script, wide float64) []script {
	var lines []script
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
		if w, _, _ := set(longer).size(); w > wide && line != "" {
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

// label is text that was written, and where.
type label struct {
	box
	text string
}

// spot is a place that a label may take: the point, and the share of the label
// that lies on it.
type spot struct{ x, y, ax, ay float64 }

// around lists the spots at a distance round a point, the likeliest first.
func around(x, y, far float64) []spot {
	d := far * math.Sqrt2 / 2
	return []spot{
		{x, y + far, 0.5, 0}, {x, y - far, 0.5, 1}, {x + far, y, 0, 0.5}, {x - far, y, 1, 0.5},
		{x + d, y + d, 0, 0}, {x - d, y + d, 1, 0}, {x + d, y - d, 0, 1}, {x - d, y - d, 1, 1},
	}
}

// label writes t at the first spot inside where it covers nothing taken, the
// nearest spots first; false where there is none, and nothing is written.
func (s *sheet) label(t script, x, y, near float64, inside box) (box, bool) {
	for far := near; far < near+260; far += 20 {
		for _, p := range around(x, y, far) {
			r := t.room(p.x, p.y, p.ax, p.ay)
			led := far > near+20
			if !r.within(inside) || s.covers(r.grow(5)) || led && s.crosses(x, y, near-6, r) {
				continue
			}
			if led {
				s.leader(x, y, near-6, r)
			}
			return s.write(t, p.x, p.y, p.ax, p.ay), true
		}
	}
	return box{}, false
}

func (s *sheet) covers(r box) bool {
	for _, b := range s.taken {
		if r.meets(b) {
			return true
		}
	}
	return false
}

// trim cuts off the empty paper below what was drawn, down to the margin, so
// that a sheet is neither cut short nor longer than it need be.
func (s *sheet) trim() *sheet {
	b := s.im.Bounds()
	last := b.Max.Y - 1
	for ; last > 0; last-- {
		row := s.im.Pix[last*s.im.Stride : last*s.im.Stride+4*b.Dx()]
		if !bytes.HasPrefix(blankRow, row) {
			break
		}
	}
	s.im = s.im.SubImage(image.Rect(0, 0, b.Dx(), min(b.Max.Y, last+1+edge))).(*image.RGBA)
	return s
}

// leader draws a thin line from the edge of a mark, a radius away from its
// middle, to the label that speaks of it.
func (s *sheet) leader(x, y, radius float64, to box) {
	s.line(leaderLine, lead(x, y, radius, to)...)
}

// lead returns the ends of a leader.
func lead(x, y, radius float64, to box) []float64 {
	tx, ty := min(max(x, to.left), to.right), min(max(y, to.top), to.bottom)
	share := radius / max(radius, math.Hypot(tx-x, ty-y))
	return []float64{x + (tx-x)*share, y + (ty-y)*share, tx, ty}
}

// crosses reports whether a leader would run over text.
func (s *sheet) crosses(x, y, radius float64, to box) bool {
	l := lead(x, y, radius, to)
	for k := range 40 {
		share := float64(k) / 39
		px, py := l[0]+(l[2]-l[0])*share, l[1]+(l[3]-l[1])*share
		for _, w := range s.labels {
			if (box{px, py, px, py}).meets(w.grow(6)) {
				return true
			}
		}
	}
	return false
}

func (s *sheet) use(st stroke) {
	s.SetColor(st.colour)
	s.SetLineWidth(st.width)
	s.SetDash(st.dashes...)
}

// line draws the run of points x0, y0, x1, y1, … .
func (s *sheet) line(st stroke, xy ...float64) {
	s.use(st)
	for i := 0; i+1 < len(xy); i += 2 {
		s.LineTo(xy[i], xy[i+1])
	}
	s.Stroke()
}

// crisp moves a place to the middle of its pixel, so that a thin line along
// the sheet stays sharp.
func crisp(v float64) float64 { return math.Floor(v) + 0.5 }

// take keeps labels off a run of points: boxes of the given half width, spaced
// closely enough that no label slips between them.
func (s *sheet) take(half float64, xy ...float64) {
	for i := 0; i+3 < len(xy); i += 2 {
		n := math.Ceil(math.Hypot(xy[i+2]-xy[i], xy[i+3]-xy[i+1])/(2*half)) + 1
		for k := 0.0; k <= n; k++ {
			x, y := xy[i]+(xy[i+2]-xy[i])*k/n, xy[i+1]+(xy[i+3]-xy[i+1])*k/n
			s.taken = append(s.taken, box{x - half, y - half, x + half, y + half})
		}
	}
}

// PNG encodes a picture in the colours of our one look: greys and the ramps
// from paper to blue and to vermilion, one byte a pixel, which takes a quarter
// of the time and a third of the bytes of full colour. The bytes depend on
// nothing but the pixels.
func PNG(im *image.RGBA) ([]byte, error) {
	b := im.Bounds()
	out := &image.Paletted{Pix: inksAgain.Take(b.Dx() * b.Dy()), Stride: b.Dx(), Rect: image.Rect(0, 0, b.Dx(), b.Dy()), Palette: inks()}
	defer inksAgain.Give(out.Pix)
	for y := range b.Dy() {
		from, to := im.Pix[y*im.Stride:], out.Pix[y*out.Stride:]
		for x := 0; x < b.Dx(); {
			n := min(stretch, b.Dx()-x)
			if bytes.HasPrefix(blankRow, from[4*x:4*(x+n)]) { // as most of them
				x += copy(to[x:], blankInks[:n])
				continue
			}
			for ; n > 0; n, x = n-1, x+1 {
				if p := from[4*x : 4*x+3 : 4*x+3]; p[0] == p[1] && p[1] == p[2] {
					to[x] = greyInks[p[1]]
				} else {
					to[x] = nearest(p[0], p[1], p[2])
				}
			}
		}
	}
	var file bytes.Buffer
	err := packer.Encode(&file, out)
	return file.Bytes(), err
}

// packer takes half the time of the usual one, for files a sixth larger. It keeps
// its room from one picture to the next.
var packer = png.Encoder{CompressionLevel: png.BestSpeed, BufferPool: &packerRooms{}}

type packerRooms struct{ sync.Pool }

func (r *packerRooms) Get() *png.EncoderBuffer {
	room, _ := r.Pool.Get().(*png.EncoderBuffer)
	return room
}

func (r *packerRooms) Put(room *png.EncoderBuffer) { r.Pool.Put(room) }

// stretch is how many pixels are asked at once whether they are paper. 8 and 40 are no
// quicker (tried).
const stretch = 16

// greyInks are the inks of all greys.
var greyInks = func() (all [256]uint8) {
	for grey := range all {
		all[grey] = nearest(uint8(grey), uint8(grey), uint8(grey))
	}
	return all
}()

// blankInks is a row of paper in inks.
var blankInks = bytes.Repeat([]byte{greys - 1}, width)

// Steps of the three ramps: greys, then blues, then vermilions. Twice as many make
// files a ninth larger, and are not seen (tried).
const (
	greys = 64
	tints = 32
)

func inks() color.Palette {
	p := make(color.Palette, 0, greys+2*tints)
	for i := range greys {
		v := uint8(i * 255 / (greys - 1))
		p = append(p, color.RGBA{v, v, v, 255})
	}
	for _, full := range []color.RGBA{blue, vermilion} {
		for i := 1; i <= tints; i++ {
			mix := func(c uint8) uint8 { return uint8(255 - (255-int(c))*i/tints) }
			p = append(p, color.RGBA{mix(full.R), mix(full.G), mix(full.B), 255})
		}
	}
	return p
}

// nearest returns the index of the ink for a colour. A tint is told by the
// channel that its full colour has none of: red for blue, blue for vermilion.
func nearest(r, g, b uint8) uint8 {
	most, least := max(r, g, b), min(r, g, b)
	if most-least < 8 {
		return uint8((int(g)*(greys-1) + 127) / 255)
	}
	share, at := 255-int(r), greys
	if r > b {
		share, at = 255-int(b), greys+tints
	}
	return uint8(at + max(0, (share*tints+127)/255-1))
}

func px(v fixed.Int26_6) float64 { return float64(v) / 64 }
