package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/adler32"
	"hash/crc32"
	"image"
	"image/color"
)

// PNG encodes a picture in the colours of our one look: greys and the ramps
// from paper to blue and to vermilion, one byte a pixel, which takes a quarter
// of the time and a third of the bytes of full colour. The bytes depend on
// nothing but the pixels.
func PNG(im *image.RGBA) ([]byte, error) {
	b := im.Bounds()
	if b.Empty() {
		return nil, errors.New("a picture without pixels cannot be packed")
	}
	wide := 1 + b.Dx() // each row begins with how it is filtered: 0, it is not
	rows := inksAgain.Take(wide * b.Dy())
	defer inksAgain.Give(rows)
	for y := range b.Dy() {
		row := rows[y*wide:][:wide]
		row[0] = 0
		ink(row[1:], im.Pix[y*im.Stride:])
	}
	file := append(make([]byte, 0, len(rows)/8), "\x89PNG\r\n\x1a\n"...)
	const eightBits, ofPalette = 8, 3
	head := binary.BigEndian.AppendUint32(nil, uint32(b.Dx()))
	head = binary.BigEndian.AppendUint32(head, uint32(b.Dy()))
	file = chunk(file, "IHDR", func(to []byte) []byte {
		return append(append(to, head...), eightBits, ofPalette, 0, 0, 0)
	})
	file = chunk(file, "PLTE", func(to []byte) []byte {
		for _, c := range inks() {
			to = append(to, c.R, c.G, c.B)
		}
		return to
	})
	file = chunk(file, "IDAT", func(to []byte) []byte {
		to = deflated(append(to, 0x78, 0x01), rows, wide)
		return binary.BigEndian.AppendUint32(to, adler32.Checksum(rows))
	})
	return chunk(file, "IEND", func(to []byte) []byte { return to }), nil
}

// chunk appends to a file what is written under a name of four letters.
func chunk(file []byte, name string, write func(to []byte) []byte) []byte {
	at := len(file)
	file = write(append(file, "size"+name...))
	binary.BigEndian.PutUint32(file[at:], uint32(len(file)-at-8))
	return binary.BigEndian.AppendUint32(file, crc32.ChecksumIEEE(file[at+4:]))
}

// ink puts a row of pixels in inks.
func ink(to, from []uint8) {
	if bytes.HasPrefix(blankRow, from[:4*len(to)]) {
		copy(to, blankInks)
		return
	}
	for x := 0; x < len(to); {
		n := min(stretch, len(to)-x)
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
var blankInks = bytes.Repeat([]byte{greys - 1}, Width)

// Steps of the three ramps: greys, then blues, then vermilions. Twice as many make
// files a ninth larger, and are not seen (tried).
const (
	greys = 64
	tints = 32
)

func inks() []color.RGBA {
	p := make([]color.RGBA, 0, greys+2*tints)
	for i := range greys {
		v := uint8(i * 255 / (greys - 1))
		p = append(p, color.RGBA{v, v, v, 255})
	}
	for _, full := range []color.RGBA{Blue, Vermilion} {
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
