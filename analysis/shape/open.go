package shape

import (
	"math"
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bar is a solid box with its corner at the origin. It has no cavity.
type Bar struct {
	X, Y, Z float64
}

// Mesh draws the bar with twelve triangles.
func (b Bar) Mesh() *mesh.Mesh {
	m := &mesh.Mesh{}
	for c := range 8 {
		m.AddVertex(r3.Vec{X: float64(c&1) * b.X, Y: float64(c>>1&1) * b.Y, Z: float64(c>>2) * b.Z})
	}
	for _, f := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		quad(m, f[0], f[1], f[2], f[3])
	}
	return m
}

// Openings returns none: there is no cavity.
func (b Bar) Openings() []Opening { return nil }

// Volume returns x·y·z.
func (b Bar) Volume() float64 { return b.X * b.Y * b.Z }

// Area returns 2·(xy + yz + zx).
func (b Bar) Area() float64 { return 2 * (b.X*b.Y + b.Y*b.Z + b.Z*b.X) }

// Plate is an armour plate: a sheet of even thickness, flat or gently bent
// round a vertical cylinder. It covers a part of the body from one side and
// has no cavity.
type Plate struct {
	Sides         int // columns of facets
	Width, Height float64
	Wall          float64
	Bend          float64 // radius of the inner skin; 0 is flat
}

// Mesh draws the plate upright on z = 0: flat it spans x with its outside
// toward +y, bent it lies round the z axis with its middle at +y.
func (p Plate) Mesh() *mesh.Mesh {
	n := count(p.Sides, 32)
	if p.Bend == 0 {
		n = 1
	}
	at := func(depth float64) func(i, j int) r3.Vec {
		return func(i, j int) r3.Vec {
			across := (float64(j)/float64(n) - 0.5) * p.Width
			z := r3.Vec{Z: float64(i) * p.Height}
			if p.Bend == 0 {
				return r3.Add(z, r3.Vec{X: -across, Y: depth})
			}
			return r3.Add(z, r3.Scale(p.Bend+depth, fromFront(across/p.Bend)))
		}
	}
	return wall{rows: 2, cols: n + 1, inner: at(0), outer: at(p.Wall)}.mesh()
}

// fromFront returns the level unit vector at an angle from +y,
// counter-clockwise seen from above.
func fromFront(angle float64) r3.Vec {
	sin, cos := math.Sincos(angle)
	return r3.Vec{X: -sin, Y: cos}
}

// Openings returns none: there is no cavity.
func (p Plate) Openings() []Opening { return nil }

// Volume returns the polyhedron's own volume. Bent, a section is n trapezoids
// between the inner and the outer radius, each ½·sin δ·(R² − r²) in area, δ the
// angle of a column.
func (p Plate) Volume() float64 {
	if p.Bend == 0 {
		return p.Width * p.Height * p.Wall
	}
	n := float64(count(p.Sides, 32))
	outer := p.Bend + p.Wall
	return n / 2 * math.Sin(p.Width/p.Bend/n) * (outer*outer - p.Bend*p.Bend) * p.Height
}

// Cutaway is an upright shell with an elliptical section that closes all round but for
// its cuts: a greave that is open behind the knee, a vest with its armholes.
type Cutaway struct {
	Bottom, Top Ellipse // inner sections, changing evenly between; A along x
	Wall        float64
	Height      float64
	Cuts        []Cut
}

// Cut is what a cutaway shell leaves out: between two heights, so many degrees to each
// side of a direction, counted from +x on.
type Cut struct {
	From, To    float64 // mm
	At, Degrees float64
}

// Mesh draws the shell along +z round the z axis, in columns of two degrees and rows of
// about five mm; cuts end where those do.
func (c Cutaway) Mesh() *mesh.Mesh {
	const cols = 180
	rows := max(1, int(math.Round(c.Height/5)))
	at := func(grown float64) func(i, j int) r3.Vec {
		return func(i, j int) r3.Vec {
			share := float64(i) / float64(rows)
			e := c.Bottom.Toward(c.Top, share)
			sin, cos := math.Sincos(2 * math.Pi * float64(j) / cols)
			return r3.Vec{X: (e.A + grown) * cos, Y: (e.B + grown) * sin, Z: share * c.Height}
		}
	}
	gone := func(i, j int) bool {
		z, angle := (float64(i)+0.5)/float64(rows)*c.Height, (float64(j)+0.5)*360/cols
		return slices.ContainsFunc(c.Cuts, func(cut Cut) bool {
			off := math.Abs(math.Remainder(angle-cut.At, 360))
			return z > cut.From && z < cut.To && off < cut.Degrees
		})
	}
	return wall{rows: rows + 1, cols: cols, wrap: true, inner: at(0), outer: at(c.Wall), gone: gone}.mesh()
}

// Gutter is an upright round shell that is open along its back (−y): a thigh
// shell for straps. An arc of 180° is a half shell.
type Gutter struct {
	Sides       int     // columns of facets from rim to rim
	Bottom, Top float64 // inner radius
	Wall        float64
	Height      float64
	Arc         float64 // degrees of the way round, less than 360
	Round       bool    // half-round rims along the gap, beyond the arc
}

// roundSides is the number of facets of a quarter of a round rim.
const roundSides = 6

// Mesh draws the gutter along +z round the z axis.
func (g Gutter) Mesh() *mesh.Mesh {
	const rows = 8
	cols := sides(g.Sides) + 1
	if g.Round {
		cols += 2 * roundSides
	}
	at := func(side float64) func(i, j int) r3.Vec {
		return func(i, j int) r3.Vec {
			share := float64(i) / rows
			p := g.outline(g.Bottom+share*(g.Top-g.Bottom), side, j)
			p.Z = share * g.Height
			return p
		}
	}
	return wall{rows: rows + 1, cols: cols, inner: at(-1), outer: at(1)}.mesh()
}

// outline returns the point of column j on the inner (side −1) or outer (side
// 1) skin of the section with the inner radius.
func (g Gutter) outline(radius, side float64, j int) r3.Vec {
	n, half := sides(g.Sides), g.Arc/2*math.Pi/180
	var beyond int // steps past the arc's end, negative at its start
	if g.Round {
		j -= roundSides
		beyond = max(j-n, 0) + min(j, 0)
		j = min(max(j, 0), n)
	}
	angle := half * (2*float64(j)/float64(n) - 1)
	sin, cos := math.Sincos(float64(beyond) / roundSides * math.Pi / 2)
	if beyond == roundSides || beyond == -roundSides {
		cos = 0
	}
	out := r3.Scale(radius+g.Wall/2*(1+side*cos), fromFront(angle))
	return r3.Add(out, r3.Scale(g.Wall/2*sin, fromFront(angle+math.Pi/2)))
}

// Openings returns the one opening that wraps both ends and the gap, seen from
// the gap. Its rim is no ellipse.
func (g Gutter) Openings() []Opening {
	return []Opening{{Center: r3.Vec{Z: g.Height / 2}, Facing: r3.Vec{Y: -1}}}
}

// Ways returns the way along the gutter, from the bottom to the top, as level
// sections every step mm. Loop is the circle that the wall lies on.
func (g Gutter) Ways(step float64) []Way {
	w := Way{From: 0, To: -1}
	for z := 0.0; z <= g.Height; z += step {
		w.Stations = append(w.Stations, Station{
			Along: z, Center: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}, Loop: Circle(g.Radius(z)),
		})
	}
	return []Way{w}
}

// Radius returns the inner radius at the height z.
func (g Gutter) Radius(z float64) float64 { return g.Bottom + z/g.Height*(g.Top-g.Bottom) }

// Girth returns the length of the inner wall at the height z, r·arc, without
// round rims.
func (g Gutter) Girth(z float64) float64 { return g.Radius(z) * g.Arc * math.Pi / 180 }

// Gap returns the least width between the rims at the height z: the chord
// between the inner edges, or between the half-rounds.
func (g Gutter) Gap(z float64) float64 {
	half := math.Pi - g.Arc/2*math.Pi/180
	if g.Round {
		return 2*(g.Radius(z)+g.Wall/2)*math.Sin(half) - g.Wall
	}
	return 2 * g.Radius(z) * math.Sin(half)
}

// Ellipse returns, for flat rims and an arc of at least 180°, the ellipse of
// the greatest girth, with A along the gap's direction, and how far its center
// lies from the axis toward the gap, at the height z. The gap is no obstacle,
// the ellipse must touch wall so that no arc above 180° is free seen from its
// center, and it is not slimmer than 1:2.
//
// With the gap's half angle β, the edges lie at d = r·cos β toward the gap. The
// ellipses that touch the circle at the back and pass both edges are the pencil
// x² + y² − r² + (μ − 1)(x + r)(x − d) = 0 with μ = (b/a)². They lie inside the
// circle on the wall's side of the edges, and grow as μ falls, until the center
// comes to lie between the edges: then a = r + d, b = r·sin β, μ = tan²(β/2).
func (g Gutter) Ellipse(z float64) (e Ellipse, shift float64) {
	r, beta := g.Radius(z), math.Pi-g.Arc/2*math.Pi/180
	d := r * math.Cos(beta)
	mu := max(math.Pow(math.Tan(beta/2), 2), leastAspect*leastAspect)
	shift = (1 - mu) * (r - d) / (2 * mu)
	b := math.Sqrt(r*r + (mu-1)*r*d + mu*shift*shift)
	return Ellipse{A: b / math.Sqrt(mu), B: b}, shift
}

// Volume returns the polyhedron's own volume for flat rims: n columns of
// trapezoids, ½·sin δ·(R² − r²), whose areas change as the square of the height.
func (g Gutter) Volume() float64 {
	n := float64(sides(g.Sides))
	area := func(r float64) float64 { return (r+g.Wall)*(r+g.Wall) - r*r }
	mean := (area(g.Bottom) + 4*area((g.Bottom+g.Top)/2) + area(g.Top)) / 6
	return n / 2 * math.Sin(g.Arc*math.Pi/180/n) * mean * g.Height
}
