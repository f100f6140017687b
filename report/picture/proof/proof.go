// Package proof checks pictures in the tests of the rooms of report/picture: what
// holds for each of them, and which ink lies where. Places are px of the sheet.
package proof

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gambeson/analysis/shape/speed"
	"gambeson/report/picture"
)

// Like reports whether two colours are the same but for the edge of a stroke
// and the steps of the palette.
func Like(a, b color.Color) bool {
	ar, ag, ab, _ := a.RGBA()
	br, bg, bb, _ := b.RGBA()
	far := func(x, y uint32) bool { return math.Abs(float64(x)-float64(y)) > 24*257 }
	return !far(ar, br) && !far(ag, bg) && !far(ab, bb)
}

// InkNear reports whether a colour is found within px of a place.
func InkNear(im image.Image, x, y float64, c color.Color, within int) bool {
	for dx := -within; dx <= within; dx++ {
		for dy := -within; dy <= within; dy++ {
			if Like(im.At(int(x)+dx, int(y)+dy), c) {
				return true
			}
		}
	}
	return false
}

// Decoded is the picture as its reader will see it.
func Decoded(t *testing.T, s *picture.Sheet) image.Image {
	t.Helper()
	data, err := picture.PNG(s.Pixels)
	if err != nil {
		t.Fatal(err)
	}
	im, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return im
}

// Tidy checks what holds for every picture: it is not blank, its edge is free,
// labels lie within it and apart from one another.
func Tidy(t *testing.T, s *picture.Sheet) {
	t.Helper()
	im := Decoded(t, s).(*image.Paletted)
	b := im.Bounds()
	blank, inked := uint8(im.Palette.Index(picture.Paper)), 0
	for i, ink := range im.Pix {
		if ink == blank {
			continue
		}
		inked++
		if x, y := i%im.Stride, i/im.Stride; x < 8 || y < 8 || x >= b.Max.X-8 || y >= b.Max.Y-8 {
			t.Fatalf("ink at the sheet's edge, (%d, %d)", x, y)
		}
	}
	if share := float64(inked) / float64(b.Dx()*b.Dy()); share < 0.005 || share > 0.6 {
		t.Errorf("%.1f %% of the sheet is inked", 100*share)
	}
	whole := picture.Box{Left: 0, Top: 0, Right: float64(b.Dx()), Bottom: float64(b.Dy())}
	if len(s.Labels) < 3 {
		t.Errorf("only %d labels", len(s.Labels))
	}
	for i, l := range s.Labels {
		if !l.Within(whole) {
			t.Errorf("label %d leaves the sheet: %+v", i, l)
		}
		for k, o := range s.Labels[:i] {
			if l.Meets(o.Box) {
				t.Errorf("label %d %+v lies on label %d %+v", i, l, k, o)
			}
		}
	}
}

// Look writes a sample picture into a folder to be looked at, where the tests are
// run with LOOK=folder.
func Look(t *testing.T, name string, s *picture.Sheet) {
	t.Helper()
	dir := os.Getenv("LOOK")
	if dir == "" {
		return
	}
	data, err := picture.PNG(s.Pixels)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(dir+"/"+name+".png", data, 0o644); err != nil {
		t.Fatal(err)
	}
}

// Inches says a length in mm also as a wearer reads it who measures in inches.
func Inches(mm float64) string { return strconv.FormatFloat(mm/25.4, 'f', 1, 64) + " in" }

// LongTitles checks that a title of any length stays on the sheets that draw makes
// of it.
func LongTitles(t *testing.T, draw func(long string) map[string]*picture.Sheet) {
	t.Helper()
	for _, long := range []string{
		"Too large for the bed at 107.5 %, laid on a face 25° from its left side, on supports",
		strings.Repeat("Too large for the second printer at 107.5 % ", 9),
	} {
		for name, s := range draw(long) {
			Tidy(t, s)
			if first := s.Labels[0].Text; !strings.HasPrefix(long, strings.TrimSuffix(first, "…")) || len(first) < 40 {
				t.Errorf("the title is %q", first)
			}
			if t.Failed() {
				t.Fatal(name)
			}
		}
	}
}

// Alike checks that a drawing has the same bytes each time.
func Alike(t *testing.T, draw func() *image.RGBA) {
	t.Helper()
	a, err := picture.PNG(draw())
	if err != nil {
		t.Fatal(err)
	}
	b, err := picture.PNG(draw())
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a, b) {
		t.Error("the picture differs from one time to the next")
	}
}

// ToldApart checks that a picture in grey still tells its lines apart: none of
// their inks comes out as light as the paper, and two that meet in one picture
// differ in their dashes or are three times as broad.
func ToldApart(t *testing.T, lines ...picture.Stroke) {
	t.Helper()
	for i, a := range lines {
		if g := color.GrayModel.Convert(a.Colour).(color.Gray).Y; g > 180 || g > 150 && a.Width < 8 {
			t.Errorf("grey %d is too light to be read", g)
		}
		for _, b := range lines[:i] {
			alike := slices.Equal(a.Dashes, b.Dashes) && max(a.Width, b.Width) < 3*min(a.Width, b.Width)
			if alike && a.Colour == b.Colour {
				t.Errorf("lines with dashes %v are %g and %g broad", a.Dashes, a.Width, b.Width)
			}
		}
	}
}

// Drawn draws and packs a picture again and again.
func Drawn(b *testing.B, draw func() *image.RGBA) {
	b.Helper()
	before, n := speed.ProcessorTime(), 0
	for b.Loop() {
		im := draw()
		data, err := picture.PNG(im)
		if err != nil {
			b.Fatal(err)
		}
		picture.Free(im)
		b.ReportMetric(float64(len(data)), "bytes")
		n++
	}
	b.ReportMetric(1e3*(speed.ProcessorTime()-before).Seconds()/float64(n), "cpu-ms/op")
}
