package picture

import (
	"math"
	"strconv"
)

// Axis maps a range of values onto a run of pixels.
type Axis struct {
	Low, High  float64 // values
	Start, End float64 // px of low and high
}

// Px is where a value lies.
func (a Axis) Px(v float64) float64 {
	return a.Start + (v-a.Low)/(a.High-a.Low)*(a.End-a.Start)
}

// Step is the distance between labelled ticks: 1, 2 or 5 times a power of
// ten, so that at most the given number of them is needed.
func (a Axis) Step(most int) float64 {
	raw := (a.High - a.Low) / float64(most)
	ten := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, k := range []float64{1, 2, 5} {
		if k*ten >= raw*(1-1e-9) {
			return k * ten
		}
	}
	return 10 * ten
}

// Ticks are the multiples of step within the axis.
func (a Axis) Ticks(step float64) []float64 {
	var out []float64
	for k := math.Ceil(a.Low/step - 1e-9); k*step <= a.High+step*1e-9; k++ {
		out = append(out, k*step)
	}
	return out
}

// TickText writes a tick with no more digits than its step has.
func TickText(v, step float64) string {
	digits := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	return strconv.FormatFloat(v+0, 'f', digits, 64)
}

// Also says what is written behind a length in mm, such as the same in inches;
// nil is nothing.
type Also func(mm float64) string

// After is a length as it is written in a line.
func (a Also) After(text string, mm float64) string {
	if a == nil {
		return text
	}
	return text + " (" + a(mm) + ")"
}

// Size writes a length beside its size line, what goes with it in a row below;
// ax and ay as in Write.
func (s *Sheet) Size(mm float64, also Also, x, y, ax, ay float64) {
	t := Strong(MM1(mm))
	if also == nil {
		s.Write(t, x, y, ax, ay)
		return
	}
	_, up, down := t.Size()
	top := y - ay*2*(up+down)
	s.Write(t, x, top, ax, 0)
	s.Write(Note("("+also(mm)+")"), x, top+up+down, ax, 0)
}

// MM1 writes a length as every report does: to a tenth of a millimetre.
func MM1(v float64) string {
	return strconv.FormatFloat(math.Round(v*10)/10+0, 'f', 1, 64) + " mm"
}

// MM0 writes a distance along a part: whole millimetres.
func MM0(v float64) string {
	return strconv.FormatFloat(math.Round(v)+0, 'f', 0, 64) + " mm"
}
