package picture

import (
	"image"
	"image/color"
	"math"
	"strconv"

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
	Rings    []Ring
	Tightest *r3.Vec // place on the way, nil for none
	// TightestText says how tight it is there.
	TightestText string
	From         r3.Vec // the side to be seen first, from the part to the viewer
}

// Ring is a loop round the body where a band is cut. Its number in the picture
// is its place in the list, from 1.
type Ring struct {
	Loop []r3.Vec
	Text string
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

// draw draws the part shaded, with the ways through it and their stations,
// the openings by name, the ring at the place that matters and the panel.
func (h Shell) draw() *sheet {
	cameras, scale, high := twoSides(h.From, h.meshes())
	const top = edge + titleSize + 24
	s := newSheet(int(top+high) + 260 + rowStep*len(h.Rings))
	s.write(title(h.Title), edge, edge, 0, 0)
	for i := range cameras {
		c := &cameras[i]
		s.write(note("seen from the "+sideWords(c.toward)), c.left+viewWidth/2, top, 0.5, 0)
		h.overlay(s, c, c.shade(s.im, h.surfaces()))
	}
	h.key(s, scale, top+40+high+30)
	return s.trim()
}

// twoSides returns cameras that look at meshes from a side, the front where it is
// 0, and from a quarter turn on, at one scale, and the height of a view in px.
func twoSides(from r3.Vec, of []*mesh.Mesh) (cameras [2]camera, scale, high float64) {
	from.Z = 0
	if r3.Norm(from) == 0 {
		from = r3.Vec{Y: -1}
	}
	from = r3.Unit(from)
	cameras = [2]camera{newCamera(from), newCamera(r3.Vec{X: -from.Y, Y: from.X})}
	scale = math.Inf(1)
	for i := range cameras {
		scale = min(scale, cameras[i].fit(of))
	}
	high = math.Ceil(max(cameras[0].high, cameras[1].high)*scale) + 2*free
	for i := range cameras {
		c := &cameras[i]
		c.scale, c.view = scale, high
		c.left, c.top = edge+float64(i)*(viewWidth+edge), edge+titleSize+64
	}
	return cameras, scale, high
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
const free = 48

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
	striped    []bool
}

// surface is a mesh to be shaded; of its triangles those that striped reports are
// hatched, none where it is nil.
type surface struct {
	*mesh.Mesh
	striped func(t int) bool
}

// surfaces are the part and the panel, which is hatched.
func (h Shell) surfaces() []surface {
	all := []surface{{Mesh: h.Part}}
	if h.Panel != nil {
		all = append(all, surface{h.Panel, func(int) bool { return true }})
	}
	return all
}

// shade draws surfaces into the view of c.
func (c *camera) shade(im *image.RGBA, of []surface) *raster {
	r := &raster{wide: fine * viewWidth, high: fine * int(c.view)}
	r.depth = make([]float32, r.wide*r.high)
	r.grey = make([]uint8, len(r.depth))
	r.striped = make([]bool, len(r.depth))
	for i := range r.depth {
		r.depth[i] = float32(math.Inf(-1))
	}
	light := r3.Unit(r3.Add(c.out, r3.Add(r3.Scale(0.7, c.up), r3.Scale(-0.5, c.right))))
	for _, m := range of {
		for t := range m.Triangles() {
			r.fill(c, m.Mesh, t, light, m.striped != nil && m.striped(t))
		}
	}
	r.lay(im, int(c.left), int(c.top))
	return r
}

// hides reports whether what was shaded lies before a point.
func (r *raster) hides(c *camera, p r3.Vec) bool {
	x, y, depth := c.at(p)
	px, py := int(fine*(x-c.left)), int(fine*(y-c.top))
	return px >= 0 && py >= 0 && px < r.wide && py < r.high && float64(r.depth[py*r.wide+px]) > depth+jump
}

// fill draws one triangle. The wall's inside, which faces away from the
// viewer, is darker.
func (r *raster) fill(c *camera, m *mesh.Mesh, t int, light r3.Vec, striped bool) {
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
				r.depth[at], r.grey[at], r.striped[at] = depth, uint8(grey), striped
			}
		}
	}
}

// lay puts the raster on the sheet, with dark lines where the depth jumps and
// what is striped hatched.
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

// jump is the step in depth, in mm, that is drawn as a line. Between steep walls
// it is one from the slope: an even slope is no step.
const jump = 6

func (r *raster) pixel(x, y int) color.RGBA {
	at := y*r.wide + x
	here := r.depth[at]
	for _, d := range [2]int{fine, fine * r.wide} {
		if at-d < 0 || at+d >= len(r.depth) {
			continue
		}
		if bend := r.depth[at-d] + r.depth[at+d] - 2*here; bend > jump || bend < -jump { // −Inf where the part ends
			return soft
		}
	}
	if math.IsInf(float64(here), -1) {
		return paper
	}
	g := r.grey[at]
	if r.striped[at] && (x+y)%(9*fine) < 4*fine {
		share := float64(g) / 255
		return color.RGBA{uint8(share * float64(vermilion.R)), uint8(share * float64(vermilion.G)), uint8(share * float64(vermilion.B)), 255}
	}
	return color.RGBA{g, g, g, 255}
}

// overlay draws what lies in and on the part, all of it over the shading: it
// would be hidden by the wall otherwise.
func (h Shell) overlay(s *sheet, c *camera, r *raster) {
	for _, way := range h.Ways {
		s.line(haloLine, c.run(way)...)
		s.line(wayLine, c.run(way)...)
		s.take(6, c.run(way)...)
	}
	for _, ring := range h.Rings {
		ring.draw(s, c, r)
	}
	if h.Tightest != nil {
		x, y, _ := c.at(*h.Tightest)
		s.tight(x, y)
	}
	frame := box{c.left - edge + 4, c.top - 6, c.left + viewWidth + edge - 4, c.top + c.view + 6}
	for _, o := range h.Openings {
		x, y, _ := c.at(o.At)
		dx, dy := r3.Dot(o.Facing, c.right), -r3.Dot(o.Facing, c.up)
		if far := math.Hypot(dx, dy); far > 0.15 {
			dx, dy = dx/far, dy/far
		} else {
			dx, dy = 0, -1 // it faces the viewer
		}
		for far := 34.0; far < 200; far += 12 {
			tx, ty := x+far*dx, y+far*dy
			room := box{tx - discSize, ty - discSize, tx + discSize, ty + discSize}
			if room.within(frame) && !s.onText(room.grow(3)) || far > 180 {
				s.badge(o.Name, min(max(tx, frame.left+discSize), frame.right-discSize), min(max(ty, frame.top+discSize), frame.bottom-discSize), x, y)
				break
			}
		}
	}
	for i, ring := range h.Rings {
		ring.number(s, c, i+1, frame)
	}
}

// onText reports whether a room would cover something written.
func (s *sheet) onText(room box) bool {
	for _, l := range s.labels {
		if room.meets(l.box) {
			return true
		}
	}
	return false
}

// draw draws the ring: what of it lies at the back and behind a wall is thin
// and dashed.
func (g Ring) draw(s *sheet, c *camera, r *raster) {
	var middle r3.Vec
	for _, p := range g.Loop {
		middle = r3.Add(middle, r3.Scale(1/float64(len(g.Loop)), p))
	}
	behind := func(p r3.Vec) bool { return r3.Dot(r3.Sub(p, middle), c.out) < 0 && r.hides(c, p) }
	for _, hidden := range []bool{true, false} {
		var run []float64
		end := func() {
			if !hidden {
				s.line(haloLine, run...)
				s.line(ringLine, run...)
			} else {
				s.line(backLine, run...)
			}
			run = nil
		}
		for i := range g.Loop {
			p, q := g.Loop[i], g.Loop[(i+1)%len(g.Loop)]
			if behind(r3.Scale(0.5, r3.Add(p, q))) != hidden {
				end()
				continue
			}
			if run == nil {
				run = c.run([]r3.Vec{p})
			}
			run = append(run, c.run([]r3.Vec{q})...)
		}
		end()
	}
}

// number writes the number of a ring beside it, at the right where there is
// room.
func (g Ring) number(s *sheet, c *camera, n int, frame box) {
	for _, way := range [][2]float64{{1, 0}, {-1, 0}, {0.7, 0.7}, {-0.7, 0.7}, {0.7, -0.7}, {-0.7, -0.7}} {
		x, y, far := 0.0, 0.0, math.Inf(-1)
		for _, p := range g.Loop {
			if px, py, _ := c.at(p); way[0]*px+way[1]*py > far {
				x, y, far = px, py, way[0]*px+way[1]*py
			}
		}
		for _, off := range []float64{30, 44, 58} {
			px, py := x+off*way[0], y+off*way[1]
			room := box{px - discSize, py - discSize, px + discSize, py + discSize}
			if room.within(frame) && !s.onText(room.grow(3)) {
				s.line(ringLine, x, y, px, py)
				s.disc(strconv.Itoa(n), px, py)
				return
			}
		}
	}
}

// tight marks the tightest place.
func (s *sheet) tight(x, y float64) {
	s.SetDash()
	s.DrawRegularPolygon(3, x, y, 16, math.Pi)
	s.SetColor(paper)
	s.FillPreserve()
	s.use(stroke{colour: ink, width: 3.5})
	s.Stroke()
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
	s.line(haloLine, stemX, stemY, x, y)
	s.line(stroke{colour: ink, width: 3}, stemX, stemY, x, y)
	s.disc(name, x, y)
}

// key says what the lines are, and how long a bar of the drawing is.
func (h Shell) key(s *sheet, scale, y float64) {
	l := s.explain(y)
	if len(h.Ways) > 0 {
		l.line("way through", wayLine)
	}
	if len(h.Openings) > 0 {
		l.add("opening", func(x, y float64) { s.disc(h.Openings[0].Name, x+sampleWide/2, y) })
	}
	if h.Panel != nil {
		l.stripes("panel to take off", vermilion)
	}
	if h.Tightest != nil {
		l.add(h.TightestText, func(x, y float64) { s.tight(x+sampleWide/2, y) })
	}
	for i, ring := range h.Rings {
		l.add(ring.Text, func(x, y float64) {
			s.line(ringLine, x, y, x+sampleWide, y)
			s.disc(strconv.Itoa(i+1), x+sampleWide/2, y)
		})
	}
	l.bar(scale)
}
