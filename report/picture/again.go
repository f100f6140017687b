package picture

import (
	"image"

	"gambeson/analysis/pages"

	"gonum.org/v1/gonum/spatial/r3"
)

// A part has a dozen pictures, each of some megabytes until it is packed: the
// memory of one is used again for the next.
var (
	sheetsAgain = pages.NewAgain[uint8]() // four a pixel
	inksAgain   = pages.NewAgain[uint8]() // one a pixel
	dotsAgain   = pages.NewAgain[dot]()
	backsAgain  = pages.NewAgain[float32]()
	pointsAgain = pages.NewAgain[r3.Vec]()
	facetsAgain = pages.NewAgain[uint32]()
)

// Free says that a picture of this package is used no more: another may be drawn
// in its place.
func Free(im *image.RGBA) { sheetsAgain.Give(im.Pix[:cap(im.Pix)]) }

// free says the same of a raster.
func (r *raster) free() {
	dotsAgain.Give(r.dots)
	backsAgain.Give(r.back)
}
