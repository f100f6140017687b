package picture

import (
	"image"
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
)

// draw draws the part shaded, with the ways through it and their stations,
// the openings by name, the ring at the place that matters and the panel.
func (h Shell) draw() *sheet {
	cameras, scale, high := twoSides(h.From, h.meshes())
	const top = edge + titleSize + 24
	s := newSheet(int(top+high) + 260 + rowStep*len(h.Rings))
	s.heading(h.Title)
	for i := range cameras {
		c := &cameras[i]
		s.write(note("seen from the "+sideWords(c.toward)), c.left+viewWidth/2, top, 0.5, 0)
		r := c.shade(s.im, h.surfaces())
		h.overlay(s, c, r)
		r.free()
	}
	h.key(s, scale, top+40+high+44)
	return s.trim()
}

// surfaces are the part and the panel, which is hatched.
func (h Shell) surfaces() []surface {
	all := []surface{{Mesh: h.Part}}
	if h.Panel != nil {
		all = append(all, surface{h.Panel, func(int) bool { return true }})
	}
	return all
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
		return "left (+x)"
	case math.Abs(d.X) > math.Abs(d.Y):
		return "right (−x)"
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
		o.name(s, c, frame)
	}
	for i, ring := range h.Rings {
		ring.number(s, c, i+1, frame)
	}
}

// name writes the name of an opening out of which it faces, or beside that where
// another has that place.
func (o Opening) name(s *sheet, c *camera, frame box) {
	x, y, _ := c.at(o.At)
	facing := math.Atan2(-r3.Dot(o.Facing, c.up), r3.Dot(o.Facing, c.right))
	if math.Hypot(r3.Dot(o.Facing, c.up), r3.Dot(o.Facing, c.right)) < 0.15 {
		facing = -math.Pi / 2 // it faces the viewer
	}
	for far := 34.0; far < 400; far += 14 {
		for k := range 12 { // now to one side, now to the other
			sin, cos := math.Sincos(facing + float64((k+1)/2)*math.Pi/6*float64(1-2*(k%2)))
			px, py := x+far*cos, y+far*sin
			room := box{px - discSize, py - discSize, px + discSize, py + discSize}
			if room.within(frame) && !s.onText(room.grow(3)) {
				s.badge(o.Name, px, py, x, y)
				return
			}
		}
	}
}

// onText reports whether a room would cover something written, or a mark.
func (s *sheet) onText(room box) bool {
	for _, m := range s.marks {
		if room.meets(m) {
			return true
		}
	}
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
	s.marks = append(s.marks, box{x - 15, y - 10, x + 15, y + 17})
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
