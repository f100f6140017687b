package picture

import (
	"image"
	"sync"

	"gambeson/analysis/pages"

	"gonum.org/v1/gonum/spatial/r3"
)

// A part has a dozen pictures, each of some megabytes until it is packed. Memory
// that the program has had before is used again for them: what is new comes page
// by page, which may take longer than the drawing.

// again keeps slices that are used no more for those who need one.
type again[T any] struct{ pool sync.Pool }

// take returns a slice of n, with anything in it.
func (a *again[T]) take(n int) []T {
	if kept, _ := a.pool.Get().(*[]T); kept != nil && cap(*kept) >= n {
		return (*kept)[:n]
	}
	return pages.Make[T](n)
}

// give takes a slice back: nobody else may use it from now on.
func (a *again[T]) give(s []T) { a.pool.Put(&s) }

var (
	sheetsAgain again[uint8] // four a pixel
	inksAgain   again[uint8] // one a pixel
	dotsAgain   again[dot]
	pointsAgain again[r3.Vec]
)

// Free says that a picture of this package is used no more: another may be drawn
// in its place.
func Free(im *image.RGBA) { sheetsAgain.give(im.Pix[:cap(im.Pix)]) }

// free says the same of a raster.
func (r *raster) free() { dotsAgain.give(r.dots) }
