// Package picture is the paper that the pictures of a report are drawn on, and
// what all of them have in common: text that covers nothing, lines and colours of
// one look, axes, marks, a key, and how a picture is packed as a file. What is drawn on it
// is drawn in its rooms: solid, chart, outline and tape.
//
// Pictures are read on paper and by colour-blind people, so nothing is told by
// colour alone: lines differ in their dashes, marks in their shape. The same
// input gives the same bytes.
//
// Lengths come in as mm and angles as radians; inside a picture lengths are
// pixels, y downward.
package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"math"

	"git.sr.ht/~sbinet/gg"
)

// Box is a rectangle of the sheet, in px.
type Box struct{ Left, Top, Right, Bottom float64 }

// Meets reports whether two boxes have more than an edge in common.
func (b Box) Meets(o Box) bool {
	return b.Left < o.Right && o.Left < b.Right && b.Top < o.Bottom && o.Top < b.Bottom
}

// Within reports whether a box lies in another, edges included.
func (b Box) Within(o Box) bool {
	return b.Left >= o.Left && b.Right <= o.Right && b.Top >= o.Top && b.Bottom <= o.Bottom
}

// Grow moves all four edges outward, in px; inward where that is negative.
func (b Box) Grow(by float64) Box {
	return Box{b.Left - by, b.Top - by, b.Right + by, b.Bottom + by}
}

// Sheet is white paper to draw on. It remembers what its labels and marks
// cover, so that no label comes to lie on another.
type Sheet struct {
	*gg.Context
	Pixels *image.RGBA // what was drawn
	Labels []Label     // text that was written
	Marks  []Box       // small marks that are to be seen
	taken  []Box       // text and everything else a label must not cover
}

// NewSheet is blank paper of the one width, of a height in px.
func NewSheet(height int) *Sheet {
	im := &image.RGBA{Pix: sheetsAgain.Take(4 * Width * height), Stride: 4 * Width, Rect: image.Rect(0, 0, Width, height)}
	for y := range height {
		copy(im.Pix[y*im.Stride:], blankRow)
	}
	s := &Sheet{Context: gg.NewContextForRGBA(im), Pixels: im}
	s.SetLineCapButt()
	return s
}

// blankRow is a row of paper.
var blankRow = bytes.Repeat([]byte{Paper.R}, 4*Width)

// Write sets the text in its room, on a white halo, and remembers it.
func (s *Sheet) Write(t Script, x, y, ax, ay float64) Box {
	r := t.room(x, y, ax, ay)
	_, up, _ := t.Size()
	mask, at := t.mask(int(math.Round(r.Left)), int(math.Round(r.Top+up)))
	s.halo(mask, at)
	s.stamp(mask, at, t.colour)
	return s.wrote(t, r)
}

// stamp lays a colour through a mask.
func (s *Sheet) stamp(mask *image.Alpha, at image.Rectangle, c color.Color) {
	draw.DrawMask(s.Pixels, at, image.NewUniform(c), image.Point{}, mask, mask.Rect.Min, draw.Over)
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
func (s *Sheet) halo(mask *image.Alpha, at image.Rectangle) {
	in := at.Inset(-halo).Intersect(s.Pixels.Rect)
	for y := in.Min.Y; y < in.Max.Y; y++ {
		row := s.Pixels.Pix[s.Pixels.PixOffset(in.Min.X, y):][:4*in.Dx()]
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
		if pixel[0] == Paper.R && pixel[1] == Paper.G && pixel[2] == Paper.B {
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

// Mark sets the text without a halo, on what was drawn for it.
func (s *Sheet) Mark(t Script, x, y, ax, ay float64) Box {
	r := t.room(x, y, ax, ay)
	_, up, _ := t.Size()
	mask, at := t.mask(int(math.Round(r.Left)), int(math.Round(r.Top+up)))
	s.stamp(mask, at, t.colour)
	return s.wrote(t, r)
}

func (s *Sheet) wrote(t Script, r Box) Box {
	s.Labels = append(s.Labels, Label{r, t.text})
	s.taken = append(s.taken, r)
	return r
}

// Heading writes the title at the top of the sheet, smaller where it is long and
// cut short where that does not do.
func (s *Sheet) Heading(text string) {
	t := title(text)
	for size := TitleSize - 2.0; size >= NoteSize; size -= 2 {
		if w, _, _ := t.Size(); w <= Width-2*Edge {
			break
		}
		t.face = face(size, true)
	}
	s.Write(Shorten(t, Width-2*Edge), Edge, Edge, 0, 0)
}

// Label is text that was written, and where.
type Label struct {
	Box
	Text string
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

// Label writes t at the first spot inside where it covers nothing taken, the
// nearest spots first; false where there is none, and nothing is written.
func (s *Sheet) Label(t Script, x, y, near float64, inside Box) (Box, bool) {
	for far := near; far < near+260; far += 20 {
		for _, p := range around(x, y, far) {
			r := t.room(p.x, p.y, p.ax, p.ay)
			led := far > near+20
			if !r.Within(inside) || s.Covers(r.Grow(5)) || led && s.crosses(x, y, near-6, r) {
				continue
			}
			if led {
				s.leader(x, y, near-6, r)
			}
			return s.Write(t, p.x, p.y, p.ax, p.ay), true
		}
	}
	return Box{}, false
}

// Reserve keeps labels off what is drawn in some boxes.
func (s *Sheet) Reserve(of ...Box) { s.taken = append(s.taken, of...) }

// Covers reports whether a box lies on anything that labels are kept off.
func (s *Sheet) Covers(r Box) bool {
	for _, b := range s.taken {
		if r.Meets(b) {
			return true
		}
	}
	return false
}

// Trim cuts off the empty paper below what was drawn, down to the margin, so
// that a sheet is neither cut short nor longer than it need be.
func (s *Sheet) Trim() *Sheet {
	b := s.Pixels.Bounds()
	last := b.Max.Y - 1
	for ; last > 0; last-- {
		row := s.Pixels.Pix[last*s.Pixels.Stride : last*s.Pixels.Stride+4*b.Dx()]
		if !bytes.HasPrefix(blankRow, row) {
			break
		}
	}
	s.Pixels = s.Pixels.SubImage(image.Rect(0, 0, b.Dx(), min(b.Max.Y, last+1+Edge))).(*image.RGBA)
	return s
}

// leader draws a thin line from the edge of a mark, a radius away from its
// middle, to the label that speaks of it.
func (s *Sheet) leader(x, y, radius float64, to Box) {
	s.Line(leaderLine, lead(x, y, radius, to)...)
}

// lead returns the ends of a leader.
func lead(x, y, radius float64, to Box) []float64 {
	tx, ty := min(max(x, to.Left), to.Right), min(max(y, to.Top), to.Bottom)
	share := radius / max(radius, math.Hypot(tx-x, ty-y))
	return []float64{x + (tx-x)*share, y + (ty-y)*share, tx, ty}
}

// crosses reports whether a leader would run over text.
func (s *Sheet) crosses(x, y, radius float64, to Box) bool {
	l := lead(x, y, radius, to)
	for k := range 40 {
		share := float64(k) / 39
		px, py := l[0]+(l[2]-l[0])*share, l[1]+(l[3]-l[1])*share
		for _, w := range s.Labels {
			if (Box{px, py, px, py}).Meets(w.Grow(6)) {
				return true
			}
		}
	}
	return false
}

// Use sets colour, width and dashes for what is stroked next.
func (s *Sheet) Use(st Stroke) {
	s.SetColor(st.Colour)
	s.SetLineWidth(st.Width)
	s.SetDash(st.Dashes...)
}

// Line draws the run of points x0, y0, x1, y1, … .
func (s *Sheet) Line(st Stroke, xy ...float64) {
	s.Use(st)
	for i := 0; i+1 < len(xy); i += 2 {
		s.LineTo(xy[i], xy[i+1])
	}
	s.Stroke()
}

// Crisp moves a place to the middle of its pixel, so that a thin line along
// the sheet stays sharp.
func Crisp(v float64) float64 { return math.Floor(v) + 0.5 }

// Take keeps labels off a run of points: boxes of the given half width, spaced
// closely enough that no label slips between them.
func (s *Sheet) Take(half float64, xy ...float64) {
	for i := 0; i+3 < len(xy); i += 2 {
		n := math.Ceil(math.Hypot(xy[i+2]-xy[i], xy[i+3]-xy[i+1])/(2*half)) + 1
		for k := 0.0; k <= n; k++ {
			x, y := xy[i]+(xy[i+2]-xy[i])*k/n, xy[i+1]+(xy[i+3]-xy[i+1])*k/n
			s.taken = append(s.taken, Box{x - half, y - half, x + half, y + half})
		}
	}
}
