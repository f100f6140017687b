package section

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// plan is loops being drawn.
type plan struct {
	points []r2.Vec
	loops  [][]uint32
}

// add adds a loop of n points at polar places; clockwise where n is negative.
func (p *plan) add(n int, at func(angle float64) r2.Vec) {
	var loop []uint32
	for i := range max(n, -n) {
		loop = append(loop, uint32(len(p.points)))
		p.points = append(p.points, at(2*math.Pi*float64(i)/float64(n)))
	}
	p.loops = append(p.loops, loop)
}

func circle(x, y, r float64) func(float64) r2.Vec {
	return func(angle float64) r2.Vec {
		sin, cos := math.Sincos(angle)
		return r2.Vec{X: x + r*cos, Y: y + r*sin}
	}
}

// comb is a ring with n deep teeth on both sides.
func comb(r, depth float64, teeth float64) func(float64) r2.Vec {
	return func(angle float64) r2.Vec {
		return circle(0, 0, r+depth*math.Sin(teeth*angle))(angle)
	}
}

// spiral is one wall wound many times.
func spiral(n int, turns float64) plan {
	var p plan
	p.loops = make([][]uint32, 1)
	arm := func(k int, r float64) {
		angle := 2 * math.Pi * turns * float64(k) / float64(n)
		p.loops[0] = append(p.loops[0], uint32(len(p.points)))
		p.points = append(p.points, circle(0, 0, r+angle)(angle))
	}
	for k := range n {
		arm(k, 12)
	}
	for k := n - 1; k >= 0; k-- {
		arm(k, 10)
	}
	return p
}

func plans() map[string]plan {
	out := map[string]plan{}
	draw := func(name string, f func(p *plan)) {
		var p plan
		f(&p)
		out[name] = p
	}
	draw("thin ring", func(p *plan) {
		p.add(500, circle(0, 0, 50))
		p.add(-480, circle(0, 0, 49.6))
	})
	draw("nested rings and an island", func(p *plan) {
		for k := range 6 {
			sign := 1 - 2*(k%2)
			p.add(sign*(300+k), circle(0.3*float64(k), 0, 60-4*float64(k)))
		}
		p.add(7, circle(20, 0, 3))
		p.add(9, circle(-20, 1, 5))
		p.add(-3, circle(-20, 1, 2))
	})
	draw("lattice", func(p *plan) {
		p.add(4, circle(0, 0, 200))
		for i := range 20 {
			for j := range 20 {
				p.add(-12, circle(6*float64(i-10), 6*float64(j-10), 2.5))
			}
		}
	})
	draw("comb", func(p *plan) {
		p.add(5000, comb(50, 8, 120))
		p.add(-5000, comb(49.5, 8, 120))
	})
	draw("points on straight sides", func(p *plan) {
		square := func(h float64) func(float64) r2.Vec {
			return func(angle float64) r2.Vec {
				sin, cos := math.Sincos(angle)
				k := h / max(math.Abs(sin), math.Abs(cos))
				return r2.Vec{X: k * cos, Y: k * sin}
			}
		}
		p.add(400, square(50))
		p.add(-400, square(40))
	})
	out["spiral"] = spiral(2000, 12)
	return out
}

// Of loops that neither cross nor touch the triangles have the area of the
// loops, all turn anticlockwise, and there are n − 2 + 2h of them for each
// polygon of n points with h holes.
func TestTriangulatePlans(t *testing.T) {
	for name, p := range plans() {
		t.Run(name, func(t *testing.T) {
			checkPlan(t, p)
		})
	}
}

// checkPlan checks the triangles of loops that do not cross.
func checkPlan(t *testing.T, p plan) {
	t.Helper()
	triangles := Triangulate(p.points, p.loops)
	checkCover(t, p, triangles)
	want, size := 0.0, 0
	for _, loop := range p.loops {
		area := chainOf(p.points, loop).Area()
		want += area
		size += len(loop) + 2
		if area > 0 {
			size -= 4
		}
	}
	if got := len(triangles) / 3; got != size {
		t.Errorf("%d triangles, want %d", got, size)
	}
	var got float64
	for i := 0; i < len(triangles); i += 3 {
		area := side(p.points[triangles[i]], p.points[triangles[i+1]], p.points[triangles[i+2]]) / 2
		if area < -1e-9 {
			t.Fatalf("triangle %d turns the wrong way: area %g", i/3, area)
		}
		got += area
	}
	if math.Abs(got-want) > 1e-9*math.Abs(want) {
		t.Errorf("area %.12g, want %.12g", got, want)
	}
}

// Stars with deep teeth and many holes strewn in them, among the teeth too:
// the bridges must find their way round the teeth and each other.
func TestTriangulateStars(t *testing.T) {
	const seed = 5
	rng := rand.New(rand.NewPCG(seed, 0))
	for i := range 200 {
		var p plan
		n := 5 + rng.IntN(60)
		p.add(n, func(angle float64) r2.Vec { return circle(0, 0, 30+70*rng.Float64())(angle) })
		outer := chainOf(p.points, p.loops[0])
		var middles []r2.Vec
		for range rng.IntN(300) {
			c := r2.Vec{X: 200*rng.Float64() - 100, Y: 200*rng.Float64() - 100}
			const r = 2
			room := func(q r2.Vec) bool { return r2.Norm(r2.Sub(q, c)) > 2.01*r }
			if !outer.Contains(c) || clearance(outer, c) < 1.01*r || slices.ContainsFunc(middles, func(q r2.Vec) bool { return !room(q) }) {
				continue
			}
			middles = append(middles, c)
			p.add(-3-rng.IntN(6), circle(c.X, c.Y, r))
		}
		checkPlan(t, p)
		if t.Failed() {
			t.Fatalf("case %d of seed %d", i, seed)
		}
	}
}

// Two skins on each other to the bit, each with a hole: each hole belongs to
// one of them, however the loops begin.
func TestTriangulateTwice(t *testing.T) {
	const seed = 6
	rng := rand.New(rand.NewPCG(seed, 0))
	for i := range 40 {
		var p plan
		n := 5 + rng.IntN(40)
		star := make([]float64, n)
		for k := range star {
			star[k] = 50 + 20*rng.Float64()
		}
		for range 2 {
			for _, size := range []float64{1, 0.9} {
				begin := rng.IntN(n)
				var loop []uint32
				for k := range n {
					k = (k + begin) % n
					loop = append(loop, uint32(len(p.points)))
					p.points = append(p.points, circle(0, 0, size*star[k])(2*math.Pi*float64(k)/float64(n)))
				}
				if size < 1 {
					slices.Reverse(loop)
				}
				p.loops = append(p.loops, loop)
			}
		}
		checkPlan(t, p)
		if t.Failed() {
			t.Fatalf("case %d of seed %d", i, seed)
		}
	}
}

// clearance returns the distance from p to the nearest piece of c.
func clearance(c Chain, p r2.Vec) float64 {
	least := math.Inf(1)
	for i, a := range c.Points {
		b := c.Points[(i+1)%len(c.Points)]
		along := r2.Sub(b, a)
		k := min(max(r2.Dot(r2.Sub(p, a), along)/r2.Norm2(along), 0), 1)
		least = min(least, r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(k, along)))))
	}
	return least
}

// Loops that touch: at a corner, along an edge, hole on outer, hole on hole.
// The area is that of the loops and nothing turns the wrong way.
func TestTriangulateTouching(t *testing.T) {
	for name, loops := range map[string][][]r2.Vec{
		"hole on a corner":          {{{X: 0}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}, {{}, {X: 2, Y: 4}, {X: 4, Y: 2}}},
		"hole on a side":            {{{X: 0}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}, {{X: 4}, {X: 3, Y: 3}, {X: 5, Y: 3}}},
		"hole on the left":          {{{X: 0}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}, {{Y: 4}, {X: 3, Y: 5}, {X: 3, Y: 3}}},
		"hole on a hole":            {{{X: 0}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}, {{X: 2, Y: 4}, {X: 4, Y: 5}, {X: 4, Y: 3}}, {{X: 4, Y: 5}, {X: 6, Y: 6}, {X: 6, Y: 4}}},
		"waist of no width":         {{{X: 0}, {X: 4, Y: 4}, {X: 8}, {X: 8, Y: 8}, {X: 4, Y: 4}, {Y: 8}}},
		"slit":                      {{{X: 0}, {X: 9}, {X: 9, Y: 9}, {X: 4, Y: 9}, {X: 4, Y: 2}, {X: 4, Y: 9}, {Y: 9}}},
		"outer loops on each other": {{{X: 0}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}, {{X: 9, Y: 2}, {X: 12, Y: 2}, {X: 12, Y: 5}, {X: 9, Y: 5}}},
	} {
		var p plan
		want := 0.0
		for _, loop := range loops {
			p.add(len(loop), func(angle float64) r2.Vec {
				return loop[int(math.Round(angle/(2*math.Pi)*float64(len(loop))))]
			})
			want += chainOf(p.points, p.loops[len(p.loops)-1]).Area()
		}
		triangles := Triangulate(p.points, p.loops)
		checkCover(t, p, triangles)
		got, wrong := 0.0, 0.0
		for i := 0; i < len(triangles); i += 3 {
			area := side(p.points[triangles[i]], p.points[triangles[i+1]], p.points[triangles[i+2]]) / 2
			got += area
			wrong += max(0, -area)
		}
		if math.Abs(got-want) > 1e-12 || wrong > 0 {
			t.Errorf("%s: area %g, of it %g turned the wrong way; want %g, 0", name, got, wrong, want)
		}
	}
}

// checkCover checks what must hold for any loops: with the loops taken away
// the directed edges of the triangles cancel.
func checkCover(t *testing.T, p plan, triangles []uint32) {
	t.Helper()
	balance := map[[2]uint32]int{}
	edge := func(a, b uint32, by int) {
		if a > b {
			a, b, by = b, a, -by
		}
		balance[[2]uint32{a, b}] += by
	}
	for i := 0; i < len(triangles); i += 3 {
		for k := range 3 {
			edge(triangles[i+k], triangles[i+(k+1)%3], 1)
		}
	}
	for _, loop := range p.loops {
		for k := range loop {
			if len(loop) > 2 {
				edge(loop[k], loop[(k+1)%len(loop)], -1)
			}
		}
	}
	for e, n := range balance {
		if n != 0 {
			t.Fatalf("edge %v is used %+d times too often", e, n)
		}
	}
}

// Loops that cross themselves and each other, that touch and that lie on a
// grid with many points on each other, still close.
func TestTriangulateHopeless(t *testing.T) {
	const seed = 3
	rng := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		var p plan
		grid := 1 + rng.IntN(30)
		for range 1 + rng.IntN(4) {
			n := 3 + rng.IntN(60)
			p.add(n, func(float64) r2.Vec {
				return r2.Vec{X: float64(rng.IntN(grid)), Y: float64(rng.IntN(grid))}
			})
		}
		checkCover(t, p, Triangulate(p.points, p.loops))
		if t.Failed() {
			t.Fatalf("case %d of seed %d: %+v", i, seed, p)
		}
	}
}

func BenchmarkTriangulate(b *testing.B) {
	named := plans()
	var ring, tangle plan
	ring.add(5000, circle(0, 0, 50))
	ring.add(-5000, circle(0, 0, 49.6))
	rng := rand.New(rand.NewPCG(4, 0))
	tangle.add(10000, func(float64) r2.Vec { return r2.Vec{X: rng.Float64(), Y: rng.Float64()} })
	named["ring of 10000"], named["tangle of 10000"] = ring, tangle
	for _, name := range []string{"ring of 10000", "comb", "spiral", "lattice", "tangle of 10000"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				Triangulate(named[name].points, named[name].loops)
			}
		})
	}
}
