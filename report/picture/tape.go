package picture

import "image"

// Tape is one measure of the body to be shown: where the tape runs, and the
// words to it.
type Tape struct {
	Measure string // as in wearer.toml; tells which drawing
	Name    string // heading, such as "calf girth"
	How     string // how it is taken, in a line of any length
}

// HasTape reports whether there is a drawing of where the tape runs for a
// measure.
func HasTape(measure string) bool {
	_, ok := tapes[measure]
	return ok
}

// Tapes draws where the tape runs for some measures, two in a row at most;
// more than six are hard to take in. A measure without a drawing has its words
// alone.
func Tapes(of ...Tape) *image.RGBA { return tapeSheet(of).im }

// Sizes of the cells that measures come to lie in, px.
const (
	cellGap    = 28
	drawingTop = edge + titleSize + 24 // of the first row
	tall       = 340                   // of a drawing
	lineStep   = noteSize + 9          // from one line of words to the next
	oneWide    = 460                   // of a drawing that stands alone
	twoWide    = 220                   // of one of two in a row
)

// cell is where one measure comes to lie.
type cell struct {
	frame box // of the drawing
	words box // beside the drawing
}

// cellsFor lays out the cells of n measures, the drawings at the left of their
// words.
func cellsFor(of []Tape) []cell {
	columns := min(len(of), 2)
	var cells []cell
	top := float64(drawingTop)
	for first := 0; first < len(of); first += columns {
		row := of[first:min(first+columns, len(of))]
		wide := (width - 2*edge - float64(columns-1)*cellGap) / float64(columns)
		bottom := top + tall
		for i, t := range row {
			left := edge + float64(i)*(wide+cellGap)
			c := cell{frame: box{left, top, left + wide, top + tall}}
			c.frame.right = left + map[int]float64{1: oneWide, 2: twoWide}[columns]
			c.words = box{left: c.frame.right + 20, top: top + 8, right: left + wide}
			c.words.bottom = c.words.top + float64(len(t.lines(c.words.right-c.words.left)))*lineStep
			bottom = max(bottom, c.words.bottom)
			cells = append(cells, c)
		}
		top = bottom + cellGap
	}
	return cells
}

func tapeSheet(of []Tape) *sheet {
	cells := cellsFor(of)
	bottom := float64(drawingTop + lineStep)
	for _, c := range cells {
		bottom = max(bottom, c.frame.bottom, c.words.bottom)
	}
	s := newSheet(int(bottom) + edge)
	s.heading("Where the tape runs")
	if len(of) == 0 {
		s.write(plain("No measure is wanted."), edge, drawingTop, 0, 0)
	}
	for i, t := range of {
		if d, ok := tapes[t.Measure]; ok {
			d.draw(s, cells[i].frame)
		}
		w := cells[i].words
		for k, line := range t.lines(w.right - w.left) {
			s.write(line, w.left, w.top+float64(k)*lineStep, 0, 0)
		}
	}
	return s
}

// lines breaks the words to a measure into lines of at most a width in px: the
// heading, then how it is taken.
func (t Tape) lines(wide float64) []script {
	return append(wrapped(t.Name, strong, wide), wrapped(t.How, note, wide)...)
}
