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
		inner: around(l.Rings, sides(l.Sides)), outer: around(grown(l.Rings, l.Wall), sides(l.Sides)),
	}.mesh()
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
	n := sides(l.Sides)
	return filled(grown(l.Rings, l.Wall), n) - filled(l.Rings, n)
}

// Solid draws the limb as a block without a cavity: the outer skin closed by
// flat ends. The first and last ring are doubled as points for that.
func (l Limb) Solid() *mesh.Mesh {
	outer := grown(l.Rings, l.Wall)
	first, last := outer[0], outer[len(outer)-1]
	first.Inner, last.Inner = Ellipse{}, Ellipse{}
	outer = append(append([]Ring{first}, outer...), last)
	n := sides(l.Sides)
	return ball(len(outer), n, around(outer, n))
}

// SolidVolume returns the volume of the polyhedron Solid draws.
func (l Limb) SolidVolume() float64 { return filled(grown(l.Rings, l.Wall), sides(l.Sides)) }

// grown returns the rings with half-axes longer by d.
func grown(rings []Ring, d float64) []Ring {
	out := make([]Ring, len(rings))
	for i, r := range rings {
		out[i] = Ring{Center: r.Center, Inner: r.Inner.Grown(d)}
	}
	return out
}

// around returns the grid of points on the rings, n to a ring from +x on.
func around(rings []Ring, n int) func(i, j int) r3.Vec {
	return func(i, j int) r3.Vec {
		x, y := rings[i].Inner.At(2 * math.Pi * float64(j) / float64(n))
		return r3.Add(rings[i].Center, r3.Vec{X: x, Y: y})
	}
}

// filled returns the volume inside the n-sided polygons on the rings. Each
// band is a prismatoid, h/6·(P₀ + 4·P½ + P₁). Cut halfway, a band whose quads
// are split along equal diagonals has the area of the polygon in the mean
// ellipse: with p and q the corners below and above, the cross terms sum to
// ½·n·sin(2π/n)·(a₀·b₁ + a₁·b₀).
func filled(rings []Ring, n int) float64 {
	var sum float64
	for i := 1; i < len(rings); i++ {
		low, high := rings[i-1].Inner, rings[i].Inner
		h := rings[i].Center.Z - rings[i-1].Center.Z
		mid := low.Toward(high, 0.5).PolygonArea(n)
		sum += h / 6 * (low.PolygonArea(n) + 4*mid + high.PolygonArea(n))
	}
	return sum
}

// Flared returns a forearm shell: straight from the wrist to the elbow, with
// a cuff that opens below the wrist over the length of flare.
func Flared(wrist, elbow, cuff Ellipse, length, flare, thickness float64) Limb {
	l := Limb{Wall: thickness}
	const rows = 8 // bands of each stretch
	for i := range rows {
		// The cuff opens along a quarter of a cosine: upright at the wrist.
		share := 1 - float64(i)/rows
		l.Rings = append(l.Rings, Ring{
			Center: r3.Vec{Z: (1 - share) * flare},
			Inner:  wrist.Toward(cuff, 1-math.Cos(share*math.Pi/2)),
		})
	}
	for i := range rows + 1 {
		share := float64(i) / rows
		l.Rings = append(l.Rings, Ring{
			Center: r3.Vec{Z: flare + share*(length-flare)},
			Inner:  wrist.Toward(elbow, share),
		})
	}
	return l
}

// Helm is a closed head shell: a straight neck narrower than the head, a
// round widening, a straight skull with a slot for the eyes at the front (+y),
// and a dome. It has one opening to enter by, at z = 0.
type Helm struct {
	Sides            int
	Neck, Skull      Ellipse // inner sections; A across, B front to back
	Wall             float64
	NeckRise, Widen  float64 // height of the neck and of the widening above it
	Rise             float64 // height of the straight skull
	Dome             float64 // height of the dome inside
	SlotZ, SlotDepth float64 // middle of the slot and its height, within the skull; no slot where depth is 0
	SlotSides        int     // columns of facets that the slot is wide; even
}

// Rows of facets of a helm.
const (
	widenRows = 8
	domeRows  = 24
	slotRow   = widenRows + 2 // after the neck's one and the skull's first
)

// Mesh draws the helm.
func (h Helm) Mesh() *mesh.Mesh {
	n := sides(h.Sides)
	inner, outer := h.rings(0), h.rings(h.Wall)
	left := n/4 - h.SlotSides/2
	return wall{
		rows: len(inner), cols: n, wrap: true,
		inner: around(inner, n), outer: around(outer, n),
		gone: func(i, j int) bool {
			return h.SlotDepth > 0 && i == slotRow && j >= left && j < left+h.SlotSides
		},
	}.mesh()
}

// rings returns the level sections of the skin that lies grown mm outside the
// inner one, from the rim to the crown. Both skins have the same number.
func (h Helm) rings(grown float64) []Ring {
	var out []Ring
	add := func(z float64, e Ellipse) {
		out = append(out, Ring{Center: r3.Vec{Z: z}, Inner: e.Grown(grown)})
	}
	add(0, h.Neck)
	for i := range widenRows + 1 {
		share := float64(i) / widenRows
		add(h.NeckRise+share*h.Widen, h.Neck.Toward(h.Skull, smooth(share)))
	}
	skull := h.NeckRise + h.Widen
	if h.SlotDepth > 0 {
		add(h.SlotZ-h.SlotDepth/2, h.Skull)
		add(h.SlotZ+h.SlotDepth/2, h.Skull)
	}
	for i := range domeRows {
		sin, cos := math.Sincos(float64(i) / domeRows * math.Pi / 2)
		e := h.Skull.Grown(grown).Times(cos)
		out = append(out, Ring{Center: r3.Vec{Z: skull + h.Rise + (h.Dome+grown)*sin}, Inner: e})
	}
	return append(out, Ring{Center: r3.Vec{Z: skull + h.Rise + h.Dome + grown}})
}

// smooth rises from 0 to 1 with level ends: 3t² − 2t³.
func smooth(t float64) float64 { return t * t * (3 - 2*t) }

// Openings returns the neck and, where there is one, the slot.
func (h Helm) Openings() []Opening {
	out := []Opening{{Facing: r3.Vec{Z: -1}, Rim: h.Neck}}
	if h.SlotDepth > 0 {
		out = append(out, Opening{
			Center: r3.Vec{Y: h.Skull.B, Z: h.SlotZ}, Facing: r3.Vec{Y: 1}, Small: true,
		})
	}
	return out
}

// At returns the inner section at the height z, up to the top of the skull.
func (h Helm) At(z float64) Ellipse { return Limb{Rings: h.rings(0)}.At(z).Inner }

// Ways returns the way from the neck up to the crown as level sections every
// step mm, up to the top of the skull. At the slot the section is open.
func (h Helm) Ways(step float64) []Way {
	w := Way{From: 0, To: -1}
	for z := 0.0; z <= h.NeckRise+h.Widen+h.Rise; z += step {
		w.Stations = append(w.Stations, Station{
			Along: z, Center: r3.Vec{Z: z}, Normal: r3.Vec{Z: 1}, Loop: h.At(z),
		})
	}
	return []Way{w}
}

// Volume returns the polyhedron's own volume: both skins as stacks of
// prismatoids, less the slot. A column of the slot is the difference of two
// triangles ½·a·b·sin(2π/n); its sides do not point at the axis, which adds
// ½·w·(a − b)·sin 2s over the slot, s its half angle.
func (h Helm) Volume() float64 {
	n := sides(h.Sides)
	whole := filled(h.rings(h.Wall), n) - filled(h.rings(0), n)
	if h.SlotDepth == 0 {
		return whole
	}
	half := math.Pi * float64(h.SlotSides) / float64(n)
	slot := (h.Skull.Grown(h.Wall).PolygonArea(n) - h.Skull.PolygonArea(n)) * float64(h.SlotSides) / float64(n)
	slot += h.Wall / 2 * (h.Skull.A - h.Skull.B) * math.Sin(2*half)
	return whole - slot*h.SlotDepth
}

// Relief is a large limb for measuring speed: a tapered elliptical shell on a
// bent centreline with ribs and rivets on its outside. Its inner skin is
// smooth, so that level sections inside stay exact.
type Relief struct {
	Triangles int // not exceeded, and reached within 2·√Triangles or so
}

// Wall, height and bow of every Relief.
const (
	reliefWall   = 3.0
	reliefHeight = 300.0
	reliefBow    = 12.0 // how far the centreline bows out at half height
)

// grid returns the number of columns and of rows of facets: as many as the
// budget takes, with facets about as high as wide.
func (r Relief) grid() (cols, rows int) {
	cols = int(math.Sqrt(float64(r.Triangles) / 4))
	return cols, r.Triangles/(4*cols) - 1
}

// At returns the level section of the inner skin at the height z.
func (r Relief) At(z float64) Ring {
	share := z / reliefHeight
	return Ring{
		Center: r3.Vec{Y: reliefBow * math.Sin(math.Pi*share), Z: z},
		Inner:  Ellipse{A: 42, B: 52}.Toward(Ellipse{A: 66, B: 58}, share),
	}
}

// Mesh draws the limb along +z.
func (r Relief) Mesh() *mesh.Mesh {
	cols, rows := r.grid()
	at := func(grown float64) func(i, j int) r3.Vec {
		return func(i, j int) r3.Vec {
			share, turn := float64(i)/float64(rows), float64(j)/float64(cols)
			ring := r.At(share * reliefHeight)
			out := grown
			if grown > 0 {
				out += relief(share, turn)
			}
			x, y := ring.Inner.Grown(out).At(2 * math.Pi * turn)
			return r3.Add(ring.Center, r3.Vec{X: x, Y: y})
		}
	}
	return wall{rows: rows + 1, cols: cols, wrap: true, inner: at(0), outer: at(reliefWall)}.mesh()
}

// relief returns how far the outside stands out at a share of the height and
// of a turn: twelve ribs, and rows of rivets between them.
func relief(share, turn float64) float64 {
	rib := math.Max(0, math.Cos(24*math.Pi*turn)-0.6) * 3
	u, v := math.Mod(12*turn, 1)-0.5, math.Mod(10*share, 1)-0.5
	rivet := math.Max(0, 1-50*(u*u+v*v)) * 1.5
	return rib + rivet
}
