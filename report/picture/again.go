package picture

import (
	"image"

	"gambeson/analysis/pages"
)

// A part has a dozen pictures, each of some megabytes until it is packed: the
// memory of one is used again for the next.
var (
	sheetsAgain = pages.NewAgain[uint8]() // four a pixel
	inksAgain   = pages.NewAgain[uint8]() // one a pixel
)

// Free says that a picture is used no more: another may be drawn
// in its place.
func Free(im *image.RGBA) { sheetsAgain.Give(im.Pix[:cap(im.Pix)]) }
