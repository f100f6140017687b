package section

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/speed"

	"gonum.org/v1/gonum/spatial/r3"
)

// strip returns the sides of a strip that faces +x: width wide about the plane
// y = 0, from the plane x = 0 outward, and above depth.
func strip(width, depth float64) []Plane {
	return []Plane{
		{Point: r3.Vec{Y: width / 2}, Normal: r3.Vec{Y: 1}},
		{Point: r3.Vec{Y: -width / 2}, Normal: r3.Vec{Y: -1}},
		{Normal: r3.Vec{X: -1}},
		{Point: r3.Vec{Z: depth}, Normal: r3.Vec{Z: -1}},
	}
}

// boxSides returns the sides of a box along the axes.
func boxSides(low, high r3.Vec) []Plane {
	return []Plane{
		{Point: low, Normal: r3.Vec{X: -1}}, {Point: low, Normal: r3.Vec{Y: -1}}, {Point: low, Normal: r3.Vec{Z: -1}},
		{Point: high, Normal: r3.Vec{X: 1}}, {Point: high, Normal: r3.Vec{Y: 1}}, {Point: high, Normal: r3.Vec{Z: 1}},
	}
}

// prism returns n random planes that all have the point at below them, at
// distances of up to reach.
func prism(rng *rand.Rand, at r3.Vec, n int, reach float64) []Plane {
	var sides []Plane
	for range n {
		normal := randomDirection(rng)
		sides = append(sides, Plane{
			Point:  r3.Add(at, r3.Scale(reach*(0.05+0.95*rng.Float64()), normal)),
			Normal: r3.Scale(0.1+3*rng.Float64(), normal),
		})
	}
	return sides
}

// byHalves returns the volume of m below all sides by cutting one half after the other.
func byHalves(m *mesh.Mesh, sides []Plane) float64 {
	for _, p := range sides {
		_, m, _ = Halves(m, p)
	}
	return m.Volume()
}

// roundingOf returns by how much the volume of m may change where its vertices
// are rounded to float32.
func roundingOf(m *mesh.Mesh) float64 {
	far := 0.0
	for v := range m.Vertices() {
		far = max(far, r3.Norm(m.At(uint32(v))))
	}
	return 1e-9*math.Abs(m.Volume()) + 2*m.Area()*grain*far
}

// checkCarve carves a closed mesh and checks all that must hold.
func checkCarve(t *testing.T, m *mesh.Mesh, sides []Plane) (inside, outside *mesh.Mesh) {
	t.Helper()
	inside, outside, f := Carve(m, sides)
	if f.Any() {
		t.Errorf("flaws of a closed mesh: %+v", f)
	}
	if a, b := openEdges(inside), openEdges(outside); a+b > 0 {
		t.Errorf("%d open edges inside, %d outside", a, b)
	}
	if a, b := openEdges(weld(inside)), openEdges(weld(outside)); a+b > 0 {
		t.Errorf("%d open edges inside, %d outside after welding", a, b)
	}
	for name, part := range map[string]*mesh.Mesh{"inside": inside, "outside": outside} {
		if c := part.Condition(); part.Triangles() > 0 && !c.Closed {
			t.Errorf("%s is not closed: %+v", name, c)
		}
	}
	if got, want := inside.Volume()+outside.Volume(), m.Volume(); math.Abs(got-want) > roundingOf(m) {
		t.Errorf("volumes sum to %.9g, want %.9g", got, want)
	}
	for _, p := range sides {
		n, _ := direction(p.Normal)
		for v := range inside.Vertices() {
			if h := r3.Dot(n, r3.Sub(inside.At(uint32(v)), p.Point)); h > 1e-4 {
				t.Fatalf("a vertex lies %g mm beyond a side", h)
			}
		}
	}
	return inside, outside
}

// A strip off an n-sided tube that stands on a corner at +x: the wall between
// two lines along x is the difference of two polygons, each integrated by
// trapezoids.
func TestCarveStripOffTube(t *testing.T) {
	const n, outer, inner, height, width, depth = 36, 50.0, 46.0, 120.0, 15.0, 70.0
	m := tube(n, outer, inner, height)
	inside, outside := checkCarve(t, m, strip(width, depth))
	// The front edge of the polygon over |y| ≤ width/2.
	front := func(r float64) float64 {
		at := func(y float64) float64 {
			for k := range n {
				y0, y1 := r*math.Sin(2*math.Pi*float64(k)/n), r*math.Sin(2*math.Pi*float64(k+1)/n)
				x0, x1 := r*math.Cos(2*math.Pi*float64(k)/n), r*math.Cos(2*math.Pi*float64(k+1)/n)
				if y >= y0 && y <= y1 {
					return x0 + (x1-x0)*(y-y0)/(y1-y0)
				}
			}
			return math.NaN()
		}
		ys := []float64{0, width / 2}
		for k := range n / 4 {
			if y := r * math.Sin(2*math.Pi*float64(k)/n); y > 0 && y < width/2 {
				ys = append(ys, y)
			}
		}
		slices.Sort(ys)
		var area float64
		for i := 1; i < len(ys); i++ {
			area += (ys[i] - ys[i-1]) * (at(ys[i]) + at(ys[i-1]))
		}
		return area
	}
	want := (height - depth) * (front(outer) - front(inner))
	if got := inside.Volume(); !near(got, want, 1e-6) {
		t.Errorf("strip of %.6f mm³, want %.6f", got, want)
	}
	if n := crowdedEdges(inside) + crowdedEdges(outside); n > 0 {
		t.Errorf("%d edges of more than two triangles", n)
	}
	if got := byHalves(m, strip(width, depth)); !near(got, want, 1e-6) {
		t.Errorf("by halves %.6f mm³, want %.6f", got, want)
	}
}

// Whatever convex region is carved from a closed mesh, both parts are closed
// edge by edge, sum to the whole, and the inside is what is left by halves.
func TestCarveSums(t *testing.T) {
	const seed = 31
	for name, m := range closedShapes() {
		rng := rand.New(rand.NewPCG(seed, 0))
		for i := range 6 {
			m := rotated(m, randomRotation(rng))
			size := r3.Norm(m.Bounds().Size())
			at := r3.Add(m.Bounds().Center(), r3.Scale(0.3*size*rng.Float64(), randomDirection(rng)))
			sides := prism(rng, at, 1+i, 0.3*size)
			inside, outside := checkCarve(t, m, sides)
			if got, want := inside.Volume(), byHalves(m, sides); math.Abs(got-want) > 2*roundingOf(m) {
				t.Errorf("inside %.9g mm³, by halves %.9g", got, want)
			}
			// Of two skins on each other walls are told apart by number only.
			if n := crowdedEdges(inside) + crowdedEdges(outside) + doubleWalls(inside) + doubleWalls(outside); n > 0 && name != "taper twice" {
				t.Errorf("%d edges of more than two triangles or walls without thickness", n)
			}
			if t.Failed() {
				t.Fatalf("%s, region %d of seed %d: %+v", name, i, seed, sides)
			}
		}
	}
}

// doubleWalls returns how many triangles of m lie on one that is turned the
// other way, corner on corner.
func doubleWalls(m *mesh.Mesh) int {
	m = weld(m)
	known := map[[3]uint32]bool{}
	n := 0
	for i := 0; i < len(m.T); i += 3 {
		a, b, c := m.T[i], m.T[i+1], m.T[i+2]
		for a > b || a > c {
			a, b, c = b, c, a
		}
		if known[[3]uint32{a, c, b}] {
			n++
		}
		known[[3]uint32{a, b, c}] = true
	}
	return n
}

// The winding numbers of the surfaces say of any point what lies round it:
// inside has in the region what the mesh has and nothing elsewhere, outside
// the rest.
func TestCarveWinding(t *testing.T) {
	const seed = 32
	rng := rand.New(rand.NewPCG(seed, 0))
	shapes := closedShapes()
	for _, name := range []string{"tube", "cube with cube hole", "two overlapping boxes", "three overlapping tubes", "nested tubes"} {
		for range 4 {
			m := rotated(shapes[name], randomRotation(rng))
			size := r3.Norm(m.Bounds().Size())
			sides := prism(rng, m.Bounds().Center(), 5, 0.25*size)
			inside, outside := checkCarve(t, m, sides)
			for range 24 {
				p := r3.Add(m.Bounds().Center(), r3.Scale(0.35*size*rng.Float64(), randomDirection(rng)))
				wantIn, wantOut := shape.Winding(m, p), 0.0
				if slices.ContainsFunc(sides, func(s Plane) bool { return r3.Dot(s.Normal, r3.Sub(p, s.Point)) > 0 }) {
					wantIn, wantOut = 0, wantIn
				}
				if gotIn, gotOut := shape.Winding(inside, p), shape.Winding(outside, p); math.Abs(gotIn-wantIn)+math.Abs(gotOut-wantOut) > 0.01 {
					t.Fatalf("%s: at %v inside winds %.3f times, outside %.3f; want %.0f, %.0f (seed %d)", name, p, gotIn, gotOut, wantIn, wantOut, seed)
				}
			}
		}
	}
}

// A box out of a box: within it, at its faces, edges and corners, through it,
// the same as it, and beside it. Volume and area are those of the overlap.
func TestCarveBoxFromBox(t *testing.T) {
	const seed = 33
	rng := rand.New(rand.NewPCG(seed, 0))
	whole := boxMesh(r3.Vec{}, r3.Vec{X: 40, Y: 30, Z: 20})
	spans := func(n float64) [][2]float64 {
		return [][2]float64{{0, n}, {-5, n + 5}, {0, n / 2}, {n / 4, n / 2}, {n / 4, n}, {-5, n / 4}, {n, n + 5}, {-7, 0}, {-7, -3}}
	}
	for _, x := range spans(40) {
		for _, y := range spans(30) {
			for _, z := range spans(20) {
				sides := boxSides(r3.Vec{X: x[0], Y: y[0], Z: z[0]}, r3.Vec{X: x[1], Y: y[1], Z: z[1]})
				rng.Shuffle(len(sides), func(i, j int) { sides[i], sides[j] = sides[j], sides[i] })
				inside, outside := checkCarve(t, whole, sides)
				dx, dy, dz := min(x[1], 40)-max(x[0], 0), min(y[1], 30)-max(y[0], 0), min(z[1], 20)-max(z[0], 0)
				if dx <= 0 || dy <= 0 || dz <= 0 {
					dx, dy, dz = 0, 0, 0
				}
				volume, area := dx*dy*dz, 2*(dx*dy+dy*dz+dz*dx)
				if v, a := inside.Volume(), inside.Area(); !near(v, volume, 1e-9) || !near(a, area, 1e-9) {
					t.Errorf("inside %g mm³, %g mm²; want %g, %g", v, a, volume, area)
				}
				if got := outside.Volume(); !near(got, 24000-volume, 1e-9) {
					t.Errorf("outside %g mm³, want %g", got, 24000-volume)
				}
				if volume == 0 && inside.Triangles() > 0 || volume == 24000 && outside.Triangles() > 0 {
					t.Errorf("%d triangles inside, %d outside, want none of %g mm³", inside.Triangles(), outside.Triangles(), volume)
				}
				if n := doubleWalls(inside) + doubleWalls(outside); n > 0 {
					t.Errorf("%d walls without thickness", n)
				}
				if t.Failed() {
					t.Fatalf("from %v, %v, %v (seed %d): %+v", x, y, z, seed, sides)
				}
			}
		}
	}
}

// Costume parts with random prisms, and a strip.
func TestCarveParts(t *testing.T) {
	const seed = 34
	for name, m := range parts() {
		rng := rand.New(rand.NewPCG(seed, 0))
		for i := range 2 {
			m := rotated(m, randomRotation(rng))
			size := r3.Norm(m.Bounds().Size())
			at := m.At(uint32(rng.IntN(m.Vertices())))
			sides := prism(rng, at, 4+2*i, 0.2*size)
			inside, outside := checkCarve(t, m, sides)
			if got, want := inside.Volume(), byHalves(m, sides); math.Abs(got-want) > 2*roundingOf(m) {
				t.Errorf("inside %.9g mm³, by halves %.9g", got, want)
			}
			if n := crowdedEdges(inside) + crowdedEdges(outside) + doubleWalls(inside) + doubleWalls(outside); n > 0 {
				t.Errorf("%d edges of more than two triangles or walls without thickness", n)
			}
			if t.Failed() {
				t.Fatalf("%s, region %d of seed %d: %+v", name, i, seed, sides)
			}
		}
	}
}

// parts returns small costume parts.
func parts() map[string]*mesh.Mesh {
	boot := shape.Boot{
		Sides: 48, Rim: shape.Ellipse{A: 68, B: 62}, Ankle: shape.Ellipse{A: 58, B: 48}, Instep: shape.Ellipse{A: 50, B: 47}, Ball: shape.Ellipse{A: 36, B: 50},
		Wall: 3, Shaft: 150, Bend: 72, Foot: 70, Toe: 55,
	}
	hips := shape.Hips{
		Sides: 48, Waist: shape.Ellipse{A: 160, B: 115}, Seat: shape.Ellipse{A: 195, B: 135}, Leg: shape.Ellipse{A: 86, B: 92}, Wall: 3,
		Height: 300, Band: 40, SeatZ: 150, Drop: 45, Legs: 40, Apart: 100,
	}
	torso := shape.Torso{
		Sides: 96, Waist: shape.Ellipse{A: 150, B: 110}, Chest: shape.Ellipse{A: 175, B: 125}, Neck: shape.Circle(75), Arm: shape.Ellipse{A: 60, B: 72}, Wall: 3,
		Band: 40, ChestZ: 270, NeckZ: 420, Height: 440, ArmX: 215, ArmZ: 290, Sleeve: 20,
	}
	helm := shape.Helm{
		Sides: 64, Neck: shape.Ellipse{A: 72, B: 80}, Skull: shape.Ellipse{A: 95, B: 115}, Wall: 3, NeckRise: 40, Widen: 50, Rise: 110, Dome: 100,
		SlotZ: 150, SlotDepth: 18, SlotSides: 20,
	}
	thin := shape.Taper{Sides: 96, Rows: 12, Bottom: shape.Ellipse{A: 41, B: 52}, Top: shape.Ellipse{A: 66, B: 58}, Wall: 0.4, Height: 310}
	return map[string]*mesh.Mesh{"boot": boot.Mesh(), "hips": hips.Mesh(), "torso": torso.Mesh(), "helm": helm.Mesh(), "thin taper": thin.Mesh()}
}

// The same region of the same part, turned, mirrored, scaled, or with its
// triangles or sides in another order, has the same volume and area.
func TestCarveInOtherPoses(t *testing.T) {
	const seed = 35
	rng := rand.New(rand.NewPCG(seed, 0))
	m := parts()["boot"]
	sides := strip(30, 60)
	for i := range sides {
		sides[i].Point = r3.Add(sides[i].Point, m.Bounds().Center())
	}
	inside, outside := checkCarve(t, m, sides)
	turn := randomRotation(rng)
	mirror := func(p r3.Vec) r3.Vec { return r3.Vec{X: -p.X, Y: p.Y, Z: p.Z} }
	same := func(p r3.Vec) r3.Vec { return p }
	for _, c := range []struct {
		name   string
		m      *mesh.Mesh
		move   func(r3.Vec) r3.Vec // of places and of directions
		factor float64
	}{
		{"turned", rotated(m, turn), turn.Rotate, 1},
		{"mirrored", flipped(m.Map(mirror)), mirror, 1},
		{"scaled", m.Scaled(1.07), func(p r3.Vec) r3.Vec { return r3.Scale(1.07, p) }, 1.07},
		{"shuffled", shuffled(m, rng), same, 1},
	} {
		moved := slices.Clone(sides)
		for i, p := range sides {
			moved[i] = Plane{Point: c.move(p.Point), Normal: c.move(p.Normal)}
		}
		rng.Shuffle(len(moved), func(i, j int) { moved[i], moved[j] = moved[j], moved[i] })
		in, out := checkCarve(t, c.m, moved)
		for _, pair := range [][2]*mesh.Mesh{{in, inside}, {out, outside}} {
			got, want, k := pair[0], pair[1], c.factor
			if v, a := got.Volume(), got.Area(); math.Abs(v-want.Volume()*k*k*k) > 2*roundingOf(c.m) || !near(a, want.Area()*k*k, 1e-6) {
				t.Errorf("%s: %.9g mm³, %.9g mm²; want %.9g, %.9g (seed %d)", c.name, v, a, want.Volume()*k*k*k, want.Area()*k*k, seed)
			}
		}
	}
}

// Triangles that the region does not meet stay as they are, and the two parts
// share their walls: outside has each cap of inside turned round.
func TestCarveTouchesOnlyWhatItMeets(t *testing.T) {
	m := rings(64, 20, 50, 46, 120)
	sides := strip(15, 70)
	inside, outside := checkCarve(t, m, sides)
	far := func(p r3.Vec) bool { return p.X < -1e-3 || p.Y > 7.6 || p.Y < -7.6 || p.Z < 69.9 }
	count := func(m *mesh.Mesh) (n int) {
		for t := range m.Triangles() {
			if a, b, c := m.Corners(t); far(a) && far(b) && far(c) && (a.X < 0 || max(a.Z, b.Z, c.Z) < 70) {
				n++
			}
		}
		return n
	}
	if got, want := count(outside), count(m); got != want || want < 2000 {
		t.Errorf("%d triangles beside the region, want all %d", got, want)
	}
	whole := m.Area()
	var caps float64
	for i := range inside.Triangles() {
		a, b, c := inside.Corners(i)
		for _, p := range sides {
			if onPlane(p, a, b, c) {
				caps += r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
			}
		}
	}
	if got := inside.Area() + outside.Area(); !near(got, whole+2*caps, 1e-6) || caps < 200 {
		t.Errorf("areas sum to %.6f, want %.6f of the whole and twice %.6f of caps", got, whole, caps)
	}
	// Laid on each other again they are the whole, but for the walls between.
	if n := doubleWalls(join(inside, outside)); n < 10 {
		t.Errorf("%d walls are shared", n)
	}
}

// Sides through vertices, edges and facets, or a hair off them.
func TestCarveThroughVertices(t *testing.T) {
	const seed = 36
	for name, m := range closedShapes() {
		rng := rand.New(rand.NewPCG(seed, 0))
		for i := range 6 {
			m := m
			if i%2 > 0 {
				m = rotated(m, randomRotation(rng))
			}
			var sides []Plane
			for range 3 + i%3 {
				a, b, c := m.Corners(rng.IntN(m.Triangles()))
				n := [4]r3.Vec{
					up,
					randomDirection(rng),
					r3.Cross(r3.Sub(b, a), randomDirection(rng)), // holds the edge
					r3.Cross(r3.Sub(b, a), r3.Sub(c, a)),         // holds the facet
				}[rng.IntN(4)]
				if r3.Norm(n) == 0 {
					n = up
				}
				if i%3 == 2 {
					// A few grains off, where cuts round to vertices.
					a = r3.Add(a, r3.Scale(2e-5*(rng.Float64()-0.5), r3.Unit(n)))
				}
				// Half of them with the middle of the part below.
				if r3.Dot(n, r3.Sub(m.Bounds().Center(), a)) > 0 && rng.IntN(2) > 0 {
					n = r3.Scale(-1, n)
				}
				sides = append(sides, Plane{Point: a, Normal: n})
			}
			inside, outside := checkCarve(t, m, sides)
			// Of distinct vertices of one shell come distinct vertices.
			if weld(m).Vertices() == m.Vertices() && !strings.Contains(name, "overlapping") {
				for _, part := range []*mesh.Mesh{inside, outside} {
					if got, want := part.Vertices(), weld(part).Vertices(); got != want {
						t.Errorf("%d vertices on %d places", got, want)
					}
				}
			}
			if got, want := inside.Volume(), byHalves(m, sides); math.Abs(got-want) > 3*roundingOf(m) {
				t.Errorf("inside %.9g mm³, by halves %.9g", got, want)
			}
			if t.Failed() {
				t.Fatalf("%s, case %d of seed %d: %+v", name, i, seed, sides)
			}
		}
	}
}

// Sides in the facets of a stair, and along the step in the walls that other
// sides have made: exact, and nothing flat is left.
func TestCarveStair(t *testing.T) {
	const seed = 38
	rng := rand.New(rand.NewPCG(seed, 0))
	// A block of 10 × 30 × 20 with one of 10 × 30 × 10 beside it, as one surface.
	stair, _ := checkCarve(t, boxMesh(r3.Vec{}, r3.Vec{X: 20, Y: 30, Z: 20}), nil)
	_, stair = checkCarve(t, stair, boxSides(r3.Vec{X: 10, Y: -1, Z: 10}, r3.Vec{X: 21, Y: 31, Z: 21}))
	level := func(z, n float64) Plane { return Plane{Point: r3.Vec{Z: z}, Normal: r3.Vec{Z: n}} }
	upright := func(x, n float64) Plane { return Plane{Point: r3.Vec{X: x}, Normal: r3.Vec{X: n}} }
	slice := Plane{Point: r3.Vec{Y: 15}, Normal: r3.Vec{Y: 1}}
	for _, c := range []struct {
		name  string
		sides []Plane
		want  float64
	}{
		{"below the step", []Plane{level(10, 1)}, 6000},
		{"above the step", []Plane{level(10, -1)}, 3000},
		{"on the top", []Plane{level(20, -1)}, 0},
		{"under the bottom", []Plane{level(0, 1)}, 0},
		{"sliced, below the step", []Plane{slice, level(10, 1)}, 3000},
		{"sliced, above the step", []Plane{slice, level(10, -1)}, 1500},
		{"sliced, beside the step", []Plane{slice, upright(10, -1)}, 1500},
		{"sliced, behind the step", []Plane{slice, upright(10, 1)}, 3000},
		{"sliced, under the step", []Plane{slice, upright(10, -1), level(10, 1)}, 1500},
		{"sliced, over the step", []Plane{slice, upright(10, -1), level(10, -1)}, 0},
		{"sliced, in the corner", []Plane{slice, level(10, 1), upright(10, 1)}, 1500},
	} {
		for i := range 12 {
			r := r3.NewRotation(0, up)
			if i > 0 {
				r = randomRotation(rng)
			}
			m := shuffled(rotated(stair, r), rng)
			var sides []Plane
			for _, p := range c.sides {
				sides = append(sides, Plane{Point: r.Rotate(p.Point), Normal: r.Rotate(p.Normal)})
			}
			inside, outside := checkCarve(t, m, sides)
			if got := inside.Volume(); math.Abs(got-c.want) > 0.01 || c.want == 0 && inside.Triangles() > 0 {
				t.Errorf("inside %g mm³ in %d triangles, want %g", got, inside.Triangles(), c.want)
			}
			if n := crowdedEdges(inside) + crowdedEdges(outside) + doubleWalls(inside) + doubleWalls(outside); n > 0 {
				t.Errorf("%d edges of more than two triangles or walls without thickness", n)
			}
			if t.Failed() {
				t.Fatalf("%s, turn %d of seed %d", c.name, i, seed)
			}
		}
	}
}

// Of a facet whose edges the region touches with its corners, and which it
// touches at one corner, the pockets between are left, and none is turned over.
func TestCarveTouchesEdgesOfFacet(t *testing.T) {
	m := &mesh.Mesh{}
	for _, p := range []r3.Vec{{}, {X: 40}, {Y: 40}, {Z: 40}} {
		m.AddVertex(p)
	}
	for _, q := range [][3]uint32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}} {
		m.AddTriangle(q[0], q[1], q[2])
	}
	side := func(x, y, at float64) Plane {
		n := r3.Vec{X: x, Y: y}
		return Plane{Point: r3.Scale(at/r3.Norm2(n), n), Normal: n}
	}
	for _, c := range []struct {
		name  string
		sides []Plane
		want  float64 // mm² of the facet z = 0 in the region
	}{
		{"three edges", []Plane{side(1, 0, 20), side(0, 1, 20), side(-1, -1, -20)}, 200},
		{"two edges", []Plane{side(1, 0, 10), side(-1, 0, -5), side(0, 1, 5), side(-2, -1, -20)}, 6.25},
		{"one corner", []Plane{side(1, -2, 0), side(-2, 1, 0), side(1, 1, 20)}, 200.0 / 3},
		{"none", []Plane{side(1, 0, 15), side(0, 1, 15), side(-1, -1, -15)}, 112.5},
	} {
		sides := append(c.sides, Plane{Point: r3.Vec{Z: 3}, Normal: up})
		inside, outside := checkCarve(t, m, sides)
		for name, part := range map[string]struct {
			m    *mesh.Mesh
			want float64
		}{"inside": {inside, c.want}, "outside": {outside, 800 - c.want}} {
			var area, over float64
			for i := range part.m.Triangles() {
				if p, q, r := part.m.Corners(i); p.Z == 0 && q.Z == 0 && r.Z == 0 {
					a := -r3.Cross(r3.Sub(q, p), r3.Sub(r, p)).Z / 2
					area += a
					over -= min(a, 0)
				}
			}
			if !near(area, part.want, 1e-6) || over > 0 {
				t.Errorf("%s: %s %g mm² of the facet, of it %g turned over; want %g", c.name, name, area, over, part.want)
			}
		}
	}
}

// Regions that hold nothing of the mesh or all of it, and such that are none.
func TestCarveNothingOrAll(t *testing.T) {
	m := tube(24, 50, 40, 100)
	level := func(z, n float64) Plane { return Plane{Point: r3.Vec{Z: z}, Normal: r3.Vec{Z: n}} }
	for _, c := range []struct {
		name   string
		sides  []Plane
		inside bool
	}{
		{"no sides", nil, true},
		{"all round it", boxSides(r3.Vec{X: -60, Y: -60, Z: -1}, r3.Vec{X: 60, Y: 60, Z: 101}), true},
		{"touching it all round", boxSides(r3.Vec{X: -50, Y: -50}, r3.Vec{X: 50, Y: 50, Z: 100}), true},
		{"above it", []Plane{level(120, -1)}, false},
		{"on top of it", []Plane{level(100, -1)}, false},
		{"beside it", boxSides(r3.Vec{X: 60}, r3.Vec{X: 70, Y: 10, Z: 10}), false},
		{"in its bore", boxSides(r3.Vec{X: -5, Y: -5, Z: 10}, r3.Vec{X: 5, Y: 5, Z: 20}), false},
		{"empty", []Plane{level(30, 1), level(40, -1)}, false},
		{"of no thickness", []Plane{level(30, 1), level(30, -2)}, false},
		{"no plane", []Plane{level(30, 1), {}}, false},
		{"not a number", []Plane{level(math.NaN(), 1)}, false},
	} {
		inside, outside := checkCarve(t, m, slices.DeleteFunc(slices.Clone(c.sides), func(p Plane) bool { return c.name == "no plane" && p == Plane{} }))
		if c.name == "no plane" || c.name == "not a number" {
			inside, outside, _ = Carve(m, c.sides)
		}
		if !c.inside {
			inside, outside = outside, inside
		}
		if outside.Triangles() > 0 || !near(inside.Volume(), m.Volume(), 1e-7) {
			t.Errorf("%s: a part of %g mm³ and one of %g, want all on one side", c.name, inside.Volume(), outside.Volume())
		}
	}
	// The same side twice, and once more a hair off.
	once, _ := checkCarve(t, m, []Plane{level(30, 1)})
	often, _ := checkCarve(t, m, []Plane{level(30, 1), level(30, 3), level(30+1e-6, 1), {Point: r3.Vec{X: 7, Y: 3, Z: 30}, Normal: r3.Vec{X: 1e-9, Z: 1}}})
	if got, want := often.Volume(), once.Volume(); !near(got, want, 1e-6) {
		t.Errorf("%.9g mm³ below one side many times, want %.9g", got, want)
	}
	empty, rest, f := Carve(&mesh.Mesh{}, strip(15, 0))
	if empty.Triangles()+rest.Triangles() > 0 || f.Any() {
		t.Errorf("an empty mesh leaves %d and %d triangles, flaws %+v", empty.Triangles(), rest.Triangles(), f)
	}
}

// What is left is carved again, as for keys in a parting, and the mesh itself
// is never changed.
func TestCarveAgain(t *testing.T) {
	const seed = 37
	rng := rand.New(rand.NewPCG(seed, 0))
	m := rotated(parts()["thin taper"], randomRotation(rng))
	before, rest := m.Clone(), m
	var sum float64
	for range 8 {
		at := rest.At(uint32(rng.IntN(rest.Vertices())))
		var inside *mesh.Mesh
		inside, rest = checkCarve(t, rest, prism(rng, at, 5, 25))
		sum += inside.Volume()
	}
	if got, want := sum+rest.Volume(), m.Volume(); math.Abs(got-want) > 8*roundingOf(m) {
		t.Errorf("volumes sum to %.9g, want %.9g (seed %d)", got, want, seed)
	}
	if !slices.Equal(m.X, before.X) || !slices.Equal(m.T, before.T) || m.Vertices() != before.Vertices() {
		t.Error("the mesh was changed")
	}
}

// An open sheet is parted without caps, and that is said.
func TestCarveSheet(t *testing.T) {
	// A wall of 80 × 60 mm in the plane x = 20.
	m := &mesh.Mesh{}
	for _, p := range []r3.Vec{{X: 20, Y: -40}, {X: 20, Y: 40}, {X: 20, Y: 40, Z: 60}, {X: 20, Y: -40, Z: 60}} {
		m.AddVertex(p)
	}
	m.AddTriangle(0, 1, 2)
	m.AddTriangle(0, 2, 3)
	inside, outside, f := Carve(m, strip(30, 20))
	if f.OpenChains != 3 || !near(f.OpenLength, 60+60+30, 1e-6) || f.Gaps != 0 {
		t.Errorf("flaws %+v, want three open chains of 150 mm", f)
	}
	if a, b := inside.Area(), outside.Area(); !near(a, 30*40, 1e-6) || !near(b, 80*60-30*40, 1e-6) {
		t.Errorf("areas %g and %g, want 1200 and 3600", a, b)
	}
	// A border of the sheet that lies in a side is no cut: there is nothing to cap.
	cup := cone(24, 50, 50, 60)
	for i := 0; i < len(cup.T); {
		a, b, c := cup.At(cup.T[i]), cup.At(cup.T[i+1]), cup.At(cup.T[i+2])
		if a.Z == 60 && b.Z == 60 && c.Z == 60 {
			cup.T = slices.Delete(cup.T, i, i+3)
		} else {
			i += 3
		}
	}
	inside, outside, f = Carve(cup, []Plane{{Point: r3.Vec{Z: 60}, Normal: up}})
	if f.Any() || inside.Triangles() != cup.Triangles() || outside.Triangles() != 0 {
		t.Errorf("a cup to its rim: flaws %+v, %d and %d triangles, want %d and 0", f, inside.Triangles(), outside.Triangles(), cup.Triangles())
	}
}

// Where facets are missing, doubled or turned the other way, the parts are as
// large as without, but for the gaps.
func TestCarveBrokenWalls(t *testing.T) {
	whole := rings(96, 20, 50, 46, 120)
	sides := strip(15, 70)
	want, rest := checkCarve(t, whole, sides)
	inside, outside, f := Carve(withoutEvery(whole, 50), sides)
	if f.Gaps == 0 || f.OpenChains > 0 {
		t.Errorf("facets missing: flaws %+v, want gaps only", f)
	}
	if got := inside.Area(); !near(got, want.Area(), 0.03) {
		t.Errorf("facets missing: %g mm² inside, want about %g", got, want.Area())
	}
	if got, missing := outside.Area(), whole.Area()/50; !near(got, rest.Area()-missing, 3e-3) {
		t.Errorf("facets missing: %g mm² outside, want about %g", got, rest.Area()-missing)
	}
	for name, c := range map[string]struct {
		m      *mesh.Mesh
		volume float64
	}{
		"all twice":  {&mesh.Mesh{X: whole.X, Y: whole.Y, Z: whole.Z, T: slices.Concat(whole.T, whole.T)}, 2 * want.Volume()},
		"inside out": {flipped(whole), -want.Volume()},
	} {
		inside, _ := checkCarve(t, c.m, sides)
		if got := inside.Volume(); !near(got, c.volume, 1e-6) {
			t.Errorf("%s: %.9g mm³, want %.9g", name, got, c.volume)
		}
	}
	turned := whole.Clone()
	for t := 0; t < turned.Triangles(); t += 30 {
		turned.T[3*t], turned.T[3*t+1] = turned.T[3*t+1], turned.T[3*t]
	}
	inside, _, f = Carve(turned, sides)
	if got := inside.Area(); f.Any() || !near(got, want.Area(), 1e-6) {
		t.Errorf("facets turned: %.9g mm², flaws %+v; want %.9g, none", got, f, want.Area())
	}
	turned.X[7] = float32(math.NaN())
	if _, _, f := Carve(turned, sides); f.Lost == 0 {
		t.Error("a vertex that is no number is not told")
	}
}

// Whatever the mesh, carving it does not panic and gives numbers; a closed
// mesh gives closed parts without flaws.
func FuzzCarve(f *testing.F) {
	addSeeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		m, rest := meshOf(data)
		sides := []Plane{planeOf(m, rest)}
		for i := 0; i < min(len(rest), 4); i++ {
			sides = append(sides, planeOf(m, rest[i:]))
		}
		inside, outside, flaws := Carve(m, sides)
		if !inside.Finite() || !outside.Finite() {
			t.Fatal("a vertex is no number")
		}
		if !m.Finite() || openEdges(m) != 0 {
			return
		}
		if flaws.Any() {
			t.Fatalf("flaws of a closed mesh: %+v", flaws)
		}
		if a, b := openEdges(inside), openEdges(outside); a+b > 0 {
			t.Fatalf("%d open edges inside, %d outside", a, b)
		}
		if a, b := openEdges(weld(inside)), openEdges(weld(outside)); a+b > 0 {
			t.Fatalf("%d open edges inside, %d outside after welding", a, b)
		}
	})
}

func BenchmarkCarve(b *testing.B) {
	for _, size := range sizes {
		m := shell(size.n)
		m = m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X - 10, Y: p.Y, Z: p.Z} })
		b.Run(size.name, func(b *testing.B) { speed.Run(b, func() { Carve(m, strip(15, 180)) }) })
	}
}
