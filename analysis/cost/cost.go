// Package cost tells what printing a part takes: hours, grams and metres of
// filament, from the real geometry, layer by layer. Lengths are mm, times
// seconds unless they say hours.
//
// A layer is the section of the part at its middle height. Along its outline
// run so many lines of wall, what is left inside is filled in part, and where
// the part ends within a few layers above or below it is filled whole. What the
// walls take is measured as the area that lies within their width of the
// outline, so that walls that would overlap are counted once and no more is
// laid down than there is room for. A line is as wide as the nozzle and a
// rectangle in section: lines that lie side by side then fill what they cover.
//
// Not counted: supports, skirt and brim, heating up, and layers so small that
// the printer waits for them to cool.
package cost

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Settings are how a part is printed, and with what.
type Settings struct {
	Nozzle       float64 // mm
	Layer        float64 // height of a layer, mm
	Walls        int     // lines
	Infill       float64 // share 0–1
	Speed        float64 // mm/s along walls and fill
	Flow         float64 // mm³/s that are melted at most
	Acceleration float64 // mm/s²
	Diameter     float64 // of the filament, mm
	Density      float64 // g/cm³
	// Sheet says that the surface has rims and so no inside: it is printed with
	// the lines of wall along it and nothing else.
	Sheet bool
}

// Cost is what a print takes. The zero Cost is that of nothing.
type Cost struct {
	Hours  float64
	Grams  float64
	Metres float64 // of filament

	Walls, Solid, Infill Share   // what is laid down: lines of wall, full and partly filled layers
	Between              float64 // hours between lines and between layers
	Layers               int
}

// Share is what one kind of line takes of a print.
type Share struct {
	Hours  float64
	Volume float64 // mm³ laid down
}

// Volume returns what is laid down, mm³.
func (c Cost) Volume() float64 { return c.Walls.Volume + c.Solid.Volume + c.Infill.Volume }

// What holds for common desktop printers (common practice, no source, where
// nothing else is said).
const (
	// cornerSpeed is at what speed a corner of 90° is taken, mm/s: a usual
	// default of open printer firmware.
	cornerSpeed = 5.0
	// travelSpeed is that of moves between lines, mm/s.
	travelSpeed = 150.0
	// pull is how long pulling the filament back and forth for such a move takes, s.
	pull = 0.1
	// rise is how long the step to the next layer takes, s.
	rise = 0.5
	// firstSpeed is the speed of the first layer as a share of the others'.
	firstSpeed = 0.5
	// skin is how thick the whole-filled layers are under a top and above a
	// bottom, mm, and leastSkin how many layers they are at least.
	skin      = 0.8
	leastSkin = 2
)

// mostCuts is how many layers are cut at most; what lies between them is
// interpolated: within a thousandth of what cutting every layer gives on the parts
// tried.
const mostCuts = 120

// Of returns the cost of printing m with the direction up of m upright, on so
// many processors. A mesh that is empty or has no height costs nothing.
func Of(m *mesh.Mesh, up r3.Vec, s Settings, workers int) Cost {
	return ofLayers(m, up, s, mostCuts, workers)
}

// fewCuts is how many layers About cuts.
const fewCuts = 24

// About is Of of fewer layers: within a hundredth of it on the parts tried, in a
// fraction of its time.
func About(m *mesh.Mesh, up r3.Vec, s Settings, workers int) Cost {
	return ofLayers(m, up, s, fewCuts, workers)
}

// ofLayers is the cost by so many layers at most.
func ofLayers(m *mesh.Mesh, up r3.Vec, s Settings, most, workers int) Cost {
	st, ok := stackOf(m, up, s)
	if !ok {
		return Cost{}
	}
	return st.cost(st.cuts(most), workers)
}

// cost cuts the layers of the numbers given, which ascend and hold the first
// and the last, and sums over all. It is zero where that takes too much work.
func (st *stack) cost(numbers []int, workers int) Cost {
	cut, ok := st.cutLayers(numbers, workers)
	if !ok {
		return Cost{}
	}
	var c Cost
	for k := range numbers {
		st.add(&c, numbers[k], cut[k])
		if k+1 == len(numbers) {
			break
		}
		for i := numbers[k] + 1; i < numbers[k+1]; i++ {
			share := float64(i-numbers[k]) / float64(numbers[k+1]-numbers[k])
			st.add(&c, i, blend(cut[k], cut[k+1], share))
		}
	}
	c.Layers = st.layers
	c.Hours = c.Walls.Hours + c.Solid.Hours + c.Infill.Hours + c.Between
	c.Metres = c.Volume() / (math.Pi / 4 * st.s.Diameter * st.s.Diameter) / 1000
	c.Grams = c.Volume() * st.s.Density / 1000
	return c
}

// add adds layer number i.
func (st *stack) add(c *Cost, i int, l layer) {
	s := st.s
	bead := s.Nozzle * s.Layer
	c.Walls.Volume += l.walls * s.Layer
	c.Walls.Hours += l.wallTime / 3600
	c.Between += (l.moves + rise) / 3600

	solid := 0.0
	if l.area > 0 {
		solid = min(l.inside, st.flat[i]*l.inside/l.area+st.sloped[i])
	}
	c.Solid.Volume += solid * s.Layer
	c.Infill.Volume += (l.inside - solid) * s.Infill * s.Layer
	line := s.chord(l)
	c.Solid.Hours += s.fillTime(solid*s.Layer/bead, line, s.Nozzle, s.speed(i)) / 3600
	if s.Infill > 0 {
		c.Infill.Hours += s.fillTime((l.inside-solid)*s.Infill*s.Layer/bead, line, s.Nozzle/s.Infill, s.speed(i)) / 3600
	}
}

// chord returns how long a line of fill is on average. Straight lines in any
// direction through a plane figure are π·area/perimeter long on average
// (Crofton; Santaló, Integral Geometry and Geometric Probability, 1976, I.4).
func (s Settings) chord(l layer) float64 {
	if l.rim <= 0 {
		return 0
	}
	return max(math.Pi*l.inside/l.rim, s.Nozzle)
}

// speed returns at what speed lines of layer i are laid: that wanted, or what
// the flow allows.
func (s Settings) speed(i int) float64 {
	v := min(s.Speed, s.Flow/(s.Nozzle*s.Layer))
	if i == 0 {
		return v * firstSpeed
	}
	return v
}

// fillTime returns how long it takes to lay down so many mm in lines of a
// length, apart from each other: to and fro, with a square corner at both ends
// of the step to the next line.
func (s Settings) fillTime(total, line, apart, v float64) float64 {
	if total <= 0 || line <= 0 {
		return 0
	}
	turn := min(cornerSpeed, v)
	return total / line * (moveTime(line, v, s.Acceleration, turn, turn) + moveTime(apart, v, s.Acceleration, turn, turn))
}
