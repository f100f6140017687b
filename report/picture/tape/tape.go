// Package tape draws where the tape runs on a body for each measure. The figures
// are in mm, y upward; on the sheet lengths are px, y downward.
package tape

import (
	"image"

	"gambeson/report/picture"
)

// Tape is one measure of the body to be shown: where the tape runs, and the
// words to it.
type Tape struct {
	Measure string // as in wearer.toml; tells which drawing
	Name    string // heading, such as "calf girth"
	How     string // how it is taken, in a line of any length
}

// Has reports whether there is a drawing of where the tape runs for a
// measure.
func Has(measure string) bool {
	_, ok := tapes[measure]
	return ok
}

// Draw draws where the tape runs for some measures, two in a row at most;
// more than six are hard to take in. A measure without a drawing has its words
// alone.
func Draw(of ...Tape) *image.RGBA { return sheet(of).Pixels }

// Sizes of the cells that measures come to lie in, px.
const (
	cellGap    = 28
	drawingTop = picture.Edge + picture.TitleSize + 24 // of the first row
	tall       = 340                                   // of a drawing
	lineStep   = picture.NoteSize + 9                  // from one line of words to the next
	oneWide    = 460                                   // of a drawing that stands alone
	twoWide    = 220                                   // of one of two in a row
)

// cell is where one measure comes to lie.
type cell struct {
	frame picture.Box // of the drawing
	words picture.Box // beside the drawing
}

// cellsFor lays out the cells of n measures, the drawings at the left of their
// words.
func cellsFor(of []Tape) []cell {
	columns := min(len(of), 2)
	var cells []cell
	top := float64(drawingTop)
	for first := 0; first < len(of); first += columns {
		row := of[first:min(first+columns, len(of))]
		wide := (picture.Width - 2*picture.Edge - float64(columns-1)*cellGap) / float64(columns)
		bottom := top + tall
		for i, t := range row {
			left := picture.Edge + float64(i)*(wide+cellGap)
			c := cell{frame: picture.Box{Left: left, Top: top, Right: left + wide, Bottom: top + tall}}
			c.frame.Right = left + map[int]float64{1: oneWide, 2: twoWide}[columns]
			c.words = picture.Box{Left: c.frame.Right + 20, Top: top + 8, Right: left + wide}
			c.words.Bottom = c.words.Top + float64(len(t.lines(c.words.Right-c.words.Left)))*lineStep
			bottom = max(bottom, c.words.Bottom)
			cells = append(cells, c)
		}
		top = bottom + cellGap
	}
	return cells
}

func sheet(of []Tape) *picture.Sheet {
	cells := cellsFor(of)
	bottom := float64(drawingTop + lineStep)
	for _, c := range cells {
		bottom = max(bottom, c.frame.Bottom, c.words.Bottom)
	}
	s := picture.NewSheet(int(bottom) + picture.Edge)
	s.Heading("Where the tape runs")
	if len(of) == 0 {
		s.Write(picture.Plain("No measure is wanted."), picture.Edge, drawingTop, 0, 0)
	}
	for i, t := range of {
		if d, ok := tapes[t.Measure]; ok {
			d.draw(s, cells[i].frame)
		}
		w := cells[i].words
		for k, line := range t.lines(w.Right - w.Left) {
			s.Write(line, w.Left, w.Top+float64(k)*lineStep, 0, 0)
		}
	}
	return s
}

// lines breaks the words to a measure into lines of at most a width in px: the
// heading, then how it is taken.
func (t Tape) lines(wide float64) []picture.Script {
	return append(picture.Wrapped(t.Name, picture.Strong, wide), picture.Wrapped(t.How, picture.Note, wide)...)
}
