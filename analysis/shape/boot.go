package shape

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Boot is a bent shell with a closed toe: a shaft down, a round bend by 90°
// and a foot along +y. Its axis is a line, a quarter circle and a line; every
// section square to the axis is an ellipse round it, with half-axis A in the
// plane of the bend (front to back on the shaft, sole to instep on the foot)
// and B across. A + Wall must stay below Bend.
type Boot struct {
	Sides int
	// Inner sections at the rim, where the bend starts, where it ends and where
	// the toe cap starts; they change evenly between.
	Rim, Ankle, Instep, Ball Ellipse
	Wall                     float64
	Shaft                    float64 // length of the straight shaft
	Bend                     float64 // radius of the axis in the bend
	Foot                     float64 // length of the straight foot up to the toe cap
	Toe                      float64 // depth of the toe cap, half an ellipsoid
	OpenSole                 bool    // the sole is cut off from the heel to the ball
}

// Rows of facets of each stretch of a boot.
const (
	shaftRows = 10
	bendRows  = 32 // the sagitta of a step, Bend·(1 − cos(π/128)), is 0.03 % of it
	footRows  = 10
	toeRows   = 16
)

// Mesh draws the boot. The sole of the outer skin touches z = 0.
func (b Boot) Mesh() *mesh.Mesh {
	n := sides(b.Sides)
	// The open sole is 50° to each side of straight down.
	half := n * 50 / 360
	heel, ball := shaftRows+bendRows/2, shaftRows+bendRows+footRows
	return wall{
		rows: shaftRows + bendRows + footRows + toeRows + 1, cols: n, wrap: true,
		inner: b.point(0), outer: b.point(b.Wall),
		gone: func(i, j int) bool {
			return b.OpenSole && i >= heel && i < ball && (j < half || j >= n-half)
		},
	}.mesh()
}

// point returns the grid of the skin that lies grown mm outside the inner
// one. Column 0 runs down the back of the shaft and along the sole.
func (b Boot) point(grown float64) func(i, j int) r3.Vec {
	n := float64(sides(b.Sides))
	straight := shaftRows + bendRows + footRows
	return func(i, j int) r3.Vec {
		along, shrink, reach := b.Length(), 1.0, 0.0
		if i <= straight {
			along = b.along(i)
		} else {
			sin, cos := math.Sincos(float64(i-straight) / toeRows * math.Pi / 2)
			if i == straight+toeRows {
				cos = 0
			}
			shrink, reach = cos, sin*(b.Toe+grown)
		}
		center, tangent, down := b.axis(along)
		out, across := b.At(along).Grown(grown).Times(shrink).At(2 * math.Pi * float64(j) / n)
		p := r3.Add(center, r3.Scale(reach, tangent))
		return r3.Add(p, r3.Add(r3.Scale(out, down), r3.Vec{X: -across}))
	}
}

// along returns the place on the axis of row i before the toe cap.
func (b Boot) along(i int) float64 {
	bend := b.Bend * math.Pi / 2
	switch {
	case i <= shaftRows:
		return b.Shaft * float64(i) / shaftRows
	case i <= shaftRows+bendRows:
		return b.Shaft + bend*float64(i-shaftRows)/bendRows
	}
	return b.Shaft + bend + b.Foot*float64(i-shaftRows-bendRows)/footRows
}

// axis returns the point of the axis at a place, the direction of the way
// there, and the direction across it to the back of the shaft or to the sole.
func (b Boot) axis(along float64) (center, tangent, down r3.Vec) {
	sole := max(b.Instep.A, b.Ball.A) + b.Wall // height of the foot's axis
	turn := min(max((along-b.Shaft)/b.Bend, 0), math.Pi/2)
	sin, cos := math.Sincos(turn)
	tangent, down = r3.Vec{Y: sin, Z: -cos}, r3.Vec{Y: -cos, Z: -sin}
	center = r3.Vec{Y: b.Bend * (1 - cos), Z: sole + b.Bend*(1-sin)}
	center.Z += max(b.Shaft-along, 0)
	center.Y += max(along-b.Shaft-b.Bend*math.Pi/2, 0)
	return center, tangent, down
}

// Length returns the length of the axis from the rim to the toe cap.
func (b Boot) Length() float64 { return b.Shaft + b.Bend*math.Pi/2 + b.Foot }

// At returns the inner section at a place on the axis before the toe cap.
func (b Boot) At(along float64) Ellipse {
	bend := b.Bend * math.Pi / 2
	switch {
	case along <= b.Shaft:
		return b.Rim.Toward(b.Ankle, along/b.Shaft)
	case along <= b.Shaft+bend:
		return b.Ankle.Toward(b.Instep, (along-b.Shaft)/bend)
	}
	return b.Instep.Toward(b.Ball, (along-b.Shaft-bend)/b.Foot)
}

// Openings returns the rim and, where it is cut off, the sole.
func (b Boot) Openings() []Opening {
	top, tangent, _ := b.axis(0)
	out := []Opening{{Center: top, Facing: r3.Scale(-1, tangent), Rim: b.Rim}}
	if b.OpenSole {
		center, _, down := b.axis(b.Length() - b.Foot/2)
		out = append(out, Opening{Center: r3.Add(center, r3.Scale(b.At(b.Length()-b.Foot/2).A, down)), Facing: down})
	}
	return out
}

// Ways returns the way from the rim to the deep end with stations every step
// mm of the axis, up to the toe cap. With an open sole the sections from the
// middle of the bend on are open.
func (b Boot) Ways(step float64) []Way {
	w := Way{From: 0, To: -1}
	for s := 0.0; s <= b.Length(); s += step {
		center, tangent, _ := b.axis(s)
		w.Stations = append(w.Stations, Station{Along: s, Center: center, Normal: tangent, Loop: b.At(s)})
	}
	return []Way{w}
}

// SmoothVolume returns the volume of the smooth wall, sole included. A section
// square to the axis has its centroid on it, so the volume is the integral of
// the section's area along the axis (Pappus), and the toe caps are halves of
// ellipsoids.
func (b Boot) SmoothVolume() float64 { return b.smooth(b.Wall) - b.smooth(0) }

func (b Boot) smooth(grown float64) float64 {
	rim, ankle := b.Rim.Grown(grown), b.Ankle.Grown(grown)
	instep, ball := b.Instep.Grown(grown), b.Ball.Grown(grown)
	return mean(rim, ankle)*b.Shaft + mean(ankle, instep)*b.Bend*math.Pi/2 +
		mean(instep, ball)*b.Foot + 2.0/3*ball.Area()*(b.Toe+grown)
}

// mean returns the mean area of the ellipses whose half-axes change evenly
// from e to f.
func mean(e, f Ellipse) float64 {
	return (e.Area() + 4*e.Toward(f, 0.5).Area() + f.Area()) / 6
}

// MitreBoot is two round tubes of one radius that meet square in a mitre: a
// shaft along +z and a foot along +y with a flat closed toe. Their axes meet in
// the origin. The section in the mitre plane z = y is an ellipse with the
// half-axes r√2 and r. Sides should be a multiple of 4.
type MitreBoot struct {
	Sides       int
	Radius      float64 // inner
	Wall        float64
	Shaft, Foot float64 // length of the axes inside, each above Radius + Wall
}

// mitreRows is the number of bands of facets of each leg of a mitre boot.
const mitreRows = 8

// Mesh draws the boot.
func (b MitreBoot) Mesh() *mesh.Mesh {
	return wall{
		rows: 2*mitreRows + 2, cols: sides(b.Sides), wrap: true,
		inner: b.point(0), outer: b.point(b.Wall),
	}.mesh()
}

// point returns the grid of the skin that lies grown mm outside the inner
// one: shaft from the rim to the mitre, foot from there to the toe, and the
// middle of the toe.
func (b MitreBoot) point(grown float64) func(i, j int) r3.Vec {
	n := float64(sides(b.Sides))
	return func(i, j int) r3.Vec {
		back, across := Circle(b.Radius + grown).At(2 * math.Pi * float64(j) / n)
		mitre := -back // y and z of the mitre plane
		if i <= mitreRows {
			share := float64(i) / mitreRows
			return r3.Vec{X: -across, Y: mitre, Z: b.Shaft + share*(mitre-b.Shaft)}
		}
		toe := b.Foot + grown
		if i > 2*mitreRows {
			return r3.Vec{Y: toe}
		}
		share := float64(i-mitreRows) / mitreRows
		return r3.Vec{X: -across, Y: mitre + share*(toe-mitre), Z: mitre}
	}
}

// Openings returns the rim of the shaft.
func (b MitreBoot) Openings() []Opening {
	return []Opening{{Center: r3.Vec{Z: b.Shaft}, Facing: r3.Vec{Z: 1}, Rim: Circle(b.Radius)}}
}

// Mitre returns the section in the mitre plane, whose normal is (0, 1, −1).
func (b MitreBoot) Mitre() Ellipse { return Ellipse{A: b.Radius * math.Sqrt2, B: b.Radius} }

// Ways returns the way from the rim to the toe along both axes, with the
// mitre as the station at the corner. Stations nearer to it than the section
// reaches are left out.
func (b MitreBoot) Ways(step float64) []Way {
	w := Way{From: 0, To: -1}
	for s := 0.0; s <= b.Shaft-b.Radius-b.Wall; s += step {
		w.Stations = append(w.Stations, Station{
			Along: s, Center: r3.Vec{Z: b.Shaft - s}, Normal: r3.Vec{Z: -1}, Loop: Circle(b.Radius),
		})
	}
	w.Stations = append(w.Stations, Station{
		Along: b.Shaft, Normal: r3.Vec{Y: math.Sqrt2 / 2, Z: -math.Sqrt2 / 2}, Loop: b.Mitre(),
	})
	for y := b.Radius + b.Wall; y < b.Foot; y += step {
		w.Stations = append(w.Stations, Station{
			Along: b.Shaft + y, Center: r3.Vec{Y: y}, Normal: r3.Vec{Y: 1}, Loop: Circle(b.Radius),
		})
	}
	return []Way{w}
}

// Volume returns the polyhedron's own volume. A prism cut obliquely holds its
// base times its length along the centroid, which is the axis here.
func (b MitreBoot) Volume() float64 {
	n := sides(b.Sides)
	length := b.Shaft + b.Foot
	return Circle(b.Radius+b.Wall).PolygonArea(n)*(length+b.Wall) - Circle(b.Radius).PolygonArea(n)*length
}
