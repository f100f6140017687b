package analysis

import (
	"math"
	"testing"

	"gambeson/analysis/cavity/room"

	"gonum.org/v1/gonum/spatial/r2"
)

// round is a wall of so many pieces round a point, from one angle to another.
func round(radius float64, at r2.Vec, from, to float64) (out []room.Wall) {
	const pieces = 720
	point := func(k int) r2.Vec {
		sin, cos := math.Sincos(from + (to-from)*float64(k)/pieces)
		return r2.Add(at, r2.Vec{X: radius * cos, Y: radius * sin})
	}
	for k := range pieces {
		out = append(out, room.Wall{point(k), point(k + 1)})
	}
	return out
}

func about(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.4f, want %.4f", what, got, want)
	}
}

// A round body in a round wall: the gaps are the difference of the radii less
// the padding, and e off the middle they are so much less and more.
func TestWallGapsOfCircles(t *testing.T) {
	const wall, body, padding = 60.0, 50.0, 4.0
	for _, off := range []float64{0, 3, 9} {
		b := BodyOutline{Skin: Ellipse{Center: r2.Vec{X: 7 + off, Y: -2}, Major: 2 * body, Minor: 2 * body}, Padding: padding}
		gaps := wallGaps(b, round(wall, r2.Vec{X: 7, Y: -2}, 0, 2*math.Pi))
		if len(gaps) != 2 {
			t.Fatalf("%d gaps", len(gaps))
		}
		about(t, "least", gaps[0].Gap, wall-body-padding-off, 0.01)
		about(t, "greatest", gaps[1].Gap, wall-body-padding+off, 0.01)
		for _, g := range gaps {
			about(t, "length of the gap as it is drawn", r2.Norm(r2.Sub(g.To, g.From)), math.Abs(g.Gap), 1e-9)
			about(t, "end on the wall", r2.Norm(r2.Sub(g.To, r2.Vec{X: 7, Y: -2})), wall, 0.01)
		}
	}
}

// An ellipse in a wall that is its own curve moved out by d has the gap d less
// padding everywhere (the definition of a parallel curve), however it is turned.
func TestWallGapsOfAParallelCurve(t *testing.T) {
	const d = 8.0
	for _, turn := range []float64{0, 0.4, 2.2} {
		skin := Ellipse{Center: r2.Vec{X: -11, Y: 30}, Major: 130, Minor: 96, Turn: turn}
		var walls []room.Wall
		const pieces = 2000
		at := func(k int) r2.Vec {
			p, out := skin.At(2 * math.Pi * float64(k) / pieces)
			return r2.Add(p, r2.Scale(d, out))
		}
		for k := range pieces {
			walls = append(walls, room.Wall{at(k), at(k + 1)})
		}
		for _, padding := range []float64{0, 5, 11} { // the last is too thick
			gaps := wallGaps(BodyOutline{Skin: skin, Padding: padding}, walls)
			about(t, "least", gaps[0].Gap, d-padding, 0.01)
			about(t, "greatest", gaps[1].Gap, d-padding, 0.01)
		}
	}
}

// Where there is no wall there is no gap: a gutter counts its wall alone, a wall
// that runs away from the body is none, and nothing at all gives none.
func TestWallGapsOfGutters(t *testing.T) {
	b := BodyOutline{Skin: Ellipse{Center: r2.Vec{X: 10}, Major: 80, Minor: 80}}
	gaps := wallGaps(b, round(60, r2.Vec{}, math.Pi/2, 3*math.Pi/2)) // open towards +x
	about(t, "the far wall", gaps[1].Gap, 30, 0.01)
	if gaps[0].Gap < 15 { // towards the rims; +x alone would have 10
		t.Errorf("least gap %.2f mm where there is no wall", gaps[0].Gap)
	}
	spoke := []room.Wall{{r2.Vec{X: 51}, r2.Vec{X: 90, Y: 0.3}}}
	if got := wallGaps(b, append(spoke, round(60, r2.Vec{}, math.Pi/2, 3*math.Pi/2)...)); got[0].Gap < 15 {
		t.Errorf("a wall that runs away counts: %.2f mm", got[0].Gap)
	}
	if got := wallGaps(b, nil); got != nil {
		t.Errorf("gaps without a wall: %v", got)
	}
}

// An ellipse's points lie on it, and its outward vectors are square to it.
func TestEllipseAt(t *testing.T) {
	e := Ellipse{Center: r2.Vec{X: 3, Y: 4}, Major: 20, Minor: 12, Turn: 0.7}
	focal := math.Sqrt(10*10 - 6*6)
	sin, cos := math.Sincos(e.Turn)
	f1 := r2.Add(e.Center, r2.Vec{X: focal * cos, Y: focal * sin})
	f2 := r2.Sub(e.Center, r2.Vec{X: focal * cos, Y: focal * sin})
	for k := range 36 {
		angle := float64(k) * math.Pi / 18
		p, out := e.At(angle)
		// The sum of the ways to the foci is the major axis (Apollonius).
		about(t, "sum of the ways to the foci", r2.Norm(r2.Sub(p, f1))+r2.Norm(r2.Sub(p, f2)), 20, 1e-9)
		q, _ := e.At(angle + 1e-6)
		about(t, "square to the curve", r2.Dot(r2.Unit(r2.Sub(q, p)), out), 0, 1e-5)
		if r2.Dot(out, r2.Sub(p, e.Center)) <= 0 {
			t.Error("it shows inward")
		}
	}
}
