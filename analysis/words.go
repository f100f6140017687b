package analysis

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

func (f *Findings) warn(code, text string) {
	f.Warnings = append(f.Warnings, Warning{Level: LevelWarning, Code: code, Text: text})
}

func (f *Findings) note(code, text string) {
	f.Warnings = append(f.Warnings, Warning{Level: LevelNote, Code: code, Text: text})
}

// count says n things: "1 edge", "12 edges".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}

// place says where something is, in whole tenths of a millimetre.
func place(p [3]float64) string {
	return fmt.Sprintf("x %s, y %s, z %s mm", tenths(p[0]), tenths(p[1]), tenths(p[2]))
}

// tenths writes x with one decimal and never as −0.0.
func tenths(x float64) string {
	return strings.Replace(strconv.FormatFloat(math.Round(10*x)/10+0, 'f', 1, 64), "-0.0", "0.0", 1)
}

// inPercent writes a scale as it is written everywhere: whole where it is, without
// its sign.
func inPercent(x float64) string { return strings.TrimSuffix(tenths(x), ".0") }

// size says three lengths: "201.0 × 96.5 × 240.0 mm".
func size(p [3]float64) string {
	return tenths(p[0]) + " × " + tenths(p[1]) + " × " + tenths(p[2]) + " mm"
}

func triple(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }

func vec(p [3]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: p[2]} }

// MeasureWords says a measure in words: "heel", "hand over thumb". Of the tailor's armscye
// it says what everybody calls it.
func MeasureWords(measure string) string {
	if measure == "armscye_girth" {
		return "arm hole"
	}
	return strings.ReplaceAll(strings.TrimSuffix(measure, "_girth"), "_", " ")
}
