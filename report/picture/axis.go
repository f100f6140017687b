package picture

import (
	"math"
	"strconv"
)

// axis maps a range of values onto a run of pixels.
type axis struct {
	low, high  float64 // values
	start, end float64 // px of low and high
}

func (a axis) px(v float64) float64 {
	return a.start + (v-a.low)/(a.high-a.low)*(a.end-a.start)
}

// step is the distance between labelled ticks: 1, 2 or 5 times a power of
// ten, so that at most the given number of them is needed.
func (a axis) step(most int) float64 {
	raw := (a.high - a.low) / float64(most)
	ten := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, k := range []float64{1, 2, 5} {
		if k*ten >= raw*(1-1e-9) {
			return k * ten
		}
	}
	return 10 * ten
}

// ticks are the multiples of step within the axis.
func (a axis) ticks(step float64) []float64 {
	var out []float64
	for k := math.Ceil(a.low/step - 1e-9); k*step <= a.high+step*1e-9; k++ {
		out = append(out, k*step)
	}
	return out
}

// tickText writes a tick with no more digits than its step has.
func tickText(v, step float64) string {
	digits := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	return strconv.FormatFloat(v+0, 'f', digits, 64)
}

// Also says what is written behind a length in mm, such as the same in inches;
// nil is nothing.
type Also func(mm float64) string

// after is a length as it is written in a line.
func (a Also) after(text string, mm float64) string {
	if a == nil {
		return text
	}
	return text + " (" + a(mm) + ")"
}

// size writes a length beside its size line, what goes with it in a row below;
// ax and ay as in write.
func (s *sheet) size(mm float64, also Also, x, y, ax, ay float64) {
	t := strong(mm1(mm))
	if also == nil {
		s.write(t, x, y, ax, ay)
		return
	}
	_, up, down := t.size()
	top := y - ay*2*(up+down)
	s.write(t, x, top, ax, 0)
	s.write(note("("+also(mm)+")"), x, top+up+down, ax, 0)
}

// mm1 writes a length as every report does: to a tenth of a millimetre.
func mm1(v float64) string {
	return strconv.FormatFloat(math.Round(v*10)/10+0, 'f', 1, 64) + " mm"
}

// mm0 writes a distance along a part: whole millimetres.
func mm0(v float64) string {
	return strconv.FormatFloat(math.Round(v)+0, 'f', 0, 64) + " mm"
}
