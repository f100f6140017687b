package picture

import (
	"math"
	"os"
	"testing"

	"gambeson/analysis"

	"gonum.org/v1/gonum/spatial/r2"
)

// LOOK=folder go test writes the sample pictures there, to be looked at.
func look(t *testing.T, name string, s *sheet) {
	t.Helper()
	dir := os.Getenv("LOOK")
	if dir == "" {
		return
	}
	data, err := PNG(s.im)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(dir+"/"+name+".png", data, 0o644); err != nil {
		t.Fatal(err)
	}
}

// limb is a curve with everything on it: capacity, an open end, what the body
// needs, measured and estimated.
func limb() Curve {
	c := Curve{Title: "Girth along the part at 107 %", From: "opening A", Tightest: 8, Widest: 52}
	for i := range 81 {
		z := float64(i) * 5
		g := 330 + 90*math.Sin((z-120)/100) + z*0.1
		c.Stations = append(c.Stations, Station{Along: z, Inner: g, Capacity: g * 0.97, Open: z > 340})
	}
	for i, s := range c.Stations {
		if s.Inner < c.Stations[c.Tightest].Inner {
			c.Tightest = i
		}
		if s.Inner > c.Stations[c.Widest].Inner {
			c.Widest = i
		}
	}
	c.Needs = []Need{
		{Label: "calf", Text: "needs 414.2 mm, has 409.1 mm: 5.1 mm too tight", Along: 260, Body: 377, Girth: 414.2},
		{Label: "ankle", Text: "needs about 290.1 ± 7.0 mm, has 300.0 mm: 9.9 mm to spare", Along: 330, Body: 253, Girth: 290.1, SD: 7, Estimated: true},
		{Label: "heel", Text: "303.8 mm must pass, least room 258.3 mm: 45.5 mm too tight", Along: 45, Passes: true, Body: 291.2, Girth: 303.8},
	}
	return c
}

// bare is the first form of a curve: one girth, nothing else known.
func bare() Curve {
	c := limb()
	c.Needs = nil
	for i := range c.Stations {
		c.Stations[i].Capacity, c.Stations[i].Open = 0, false
	}
	return c
}

// loop is an ellipse of n points round (30, 12); turn −1 goes clockwise.
func loop(a, b float64, n int, turn float64) []r2.Vec {
	var out []r2.Vec
	for i := range n {
		sin, cos := math.Sincos(turn * 2 * math.Pi * float64(i) / float64(n))
		out = append(out, r2.Vec{X: 30 + a*cos, Y: 12 + b*sin})
	}
	return out
}

// shell is the section of an elliptical shell with junk in its wall.
func shell() analysis.Outline {
	return analysis.Outline{
		Walls: []analysis.Polyline{
			{Points: loop(60, 48, 128, 1), Closed: true},
			{Points: loop(55, 43, 128, -1), Closed: true},
			{Points: loop(58, 46, 20, 1)[:4]},
		},
		Void: loop(55, 43, 128, 1),
		Room: &analysis.Ellipse{Center: r2.Vec{X: 30, Y: 12}, Major: 106, Minor: 82, Turn: 0.03},
	}
}

// gutter is an open section: a wall of 240° without a void.
func gutter() analysis.Outline {
	outer, inner := loop(60, 60, 120, 1)[:81], loop(56, 56, 120, 1)[:81]
	for i := range inner {
		outer = append(outer, inner[len(inner)-1-i])
	}
	return analysis.Outline{
		Walls: []analysis.Polyline{{Points: outer, Closed: true}}, Void: loop(56, 56, 120, 1)[:81],
		Room: &analysis.Ellipse{Center: r2.Vec{X: 20, Y: -30}, Major: 190, Minor: 100, Turn: 1},
	}
}
