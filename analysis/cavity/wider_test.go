package cavity

import (
	"math"
	"testing"

	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// ring is a section by hand at a height, of an ellipse about the z axis and a place aside of
// it, open between directions in degrees, each pair anticlockwise.
func ring(e shape.Ellipse, z float64, aside r2.Vec, open ...[2]float64) Station {
	return outline(func(angle float64) r2.Vec {
		x, y := e.At(angle)
		return r2.Add(aside, r2.Vec{X: x, Y: y})
	}, z, open...)
}

// outline is ring for a curve by the angle in radians.
func outline(curve func(angle float64) r2.Vec, z float64, open ...[2]float64) Station {
	const n = 720
	plane := section.Plane{Point: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}}
	s := Station{Normal: plane.Normal, Section: section.Section{Plane: plane}}
	at := func(degrees float64) r2.Vec {
		p := curve(degrees * math.Pi / 180)
		return plane.Flat(r3.Vec{X: p.X, Y: p.Y})
	}
	for i := range n {
		from, to := float64(i)*360/n, float64(i+1)*360/n
		gone, last := false, 0.0
		for _, o := range open {
			if from >= o[0] && from < o[1] {
				gone, last = true, o[1]
			}
			if from == o[0] {
				s.Void, s.gaps = append(s.Void, at(from)), append(s.gaps, true)
				s.Gaps = append(s.Gaps, r2.Norm(r2.Sub(at(last), at(from))))
				s.Gap += s.Gaps[len(s.Gaps)-1]
			}
		}
		if !gone {
			s.Void, s.gaps = append(s.Void, at(from)), append(s.gaps, false)
			s.InnerGirth += r2.Norm(r2.Sub(at(to), at(from)))
		}
	}
	return s
}

// Of sections alike, an open one is as many times as wide as a whole one as it is larger,
// whatever their aspect, wherever they are cut open and however often; a little aside of
// each other it is so to 2.5 percent. What cannot be compared is not.
func TestWider(t *testing.T) {
	for _, aspect := range []float64{1, 0.85, 0.7} {
		e := shape.Ellipse{A: 60, B: 60 * aspect}
		whole := ring(e, 0, r2.Vec{})
		for _, larger := range []float64{0.8, 1, 1.25} {
			for _, open := range [][][2]float64{{{20, 80}}, {{-0, 90}}, {{230, 350}}, {{195, 345}}, {{10, 60}, {180, 230}}} {
				s := ring(e.Times(larger), 40, r2.Vec{}, open...)
				require.InEpsilon(t, larger, s.Wider(&whole), 1e-3, "%g, %v", aspect, open)
				s = ring(e.Times(larger), 40, r2.Vec{X: 2, Y: -3}, open...)
				require.InEpsilon(t, larger, s.Wider(&whole), 0.025, "%g, %v, aside", aspect, open)
			}
		}
		require.Zero(t, whole.Wider(&whole), "closed")
		open := ring(e, 40, r2.Vec{}, [2]float64{30, 120})
		require.Zero(t, whole.Wider(&open))
		require.Zero(t, open.Wider(&open))
		half := ring(e, 40, r2.Vec{}, [2]float64{30, 220})
		require.Zero(t, half.Wider(&whole), "more than half of it is open")
		require.Zero(t, (&Station{Gap: 5}).Wider(&whole), "nothing is known of it")
		require.Zero(t, open.Wider(&Station{}))
	}
}
