package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"math"
	"math/rand/v2"
	"strings"
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
		for _, script := range []Script{Plain(text), Note(text), Strong(text), title(text)} {
			s := NewSheet(300)
			for y := range 300 { // colours, with paper between them
				for x := range Width {
					if (x/40+y/30)%3 > 0 {
						v := random.Uint32()
						s.Pixels.SetRGBA(x, y, color.RGBA{uint8(v), uint8(v >> 8), uint8(v >> 16), 255})
					}
				}
			}
			want := image.NewRGBA(s.Pixels.Rect)
			copy(want.Pix, s.Pixels.Pix)
			x, y := random.IntN(Width+100)-50, random.IntN(400)-50
			w, up, down := script.Size()
			s.Write(script, float64(x), float64(y), 0, 0)

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
			if !bytes.Equal(s.Pixels.Pix, want.Pix) {
				t.Errorf("text %d (seed %d) at (%d, %d) looks otherwise", n, seed, x, y)
			}
		}
	}
}

func TestWrappedKeepsUnitsAndWidth(t *testing.T) {
	text := "Thigh: 2.9 mm too little, needs 645.4 mm, has 642.5 mm at 107 % of a very long sentence"
	for _, wide := range []float64{200, 333, 500, 5000} {
		var all []string
		for _, l := range Wrapped(text, Plain, wide) {
			if w, _, _ := l.Size(); w > wide {
				t.Errorf("%q is %.0f px wide, may be %.0f", l.text, w, wide)
			}
			if strings.HasPrefix(l.text, "mm") || strings.HasPrefix(l.text, "%") {
				t.Errorf("a unit has lost its number: %q", l.text)
			}
			all = append(all, l.text)
		}
		if strings.Join(all, " ") != text {
			t.Errorf("words are lost: %q", all)
		}
	}
}
