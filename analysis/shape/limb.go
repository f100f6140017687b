package shape

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Tube is an upright regular prism shell: its sections are regular polygons
// inscribed in circles. The rim at z = 0 faces down, the other up. A low one
// is a belt, a collar or a bracelet.
type Tube struct {
	Sides  int
	Radius float64 // of the circle round the inner polygon
	Wall   float64 // outer circle minus inner circle
	Height float64
}

// Mesh draws the tube along +z round the origin.
func (t Tube) Mesh() *mesh.Mesh { return t.taper().Mesh() }

// Openings returns the top and the bottom.
func (t Tube) Openings() []Opening { return t.taper().Openings() }

// Ways returns the way from top to bottom with stations every step mm.
func (t Tube) Ways(step float64) []Way { return t.taper().Ways(step) }

// Volume returns the polyhedron's own volume.
func (t Tube) Volume() float64 { return t.taper().Volume() }

// Girth returns the inner girth of the polygon, 2·n·r·sin(π/n).
func (t Tube) Girth() float64 {
	n := float64(sides(t.Sides))
	return 2 * n * t.Radius * math.Sin(math.Pi/n)
}

// Capacity returns the girth of the greatest ellipse in the polygon: for an
// even number of sides its incircle of radius r·cos(π/n).
func (t Tube) Capacity() float64 {
	return 2 * math.Pi * t.Radius * math.Cos(math.Pi/float64(sides(t.Sides)))
}

// Area returns the polyhedron's own area: both skins and the two flat rims.
func (t Tube) Area() float64 {
	n := sides(t.Sides)
	outer := Circle(t.Radius + t.Wall)
	skins := t.Height * 2 * float64(n) * math.Sin(math.Pi/float64(n)) * (2*t.Radius + t.Wall)
	return skins + 2*(outer.PolygonArea(n)-Circle(t.Radius).PolygonArea(n))
}

func (t Tube) taper() Taper {
	c := Circle(t.Radius)
	return Taper{Sides: t.Sides, Bottom: c, Top: c, Wall: t.Wall, Height: t.Height}
}

// Taper is an upright elliptical frustum shell with straight walls: the
// half-axes of its sections change evenly from Bottom to Top.
type Taper struct {
	Sides       int
	Rows        int     // bands of facets from bottom to top; 8 where 0
	Bottom, Top Ellipse // inner
	Wall        float64 // outer half-axes minus inner ones
	Height      float64
}

// Mesh draws the taper along +z round the origin.
func (t Taper) Mesh() *mesh.Mesh { return t.limb().Mesh() }

// Openings returns the top and the bottom.
func (t Taper) Openings() []Opening { return t.limb().Openings() }

// Ways returns the way from top to bottom with stations every step mm.
func (t Taper) Ways(step float64) []Way { return t.limb().Ways(step) }

// Volume returns the polyhedron's own volume.
func (t Taper) Volume() float64 { return t.limb().Volume() }

// At returns the inner section at the height z.
func (t Taper) At(z float64) Ellipse { return t.Bottom.Toward(t.Top, z/t.Height) }

func (t Taper) limb() Limb {
	rows := count(t.Rows, 8)
	l := Limb{Sides: t.Sides, Wall: t.Wall}
	for i := range rows + 1 {
		share := float64(i) / float64(rows)
		l.Rings = append(l.Rings, Ring{
			Center: r3.Vec{Z: share * t.Height},
			Inner:  t.Bottom.Toward(t.Top, share),
		})
	}
	return l
}

// Ring is a level section of a Limb: an inner ellipse with A along x and B
// along y, round its center.
type Ring struct {
	Center r3.Vec
	Inner  Ellipse
}

// Limb is an upright shell through a stack of rings, straight from ring to
// ring: a greave with a calf, a forearm shell with a flare.
type Limb struct {
	Sides int
	Rings []Ring // at least two, from the bottom up
	Wall  float64
}

// Mesh draws the limb.
func (l Limb) Mesh() *mesh.Mesh {
	return wall{
		rows: len(l.Rings), cols: sides(l.Sides), wrap: true,
		inner: l.point(0), outer: l.point(l.Wall),
	}.mesh()
}

// point returns the grid of the skin that lies grown mm outside the inner one.
func (l Limb) point(grown float64) func(i, j int) r3.Vec {
	n := float64(sides(l.Sides))
	return func(i, j int) r3.Vec {
		ring := l.Rings[i]
		x, y := ring.Inner.Grown(grown).At(2 * math.Pi * float64(j) / n)
		return r3.Add(ring.Center, r3.Vec{X: x, Y: y})
	}
}

// Openings returns the top and the bottom.
func (l Limb) Openings() []Opening {
	bottom, top := l.Rings[0], l.Rings[len(l.Rings)-1]
	return []Opening{
		{Center: top.Center, Facing: r3.Vec{Z: 1}, Rim: top.Inner},
		{Center: bottom.Center, Facing: r3.Vec{Z: -1}, Rim: bottom.Inner},
	}
}

// At returns the ring at the height z: between two rings everything changes
// evenly. Beyond the ends the last ring counts.
func (l Limb) At(z float64) Ring {
	for i := 1; i < len(l.Rings); i++ {
		low, high := l.Rings[i-1], l.Rings[i]
		if z > high.Center.Z && i < len(l.Rings)-1 {
			continue
		}
		t := (z - low.Center.Z) / (high.Center.Z - low.Center.Z)
		t = min(max(t, 0), 1)
		return Ring{
			Center: r3.Add(low.Center, r3.Scale(t, r3.Sub(high.Center, low.Center))),
			Inner:  low.Inner.Toward(high.Inner, t),
		}
	}
	return l.Rings[0]
}

// Ways returns the way from top to bottom as level sections every step mm of
// height.
func (l Limb) Ways(step float64) []Way {
	bottom, top := l.Rings[0].Center.Z, l.Rings[len(l.Rings)-1].Center.Z
	w := Way{From: 0, To: 1}
	for z := top; z >= bottom; z -= step {
		ring := l.At(z)
		w.Stations = append(w.Stations, Station{
			Along: top - z, Center: ring.Center, Normal: r3.Vec{Z: -1}, Loop: ring.Inner,
		})
	}
	return []Way{w}
}

// Volume returns the polyhedron's own volume, outer minus inner.
func (l Limb) Volume() float64 {
	return l.filled(l.Wall) - l.filled(0)
}

// filled returns the volume inside the skin grown mm outside the inner one.
// Each band is a prismatoid, h/6·(P₀ + 4·P½ + P₁). Cut halfway, a band whose
// quads are split along equal diagonals has the area of the polygon in the
// mean ellipse: with p and q the corners below and above, the cross terms sum
// to ½·n·sin(2π/n)·(a₀·b₁ + a₁·b₀).
func (l Limb) filled(grown float64) float64 {
	n := sides(l.Sides)
	var sum float64
	for i := 1; i < len(l.Rings); i++ {
		low, high := l.Rings[i-1].Inner.Grown(grown), l.Rings[i].Inner.Grown(grown)
		h := l.Rings[i].Center.Z - l.Rings[i-1].Center.Z
		mid := low.Toward(high, 0.5).PolygonArea(n)
		sum += h / 6 * (low.PolygonArea(n) + 4*mid + high.PolygonArea(n))
	}
	return sum
}
