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
	Paper     = color.RGBA{255, 255, 255, 255}
	Ink       = color.RGBA{26, 26, 26, 255}
	Soft      = color.RGBA{88, 88, 88, 255}
	Hair      = color.RGBA{205, 205, 205, 255}
	Faint     = color.RGBA{232, 232, 232, 255}
	Blue      = color.RGBA{0, 78, 128, 255}
	Pale      = color.RGBA{140, 181, 207, 255} // blue on paper, 45 %
	Vermilion = color.RGBA{213, 94, 0, 255}
)

// Sizes in px. On a telephone a picture is looked at at a third of its size,
// where the smallest text is still some nine points of the screen high, on
// paper across a page, where it is two thirds of a page's own text (both tried).
const (
	Width     = 1000
	TitleSize = 38
	textSize  = 32
	NoteSize  = 28
	RowStep   = 42 // from one row of a key or a table to the next
	Edge      = 24 // kept free all round
	halo      = 4  // white round a label that lies on a drawing
)

// Lines that several kinds of picture draw. Those that meet in one picture
// differ in their dashes or in their breadth.
var (
	GridLine   = Stroke{Colour: Faint, Width: 1.5}
	AxisLine   = Stroke{Colour: Ink, Width: 2}
	GuideLine  = Stroke{Colour: Soft, Width: 1.8, Dashes: []float64{5, 5}}
	leaderLine = Stroke{Colour: Soft, Width: 1.8}
	HaloLine   = Stroke{Colour: Paper, Width: 11}

	SkinLine = Stroke{Colour: Soft, Width: 3} // the body
)

// Stroke is how a line looks.
type Stroke struct {
	Colour color.Color
	Width  float64   // px
	Dashes []float64 // px, of ink and gap in turn; none for an unbroken line
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

// faces are those in use: few, since there are few sizes.
var faces struct {
	sync.Mutex
	all map[look]*letters
}

// look is what tells faces apart.
type look struct {
	size float64
	bold bool
}

// face returns one of the two fonts in a size.
func face(size float64, bold bool) font.Face {
	faces.Lock()
	defer faces.Unlock()
	is := look{size, bold}
	if f, ok := faces.all[is]; ok {
		return f
	}
	ttf := regular()
	if bold {
		ttf = heavy()
	}
	f, err := opentype.NewFace(ttf, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("picture: the built-in font is broken: " + err.Error())
	}
	if faces.all == nil {
		faces.all = map[look]*letters{}
	}
	faces.all[is] = &letters{face: f, forms: map[form]drawn{}}
	return faces.all[is]
}
