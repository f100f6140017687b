package band

import (
	"math"
	"strings"
	"unicode"

	"gonum.org/v1/gonum/spatial/r2"
)

// Glyphs are drawn with strokes of one width on a lattice of 3 × 5 points, so
// that a nozzle follows each stroke. A glyph is a list of strokes, a stroke a
// list of lattice points "xy" from the lower left; one point alone is a dot.
var glyphs = map[rune]string{
	'A': "00 03 14 23 20,02 22", 'B': "02 12 23 14 04 00 10 21 12", 'C': "23 14 03 01 10 21",
	'D': "00 04 14 23 21 10 00", 'E': "24 04 00 20,02 12", 'F': "24 04 00,02 12",
	'G': "24 14 03 01 10 20 22 12", 'H': "00 04,20 24,02 22", 'I': "04 24,14 10,00 20",
	'J': "04 24 21 10 01", 'K': "00 04,24 02 20", 'L': "04 00 20", 'M': "00 04 12 24 20",
	'N': "00 04 20 24", 'O': "01 03 14 23 21 10 01", 'P': "00 04 14 23 12 02",
	'Q': "01 03 14 23 21 10 01,11 20", 'R': "00 04 14 23 12 02,12 20", 'S': "23 14 03 12 21 10 01",
	'T': "04 24,14 10", 'U': "04 01 10 21 24", 'V': "04 10 24", 'W': "04 00 12 20 24",
	'X': "00 24,04 20", 'Y': "04 12 24,12 10", 'Z': "04 24 00 20",
	'0': "00 04 24 20 00", '1': "03 14 10,00 20", '2': "03 14 23 00 20", '3': "04 24 12 21 10 01",
	'4': "04 02 22,24 20", '5': "24 04 02 12 21 10 00", '6': "23 14 03 01 10 21 12 02",
	'7': "04 24 10", '8': "12 03 14 23 12 01 10 21 12", '9': "01 10 21 23 14 03 12 22",
	'-': "02 22", '.': "00", '%': "00 24,04,20",
}

// Sizes of raised letters for a nozzle of 0.4 mm, mm: strokes of three lines,
// with a line and a half free between them. They grow with a wider nozzle.
const (
	strokeWide = 1.2
	strokeHigh = 0.6 // proud of the wall
	letterHigh = 6.0 // over the strokes
	latticeX   = 1.8
	latticeY   = (letterHigh - strokeWide) / 4
	letterGap  = 1.0 // between the strokes of two letters
	wordGap    = 2 * latticeX
)

// stroke is a straight run of the nozzle, from one point to another of the
// wall laid flat: x along it, y up from the bed. Its ends reach further by
// shares of its width: half of it, less where the pen goes on in another
// direction, so that the corner is filled and no more.
type stroke struct {
	from, to     r2.Vec
	start, after float64
}

// spelled returns the strokes of a text with its lower left corner at the
// origin, and how long the text is.
func spelled(text string) (strokes []stroke, long float64) {
	x := 0.0
	for _, r := range text {
		drawn, known := glyphs[r]
		if !known {
			x += wordGap
			continue
		}
		if x > 0 {
			x += letterGap
		}
		wide := 0.0
		for run := range strings.SplitSeq(drawn, ",") {
			points := latticePoints(run)
			for _, p := range points {
				wide = max(wide, p.X)
			}
			for i := range max(1, len(points)-1) {
				shift := r2.Vec{X: x + strokeWide/2, Y: strokeWide / 2}
				strokes = append(strokes, stroke{
					r2.Add(points[i], shift), r2.Add(points[min(i+1, len(points)-1)], shift),
					corner(points, i), corner(points, i+1),
				})
			}
		}
		x += wide + strokeWide
	}
	return strokes, x
}

func latticePoints(run string) (points []r2.Vec) {
	for _, xy := range strings.Fields(run) {
		points = append(points, r2.Vec{X: latticeX * float64(xy[0]-'0'), Y: latticeY * float64(xy[1]-'0')})
	}
	return points
}

// corner is how far, in widths, the strokes that meet at a point reach beyond
// it: to the outer corner, and no more than half.
func corner(points []r2.Vec, i int) float64 {
	last := len(points) - 1
	if closed := points[0] == points[last]; last <= 1 || !closed && (i == 0 || i == last) {
		return 0.5
	}
	before, after := points[max(i, 1)-1], points[(i+1)%len(points)]
	switch i {
	case 0:
		before = points[last-1]
	case last:
		after = points[1]
	}
	turn := math.Acos(max(-1, min(1, r2.Cos(r2.Sub(points[i], before), r2.Sub(after, points[i])))))
	return min(0.5, math.Tan(turn/2)/2)
}

// Spellable returns a text as it can be raised on a band: capitals, figures,
// hyphen, full stop and percent sign, words parted by one space. All else is a
// hyphen.
func Spellable(text string) string {
	text = strings.Map(func(r rune) rune {
		if _, known := glyphs[r]; known {
			return r
		}
		if unicode.IsSpace(r) {
			return ' '
		}
		return '-'
	}, strings.ToUpper(text))
	return strings.Join(strings.Fields(text), " ")
}
