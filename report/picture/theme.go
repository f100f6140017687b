package picture

import (
	"image/color"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
)

// The one look of all pictures: colours, sizes and kinds of line.
//
// Blue and vermilion are those of Okabe and Ito, "Color Universal Design"
// (2008), told apart by every kind of colour vision; the blue is darkened until
// it prints almost black, and its tint, for broad bands, until it prints as a
// middle grey. Nothing is told by colour alone.
var (
	paper     = color.RGBA{255, 255, 255, 255}
	ink       = color.RGBA{26, 26, 26, 255}
	soft      = color.RGBA{88, 88, 88, 255}
	hair      = color.RGBA{205, 205, 205, 255}
	faint     = color.RGBA{232, 232, 232, 255}
	blue      = color.RGBA{0, 78, 128, 255}
	pale      = color.RGBA{140, 181, 207, 255} // blue on paper, 45 %
	vermilion = color.RGBA{213, 94, 0, 255}
)

// Sizes in px. On a telephone a picture is looked at at a third of its size,
// where the smallest text is still some nine points of the screen high, on
// paper across a page, where it is two thirds of a page's own text (both tried).
const (
	width     = 1000
	titleSize = 38
	textSize  = 32
	noteSize  = 28
	rowStep   = 42 // from one row of a key or a table to the next
	edge      = 24 // kept free all round
	halo      = 4  // white round a label that lies on a drawing
)

// Lines that several kinds of picture draw. Those that meet in one picture
// differ in their dashes or in their breadth.
var (
	gridLine   = stroke{colour: faint, width: 1.5}
	axisLine   = stroke{colour: ink, width: 2}
	frameLine  = stroke{colour: soft, width: 1.8}
	guideLine  = stroke{colour: soft, width: 1.8, dashes: []float64{5, 5}}
	leaderLine = stroke{colour: soft, width: 1.8}
	haloLine   = stroke{colour: paper, width: 11}
	barLine    = stroke{colour: ink, width: 6}

	roomLine   = stroke{colour: pale, width: 13}                                // room for the body: capacity
	slackLine  = stroke{colour: pale, width: 13, dashes: []float64{10, 7}}      // the same where the part is open
	lostLine   = stroke{colour: soft, width: 2.5, dashes: []float64{3, 7}}      // where it is not known
	innerLine  = stroke{colour: blue, width: 4}                                 // inner girth
	openLine   = stroke{colour: blue, width: 4, dashes: []float64{4, 7}}        // the same where the part is open
	needLine   = stroke{colour: soft, width: 3, dashes: []float64{18, 6, 4, 6}} // what must pass
	skinLine   = stroke{colour: soft, width: 3}                                 // the body
	padLine    = stroke{colour: soft, width: 3, dashes: []float64{10, 6}}       // the body with its padding
	fitLine    = stroke{colour: vermilion, width: 4, dashes: []float64{16, 9}}  // greatest ellipse inside
	wayLine    = stroke{colour: blue, width: 5}                                 // the way through a part
	ringLine   = stroke{colour: vermilion, width: 5}                            // a band
	backLine   = stroke{colour: vermilion, width: 3, dashes: []float64{8, 7}}   // a band behind a wall
	chanceLine = stroke{colour: blue, width: 6}                                 // a chance against the scale
	fitBar     = stroke{colour: pale, width: 40}                                // scales that fit the body
	bedBar     = stroke{colour: hair, width: 40}                                // scales that the bed takes
	limitLine  = stroke{colour: blue, width: 3, dashes: []float64{16, 6, 3, 6}} // what the printer reaches
)

// stroke is how a line looks.
type stroke struct {
	colour color.Color
	width  float64
	dashes []float64
}

// The two Go fonts. They are part of the module, so that a parse error is a
// broken build.
var (
	regular = sync.OnceValue(func() *opentype.Font { return parsed(goregular.TTF) })
	heavy   = sync.OnceValue(func() *opentype.Font { return parsed(gobold.TTF) })
)

func parsed(ttf []byte) *opentype.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic("picture: the built-in font is broken: " + err.Error())
	}
	return f
}

// face returns one of the two fonts in a size.
func face(size float64, bold bool) font.Face {
	ttf := regular()
	if bold {
		ttf = heavy()
	}
	f, err := opentype.NewFace(ttf, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("picture: the built-in font is broken: " + err.Error())
	}
	return f
}
