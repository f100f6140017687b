package cost

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

var upright = r3.Vec{Z: 1}

func near1(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: got %.6g, want %.6g within %g %%", what, got, want, 100*share)
	}
}

// A block of a × b × h: walls of the width r leave (a−2r)·(b−2r) inside, of
// which four layers below and four above are filled whole.
func TestBlockByHand(t *testing.T) {
	c := Of(box(r3.Vec{X: 5, Y: -3, Z: 7}, r3.Vec{X: 45, Y: 27, Z: 27}), upright, plain(), 1)
	inside := (40 - 2.4) * (30 - 2.4)
	if c.Layers != 100 {
		t.Errorf("%d layers, want 100", c.Layers)
	}
	near1(t, "walls", c.Walls.Volume, (40*30-inside)*20, 1e-5)
	near1(t, "solid", c.Solid.Volume, inside*1.6, 1e-5)
	near1(t, "infill", c.Infill.Volume, inside*(20-1.6)*0.15, 1e-5)
}

// Two steps, 40 and 20 mm long, each 10 mm high: of the lower top only what lies
// beyond the upper step and within the walls is filled whole.
func TestSolidLayersByHand(t *testing.T) {
	c := Of(prism([][2]float64{{0, 0}, {40, 0}, {40, 10}, {20, 10}, {20, 20}, {0, 20}}, 20), upright, plain(), 1)
	near1(t, "solid", c.Solid.Volume, 0.8*(37.6*17.6+(38.8-20)*17.6+17.6*17.6), 1e-5)
}

// Under a ramp of 1 in 3, 0.8 mm of depth reach 2.4 mm in, of which the walls
// take 1.2 mm.
func TestSolidUnderSlopeByHand(t *testing.T) {
	c := Of(prism([][2]float64{{0, 0}, {60, 0}, {0, 20}}, 20), upright, plain(), 1)
	var want float64
	for i := range 100 {
		inside := max(0, 60-3*0.2*(float64(i)+0.5)-2.4) * 17.6
		if i >= 4 {
			inside = min(inside, 1.2*17.6)
		}
		want += 0.2 * inside
	}
	near1(t, "solid", c.Solid.Volume, want, 0.03)
}

// From one block to another, 60 mm away, in every layer.
func TestMovesBetween(t *testing.T) {
	m := mesh.Join(box(r3.Vec{}, r3.Vec{X: 10, Y: 10, Z: 10}), box(r3.Vec{X: 70}, r3.Vec{X: 80, Y: 10, Z: 10}))
	got := Of(m, upright, plain(), 1).Between * 3600 / 50
	// 150 mm/s with 1500 mm/s²: 0.1 s longer than at speed, from the corner where the
	// first loop ends, which may be the far one.
	nearest, furthest := rise+2*pull+60.0/150+0.1, rise+2*pull+70.0/150+0.1
	if got < nearest-1e-9 || got > furthest+1e-9 {
		t.Errorf("%.4f s between the lines of a layer, want %.4f to %.4f", got, nearest, furthest)
	}
}

// The hours of the same block, each line by hand: 60 mm/s, 1500 mm/s², 30 mm/s
// in the first layer, corners of 90° at 5 mm/s.
func TestHoursByHand(t *testing.T) {
	c := Of(box(r3.Vec{}, r3.Vec{X: 40, Y: 30, Z: 20}), upright, plain(), 1)
	// A side of d mm between speeds u and w, at v.
	side := func(d, v, u, w float64) float64 {
		return (v-u)/1500 + (v-w)/1500 + (d-(2*v*v-u*u-w*w)/3000)/v
	}
	loop := func(v float64) float64 {
		return side(40, v, 0, 5) + side(30, v, 5, 5) + side(40, v, 5, 5) + side(30, v, 5, 0)
	}
	inside := 37.6 * 27.6
	walls := (1200 - inside) / 0.4 / 140 // times round
	near1(t, "walls", c.Walls.Hours*3600, walls*(99*loop(60)+loop(30)), 1e-4)

	chord := math.Pi * inside / (2 * (37.6 + 27.6))
	step := func(d, v float64) float64 { // too short to reach v
		if peak := math.Sqrt(1500*d + 25); peak < v {
			return 2 * (peak - 5) / 1500
		}
		return side(d, v, 5, 5)
	}
	lines := inside / 0.4 / chord
	near1(t, "solid", c.Solid.Hours*3600, lines*(7*(side(chord, 60, 5, 5)+step(0.4, 60))+side(chord, 30, 5, 5)+step(0.4, 30)), 1e-4)
	near1(t, "infill", c.Infill.Hours*3600, 92*0.15*lines*(side(chord, 60, 5, 5)+step(0.4/0.15, 60)), 1e-4)
	near1(t, "between", c.Between*3600, 100*(rise+pull), 1e-9)
	near1(t, "sum", c.Hours, c.Walls.Hours+c.Solid.Hours+c.Infill.Hours+c.Between, 1e-12)
}

// Tubes of walls alone come out solid, whatever their lines would take beside
// each other; so does what is left between lines where it is narrower than two.
func TestThinShellsComeOutSolid(t *testing.T) {
	s := plain()
	for _, wall := range []float64{0.3, 0.8, 1.6, 2.4, 3} {
		m := tube(256, 60, 60-wall, 40)
		near1(t, "tube", Of(m, upright, s, 1).Volume(), m.Volume(), 1e-3)
	}
	leg := limb(96, 60)
	near1(t, "leg", Of(leg, upright, s, 2).Volume(), leg.Volume(), 1e-3)
	// A wall of 5 mm has 2.6 mm inside its lines, in a ring of radii 56.2 and 58.8.
	thick := Of(tube(256, 60, 55, 40), upright, s, 1)
	inside := 128 * math.Sin(2*math.Pi/256) * (58.8*58.8 - 56.2*56.2)
	near1(t, "infill of a thick tube", thick.Infill.Volume, 0.15*inside*(40-1.6), 5e-3)
}

// A tube of two lines of wall: each 2π·r long, at speed but for the ramps.
func TestTubeHoursByHand(t *testing.T) {
	s := plain()
	c := Of(tube(360, 60, 59.2, 40), upright, s, 1)
	length := 2 * math.Pi * (59.8 + 59.4)
	// 60 mm/s after the first of 200 layers; v/a for ramps on each loop.
	near1(t, "walls", c.Walls.Hours*3600, 199*(length/60+2*60.0/1500)+length/30+2*30.0/1500, 1e-3)
	// 1.2 mm³/s of flow at 0.08 mm²: 15 mm/s.
	s.Flow = 1.2
	c = Of(tube(360, 60, 59.2, 40), upright, s, 1)
	near1(t, "walls at 15 mm/s", c.Walls.Hours*3600, 199*(length/15+2*15.0/1500)+length/7.5+2*7.5/1500, 1e-3)
}

// A line of 0.45 × 0.2 mm at 60 mm/s takes 5.4 mm³/s; 12 mm³/s allow 133.333 mm/s
// of it (flow = width · height · speed).
func TestSpeedByFlow(t *testing.T) {
	s := plain()
	s.Nozzle, s.Speed, s.Flow = 0.45, 1000, 5.4
	near1(t, "speed", s.speed(1), 60, 1e-12)
	s.Flow = 12
	near1(t, "speed", s.speed(1), 133.3333, 1e-6)
	s.Speed = 60
	near1(t, "speed", s.speed(1), 60, 1e-12)
	near1(t, "first layer", s.speed(0), 30, 1e-12)
}

// Grams and metres of what is laid down: π·d²/4 and density (PLA 1.24 g/cm³ by
// the data sheet of Ingeo 4043D, ASTM D792; the others as common handbooks give
// them): metres in a kilogram of filament of 1.75 mm.
func TestMetresOfAKilogram(t *testing.T) {
	m := box(r3.Vec{}, r3.Vec{X: 40, Y: 30, Z: 20})
	for density, want := range map[float64]float64{
		1.24: 335.284, 1.27: 327.364, 1.04: 399.761, 1.07: 388.553, 1.2: 346.460, 1.13: 367.922, 1.21: 343.596,
	} {
		s := plain()
		s.Density = density
		c := Of(m, upright, s, 1)
		near1(t, "metres of a kilogram", c.Metres/c.Grams*1000, want, 2e-6)
	}
	s := plain()
	s.Infill, s.Density = 1, 1.27
	near1(t, "grams of a full block", Of(m, upright, s, 1).Grams, 40*30*20*1.27/1000, 1e-6)
	s.Diameter = 2.85 // 6.379396582 mm² in section
	near1(t, "metres of 2.85 mm", Of(m, upright, s, 1).Metres, 40*30*20/6.379396582/1000, 1e-6)
}

// Grams in a metre of filament of 1.75 mm, 2.405281875 mm² in section, by density: the
// row of TPU among the others (worked from area · density to four digits).
func TestGramsOfAMetre(t *testing.T) {
	m := box(r3.Vec{}, r3.Vec{X: 40, Y: 30, Z: 20})
	for density, want := range map[float64]float64{1.24: 2.9825, 1.27: 3.0547, 1.04: 2.5015, 1.07: 2.5737, 1.2: 2.8863, 1.21: 2.9104} {
		s := plain()
		s.Density = density
		c := Of(m, upright, s, 1)
		if got := c.Grams / c.Metres; math.Abs(got-want) > 0.5e-4 {
			t.Errorf("%g g/cm³: %.5f g, want %.4f", density, got, want)
		}
	}
}

// Here a line is a rectangle in section, so that lines side by side leave no room. One
// that lies alone has round sides, and is a stadium of (w − h)·h + π·h²/4: what is
// reckoned for it is more by the four corners, h²·(1 − π/4) (both worked by hand for
// usual lines).
func TestLineIsARectangle(t *testing.T) {
	const length, layers = 120.0, 100
	for _, c := range []struct{ w, h, rectangle, stadium float64 }{
		{0.45, 0.2, 0.0900, 0.0814159}, {0.4, 0.2, 0.0800, 0.0714159}, {0.42, 0.28, 0.1176, 0.1007752}, {0.6, 0.3, 0.1800, 0.1606858},
	} {
		wall := &mesh.Mesh{}
		up := layers * c.h
		shape.AddFace(wall, wall.AddVertex(r3.Vec{}), wall.AddVertex(r3.Vec{X: length}), wall.AddVertex(r3.Vec{X: length, Z: up}))
		shape.AddFace(wall, 0, 2, wall.AddVertex(r3.Vec{Z: up}))
		s := plain()
		s.Sheet, s.Walls, s.Nozzle, s.Layer = true, 1, c.w, c.h
		got := Of(wall, upright, s, 1).Volume() / length / layers
		near1(t, "section of a line", got, c.rectangle, 1e-6)
		near1(t, "less its corners", got-c.h*c.h*(1-math.Pi/4), c.stadium, 1e-6)
	}
}

// Never more than there is room for, and all of it where it is filled whole.
func TestNoMoreThanTheVolume(t *testing.T) {
	for _, m := range []*mesh.Mesh{limb(48, 40), tube(96, 40, 20, 60), stairs(5)} {
		for _, up := range []r3.Vec{{Z: 1}, {X: 1}, {X: 1, Y: 2, Z: 3}, {Y: -1, Z: 0.2}} {
			s := plain()
			c := Of(m, up, s, 2)
			if c.Volume() > m.Volume()*(1+1e-3) {
				t.Errorf("up %v: %.1f mm³ are laid down in %.1f mm³", up, c.Volume(), m.Volume())
			}
			s.Infill = 1
			near1(t, "filled whole", Of(m, up, s, 2).Volume(), m.Volume(), 3e-3)
		}
	}
}

// Turned about the vertical, moved, mirrored, and laid another way with up laid
// with it: the same.
func TestHowItLiesInItsFile(t *testing.T) {
	m, s := stairs(3), plain()
	want := Of(m, upright, s, 1)
	turn := r3.NewRotation(0.7, upright)
	tilt := r3.NewRotation(1.1, r3.Vec{X: 1, Y: 0.3, Z: -0.4})
	mirrored := m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: -p.X, Y: p.Y, Z: p.Z} })
	mirrored.Flip()
	for what, got := range map[string]Cost{
		"turned":   Of(m.Map(turn.Rotate), upright, s, 1),
		"moved":    Of(m.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: 31, Y: -7, Z: 120}) }), upright, s, 1),
		"laid":     Of(m.Map(tilt.Rotate), tilt.Rotate(upright), s, 2),
		"mirrored": Of(mirrored, upright, s, 1),
		"long up":  Of(m, r3.Vec{Z: 5}, s, 1),
	} {
		near1(t, what+" hours", got.Hours, want.Hours, 2e-3)
		near1(t, what+" grams", got.Grams, want.Grams, 1e-3)
	}
}

func TestMoreAskedTakesMore(t *testing.T) {
	m := stairs(3)
	last := Cost{}
	for i, change := range []func(*Settings){
		func(s *Settings) { s.Infill = 0 }, func(s *Settings) {}, func(s *Settings) { s.Infill = 0.4 },
		func(s *Settings) { s.Infill = 0.8 }, func(s *Settings) { s.Infill = 1 },
	} {
		s := plain()
		change(&s)
		c := Of(m, upright, s, 1)
		if i > 0 && !(c.Grams > last.Grams && c.Hours > last.Hours) {
			t.Errorf("more infill: %+v after %+v", c, last)
		}
		last = c
	}
	hoursOf := func(change func(*Settings)) float64 {
		s := plain()
		change(&s)
		return Of(m, upright, s, 1).Hours
	}
	usual := hoursOf(func(*Settings) {})
	for what, less := range map[string]float64{
		"thicker layers":    hoursOf(func(s *Settings) { s.Layer = 0.25 }),
		"faster":            hoursOf(func(s *Settings) { s.Speed = 80 }),
		"more acceleration": hoursOf(func(s *Settings) { s.Acceleration = 5000 }),
		"wider nozzle":      hoursOf(func(s *Settings) { s.Nozzle = 0.6 }),
	} {
		if !(less < usual) {
			t.Errorf("%s: %.3f h, usually %.3f h", what, less, usual)
		}
	}
	for what, more := range map[string]float64{
		"thinner layers": hoursOf(func(s *Settings) { s.Layer = 0.1 }),
		"less flow":      hoursOf(func(s *Settings) { s.Flow = 2 }),
		"more walls":     hoursOf(func(s *Settings) { s.Walls = 4 }),
	} {
		if !(more > usual) {
			t.Errorf("%s: %.3f h, usually %.3f h", what, more, usual)
		}
	}
}

// Shells that overlap, lie in one another or face inward are printed as the
// solid they make together.
func TestOverlappingShells(t *testing.T) {
	at := func(x, size float64) *mesh.Mesh { return box(r3.Vec{X: x}, r3.Vec{X: x + size, Y: size, Z: size}) }
	flipped := at(0, 30)
	flipped.Flip()
	hollow := box(r3.Vec{X: 10, Y: 10, Z: 10}, r3.Vec{X: 20, Y: 20, Z: 20})
	hollow.Flip()
	s := plain()
	s.Infill = 1
	near1(t, "overlapping", Of(mesh.Join(at(0, 30), at(20, 30)), upright, s, 1).Volume(), 50*30*30, 2e-3)
	near1(t, "one in the other", Of(mesh.Join(at(0, 30), box(r3.Vec{X: 5, Y: 5, Z: 5}, r3.Vec{X: 9, Y: 9, Z: 9})), upright, s, 1).Volume(), 27000, 2e-3)
	near1(t, "inside out", Of(flipped, upright, s, 1).Volume(), 27000, 2e-3)
	near1(t, "with a hollow", Of(mesh.Join(at(0, 30), hollow), upright, s, 1).Volume(), 26000, 2e-3)
	s.Infill = 0.15
	near1(t, "inside out, walls", Of(flipped, upright, s, 1).Walls.Volume, Of(at(0, 30), upright, s, 1).Walls.Volume, 1e-9)
	near1(t, "overlapping, hours", Of(mesh.Join(at(0, 30), at(20, 30)), upright, s, 1).Hours,
		Of(box(r3.Vec{}, r3.Vec{X: 50, Y: 30, Z: 30}), upright, s, 1).Hours, 0.06)
}

// A sheet is printed as lines along it; a hole in a solid tells little.
func TestOpenSurfaces(t *testing.T) {
	sheet := shape.Revolve(180, [][2]float64{{50, 0}, {50, 30}})
	sheet.T = sheet.T[:180*2*3] // without the way back
	s := plain()
	s.Sheet = true
	girth := 360 * 50 * math.Sin(math.Pi/180)
	near1(t, "sheet", Of(sheet, upright, s, 1).Volume(), girth*30*1.2, 1e-6)
	s.Sheet = false
	half := &mesh.Mesh{X: sheet.X, Y: sheet.Y, Z: sheet.Z, T: sheet.T[:len(sheet.T)/2]}
	near1(t, "half a sheet", Of(half, upright, s, 1).Volume(), girth/2*30*1.2, 1e-6)

	m := tube(96, 40, 20, 50)
	whole := Of(m, upright, s, 1)
	m.T = slices.Delete(m.T, 6*96, 6*96+6) // two triangles of the outer wall: a gap over the whole height
	holed := Of(m, upright, s, 1)
	near1(t, "grams with a gap", holed.Grams, whole.Grams, 0.01)
	near1(t, "hours with a gap", holed.Hours, whole.Hours, 0.02)
}

func TestNothingToPrint(t *testing.T) {
	level := box(r3.Vec{}, r3.Vec{X: 10, Y: 10})
	for what, c := range map[string]Cost{
		"empty":    Of(&mesh.Mesh{}, upright, plain(), 1),
		"level":    Of(level, upright, plain(), 1),
		"no up":    Of(box(r3.Vec{}, r3.Vec{X: 1, Y: 1, Z: 1}), r3.Vec{}, plain(), 1),
		"settings": Of(box(r3.Vec{}, r3.Vec{X: 1, Y: 1, Z: 1}), upright, Settings{}, 1),
	} {
		if c != (Cost{}) {
			t.Errorf("%s: %+v", what, c)
		}
	}
	// Lower than a layer: still one of them.
	if c := Of(box(r3.Vec{}, r3.Vec{X: 10, Y: 10, Z: 0.05}), upright, plain(), 1); c.Layers != 1 || !(c.Hours > 0) {
		t.Errorf("a thin leaf: %+v", c)
	}
}

// Whatever the facets are, numbers come out, or nothing does.
func TestHeapsOfFacets(t *testing.T) {
	const seed = 9
	rnd := rand.New(rand.NewPCG(seed, 0))
	for _, n := range []int{1, 3, 10, 300, mostFacets} {
		for _, size := range []float64{0.01, 1, 150, 1e6, 1e30} {
			m := &mesh.Mesh{}
			for range n {
				a := m.AddVertex(r3.Vec{X: size * rnd.Float64(), Y: size * rnd.Float64(), Z: 100 * rnd.Float64()})
				m.AddVertex(r3.Vec{X: size * rnd.Float64(), Y: size * rnd.Float64(), Z: 100 * rnd.Float64()})
				m.AddVertex(r3.Vec{X: size * rnd.Float64(), Y: size * rnd.Float64(), Z: 100 * rnd.Float64()})
				m.AddTriangle(a, a+1, a+2)
				m.AddTriangle(a, a+2, uint32(rnd.IntN(int(a)+3)))
			}
			for _, sheet := range []bool{false, true} {
				s := plain()
				s.Sheet = sheet
				c := Of(m, upright, s, 2)
				if !(c.Hours >= 0 && c.Grams >= 0 && c.Metres >= 0) || math.IsInf(c.Hours+c.Grams, 0) {
					t.Errorf("seed %d, %d facets of %g mm: %+v", seed, n, size, c)
				}
			}
		}
	}
}

// Second route to the area of walls: how much of a figure lies within their
// width of its rim, counted on a fine grid. What is left between them and is
// narrower than two lines is filled whole as well: it lies out of reach of balls
// of 1.6 mm inside the figure.
func TestWallsAgainstGrid(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	var spare float64
	for range 12 {
		points := star(rnd)
		var o outline
		l, _ := o.layer(section.Section{Chains: []section.Chain{{Points: points, Closed: true}}}, plain(), 60)
		area, walls, narrow := gridWalls(points, 1.2, 1.6)
		near1(t, "area", l.area, area, 0.01)
		if l.walls < walls*0.985 || l.walls > (walls+narrow)*1.015 {
			t.Errorf("seed %d: walls take %.2f mm², on a grid %.2f to %.2f (of %.2f)", seed, l.walls, walls, walls+narrow, area)
		}
		spare += narrow / walls / 12
	}
	if spare > 0.1 {
		t.Errorf("the bounds are %.0f %% apart: they tell little", 100*spare)
	}
}

// star returns a star-shaped figure of about 20 mm.
func star(rnd *rand.Rand) []r2.Vec {
	n := 5 + rnd.IntN(20)
	var out []r2.Vec
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.6*rnd.Float64()) / float64(n))
		r := 8 + 12*rnd.Float64()
		out = append(out, r2.Vec{X: r * cos, Y: r * sin})
	}
	return out
}

// gridWalls returns the area of a figure, that within width of its rim, and that
// further in that no ball of the radius most inside the figure reaches.
func gridWalls(points []r2.Vec, width, most float64) (area, walls, narrow float64) {
	const step, n = 0.2, 200
	var depth [n][n]float64
	at := func(i, k int) r2.Vec {
		return r2.Vec{X: step * (float64(i-n/2) + 0.5), Y: step * (float64(k-n/2) + 0.5)}
	}
	c := section.Chain{Points: points, Closed: true}
	for i := range n {
		for k := range n {
			p := at(i, k)
			if !c.Contains(p) {
				continue
			}
			depth[i][k] = math.Inf(1)
			for j, a := range points {
				d := r2.Sub(points[(j+1)%len(points)], a)
				t := min(max(r2.Dot(r2.Sub(p, a), d)/r2.Norm2(d), 0), 1)
				depth[i][k] = min(depth[i][k], r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(t, d)))))
			}
		}
	}
	reach := int(most / step)
	reached := func(i, k int) bool {
		for x := max(0, i-reach); x <= min(n-1, i+reach); x++ {
			for y := max(0, k-reach); y <= min(n-1, k+reach); y++ {
				if depth[x][y] >= most && r2.Norm(r2.Sub(at(x, y), at(i, k))) <= most {
					return true
				}
			}
		}
		return false
	}
	const cell = step * step
	for i := range n {
		for k := range n {
			switch d := depth[i][k]; {
			case d == 0:
				continue
			case d < width:
				walls += cell
			case !reached(i, k):
				narrow += cell
			}
			area += cell
		}
	}
	return area, walls, narrow
}

// Cutting some layers gives what cutting every one does.
func TestSampling(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{"leg": limb(96, 60), "stairs": stairs(9), "cone": shape.Revolve(64, [][2]float64{{0, 0}, {70, 0}, {0, 180}})} {
		for _, up := range []r3.Vec{{Z: 1}, {X: 1}, {X: 1, Y: 2, Z: 3}}[:mostLies] {
			s := plain()
			st, _ := stackOf(m, up, s)
			all := make([]int, st.layers)
			for i := range all {
				all[i] = i
			}
			if n := len(st.cuts(mostCuts)); n > mostCuts || st.layers > 2*mostCuts && n < mostCuts/2 {
				t.Errorf("%s: %d cuts", name, n)
			}
			want, got := st.cost(all, 2), Of(m, up, s, 2)
			t.Logf("%s %v: %d layers, hours %.4f %%, grams %.4f %%", name, up, st.layers, 100*(got.Hours/want.Hours-1), 100*(got.Grams/want.Grams-1))
			near1(t, name+" hours", got.Hours, want.Hours, 0.001)
			near1(t, name+" grams", got.Grams, want.Grams, 0.001)
		}
	}
}

func TestAboutIsNearlyOf(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{
		"limb": limb(72, 60), "tube": tube(96, 60, 56, 150), "box": box(r3.Vec{}, r3.Vec{X: 80, Y: 60, Z: 90}), "stairs": stairs(7),
	} {
		for _, up := range []r3.Vec{{Z: 1}, {X: 1}, {X: 1, Y: -1, Z: 2}} {
			want, got := Of(m, up, plain(), 2), About(m, up, plain(), 2)
			t.Logf("%s %v: hours %.2f %%, grams %.2f %%", name, up, 100*(got.Hours/want.Hours-1), 100*(got.Grams/want.Grams-1))
			near1(t, name+" hours", got.Hours, want.Hours, 0.01)
			near1(t, name+" grams", got.Grams, want.Grams, 0.01)
		}
	}
}

func BenchmarkAbout(b *testing.B) {
	m := limb(230, 230)
	for b.Loop() {
		About(m.Scaled(1.09), r3.Vec{Z: 1}, plain(), 2)
	}
}

func BenchmarkOf(b *testing.B) {
	for name, n := range map[string]int{"20k": 72, "200k": 230, "2M": 710} {
		m := limb(n, n)
		b.Run(name, func(b *testing.B) {
			b.ReportMetric(float64(m.Triangles()), "triangles")
			for b.Loop() {
				Of(m, r3.Vec{Z: 1}, plain(), 2)
			}
		})
	}
}
