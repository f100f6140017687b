package solid

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/report/picture"

	"gonum.org/v1/gonum/spatial/r3"
)

// soup is a mesh of random triangles of all sizes in a ball.
func soup(random *rand.Rand, triangles int) *mesh.Mesh {
	m := &mesh.Mesh{}
	vec := func(size float64) r3.Vec {
		return r3.Vec{X: size * random.NormFloat64(), Y: size * random.NormFloat64(), Z: size * random.NormFloat64()}
	}
	for t := range uint32(triangles) {
		at := vec(60)
		for range 3 {
			m.AddVertex(r3.Add(at, vec([]float64{2, 9, 40}[t%3])))
		}
		m.AddTriangle(3*t, 3*t+1, 3*t+2)
	}
	return m
}

// What is drawn nearby first, and then only where it is not behind that, is what
// drawing every triangle shows, those that face the viewer before the others.
func TestHiddenTrianglesAreNotMissed(t *testing.T) {
	const seed = 20261201
	h := greave()
	for name, of := range map[string][]surface{
		"relief": {{Mesh: shape.Relief{Triangles: 30_000}.Mesh()}},
		"greave": h.surfaces(),
		"soup":   {{Mesh: soup(rand.New(rand.NewPCG(seed, 2)), 3000)}},
		"flat":   {{Mesh: shape.Bar{X: 60, Y: 1e-3, Z: 90}.Mesh()}}, // all at one depth
		"none":   {{Mesh: &mesh.Mesh{}}},
	} {
		var meshes []*mesh.Mesh
		for _, m := range of {
			meshes = append(meshes, m.Mesh)
		}
		cameras, _, high := twoSides(r3.Vec{}, meshes)
		for i := range cameras {
			c := &cameras[i]
			r := c.shade(image.NewRGBA(image.Rect(0, 0, picture.Width, int(high)+200)), of)
			var seen [][]r3.Vec
			for _, m := range meshes {
				seen = append(seen, c.see(m))
			}
			all := newRaster(seen, fine*viewWidth, fine*int(c.view))
			for _, sign := range []float64{-1, 1} {
				for k, m := range of {
					for n := range uint32(m.Triangles()) {
						if area := areaOf(&seen[k][m.T[3*n]], &seen[k][m.T[3*n+1]], &seen[k][m.T[3*n+2]]); area*sign > 0 {
							c.fill(all, m, seen[k], n)
						}
					}
				}
			}
			if r.of != all.of {
				t.Fatalf("%s (seed %d): %v is touched, want %v", name, seed, r.of, all.of)
			}
			for k := range all.depths {
				if got, want := r.dot(k), all.dot(k); got != want {
					t.Fatalf("%s (seed %d), view %d: dot %d of rows of %d is %v, want %v", name, seed, i, k, all.stride, got, want)
				}
			}
		}
	}
}

// What is said to be hidden is behind every fine pixel of its rectangle, and much
// of what is hidden is said to be. What was noted holds when more is drawn.
func TestHiddenIsBehindAll(t *testing.T) {
	const seed, wide, high = 20261202, 150, 110
	random := rand.New(rand.NewPCG(seed, 3))
	ground := [3]r3.Vec{{X: -300, Y: -50, Z: 10}, {X: 500, Y: 20, Z: 60}, {X: 20, Y: 400, Z: 30}}
	r := newRaster([][]r3.Vec{ground[:]}, wide, high)
	fill := func(p [3]r3.Vec) { r.fill(&p[0], &p[1], &p[2], func() (look, bool) { return look{grey: 9}, true }) }
	fill(ground)
	r.lookBack()
	said, are := 0, 0
	for n := range 4000 {
		if n%40 == 0 {
			p := r3.Vec{X: random.Float64() * wide, Y: random.Float64() * high, Z: 60 * random.Float64()}
			fill([3]r3.Vec{p, r3.Add(p, r3.Vec{X: 30, Z: 5}), r3.Add(p, r3.Vec{Y: 20, Z: 9})})
		}
		left, first := random.IntN(wide), random.IntN(high)
		right, last := min(wide-1, left+random.IntN(40)), min(high-1, first+random.IntN(40))
		depth := 60 * random.Float64()
		is := true
		for y := first; y <= last; y++ {
			for x := left; x <= right; x++ {
				is = is && float64(r.is(x, y).depth) > depth
			}
		}
		if is {
			are++
		}
		if !r.hidden(left, first, right, last, depth) {
			continue
		}
		said++
		if !is {
			t.Fatalf("seed %d: (%d, %d) to (%d, %d) is not hidden at %g", seed, left, first, right, last, depth)
		}
	}
	if said < are/2 || are == 0 {
		t.Errorf("%d of %d that are hidden are said to be", said, are)
	}
}

// Each pixel of the sheet is the mean of its four fine ones: the grey of what is
// there, a line where the depth jumps, stripes on a panel, paper elsewhere.
func TestSheetIsMeanOfFinePixels(t *testing.T) {
	h := greave()
	cameras, _, high := twoSides(h.From, h.meshes())
	for i := range cameras {
		c := &cameras[i]
		im := image.NewRGBA(image.Rect(0, 0, picture.Width, int(high)+200))
		r := c.shade(im, h.surfaces())
		depth := func(x, y int) float64 { return float64(r.is(x, y).depth) }
		steps := func(x, y, dx, dy int) bool {
			return math.Abs(depth(x-dx, y-dy)+depth(x+dx, y+dy)-2*depth(x, y)) > jump
		}
		lines, stripes := 0, 0
		colour := func(x, y int) color.RGBA {
			is := r.is(x, y)
			switch {
			case steps(x, y, 2, 0) || steps(x, y, 0, 2):
				lines++
				return picture.Soft
			case math.IsInf(depth(x, y), -1):
				return picture.Paper
			case is.striped && picture.Striped(x/2, y/2):
				stripes++
				tint := func(v uint8) uint8 { return uint8(float64(is.grey) / 255 * float64(v)) }
				return color.RGBA{R: tint(picture.Vermilion.R), G: tint(picture.Vermilion.G), B: tint(picture.Vermilion.B), A: 255}
			}
			return color.RGBA{R: is.grey, G: is.grey, B: is.grey, A: 255}
		}
		for y := range int(c.view) {
			for x := range int(viewWidth) {
				if !image.Rect(2*x, 2*y, 2*x+2, 2*y+2).In(r.of) {
					continue // nothing is laid there
				}
				var sum [3]int
				for _, p := range []color.RGBA{colour(2*x, 2*y), colour(2*x+1, 2*y), colour(2*x, 2*y+1), colour(2*x+1, 2*y+1)} {
					sum[0], sum[1], sum[2] = sum[0]+int(p.R), sum[1]+int(p.G), sum[2]+int(p.B)
				}
				want := color.RGBA{R: uint8(sum[0] / 4), G: uint8(sum[1] / 4), B: uint8(sum[2] / 4), A: 255}
				if got := im.RGBAAt(int(c.left)+x, int(c.top)+y); got != want {
					t.Fatalf("view %d: at (%d, %d) is %v, want %v", i, x, y, got, want)
				}
			}
		}
		if lines < 1000 || stripes < 1000 && i == 0 {
			t.Errorf("view %d: %d fine pixels on lines, %d on stripes", i, lines, stripes)
		}
	}
}

// Of a tall limb, seen from above, that which is drawn first is the front of its
// outside from end to end, and not the back of its inside.
func TestNearerHalfIsTheFront(t *testing.T) {
	m := greave().Part
	cameras, _, _ := twoSides(r3.Vec{}, []*mesh.Mesh{m})
	for i := range cameras {
		c := &cameras[i]
		seen := c.see(m)
		halves := newMiddles([][]r3.Vec{seen}, fine*viewWidth, fine*int(c.view))
		n, right := 0, 0
		for f := range m.Triangles() {
			p, q, w := m.Corners(f)
			normal := r3.Cross(r3.Sub(q, p), r3.Sub(w, p))
			at := r3.Scale(1.0/3, r3.Add(p, r3.Add(q, w)))
			if r3.Dot(normal, c.toward) < 0 || math.Abs(r3.Dot(at, c.toward)) < 25 || math.Abs(r3.Unit(normal).Z) > 0.5 {
				continue // faces away, lies at the side or is a rim
			}
			n++
			if outside := r3.Dot(at, c.toward) > 0; outside == halves.near(&seen[m.T[3*f]]) {
				right++
			}
		}
		if n < 10_000 || right < n*9/10 {
			t.Errorf("view %d: %d of %d are in the half that they belong to", i, right, n)
		}
	}
}
