package picture

import (
	"image/color"
	"math"
)

// Rule draws the line from x0, y0 to x1, y1 as Line does, and sooner where it lies
// along the sheet and has no dashes, as most lines of a grid. It heeds no clip and no
// round ends.
func (s *Sheet) Rule(st Stroke, xy ...float64) {
	x0, y0, x1, y1 := xy[0], xy[1], xy[2], xy[3]
	left, top, right, bottom := fixed6(min(x0, x1)), fixed6(min(y0, y1)), fixed6(max(x0, x1)), fixed6(max(y0, y1))
	half := fixed6(st.Width) / 2
	switch {
	case len(st.Dashes) > 0 || (left == right) == (top == bottom):
		s.Line(st, xy...)
		return
	case left == right:
		left, right = left-half, right+half
	default:
		top, bottom = top-half, bottom+half
	}
	b, ink := s.Pixels.Rect, inkOf(st.Colour)
	for y := max(top>>6, b.Min.Y); y<<6 < bottom && y < b.Max.Y; y++ {
		high := within(y, top, bottom)
		row := s.Pixels.Pix[s.Pixels.PixOffset(b.Min.X, y):][:4*b.Dx()]
		for x := max(left>>6, b.Min.X); x<<6 < right && x < b.Max.X; x++ {
			ink.lay(row[4*(x-b.Min.X):][:4], high*within(x, left, right))
		}
	}
}

// fixed6 is a length in 64ths of a pixel, in which strokes are drawn.
func fixed6(v float64) int { return int(math.Round(v * 64)) }

// within is how much of a pixel lies between two places, in 64ths.
func within(pixel, from, to int) int { return min(to, pixel<<6+64) - max(from, pixel<<6) }

// inked is a colour to be laid on pixels: of 16 bits, and where it is opaque of 8.
type inked struct {
	red, green, blue, opaque uint32
	whole                    [4]uint8
}

func inkOf(c color.Color) inked {
	k := inked{}
	k.red, k.green, k.blue, k.opaque = c.RGBA()
	k.whole = [4]uint8{uint8(k.red >> 8), uint8(k.green >> 8), uint8(k.blue >> 8), uint8(k.opaque >> 8)}
	return k
}

// lay lays the colour over a pixel of which it covers so many 4096ths. It rounds as
// the painter of all other strokes does.
func (k *inked) lay(pixel []uint8, share int) {
	const all = 0xffff
	if share == 64*64 && k.opaque == all {
		copy(pixel, k.whole[:])
		return
	}
	part := uint32(min(share, 0xfff)) // of 12 bits; of 16 below
	part = part<<4 | part>>8
	rest := (all - k.opaque*part/all) * 0x101
	pixel[0] = uint8((uint32(pixel[0])*rest + k.red*part) / all >> 8)
	pixel[1] = uint8((uint32(pixel[1])*rest + k.green*part) / all >> 8)
	pixel[2] = uint8((uint32(pixel[2])*rest + k.blue*part) / all >> 8)
	pixel[3] = uint8((uint32(pixel[3])*rest + k.opaque*part) / all >> 8)
}
