package band

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Wish is what is asked of a band.
type Wish struct {
	At, Normal r3.Vec  // where it is cut out of the part, and square to what
	Factor     float64 // its size to that of the part; 0 is 1
	Marks
	// Fits says whether something that lies flat fits the bed; nil: all does.
	Fits func(*mesh.Mesh) bool
}

// Cut cuts a band out of m as wished, of the height that HeightFor finds, with
// its marks. What does not fit the bed in one piece is parted into arcs.
func Cut(m *mesh.Mesh, w Wish) (Band, error) {
	if !(w.Factor > 0) {
		w.Factor = 1
	}
	height := HeightFor(m, w.At, w.Normal, w.Factor)
	b, err := Ring(m, w.At, w.Normal, height/w.Factor)
	if err != nil {
		return Band{}, err
	}
	b.Height = math.Round(b.Height*w.Factor*1e6) / 1e6
	b.center = r2.Scale(w.Factor, b.center)
	b.Apart *= w.Factor
	if w.Factor != 1 {
		b.Mesh = b.Mesh.Scaled(w.Factor)
	}
	if w.Fits != nil && !w.Fits(b.Mesh) {
		if b.part(w) {
			return b, nil
		}
		b.TooLarge = true
	}
	if !b.Flaws.Any() {
		b.take(mark(b.Mesh, b.Height, b.center, w.Marks))
	}
	b.Arcs = 1
	b.settle()
	return b, nil
}

// settle moves the band so that its box, letters and all, begins at the origin.
func (b *Band) settle() {
	low := b.Mesh.Bounds().Min
	b.Mesh = settle(b.Mesh)
	b.center = r2.Sub(b.center, r2.Vec{X: low.X, Y: low.Y})
}

// take takes over what was marked.
func (b *Band) take(m marked) { b.Mesh, b.Notches, b.Text = m.mesh, m.notches, m.text }

// How stiff a band is to be: held between two fingers with half a kilogram it
// gives by no more than a thirtieth of its width. Roark's Formulas for Stress
// and Strain, circular ring under two opposite loads: the width changes by
// (π/4 − 2/π)·F·R³/(E·I), with I = height·wall³/12 for a band. E is that of
// printed PLA across no seams, on the low side (from memory: 2 to 3.5 GPa).
const (
	holdForce  = 5.0      // N
	holdGives  = 1.0 / 30 // of the width
	stiffness  = 2000.0   // N/mm²
	mostHeight = 20.0     // mm
)

// HeightFor returns how high a band of factor times the part's size is to be
// cut at a place, in mm of the band: Height, and up to 20 in whole mm where the
// wall is so thin for its width that the ring would flex.
func HeightFor(m *mesh.Mesh, at, normal r3.Vec, factor float64) float64 {
	var area, edge float64
	for _, c := range section.Cut(m, section.Plane{Point: at, Normal: normal}).Chains {
		area += c.Area()
		edge += c.Length()
	}
	if !(area > 0) {
		return Height
	}
	// A long wall has two edges: its mean thickness is 2·area/edge, and its
	// middle line edge/2 is 2π·R.
	wall, radius := factor*2*area/edge, factor*edge/(4*math.Pi)
	give := (math.Pi/4 - 2/math.Pi) * holdForce * radius * radius * radius / stiffness / (wall * wall * wall / 12)
	return min(max(Height, math.Ceil(give/(holdGives*2*radius))), mostHeight)
}
