package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every pixel of a file has the ink of its colour, among paper and drawings of any
// length, and of a colour that is an ink, that one.
func TestEachPixelHasItsInk(t *testing.T) {
	const seed = 20261204
	random := rand.New(rand.NewPCG(seed, 5))
	ours := inks()
	for _, wide := range []int{1, 15, 16, 17, 333, Width} {
		im := image.NewRGBA(image.Rect(0, 0, wide, 40))
		inked := map[image.Point]color.Color{}
		for y := range 40 {
			for x := 0; x < wide; {
				kind, run := random.IntN(4), 1+random.IntN(40)
				for ; run > 0 && x < wide; run, x = run-1, x+1 {
					v := random.Uint32()
					c := color.RGBA{255, 255, 255, 255}
					switch {
					case kind == 1:
						c = color.RGBA{uint8(v), uint8(v), uint8(v), 255}
					case kind == 2:
						c = color.RGBA{uint8(v), uint8(v >> 8), uint8(v >> 16), 255}
					case kind == 3 && y > 20:
						c = ours[v%uint32(len(ours))].(color.RGBA)
						if most, least := max(c.R, c.G, c.B), min(c.R, c.G, c.B); most == least || most-least >= 8 { // else a grey to us
							inked[image.Pt(x, y)] = c
						}
					}
					im.SetRGBA(x, y, c)
				}
			}
		}
		data, err := PNG(im)
		require.NoError(t, err)
		file, err := png.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		require.Equal(t, im.Rect, file.Bounds())
		for y := range 40 {
			for x := range wide {
				c := im.RGBAAt(x, y)
				if got, want := file.At(x, y), ours[nearest(c.R, c.G, c.B)]; got != want {
					t.Fatalf("seed %d: %v at (%d, %d) of %d is inked %v, want %v", seed, c, x, y, wide, got, want)
				}
				if want, is := inked[image.Pt(x, y)]; is && file.At(x, y) != want {
					t.Fatalf("seed %d: the ink %v is packed as %v", seed, want, file.At(x, y))
				}
				if white := (color.RGBA{255, 255, 255, 255}); c == white && file.At(x, y) != white {
					t.Fatalf("seed %d: paper at (%d, %d) is %v", seed, x, y, file.At(x, y))
				}
			}
		}
	}
}
