package picture

import (
	"image"
	"math/rand/v2"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// A letter that is kept is the one that the font draws anew, at every place, for
// several who write at once, and when more letters were drawn than are kept.
func TestKeptLettersAreThoseOfTheFont(t *testing.T) {
	const seed = 20261205
	kept := face(NoteSize, true).(*letters)
	texts := []rune("needs 414.2 mm, AVTo × − fj°…\U00101234")
	var all sync.WaitGroup
	for writer := range uint64(2) {
		all.Go(func() {
			random := rand.New(rand.NewPCG(seed, writer))
			anew, err := opentype.NewFace(heavy(), &opentype.FaceOptions{Size: NoteSize, DPI: 72, Hinting: font.HintingNone})
			if err != nil {
				t.Error(err)
				return
			}
			for range 2 * mostForms {
				dot := fixed.Point26_6{X: fixed.Int26_6(random.IntN(9000) - 4000), Y: fixed.Int26_6(random.IntN(9000) - 4000)}
				letter := texts[random.IntN(len(texts))]
				where, form, from, advance, ok := kept.Glyph(dot, letter)
				wantWhere, wantForm, wantFrom, wantAdvance, wantOK := anew.Glyph(dot, letter)
				if where != wantWhere || advance != wantAdvance || ok != wantOK {
					t.Errorf("seed %d: %q at %v lies at %v, %v to the next, %v; want %v, %v, %v", seed, letter, dot, where, advance, ok, wantWhere, wantAdvance, wantOK)
					return
				}
				for y := range where.Dy() {
					for x := range where.Dx() {
						by := image.Pt(x, y)
						if got, want := form.(*image.Alpha).AlphaAt(from.X+x, from.Y+y), wantForm.(*image.Alpha).AlphaAt(wantFrom.X+x, wantFrom.Y+y); got != want {
							t.Errorf("seed %d: %q at %v covers %v of %v, want %v", seed, letter, dot, got, by, want)
							return
						}
					}
				}
			}
		})
	}
	all.Wait()
	require.LessOrEqual(t, len(kept.forms), mostForms)
}
