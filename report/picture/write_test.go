package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"math"
	"math/rand/v2"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
)

// Text on a drawing looks as image/draw stamps it: paper at eight places round it,
// then the letters, which the font's own drawer sets. It may reach over the edge.
func TestTextIsStampedOnItsHalo(t *testing.T) {
	const seed = 20261203
	random := rand.New(rand.NewPCG(seed, 4))
	for n, text := range []string{"needs 414.2 mm, has 409.1 mm", "AVAToWe. Ty fj", "± − × – °", " ", ""} {
		for _, script := range []script{plain(text), note(text), strong(text), title(text)} {
			s := newSheet(300)
			for y := range 300 { // colours, with paper between them
				for x := range width {
					if (x/40+y/30)%3 > 0 {
						v := random.Uint32()
						s.im.SetRGBA(x, y, color.RGBA{uint8(v), uint8(v >> 8), uint8(v >> 16), 255})
					}
				}
			}
			want := image.NewRGBA(s.im.Rect)
			copy(want.Pix, s.im.Pix)
			x, y := random.IntN(width+100)-50, random.IntN(400)-50
			w, up, down := script.size()
			s.write(script, float64(x), float64(y), 0, 0)

			left, base := x, int(math.Round(float64(y)+up))
			letters := image.NewAlpha(image.Rect(left-20, base-int(up)-40, left+int(w)+20, base+int(down)+40))
			(&font.Drawer{Dst: letters, Src: image.Opaque, Face: script.face, Dot: fixed.P(left, base)}).DrawString(text)
			stamp := func(by image.Point, c color.Color) {
				draw.DrawMask(want, letters.Rect.Add(by), image.NewUniform(c), image.Point{}, letters, letters.Rect.Min, draw.Over)
			}
			for _, by := range []image.Point{{4, 0}, {3, 3}, {0, 4}, {-3, 3}, {-4, 0}, {-3, -3}, {0, -4}, {3, -3}} {
				stamp(by, color.White)
			}
			stamp(image.Point{}, script.colour)
			if !bytes.Equal(s.im.Pix, want.Pix) {
				t.Errorf("text %d (seed %d) at (%d, %d) looks otherwise", n, seed, x, y)
			}
		}
	}
}
