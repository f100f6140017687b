package solid

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/report/picture"
	"gambeson/report/picture/proof"

	"gonum.org/v1/gonum/spatial/r3"
)

// shells are parts of every kind: one with all there is to draw, a gutter seen
// from its open side, a rod, a ring of a finger, one of which nothing is known.
func shells() map[string]Shell {
	rod := shape.Tube{Sides: 32, Radius: 9, Wall: 2, Height: 900}.Mesh()
	tiny := shape.Tube{Sides: 48, Radius: 9, Wall: 1, Height: 4}.Mesh()
	bare := shape.Bar{X: 90, Y: 30, Z: 60}.Mesh()
	three := greave()
	for i, name := range []string{"C", "D", "E"} { // crowded: all at one place
		three.Openings = append(three.Openings, Opening{name, r3.Vec{Z: 318 - float64(i)}, r3.Vec{Z: 1}})
	}
	return map[string]Shell{
		"greave":  greave(),
		"crowded": three,
		"rod":     {Title: "The part at 100 %", Part: rod, Ways: [][]r3.Vec{{{Z: 900}, {}}}, Openings: []Opening{{"A", r3.Vec{Z: 900}, r3.Vec{Z: 1}}, {"B", r3.Vec{}, r3.Vec{Z: -1}}}},
		"tiny":    {Title: "The part at 100 %", Part: tiny, Openings: []Opening{{"A", r3.Vec{Z: 4}, r3.Vec{Z: 1}}, {"B", r3.Vec{}, r3.Vec{Z: -1}}}},
		"bare":    {Title: "The part at 93.5 %", Part: bare},
	}
}

func TestPartsOfEveryKindAreTidy(t *testing.T) {
	for name, h := range shells() {
		t.Run(name, func(t *testing.T) {
			s := h.draw()
			proof.Look(t, "part-"+name, s)
			proof.Tidy(t, s)
			if high := s.Pixels.Bounds().Dy(); high > 1250 {
				t.Errorf("%d px high", high)
			}
			for _, o := range h.Openings { // once in each view, the first also in the key
				n := 0
				for _, l := range s.Labels {
					if l.Text == o.Name {
						n++
					}
				}
				if want := 2; n < want {
					t.Errorf("opening %s is named %d times", o.Name, n)
				}
			}
		})
	}
}

// The scale bar is as long as it says, in the scale of the part.
func TestPartIsToScale(t *testing.T) {
	for name, h := range shells() {
		cameras, scale, _ := twoSides(h.From, h.meshes())
		x0, y0, _ := cameras[0].at(r3.Vec{})
		x1, y1, _ := cameras[0].at(r3.Vec{X: 100, Z: 100})
		if got := (x1 - x0) / 100; math.Abs(got/scale-1) > 1e-9 {
			t.Errorf("%s: %g px per mm, want %g", name, got, scale)
		}
		// What is level and what is steep are both seen from 22° above.
		if got := (y0 - y1) / 100 / math.Cos(elevation); math.Abs(got/scale-1) > 1e-9 {
			t.Errorf("%s: %g px per mm of height, want %g", name, got, scale)
		}
		s := h.draw()
		bar := ""
		for _, l := range s.Labels {
			bar = l.Text // the last that is written
		}
		mm := picture.BarLength(scale)
		if want := picture.TickText(mm, 1) + " mm"; bar != want {
			t.Fatalf("%s: the bar says %q, want %q", name, bar, want)
		}
		row := int((s.Labels[len(s.Labels)-1].Top + s.Labels[len(s.Labels)-1].Bottom) / 2)
		last := 0
		for x := range int(s.Labels[len(s.Labels)-1].Left) - 6 {
			if proof.Like(s.Pixels.At(x, row-7), picture.Ink) {
				last = x
			}
		}
		if got := float64(last) - picture.Edge; math.Abs(got-mm*scale) > 3 {
			t.Errorf("%s: the bar is %g px long, %g mm are %g", name, got, mm, mm*scale)
		}
	}
}

// The part is shaded where it stands, the way, the bands, the tightest place and
// the panel are on it, in both views.
func TestPartShowsWhatIsOnIt(t *testing.T) {
	h := greave()
	s := h.draw()
	im := proof.Decoded(t, s)
	cameras, _, _ := twoSides(h.From, h.meshes())
	for i := range cameras {
		c := &cameras[i]
		at := func(p r3.Vec) (x, y float64) { x, y, _ = c.at(p); return x, y }
		inked := 0
		for _, p := range h.Ways[0] {
			if x, y := at(p); proof.InkNear(im, x, y, picture.Blue, 2) {
				inked++
			}
		}
		if inked < 50 { // bands and names lie over some
			t.Errorf("view %d: the way through is inked at %d of 64 stations", i, inked)
		}
		if x, y := at(*h.Tightest); !proof.InkNear(im, x, y, picture.Paper, 2) || !proof.InkNear(im, x, y+14, picture.Ink, 5) {
			t.Errorf("view %d: the tightest place is not marked", i)
		}
		for k, ring := range h.Rings {
			front, back := 0, 0
			for _, p := range ring.Loop {
				if x, y := at(p); proof.InkNear(im, x, y, picture.Vermilion, 2) {
					if r3.Dot(p, c.toward) > 0 {
						front++
					} else {
						back++
					}
				}
			}
			if front < 36 || back > front || back < 5 {
				t.Errorf("view %d, band %d: inked at %d of 45 places in front, %d behind", i, k+1, front, back)
			}
		}
		grey := func(p r3.Vec) bool {
			x, y := at(p)
			r, g, b, _ := im.At(int(x), int(y)).RGBA()
			return r == g && g == b && r < 250*257
		}
		side := r3.Scale(40, c.right)
		if !grey(r3.Add(side, r3.Vec{Z: 150})) || grey(r3.Add(r3.Scale(2.2, side), r3.Vec{Z: 150})) {
			t.Errorf("view %d: the part is not where it stands", i)
		}
	}
	x, y, _ := cameras[0].at(r3.Vec{X: 18, Y: -58, Z: 180})
	if !proof.InkNear(im, x, y, picture.Vermilion, 9) {
		t.Error("the panel is not hatched")
	}
	h.Panel = nil
	if proof.InkNear(proof.Decoded(t, h.draw()), x, y, picture.Vermilion, 9) {
		t.Error("a panel is hatched where there is none")
	}
	x, y, _ = cameras[0].at(h.Ways[0][40])
	moved := h
	moved.Ways = [][]r3.Vec{slices.Clone(h.Ways[0])}
	for i := range moved.Ways[0] {
		moved.Ways[0][i].X += 20
	}
	if proof.InkNear(proof.Decoded(t, moved.draw()), x, y, picture.Blue, 3) {
		t.Error("the way did not move with its stations")
	}
}

// A raster meets the same pixels as a test of each pixel against each side does.
func TestRasterFillsEachTriangle(t *testing.T) {
	tri := [][3]r3.Vec{
		{{X: 10, Y: 10}, {X: 60, Y: 12, Z: 5}, {X: 30, Y: 50, Z: 9}},
		{{X: 10, Y: 10}, {X: 30, Y: 50, Z: 9}, {X: 60, Y: 12, Z: 5}},
		{{X: -20, Y: 30}, {X: 90, Y: 30}, {X: 40, Y: 95}},
		{{X: 10.2, Y: 10.3}, {X: 10.9, Y: 10.4}, {X: 10.6, Y: 10.9}},
		{{X: 5, Y: 5}, {X: 70, Y: 70}, {X: 5, Y: 70}},
	}
	for k, p := range tri {
		r := newRaster([][]r3.Vec{p[:]}, 80, 80)
		r.fill(&p[0], &p[1], &p[2], func() (look, bool) { return look{grey: 99}, true })
		for i := range 80 * 80 {
			x, y := float64(i%80)+0.5, float64(i/80)+0.5
			is := r.is(i%80, i/80)
			depth, inside, onSide := depthIn(p, x, y)
			if got := is.grey == 99; got != inside && !onSide {
				t.Fatalf("triangle %d at (%g, %g): filled %v, inside %v", k, x, y, got, inside)
			}
			if inside && !onSide && math.Abs(float64(is.depth)-depth) > 1e-3 {
				t.Fatalf("triangle %d at (%g, %g): depth %g, want %g", k, x, y, is.depth, depth)
			}
		}
	}
}

// dot is a fine pixel; it looks like nothing where there is nothing.
type dot struct {
	depth float32
	look
}

// is returns what lies at a fine pixel of the view.
func (r *raster) is(x, y int) dot {
	if !image.Pt(x, y).In(r.of) {
		return dot{depth: float32(math.Inf(-1))}
	}
	return r.dot(r.at(x, y))
}

func (r *raster) dot(at int) dot {
	if math.IsInf(float64(r.depths[at]), -1) {
		return dot{depth: r.depths[at]}
	}
	return dot{r.depths[at], r.looks[at]}
}

// depthIn tests a point against each side of a triangle, and returns the depth
// there.
func depthIn(p [3]r3.Vec, x, y float64) (depth float64, inside, onSide bool) {
	cross := func(a, b r3.Vec) float64 { return (b.X-a.X)*(y-a.Y) - (b.Y-a.Y)*(x-a.X) }
	s := [3]float64{cross(p[0], p[1]), cross(p[1], p[2]), cross(p[2], p[0])}
	least, most := min(s[0], s[1], s[2]), max(s[0], s[1], s[2])
	inside, onSide = least > 1e-6 || most < -1e-6, math.Abs(least) < 1e-6 || math.Abs(most) < 1e-6
	return (s[1]*p[0].Z + s[2]*p[1].Z + s[0]*p[2].Z) / (s[0] + s[1] + s[2]), inside, onSide
}

// Of many triangles, some of them partly beyond the view, each pixel shows the
// nearest, as a test of each triangle at each pixel finds it. Where the nearest
// looks like nothing, the next one shows.
func TestRasterShowsTheNearest(t *testing.T) {
	const seed, wide, high = 20261129, 96, 64
	random := rand.New(rand.NewPCG(seed, 1))
	for round := range 5 {
		var all [][3]r3.Vec
		var flat [][]r3.Vec
		for range 120 {
			var p [3]r3.Vec
			size := []float64{20, 2}[len(all)%2] // half of them small
			x, y := random.Float64()*wide, random.Float64()*high
			for k := range p {
				p[k] = r3.Vec{X: x + size*random.NormFloat64(), Y: y + size*random.NormFloat64(), Z: 100 * random.Float64()}
			}
			all, flat = append(all, p), append(flat, p[:])
		}
		blank := func(k int) bool { return k%7 == 3 }
		r := newRaster(flat, wide, high)
		for k := range all {
			r.fill(&all[k][0], &all[k][1], &all[k][2], func() (look, bool) { return look{grey: uint8(k + 1)}, !blank(k) })
		}
		for i := range wide * high {
			x, y := float64(i%wide)+0.5, float64(i/wide)+0.5
			want, nearest, next, unclear := 0, math.Inf(-1), math.Inf(-1), false
			for k, p := range all {
				depth, inside, onSide := depthIn(p, x, y)
				unclear = unclear || onSide
				if !inside || blank(k) {
					continue
				}
				if depth > nearest {
					want, nearest, next = k+1, depth, nearest
				} else {
					next = max(next, depth)
				}
			}
			if got := int(r.is(i%wide, i/wide).grey); got != want && !unclear && nearest-next > 1e-3 {
				t.Fatalf("round %d (seed %d): at (%g, %g) triangle %d shows, want %d", round, seed, x, y, got, want)
			}
		}
	}
}

// A sheet shows from both sides, dark where it faces away, and lies behind what is nearer.
func TestSheetsShowFromBothSides(t *testing.T) {
	sheet := func(corners ...r3.Vec) *mesh.Mesh {
		m := &mesh.Mesh{}
		for _, p := range corners {
			m.AddVertex(p)
		}
		m.AddTriangle(0, 1, 2)
		m.AddTriangle(0, 2, 3)
		return m
	}
	toward := sheet(r3.Vec{X: -50, Z: -50}, r3.Vec{X: 50, Z: -50}, r3.Vec{X: 50, Z: 50}, r3.Vec{X: -50, Z: 50}) // to −y
	away := sheet(r3.Vec{X: -50, Z: 50}, r3.Vec{X: 50, Z: 50}, r3.Vec{X: 50, Z: -50}, r3.Vec{X: -50, Z: -50})
	behind := away.Map(func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{Y: 30}) })
	c := newCamera(r3.Vec{Y: -1})
	drawn := func(of ...*mesh.Mesh) *image.RGBA {
		c.fit([]*mesh.Mesh{toward})
		c.scale, c.view, c.left, c.top = 2, 400, 10, 10
		im := image.NewRGBA(image.Rect(0, 0, viewWidth+20, 420))
		var all []surface
		for _, m := range of {
			all = append(all, surface{Mesh: m})
		}
		c.shade(im, all).free()
		return im
	}
	greyOf := func(of ...*mesh.Mesh) uint8 {
		im := drawn(of...)
		x, y, _ := c.at(r3.Vec{})
		return im.RGBAAt(int(x), int(y)).R
	}
	front, back := greyOf(toward), greyOf(away)
	if !(back < front && back > 90 && front < 250) {
		t.Errorf("a sheet is %d from the front and %d from behind", front, back)
	}
	for _, both := range [][]*mesh.Mesh{{toward, behind}, {behind, toward}} {
		if got := greyOf(both...); got != front {
			t.Errorf("before another sheet it is %d, alone %d", got, front)
		}
	}
	// A line goes round one that stands before another, on all its sides.
	small := toward.Map(func(p r3.Vec) r3.Vec { return r3.Add(r3.Scale(0.4, p), r3.Vec{Y: -30}) })
	im := drawn(toward, small)
	for _, edge := range []r3.Vec{{X: -20}, {X: 20}, {Z: -20}, {Z: 20}} {
		x, y, _ := c.at(r3.Add(edge, r3.Vec{Y: -30}))
		darkest := uint8(255)
		for dx := -3; dx <= 3; dx++ {
			for dy := -3; dy <= 3; dy++ {
				darkest = min(darkest, im.RGBAAt(int(x)+dx, int(y)+dy).R)
			}
		}
		if darkest > front-40 {
			t.Errorf("no line at the edge %v: %d beside %d", edge, darkest, front)
		}
	}
}

// A wall that faces away is darker than any that faces the viewer, and a sliver
// without area has no shade.
func TestInsideIsDarker(t *testing.T) {
	for _, m := range []*mesh.Mesh{shape.Tube{Sides: 64, Radius: 50, Wall: 3, Height: 100}.Mesh()} {
		c := newCamera(r3.Vec{Y: -1})
		c.scale = 2
		seen := c.see(m)
		lightest, darkest := uint8(0), uint8(255)
		for t := range m.Triangles() {
			a, b, d := m.T[3*t], m.T[3*t+1], m.T[3*t+2]
			grey, _ := shadeOf(2*fine, seen[a], seen[b], seen[d])
			p, q, w := m.Corners(t)
			if r3.Dot(r3.Cross(r3.Sub(q, p), r3.Sub(w, p)), c.out) > 0 {
				darkest = min(darkest, grey)
			} else {
				lightest = max(lightest, grey)
			}
		}
		if lightest > darkest {
			t.Errorf("inside up to %d, outside from %d", lightest, darkest)
		}
	}
	if _, ok := shadeOf(1, r3.Vec{}, r3.Vec{X: 1}, r3.Vec{X: 2}); ok {
		t.Error("a sliver has a shade")
	}
	if color.GrayModel.Convert(picture.Vermilion).(color.Gray).Y > 150 {
		t.Error("the hatching of a panel is too light on grey paper")
	}
}

// greave is a shell of 40,000 triangles with two bands and a panel.
func greave() Shell {
	limb := shape.Limb{Sides: 250, Wall: 4}
	for i := range 41 {
		radius := 50 + 8*math.Sin(float64(i)/12)
		limb.Rings = append(limb.Rings, shape.Ring{Center: r3.Vec{Z: 8 * float64(i)}, Inner: shape.Ellipse{A: radius, B: radius}})
	}
	loop := func(z, radius float64) (out []r3.Vec) {
		for k := range 90 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 45)
			out = append(out, r3.Vec{X: radius * cos, Y: radius * sin, Z: z})
		}
		return out
	}
	var way []r3.Vec
	for i := range 64 {
		way = append(way, r3.Vec{X: 2 * math.Sin(float64(i)/20), Z: 320 - 5*float64(i)})
	}
	return Shell{
		Title: "The part at 107 %", Part: limb.Mesh(), Ways: [][]r3.Vec{way},
		Panel:    shape.Offset(shape.Bar{X: 60, Y: 6, Z: 300}.Mesh(), r3.Vec{X: -30, Y: -58}),
		Openings: []Opening{{"A", r3.Vec{Z: 320}, r3.Vec{Z: 1}}, {"B", r3.Vec{}, r3.Vec{Z: -1}}},
		Rings:    []Ring{{loop(40, 52), "band at 280 mm: heel on its way in"}, {loop(240, 56), "band at 80 mm: calf"}},
		Tightest: &r3.Vec{Z: 40}, TightestText: "tightest, inner girth 326.0 mm",
	}
}

// A title of any length stays on the sheet of every kind of picture.
func TestLongTitlesStayOnTheSheet(t *testing.T) {
	proof.LongTitles(t, func(long string) map[string]*picture.Sheet {
		h, p, b := greave(), parted(), beds()["square"]
		h.Title, p.Title, b.Title = long, long, long
		return map[string]*picture.Sheet{"part": h.draw(), "pieces": p.sheet(), "bed": b.draw()}
	})
}

func TestLinesAreToldApartInGrey(t *testing.T) {
	for name, lines := range map[string][]picture.Stroke{"part": {wayLine, backLine}, "bed": {bedLine, marginLine, limitLine}} {
		t.Run(name, func(t *testing.T) { proof.ToldApart(t, lines...) })
	}
}

func BenchmarkPart(b *testing.B) {
	part := greave()
	proof.Drawn(b, func() *image.RGBA { return Part(part) })
}

func BenchmarkOnBed(b *testing.B) {
	bed := Bed{Title: "On the bed at 107 %, as it lies", Part: []*mesh.Mesh{shape.Offset(greave().Part, r3.Vec{X: 110, Y: 110})}, Width: 220, Depth: 220, Height: 350, Margin: 5}
	proof.Drawn(b, func() *image.RGBA { return OnBed(bed) })
}
