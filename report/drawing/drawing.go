// Package drawing chooses what is drawn of a part, names each picture and says in words
// what it shows. The lines are drawn in the rooms of report/picture.
package drawing

import (
	"fmt"
	"image"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/report/picture"
)

// Pictures are the drawings of one part.
type Pictures struct {
	Part     Picture   // from two sides; without a file where it was not drawn
	Bed      Picture   // on the bed; without a file where it was not drawn
	Girths   []Picture // parallel to the ways; a way without stations has no file
	Sections []Picture // parallel to Part.Outlines
	Tapes    Picture   // of what is worth measuring; without a file where there is none
	Pieces   Picture   // pulled apart; without a file where there are none
	Ladder   Picture   // what is known of the scale; without a file where nothing is
}

// Picture is a drawing with its file and what it says in words: as it was drawn,
// or packed.
type Picture struct {
	File, Alt string
	image     *image.RGBA
	PNG       []byte // the file, where it is packed
	Err       error  // of packing
}

// packed makes a file of the picture as soon as it is drawn: a hundred times
// smaller than what it was drawn on, and a part has many.
func (d Picture) packed() Picture {
	if d.image != nil {
		d.PNG, d.Err = picture.PNG(d.image)
		picture.Free(d.image)
		d.image = nil
	}
	return d
}

// All lists those that were drawn.
func (p Pictures) All() []Picture {
	return slices.DeleteFunc(slices.Concat([]Picture{p.Part, p.Bed, p.Pieces, p.Tapes, p.Ladder}, p.Girths, p.Sections), func(d Picture) bool { return d.File == "" })
}

// pictureName names the n-th picture of a kind, from 0.
func pictureName(kind string, n int) string {
	if n == 0 {
		return kind + ".png"
	}
	return fmt.Sprintf("%s-%d.png", kind, n+1)
}

// Ours reports whether a name is one that pictureName gives.
func Ours(name string) bool {
	stem, ok := strings.CutSuffix(name, ".png")
	kind, n, numbered := strings.Cut(stem, "-")
	known := slices.Contains([]string{"part", "bed", "pieces", "tape", "ladder", "girth", "section"}, kind)
	return ok && known && (!numbered || strings.Trim(n, "0123456789") == "")
}

// Part is what was found of a part, and all else that its pictures are drawn from.
type Part struct {
	Findings analysis.Findings  // files of bands and pieces as disk.Place.Under names them
	Brief    analysis.Brief     // what was asked, to tell where the numbers come from
	Outlines []analysis.Outline // sections to draw, the most telling first
	Shown    *mesh.Mesh         // the part as it is drawn, nil for no drawing; without the panel where there is one
	Panel    *mesh.Mesh         // the strip that must come off, nil where none must
	Own      *mesh.Mesh         // the file alone, where Shown is the shell that it is a piece of; else nil
	Hows     map[string]string  // how each measure is taken, by its name
	Parted   []*mesh.Mesh       // parallel to Findings.Bed.Pieces, where they sit in the part; nil for no drawing
	Workers  int                // processors that may draw at once, at least one does
}

// Draw draws and packs all pictures of a part.
func Draw(d Part) Pictures {
	all := d.Findings.Ways()
	out := Pictures{Girths: make([]Picture, len(all)), Sections: make([]Picture, len(d.Outlines))}
	var work []func() // what takes longest stands first, so that all processors end together
	picture := func(of *Picture, draw func() Picture) { work = append(work, func() { *of = draw().packed() }) }
	picture(&out.Part, d.drawPart)
	picture(&out.Pieces, d.drawPieces)
	picture(&out.Bed, d.drawBed)
	picture(&out.Tapes, func() Picture { return tapePicture(d) })
	picture(&out.Ladder, d.drawLadder)
	for i, w := range all {
		picture(&out.Girths[i], func() Picture { return d.drawGirth(i, w) })
	}
	for i, o := range d.Outlines {
		picture(&out.Sections[i], func() Picture { return d.drawSection(i, o, all) })
	}
	atOnce(d.Workers, work)
	return out
}

// atOnce does work on so many processors, at least one, and waits for it. Where
// some of it fails with a panic, so does the caller, with the first.
func atOnce(workers int, work []func()) {
	if workers <= 1 {
		for _, do := range work {
			do()
		}
		return
	}
	next := make(chan func(), len(work))
	for _, do := range work {
		next <- do
	}
	close(next)
	failed := make(chan string, workers)
	var all sync.WaitGroup
	for range min(workers, len(work)) {
		all.Go(func() {
			defer func() {
				if r := recover(); r != nil {
					failed <- fmt.Sprintf("%v\n%s", r, debug.Stack()) // the stack of the caller would not show where
				}
			}()
			for do := range next {
				do()
			}
		})
	}
	all.Wait()
	select {
	case why := <-failed:
		panic(why)
	default:
	}
}
