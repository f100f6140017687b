package section

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

var up = r3.Vec{Z: 1}

// near reports whether got is want to a share of it.
func near(got, want, share float64) bool { return math.Abs(got-want) <= share*math.Abs(want) }

// totals returns the summed lengths and signed areas of a section, and how
// many of its chains are open.
func totals(s Section) (length, area float64, open int) {
	for _, c := range s.Chains {
		length += c.Length()
		area += c.Area()
		if !c.Closed {
			open++
		}
	}
	return length, area, open
}

// A regular n-gon of radius r has the perimeter 2·n·r·sin(π/n) and the area
// n·r²·sin(2π/n)/2.
func TestTubeGirth(t *testing.T) {
	m := tube(24, 50, 40, 30)
	s := Cut(m, Plane{Point: r3.Vec{Z: 11}, Normal: r3.Vec{Z: 2}})
	if len(s.Chains) != 2 {
		t.Fatalf("%d chains, want 2", len(s.Chains))
	}
	for _, c := range s.Chains {
		r, sign := 50.0, 1.0
		if c.Area() < 0 {
			r, sign = 40, -1
		}
		got, want := c.Length(), 2*24*r*math.Sin(math.Pi/24)
		if !c.Closed || !near(got, want, 1e-6) {
			t.Errorf("radius %g: girth %.6f, want %.6f", r, got, want)
		}
		area := sign * 24 * r * r * math.Sin(2*math.Pi/24) / 2
		if got := c.Area(); !near(got, area, 1e-6) {
			t.Errorf("radius %g: area %.6f, want %.6f", r, got, area)
		}
		if got := c.HullGirth(); !near(got, want, 1e-6) {
			t.Errorf("radius %g: hull girth %.6f, want %.6f", r, got, want)
		}
	}
}

// A plane tilted by θ cuts a cylinder of radius r in an ellipse of half-axes
// r/cos θ and r; its perimeter is 4·a·E(m), m = 1 − b²/a² (DLMF 19.30.5).
func TestObliqueCylinder(t *testing.T) {
	const r = 40
	m := cone(1024, r, r, 400)
	for _, degrees := range []float64{0, 30, 45, 60} {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		s := Cut(m, Plane{Point: r3.Vec{Z: 200}, Normal: r3.Vec{X: sin, Z: cos}})
		a := r / cos
		want := 4 * a * mathext.CompleteE(1-r*r/(a*a))
		length, area, open := totals(s)
		// 1024 sides lose (π/1024)²/6 of a circle's girth, 1.6e-6.
		if len(s.Chains) != 1 || open > 0 || !near(length, want, 1e-5) {
			t.Errorf("%g°: girth %.4f in %d chains, want %.4f in 1", degrees, length, len(s.Chains), want)
		}
		if want := math.Pi * a * r; !near(area, want, 2e-5) {
			t.Errorf("%g°: area %.4f, want %.4f", degrees, area, want)
		}
	}
}

// Areas and girths of round bodies by their closed forms: torus of radii R, r
// at height h 4πR·√(r²−h²), sphere at distance d π(R²−d²), frustum 2πr(h).
func TestRoundBodies(t *testing.T) {
	ring := torus(512, 512, 50, 15)
	for _, h := range []float64{0, 5, 10} {
		_, got, _ := totals(Cut(ring, Plane{Point: r3.Vec{Z: h}, Normal: up}))
		if want := 4 * math.Pi * 50 * math.Sqrt(15*15-h*h); !near(got, want, 2e-4) {
			t.Errorf("torus at %g: area %.3f, want %.3f", h, got, want)
		}
	}
	ball := sphere(512, 100)
	for _, n := range []r3.Vec{up, {X: 1}, {X: 1, Y: 2, Z: 3}} {
		_, got, _ := totals(Cut(ball, Plane{Point: r3.Scale(60, r3.Unit(n)), Normal: n}))
		if want := math.Pi * (100*100 - 60*60); !near(got, want, 2e-4) {
			t.Errorf("sphere across %v: area %.3f, want %.3f", n, got, want)
		}
	}
	got, _, _ := totals(Cut(cone(1024, 60, 40, 100), Plane{Point: r3.Vec{Z: 25}, Normal: up}))
	if want := 2 * math.Pi * 55; !near(got, want, 1e-5) {
		t.Errorf("frustum at 25: girth %.4f, want %.4f", got, want)
	}
}

// heights returns the distances along n at which m has vertices, sorted.
func heights(m *mesh.Mesh, n r3.Vec) []float64 {
	out := make([]float64, m.Vertices())
	for v := range out {
		out[v] = r3.Dot(n, m.At(uint32(v)))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Between two neighbouring vertex heights the area of a section is a
// quadratic in the height, which two-point Gauss-Legendre quadrature
// integrates exactly (Abramowitz & Stegun 25.4.29): the volume by sections is
// the volume by divergence.
func TestVolumeBySections(t *testing.T) {
	const seed = 11
	for name, m := range closedShapes() {
		rng := rand.New(rand.NewPCG(seed, 0))
		n := randomDirection(rng)
		hs := heights(m, n)
		var through []r3.Vec
		var weight []float64
		for i := 1; i < len(hs); i++ {
			mid, half := (hs[i]+hs[i-1])/2, (hs[i]-hs[i-1])/2
			for _, at := range []float64{-1, 1} {
				through = append(through, r3.Scale(mid+at*half/math.Sqrt(3), n))
				weight = append(weight, half)
			}
		}
		var got float64
		for i, s := range Sweep(m, n, through) {
			_, area, open := totals(s)
			if open > 0 {
				t.Fatalf("%s: %d open chains", name, open)
			}
			got += weight[i] * area
		}
		if want := m.Volume(); !near(got, want, 1e-6) {
			t.Errorf("%s (seed %d): volume %.9g by sections, %.9g by divergence", name, seed, got, want)
		}
	}
}

// Whatever the pose, size and hand of the mesh, its section is the same.
func TestInvariance(t *testing.T) {
	const seed = 12
	rng := rand.New(rand.NewPCG(seed, 0))
	for name, m := range closedShapes() {
		p := Plane{Point: r3.Add(m.Bounds().Center(), r3.Vec{X: 3, Y: 2, Z: 1}), Normal: randomDirection(rng)}
		length, area, _ := totals(Cut(m, p))
		for range 5 {
			r, scale := randomRotation(rng), math.Exp(rng.NormFloat64())
			shift := r3.Scale(200, randomDirection(rng))
			place := func(q r3.Vec) r3.Vec { return r3.Add(shift, r3.Scale(scale, r.Rotate(q))) }
			q := Plane{Point: place(p.Point), Normal: r3.Scale(7, r.Rotate(p.Normal))}
			l, a, open := totals(Cut(m.Map(place), q))
			if open > 0 || !near(l, scale*length, 1e-5) || !near(a, scale*scale*area, 1e-4) {
				t.Errorf("%s turned (seed %d): length %g area %g, want %g %g", name, seed, l, a, scale*length, scale*scale*area)
			}
		}
		flip := func(q r3.Vec) r3.Vec { return r3.Vec{X: -q.X, Y: q.Y, Z: q.Z} }
		mirrored := m.Map(flip)
		mirrored.Flip()
		l, a, _ := totals(Cut(mirrored, Plane{Point: flip(p.Point), Normal: flip(p.Normal)}))
		if !near(l, length, 1e-9) || !near(a, area, 1e-9) {
			t.Errorf("%s mirrored: length %g area %g, want %g %g", name, l, a, length, area)
		}
	}
}

// canonical returns the chains with closed ones begun at their least point,
// in the order of their points.
func canonical(chains []Chain) []Chain {
	out := make([]Chain, len(chains))
	for i, c := range chains {
		c.Points = slices.Clone(c.Points)
		if c.Closed {
			least := 0
			for k, p := range c.Points {
				if compare(p, c.Points[least]) < 0 {
					least = k
				}
			}
			c.Points = slices.Concat(c.Points[least:], c.Points[:least])
		}
		out[i] = c
	}
	slices.SortFunc(out, func(a, b Chain) int { return slices.CompareFunc(a.Points, b.Points, compare) })
	return out
}

func sameChains(a, b []Chain) bool {
	return slices.EqualFunc(a, b, func(a, b Chain) bool {
		return a.Closed == b.Closed && slices.Equal(a.Points, b.Points)
	})
}

// The order of the triangles changes no bit of the chains, only where they
// begin and how they are listed.
func TestShuffled(t *testing.T) {
	const seed = 13
	rng := rand.New(rand.NewPCG(seed, 0))
	for name, m := range closedShapes() {
		if name == "taper twice" {
			continue // two loops on each other may be listed in either order
		}
		for _, n := range []r3.Vec{up, randomDirection(rng)} {
			p := Plane{Point: m.At(uint32(rng.IntN(m.Vertices()))), Normal: n}
			want := canonical(Cut(m, p).Chains)
			if got := canonical(Cut(shuffled(m, rng), p).Chains); !sameChains(got, want) {
				t.Errorf("%s: other chains when shuffled (seed %d)", name, seed)
			}
		}
	}
}

// Sweep and Index give what Cut gives, bit for bit.
func TestSweepAndIndexAreCut(t *testing.T) {
	const seed = 14
	rng := rand.New(rand.NewPCG(seed, 0))
	shapes := closedShapes()
	shapes["open tube"] = withoutEvery(tube(64, 50, 46, 120), 7)
	shapes["shuffled"] = shuffled(rings(40, 30, 50, 46, 120), rng)
	shapes["turned tube"] = rotated(rings(40, 20, 50, 46, 120), randomRotation(rng))
	shapes["a grain low"] = rings(24, 30, 50, 46, 120)
	for v, z := range shapes["a grain low"].Z {
		shapes["a grain low"].Z[v] = math.Nextafter32(z, 0)
	}
	shapes["bad numbers"] = rings(24, 30, 50, 46, 120)
	for i, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		shapes["bad numbers"].X[70*i+5] = float32(bad)
		shapes["bad numbers"].Z[70*i+7] = float32(bad)
	}
	shapes["empty"] = &mesh.Mesh{}
	for name, m := range shapes {
		x := NewIndex(m)
		normals := []r3.Vec{up, {Y: -3}, randomDirection(rng)}
		if m.Triangles() > 0 {
			a, b, c := m.Corners(m.Triangles() - 1)
			normals = append(normals, r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
		}
		for _, n := range normals {
			through := []r3.Vec{{}, {Z: 1e6}, {Z: -1e6}}
			for z := range 31 {
				through = append(through, r3.Vec{Z: float64(4 * z)})
			}
			if name != "a grain low" {
				through = through[:13]
			}
			for range 10 {
				through = append(through, r3.Scale(150*(rng.Float64()-0.5), randomDirection(rng)))
				if v := m.Vertices(); v > 0 {
					if p := m.At(uint32(rng.IntN(v))); finite(p) {
						through = append(through, p)
					}
				}
			}
			through = append(through, through[5], through[6])
			for i, s := range Sweep(m, n, through) {
				want := Cut(m, Plane{Point: through[i], Normal: n})
				if s.Plane != want.Plane || !sameChains(s.Chains, want.Chains) {
					t.Errorf("%s: Sweep differs from Cut at %v (seed %d)", name, s.Plane, seed)
				}
				if got := x.Cut(s.Plane); got.Plane != want.Plane || !sameChains(got.Chains, want.Chains) {
					t.Errorf("%s: Index differs from Cut at %v (seed %d)", name, s.Plane, seed)
				}
			}
		}
	}
}

// Through vertices, through edges, in facets: a closed mesh never gives an
// open chain.
func TestThroughVertices(t *testing.T) {
	const seed = 15
	rng := rand.New(rand.NewPCG(seed, 0))
	for name, m := range closedShapes() {
		for i := range 120 {
			a, b, c := m.Corners(rng.IntN(m.Triangles()))
			n := [4]r3.Vec{
				up,
				randomDirection(rng),
				r3.Cross(r3.Sub(b, a), randomDirection(rng)), // holds the edge a-b
				r3.Cross(r3.Sub(b, a), r3.Sub(c, a)),         // holds the facet
			}[i%4]
			s := Cut(m, Plane{Point: a, Normal: n})
			if _, _, open := totals(s); open > 0 {
				t.Fatalf("%s: %d open chains through %v across %v (seed %d)", name, open, a, n, seed)
			}
		}
	}
}

// A section in the plane of facets is the limit from below, whichever way the
// mesh lies.
func TestInFacets(t *testing.T) {
	const seed = 16
	rng := rand.New(rand.NewPCG(seed, 0))
	box := boxMesh(r3.Vec{X: 100, Y: 20, Z: 5}, r3.Vec{X: 140, Y: 50, Z: 25})
	for i := range 50 {
		r := r3.NewRotation(0, up)
		if i > 0 {
			r = randomRotation(rng)
		}
		m := rotated(box, r)
		n := r.Rotate(up)
		top, topArea, _ := totals(Cut(m, Plane{Point: m.At(7), Normal: n}))
		bottom, _, _ := totals(Cut(m, Plane{Point: m.At(0), Normal: n}))
		if !near(top, 140, 1e-6) || !near(topArea, 1200, 1e-6) || bottom != 0 {
			t.Errorf("turn %d of seed %d: top %g mm, %g mm², bottom %g mm; want 140, 1200, 0", i, seed, top, topArea, bottom)
		}
		// Seen from the other side the bottom is the top.
		other, _, _ := totals(Cut(m, Plane{Point: m.At(0), Normal: r3.Scale(-1, n)}))
		if !near(other, 140, 1e-6) {
			t.Errorf("turn %d of seed %d: bottom from below %g mm, want 140", i, seed, other)
		}
	}
}

// The sections of what is open are open where it is, and as long as it is.
func TestOpenSheets(t *testing.T) {
	gutter := rings(72, 10, 50, 40, 100)
	// Keep the outer wall from 0° to 240°.
	open := gutter.Clone()
	open.T = open.T[:0]
	for i := range gutter.Triangles() {
		a, b, c := gutter.Corners(i)
		mid := r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
		angle := math.Mod(math.Atan2(mid.Y, mid.X)+2*math.Pi, 2*math.Pi)
		if math.Hypot(mid.X, mid.Y) > 49 && angle < 240*math.Pi/180 {
			open.T = append(open.T, gutter.T[3*i:3*i+3]...)
		}
	}
	s := Cut(open, Plane{Point: r3.Vec{Z: 33}, Normal: up})
	if len(s.Chains) != 1 || s.Chains[0].Closed {
		t.Fatalf("%d chains, want one open one", len(s.Chains))
	}
	want := 48 * 2 * 50 * math.Sin(math.Pi/72)
	if got := s.Chains[0].Length(); !near(got, want, 1e-6) {
		t.Errorf("length %.6f, want %.6f", got, want)
	}
	if got := s.Chains[0].Area(); got != 0 {
		t.Errorf("area %g of an open chain, want 0", got)
	}
	// Anticlockwise: from 0° to 240°.
	first, last := s.Chains[0].Points[0], s.Chains[0].Points[len(s.Chains[0].Points)-1]
	if first.Y > 1e-3 || last.X > 0 {
		t.Errorf("runs from %v to %v, want from 0° to 240°", first, last)
	}
}

// Flipped facets in a wall do not break its loop, and the loop runs as most
// of them say.
func TestFlippedFacets(t *testing.T) {
	const seed = 17
	rng := rand.New(rand.NewPCG(seed, 0))
	m := rings(60, 20, 50, 46, 100)
	p := Plane{Point: r3.Vec{Z: 33}, Normal: r3.Vec{X: 0.1, Z: 1}}
	wantLength, wantArea, _ := totals(Cut(m, p))
	for i := range m.Triangles() {
		if rng.IntN(4) == 0 {
			m.T[3*i], m.T[3*i+1] = m.T[3*i+1], m.T[3*i]
		}
	}
	length, area, open := totals(Cut(m, p))
	if open > 0 || !near(length, wantLength, 1e-12) || !near(area, wantArea, 1e-12) {
		t.Errorf("length %g, area %g, %d open; want %g, %g, 0 (seed %d)", length, area, open, wantLength, wantArea, seed)
	}
}

// Slivers and needles, down to ones without area, leave the chains alone.
func TestSlivers(t *testing.T) {
	m := tube(24, 50, 40, 100)
	want, _, _ := totals(Cut(m, Plane{Point: r3.Vec{Z: 50}, Normal: up}))
	// A vertex on the edge of two facets, a hair from it: each becomes a facet and a sliver.
	for _, height := range []float64{50, 50 + 1e-5, 50 - 1e-5, 20} {
		sliced := m.Clone()
		a, b := sliced.T[6*7], sliced.T[6*7+2] // the diagonal of a wall panel
		mid := r3.Add(sliced.At(a), r3.Scale(height/100, r3.Sub(sliced.At(b), sliced.At(a))))
		v := sliced.AddVertex(mid)
		for t := range m.Triangles() {
			for k := range 3 {
				if sliced.T[3*t+k] == a && sliced.T[3*t+(k+1)%3] == b || sliced.T[3*t+k] == b && sliced.T[3*t+(k+1)%3] == a {
					far, from := sliced.T[3*t+(k+2)%3], sliced.T[3*t+k]
					sliced.T[3*t+k] = v // leaves v, to, far
					sliced.AddTriangle(from, v, far)
				}
			}
		}
		length, _, open := totals(Cut(sliced, Plane{Point: r3.Vec{Z: 50}, Normal: up}))
		if open > 0 || !near(length, want, 1e-7) {
			t.Errorf("vertex at %g: length %.9g, %d open; want %.9g, 0", height, length, open, want)
		}
	}
}

// Duplicate facets count once.
func TestDuplicates(t *testing.T) {
	const seed = 18
	rng := rand.New(rand.NewPCG(seed, 0))
	m := rings(40, 10, 50, 46, 100)
	p := Plane{Point: r3.Vec{Z: 33}, Normal: r3.Vec{X: 0.1, Z: 1}}
	want := canonical(Cut(m, p).Chains)
	some, all := m.Clone(), m.Clone()
	all.T = append(all.T, m.T...)
	for i := range m.Triangles() {
		if rng.IntN(5) == 0 {
			some.T = append(some.T, m.T[3*i+1], m.T[3*i+2], m.T[3*i])
		}
	}
	for name, double := range map[string]*mesh.Mesh{"some": some, "all": all, "all, shuffled": shuffled(all, rng)} {
		if got := canonical(Cut(double, p).Chains); !sameChains(got, want) {
			t.Errorf("%s facets twice: %d chains, want the same %d", name, len(got), len(want))
		}
	}
}

// Where more than two facets meet in an edge each solid keeps its own loop,
// and what hangs on it becomes a chain of its own.
func TestNonManifoldEdges(t *testing.T) {
	const seed = 19
	rng := rand.New(rand.NewPCG(seed, 0))
	unit := func(x, y float64) *mesh.Mesh {
		return boxMesh(r3.Vec{X: x, Y: y}, r3.Vec{X: x + 10, Y: y + 10, Z: 10})
	}
	fin := func(from, to r3.Vec) *mesh.Mesh {
		m := &mesh.Mesh{}
		a, b := m.AddVertex(from), m.AddVertex(to)
		from.Z, to.Z = 10, 10
		c, d := m.AddVertex(to), m.AddVertex(from)
		m.AddTriangle(a, b, c)
		m.AddTriangle(a, c, d)
		return m
	}
	for _, c := range []struct {
		name    string
		m       *mesh.Mesh
		lengths []float64 // of the chains, sorted; open ones negative
	}{
		{"two boxes on one edge", join(unit(0, 0), unit(10, 10)), []float64{40, 40}},
		{"two boxes with a shared face", join(unit(0, 0), unit(10, 0)), []float64{40, 40}},
		{"four boxes round one edge", join(unit(0, 0), unit(10, 0), unit(0, 10), unit(10, 10)), []float64{40, 40, 40, 40}},
		{"fin outside", join(unit(0, 0), fin(r3.Vec{X: 10, Y: 10}, r3.Vec{X: 14, Y: 13})), []float64{-5, 40}},
		{"fin outside, turned", join(unit(0, 0), flipped(fin(r3.Vec{X: 10, Y: 10}, r3.Vec{X: 14, Y: 13}))), []float64{-5, 40}},
		{"fin inside", join(unit(0, 0), fin(r3.Vec{X: 10, Y: 10}, r3.Vec{X: 6, Y: 7})), []float64{-5, 40}},
		{"fin inside, turned", join(unit(0, 0), flipped(fin(r3.Vec{X: 10, Y: 10}, r3.Vec{X: 6, Y: 7}))), []float64{-5, 40}},
		{"forked fin", join(unit(0, 0), fin(r3.Vec{X: 10, Y: 10}, r3.Vec{X: 14, Y: 13}), fin(r3.Vec{X: 14, Y: 13}, r3.Vec{X: 18, Y: 16}), fin(r3.Vec{X: 14, Y: 13}, r3.Vec{X: 14, Y: 15})), []float64{-10, -2, 40}},
		{"handle", join(unit(0, 0), fin(r3.Vec{X: 10, Y: 10}, r3.Vec{X: 20, Y: 8}), fin(r3.Vec{X: 20, Y: 8}, r3.Vec{X: 20, Y: 2}), fin(r3.Vec{X: 20, Y: 2}, r3.Vec{X: 10})), []float64{-26.3961, 40}},
		{"sheet through an edge", join(unit(0, 0), fin(r3.Vec{X: 6, Y: 7}, r3.Vec{X: 10, Y: 10}), fin(r3.Vec{X: 10, Y: 10}, r3.Vec{X: 14, Y: 13})), []float64{-10, 40}},
	} {
		welded := weld(c.m)
		for range 20 {
			m := shuffled(rotated(welded, randomRotation(rng)), rng)
			// The middle of a vertical edge, and along it, wherever they are now.
			low, high := m.At(0), m.At(4)
			s := Cut(m, Plane{Point: r3.Scale(0.5, r3.Add(low, high)), Normal: r3.Sub(high, low)})
			var lengths []float64
			for _, chain := range s.Chains {
				length := math.Round(1e4*chain.Length()) / 1e4
				if !chain.Closed {
					length = -length
				}
				lengths = append(lengths, length)
			}
			slices.Sort(lengths)
			if !slices.Equal(lengths, c.lengths) {
				t.Errorf("%s: chains of %v mm, want %v (seed %d; open ones negative)", c.name, lengths, c.lengths, seed)
				break
			}
		}
	}
}

// A wall between two walls leaves the girth round them as it is.
func TestMembrane(t *testing.T) {
	wall := rings(64, 10, 50, 46, 100)
	m := wall.Clone()
	// From the outer wall at 0° across to the outer wall at 180°, row by row.
	outer := func(side, row int) uint32 { return uint32(row*64 + side) }
	for row := range 10 {
		a, b, c, d := outer(0, row), outer(32, row), outer(32, row+1), outer(0, row+1)
		m.AddTriangle(a, b, c)
		m.AddTriangle(a, c, d)
	}
	p := Plane{Point: r3.Vec{Z: 33}, Normal: up}
	s := Cut(m, p)
	length, _, open := totals(s)
	want, _, _ := totals(Cut(wall, p))
	if len(s.Chains) != 3 || open != 1 || !near(length, want+100, 1e-6) {
		t.Errorf("%d chains, %d open, %.4f mm; want 3, 1, %.4f", len(s.Chains), open, length, want+100)
	}
}

// A plane that is no plane, an empty mesh, corners that are not numbers.
func TestNothingToCut(t *testing.T) {
	m := tube(12, 50, 40, 100)
	nan, inf := math.NaN(), math.Inf(1)
	for _, p := range []Plane{
		{Point: r3.Vec{Z: 50}},
		{Point: r3.Vec{Z: 50}, Normal: r3.Vec{Z: nan}},
		{Point: r3.Vec{Z: 50}, Normal: r3.Vec{Z: inf}},
		{Point: r3.Vec{Z: nan}, Normal: up},
		{Point: r3.Vec{Z: inf}, Normal: up},
	} {
		if s := Cut(m, p); len(s.Chains) > 0 {
			t.Errorf("%v cuts %d chains", p, len(s.Chains))
		}
		if s := Sweep(m, p.Normal, []r3.Vec{p.Point, {Z: 50}}); len(s) != 2 || len(s[0].Chains) > 0 {
			t.Errorf("a sweep through %v cuts %d chains", p, len(s[0].Chains))
		}
	}
	if s := Cut(m, Plane{Point: r3.Vec{Z: 50}, Normal: r3.Vec{Z: 1e-320}}); len(s.Chains) != 2 {
		t.Errorf("a normal of denormal length cuts %d chains, want 2", len(s.Chains))
	}
	if got := Sweep(m, up, nil); len(got) != 0 {
		t.Errorf("%d sections of no planes", len(got))
	}
	flag := &mesh.Mesh{X: []float32{0, 0, 5}, Y: []float32{0, 9, 0}, Z: []float32{50, 50, float32(nan)}, T: []uint32{0, 1, 2}}
	if s := Cut(flag, Plane{Point: r3.Vec{Z: 50}, Normal: up}); len(s.Chains) > 0 {
		t.Errorf("a triangle with a corner that is no number is cut in %v", s.Chains)
	}
	m.X[5] = float32(nan)
	m.Z[9] = float32(inf)
	for _, c := range Cut(m, Plane{Point: r3.Vec{Z: 50}, Normal: r3.Vec{X: 0.01, Z: 1}}).Chains {
		for _, p := range c.Points {
			if math.IsNaN(p.X+p.Y) || math.IsInf(p.X+p.Y, 0) {
				t.Fatalf("point %v", p)
			}
		}
	}
}

func TestNestingAndAround(t *testing.T) {
	m := join(tube(40, 50, 48, 100), tube(40, 44, 42, 100), moved(tube(16, 8, 5, 100), r3.Vec{X: 20}), moved(tube(16, 8, 5, 100), r3.Vec{X: 200}))
	s := Cut(m, Plane{Point: r3.Vec{Z: 50}, Normal: up})
	if len(s.Chains) != 8 {
		t.Fatalf("%d chains, want 8", len(s.Chains))
	}
	// By girth: name the chains by radius and place.
	radius := func(i int) float64 {
		r := math.Round(s.Chains[i].HullGirth() / (2 * math.Pi))
		if s.Chains[i].Points[0].X > 100 {
			r += 1000
		}
		return r
	}
	want := map[float64]float64{50: -1, 48: 50, 44: 48, 42: 44, 8: 42, 5: 8, 1008: -1, 1005: 1008}
	for i, outside := range s.Nesting() {
		got := -1.0
		if outside >= 0 {
			got = radius(outside)
		}
		if got != want[radius(i)] {
			t.Errorf("round the loop of radius %g lies %g, want %g", radius(i), got, want[radius(i)])
		}
	}
	for _, c := range []struct{ x, radius float64 }{{0, 42}, {20, 5}, {27, 8}, {-43, 44}, {-49, 50}, {200, 1005}} {
		i, ok := s.Around(r2.Vec{X: c.x})
		if !ok || radius(i) != c.radius {
			t.Errorf("round %g lies loop %d, %v; want that of radius %g", c.x, i, ok, c.radius)
		}
	}
	if i, ok := s.Around(r2.Vec{X: 100}); ok || i != -1 {
		t.Errorf("round a point outside lies loop %d, %v", i, ok)
	}
}

// Axes are right-handed unit vectors square to the Normal, and Lift undoes Flat.
func TestPlaneCoordinates(t *testing.T) {
	const seed = 20
	rng := rand.New(rand.NewPCG(seed, 0))
	normals := []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: -1}, {Y: -2}, {Z: -3}, {X: 1, Y: 1}, {X: 1, Y: 1, Z: 1}, {Z: 1e-200}, {X: 1e200, Y: 1e200}}
	for range 200 {
		normals = append(normals, r3.Scale(math.Exp(5*rng.NormFloat64()), randomDirection(rng)))
	}
	for _, n := range normals {
		p := Plane{Point: r3.Scale(100, randomDirection(rng)), Normal: n}
		u, v := p.Axes()
		unit, _ := direction(n)
		off := max(math.Abs(r3.Norm(u)-1), math.Abs(r3.Norm(v)-1), math.Abs(r3.Dot(u, v)), r3.Norm(r3.Sub(r3.Cross(u, v), unit)))
		if off > 1e-15*4 {
			t.Errorf("axes of %v are off by %g: %v %v", n, off, u, v)
		}
		if u2, v2 := (Plane{Normal: r3.Scale(2, n)}).Axes(); u2 != u || v2 != v {
			t.Errorf("axes of %v change with its length", n)
		}
		q := r2.Vec{X: rng.NormFloat64() * 50, Y: rng.NormFloat64() * 50}
		if back := p.Flat(p.Lift(q)); r2.Norm(r2.Sub(back, q)) > 1e-12 {
			t.Errorf("%v lifted and laid flat again is %v", q, back)
		}
	}
	if u, v := (Plane{Normal: up}).Axes(); u != (r3.Vec{X: 1}) || v != (r3.Vec{Y: 1}) {
		t.Errorf("axes of a horizontal plane are %v, %v", u, v)
	}
	if u, v := (Plane{}).Axes(); u != (r3.Vec{}) || v != (r3.Vec{}) {
		t.Errorf("axes of no plane are %v, %v", u, v)
	}
}

// The hull of random points holds them all, turns left everywhere, and is as
// long as Cauchy's formula says: the mean width times π.
func TestHull(t *testing.T) {
	const seed = 21
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 50 {
		var c Chain
		for range 3 + rng.IntN(60) {
			c.Points = append(c.Points, r2.Vec{X: float64(rng.IntN(20)), Y: float64(rng.IntN(20))})
		}
		corners := Hull(c.Points)
		for i, a := range corners {
			b := corners[(i+1)%len(corners)]
			for _, p := range c.Points {
				if len(corners) > 2 && side(a, b, p) < 0 {
					t.Fatalf("%v lies outside the hull of seed %d", p, seed)
				}
			}
		}
		var width float64
		const directions = 20000
		for k := range directions {
			sin, cos := math.Sincos(math.Pi * (float64(k) + 0.5) / directions)
			along := func(a, b r2.Vec) int { return cmp.Compare(a.X*cos+a.Y*sin, b.X*cos+b.Y*sin) }
			low, high := slices.MinFunc(corners, along), slices.MaxFunc(corners, along)
			width += ((high.X-low.X)*cos + (high.Y-low.Y)*sin) / directions
		}
		if got := c.HullGirth(); !near(got, math.Pi*width, 1e-6) {
			t.Errorf("hull girth %g, by Cauchy %g", got, math.Pi*width)
		}
	}
	for _, c := range []struct {
		points []r2.Vec
		want   float64
	}{{nil, 0}, {[]r2.Vec{{X: 1}}, 0}, {[]r2.Vec{{X: 1}, {X: 1}}, 0}, {[]r2.Vec{{}, {X: 3}, {X: 1}}, 6}} {
		if got := (Chain{Points: c.points}).HullGirth(); got != c.want {
			t.Errorf("hull girth of %v is %g, want %g", c.points, got, c.want)
		}
	}
}

// A point is inside a star if the signed angles under which its pieces are
// seen sum to a whole turn.
func TestContains(t *testing.T) {
	const seed = 22
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 20 {
		var c Chain
		n := 5 + rng.IntN(40)
		for i := range n {
			c.Points = append(c.Points, circle(1, 2, 5+10*rng.Float64())(2*math.Pi*float64(i)/float64(n)))
		}
		c.Closed = true
		for range 500 {
			p := r2.Vec{X: 40*rng.Float64() - 20, Y: 40*rng.Float64() - 20}
			var turn float64
			for i, a := range c.Points {
				b := c.Points[(i+1)%n]
				u, v := r2.Sub(a, p), r2.Sub(b, p)
				turn += math.Atan2(r2.Cross(u, v), r2.Dot(u, v))
			}
			if got, want := c.Contains(p), math.Abs(turn) > math.Pi; got != want {
				t.Fatalf("Contains(%v) = %v with a turn of %g (seed %d)", p, got, turn, seed)
			}
		}
		c.Closed = false
		if c.Contains(r2.Vec{X: 1, Y: 2}) {
			t.Fatal("something lies inside an open chain")
		}
	}
}
