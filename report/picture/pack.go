package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"sync"
)

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
var blankInks = bytes.Repeat([]byte{greys - 1}, Width)

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
