package picture

import (
	"image"
	"image/color"
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Shell is a part to be drawn from two sides. Lengths are mm in the frame of
// the part, which stands along z.
type Shell struct {
	Title    string
	Part     *mesh.Mesh // without the panel
	Panel    *mesh.Mesh // the strip that comes off, nil where none does
	Ways     [][]r3.Vec // the stations along each way through
	Openings []Opening
	Ring     []r3.Vec // loop round the body at the place that matters, may be empty
	RingText string
	From     r3.Vec // the side to be seen first, from the part to the viewer
}

// Opening is a place where a way comes out.
type Opening struct {
	Name       string
	At, Facing r3.Vec
}

// A view is seen from a little above, so that an upper rim shows as a loop. The
// two views are a quarter turn apart.
const (
	elevation = 22 * math.Pi / 180
	viewWidth = (width - 3*edge) / 2
	mostHigh  = 760
	fine      = 2 // pixels of the shading for one of the sheet, each way
)

var (
	wayLine  = stroke{colour: blue, width: 5}
	ringLine = stroke{colour: vermilion, width: 5}
	haloLine = stroke{colour: paper, width: 11}
)

// draw draws the part shaded, with the ways through it and their stations,
// the openings by name, the ring at the place that matters and the panel.
func (h Shell) draw() *sheet {
	first := h.From
	first.Z = 0
	if r3.Norm(first) == 0 {
		first = r3.Vec{Y: -1}
	}
	first = r3.Unit(first)
	second := r3.Vec{X: -first.Y, Y: first.X}
	scale := math.Inf(1)
	cameras := [2]camera{newCamera(first), newCamera(second)}
	for i := range cameras {
		scale = min(scale, cameras[i].fit(h.meshes()))
	}
	high := math.Ceil(max(cameras[0].high, cameras[1].high)*scale) + 2*free
	top := float64(edge + titleSize + 24)
	s := newSheet(int(top+high) + 200)
	s.write(title(h.Title), edge, edge, 0, 0)
	for i := range cameras {
		c := &cameras[i]
		c.scale, c.view = scale, high
		c.left, c.top = edge+float64(i)*(viewWidth+edge), top+36
		s.write(note("seen from the "+sideWords(c.toward)), c.left+viewWidth/2, top, 0.5, 0)
		c.shade(s.im, h)
		h.overlay(s, c)
	}
	h.key(s, scale, top+36+high+24)
	return s
}

// Part draws a shell from two sides.
func Part(h Shell) *image.RGBA { return h.draw().im }

func (h Shell) meshes() []*mesh.Mesh {
	all := []*mesh.Mesh{h.Part}
	if h.Panel != nil {
		all = append(all, h.Panel)
	}
	return all
}

// sideWords names a direction by the side of a part that looks along −y.
func sideWords(d r3.Vec) string {
	switch {
	case math.Abs(d.X) > math.Abs(d.Y) && d.X > 0:
		return "side of +x"
	case math.Abs(d.X) > math.Abs(d.Y):
		return "side of −x"
	case d.Y > 0:
		return "back (+y)"
	}
	return "front (−y)"
}

// camera looks at the part along parallel lines.
type camera struct {
	toward    r3.Vec // to the viewer, level
	out       r3.Vec // to the viewer
	right, up r3.Vec
	middle    r3.Vec  // shown in the middle of the view
	high      float64 // extent of the part, mm
	scale     float64
	left, top float64
	view      float64 // height of the view, px
}

// free is kept round the part for the badges of openings, px.
const free = 44

func newCamera(toward r3.Vec) camera {
	sin, cos := math.Sincos(elevation)
	c := camera{toward: toward, out: r3.Add(r3.Scale(cos, toward), r3.Vec{Z: sin})}
	c.right = r3.Unit(r3.Cross(r3.Vec{Z: 1}, c.out))
	c.up = r3.Cross(c.out, c.right)
	return c
}

// fit sets the middle and returns the largest scale, in px per mm, at which
// the meshes fit the view.
func (c *camera) fit(meshes []*mesh.Mesh) float64 {
	low, high := r3.Vec{X: math.Inf(1), Y: math.Inf(1)}, r3.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, m := range meshes {
		for v := range m.Vertices() {
			p := m.At(uint32(v))
			x, y := r3.Dot(p, c.right), r3.Dot(p, c.up)
			low.X, low.Y, high.X, high.Y = min(low.X, x), min(low.Y, y), max(high.X, x), max(high.Y, y)
		}
	}
	if !(high.X > low.X) && !(high.Y > low.Y) {
		return 1
	}
	c.middle = r3.Add(r3.Scale((low.X+high.X)/2, c.right), r3.Scale((low.Y+high.Y)/2, c.up))
	c.high = high.Y - low.Y
	return min((viewWidth-2*free)/max(high.X-low.X, 1e-9), (mostHigh-2*free)/max(c.high, 1e-9))
}

// at returns the place of p on the sheet, and its depth towards the viewer in mm.
func (c *camera) at(p r3.Vec) (x, y, depth float64) {
	d := r3.Sub(p, c.middle)
	return c.left + viewWidth/2 + c.scale*r3.Dot(d, c.right), c.top + c.view/2 - c.scale*r3.Dot(d, c.up), r3.Dot(p, c.out)
}

// raster holds for each fine pixel of a view what is nearest to the viewer.
type raster struct {
	wide, high int
	depth      []float32 // mm; −Inf where there is nothing
	grey       []uint8
	panel      []bool
}

// shade draws the meshes of h into the view of c.
func (c *camera) shade(im *image.RGBA, h Shell) {
	r := raster{wide: fine * viewWidth, high: fine * int(c.view)}
	r.depth = make([]float32, r.wide*r.high)
	r.grey = make([]uint8, len(r.depth))
	r.panel = make([]bool, len(r.depth))
	for i := range r.depth {
		r.depth[i] = float32(math.Inf(-1))
	}
	light := r3.Unit(r3.Add(c.out, r3.Add(r3.Scale(0.7, c.up), r3.Scale(-0.5, c.right))))
	for i, m := range h.meshes() {
		for t := range m.Triangles() {
			r.fill(c, m, t, light, i == 1)
		}
	}
	r.lay(im, int(c.left), int(c.top))
}

// fill draws one triangle. The wall's inside, which faces away from the
// viewer, is darker.
func (r *raster) fill(c *camera, m *mesh.Mesh, t int, light r3.Vec, panel bool) {
	a, b, d := m.Corners(t)
	n := r3.Cross(r3.Sub(b, a), r3.Sub(d, a))
	length := r3.Norm(n)
	if length == 0 {
		return
	}
	n = r3.Scale(1/length, n)
	grey := 150 + 95*max(0, r3.Dot(n, light))
	if r3.Dot(n, c.out) < 0 {
		grey = 105 + 45*max(0, -r3.Dot(n, light))
	}
	var x, y, z [3]float64
	for k, p := range [3]r3.Vec{a, b, d} {
		x[k], y[k], z[k] = c.at(p)
		x[k], y[k] = fine*(x[k]-c.left), fine*(y[k]-c.top)
	}
	area := (x[1]-x[0])*(y[2]-y[0]) - (x[2]-x[0])*(y[1]-y[0])
	if area == 0 {
		return
	}
	for py := max(0, int(min(y[0], y[1], y[2]))); py <= min(r.high-1, int(max(y[0], y[1], y[2]))); py++ {
		for px := max(0, int(min(x[0], x[1], x[2]))); px <= min(r.wide-1, int(max(x[0], x[1], x[2]))); px++ {
			fx, fy := float64(px)+0.5, float64(py)+0.5
			u := ((x[1]-fx)*(y[2]-fy) - (x[2]-fx)*(y[1]-fy)) / area
			v := ((x[2]-fx)*(y[0]-fy) - (x[0]-fx)*(y[2]-fy)) / area
			w := 1 - u - v
			if u < 0 || v < 0 || w < 0 {
				continue
			}
			at := py*r.wide + px
			if depth := float32(u*z[0] + v*z[1] + w*z[2]); depth > r.depth[at] {
				r.depth[at], r.grey[at], r.panel[at] = depth, uint8(grey), panel
			}
		}
	}
}

// lay puts the raster on the sheet, with dark lines where the depth jumps and
// the panel hatched.
func (r *raster) lay(im *image.RGBA, left, top int) {
	for y := range r.high / fine {
		for x := range r.wide / fine {
			var sum [3]int
			for k := range fine * fine {
				p := r.pixel(fine*x+k%fine, fine*y+k/fine)
				sum[0], sum[1], sum[2] = sum[0]+int(p.R), sum[1]+int(p.G), sum[2]+int(p.B)
			}
			const n = fine * fine
			im.SetRGBA(left+x, top+y, color.RGBA{uint8(sum[0] / n), uint8(sum[1] / n), uint8(sum[2] / n), 255})
		}
	}
}

// jump is the step in depth, in mm, that is drawn as a line.
const jump = 6

func (r *raster) pixel(x, y int) color.RGBA {
	at := y*r.wide + x
	here := r.depth[at]
	for _, d := range [2]int{1, r.wide} {
		if next := at + d; next < len(r.depth) && math.Abs(float64(here-r.depth[next])) > jump {
			return soft
		}
	}
	if math.IsInf(float64(here), -1) {
		return paper
	}
	g := r.grey[at]
	if r.panel[at] && (x+y)%(9*fine) < 4*fine {
		share := float64(g) / 255
		return color.RGBA{uint8(share * float64(vermilion.R)), uint8(share * float64(vermilion.G)), uint8(share * float64(vermilion.B)), 255}
	}
	return color.RGBA{g, g, g, 255}
}

// overlay draws what lies in and on the part, all of it over the shading: it
// would be hidden by the wall otherwise.
func (h Shell) overlay(s *sheet, c *camera) {
	for _, way := range h.Ways {
		s.line(haloLine, c.run(way)...)
		s.line(wayLine, c.run(way)...)
		for _, p := range way {
			x, y, _ := c.at(p)
			s.SetColor(paper)
			s.DrawCircle(x, y, 1.6)
			s.Fill()
		}
	}
	if len(h.Ring) > 0 {
		ring := c.run(append(h.Ring[:len(h.Ring):len(h.Ring)], h.Ring[0]))
		s.line(haloLine, ring...)
		s.line(ringLine, ring...)
	}
	for _, o := range h.Openings {
		x, y, _ := c.at(o.At)
		tx, ty, _ := c.at(r3.Add(o.At, r3.Scale(30/c.scale, o.Facing)))
		s.badge(o.Name, tx, ty, x, y)
	}
}

// run lists the places of points on the sheet.
func (c *camera) run(points []r3.Vec) []float64 {
	xy := make([]float64, 0, 2*len(points))
	for _, p := range points {
		x, y, _ := c.at(p)
		xy = append(xy, x, y)
	}
	return xy
}

// badge writes a letter in a circle, with a stem to the place it names.
func (s *sheet) badge(name string, x, y, stemX, stemY float64) {
	const radius = 18
	s.line(haloLine, stemX, stemY, x, y)
	s.line(stroke{colour: ink, width: 3}, stemX, stemY, x, y)
	s.SetDash()
	s.DrawCircle(x, y, radius)
	s.SetColor(paper)
	s.FillPreserve()
	s.SetColor(ink)
	s.SetLineWidth(3)
	s.Stroke()
	s.write(strong(name), x, y, 0.5, 0.42)
}

// key says what the lines are, and how long a bar of the drawing is.
func (h Shell) key(s *sheet, scale, y float64) {
	x := float64(edge)
	sample := func(text string, draw func(x float64)) {
		draw(x)
		r := s.write(note(text), x+64, y, 0, 0.5)
		x = r.right + 36
	}
	if len(h.Ways) > 0 {
		sample("way through, a dot at each station", func(x float64) { s.line(wayLine, x, y, x+52, y) })
	}
	if len(h.Ring) > 0 {
		sample(h.RingText, func(x float64) { s.line(ringLine, x, y, x+52, y) })
	}
	if h.Panel != nil {
		x, y = edge, y+40
		sample("panel to take off", func(x float64) {
			for px := range 52 {
				for py := range 20 {
					if (px+py)%9 < 4 {
						s.im.SetRGBA(int(x)+px, int(y)-10+py, vermilion)
					}
				}
			}
		})
	}
	const bar = 50 // mm
	y += 44
	s.line(stroke{colour: ink, width: 5}, edge, y, edge+bar*scale, y)
	s.write(note("50 mm"), edge+bar*scale+14, y, 0, 0.5)
}
