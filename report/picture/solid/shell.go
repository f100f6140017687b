// Package solid draws meshes shaded: a part from two sides, its pieces pulled
// apart, and parts on a printer's bed from above and from the front. Lengths come
// in as mm; on the sheet they are px, y downward.
package solid

import (
	"image"
	"math"
	"strconv"

	"gambeson/analysis/mesh"
	"gambeson/report/picture"

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

// Lines on a part.
var (
	wayLine  = picture.Stroke{Colour: picture.Blue, Width: 5}                               // the way through a part
	ringLine = picture.Stroke{Colour: picture.Vermilion, Width: 5}                          // a band
	backLine = picture.Stroke{Colour: picture.Vermilion, Width: 3, Dashes: []float64{8, 7}} // a band behind a wall
)

// draw draws the part shaded, with the ways through it and their stations,
// the openings by name, the ring at the place that matters and the panel.
func (h Shell) draw() *picture.Sheet {
	cameras, scale, high := twoSides(h.From, h.meshes())
	const top = picture.Edge + picture.TitleSize + 24
	s := picture.NewSheet(int(top+high) + 260 + picture.RowStep*len(h.Rings))
	s.Heading(h.Title)
	for i := range cameras {
		c := &cameras[i]
		s.Write(picture.Note("seen from the "+sideWords(c.toward)), c.left+viewWidth/2, top, 0.5, 0)
		r := c.shade(s.Pixels, h.surfaces())
		h.overlay(s, c, r)
		r.free()
	}
	h.key(s, scale, top+40+high+44)
	return s.Trim()
}

// surfaces are the part and the panel, which is hatched.
func (h Shell) surfaces() []surface {
	all := []surface{{Mesh: h.Part}}
	if h.Panel != nil {
		all = append(all, surface{h.Panel, func(int) bool { return true }})
	}
	return all
}

// Part draws a shell from two sides.
func Part(h Shell) *image.RGBA { return h.draw().Pixels }

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

// overlay draws what lies in and on the part, all of it over the shading: it
// would be hidden by the wall otherwise.
func (h Shell) overlay(s *picture.Sheet, c *camera, r *raster) {
	for _, way := range h.Ways {
		s.Line(picture.HaloLine, c.run(way)...)
		s.Line(wayLine, c.run(way)...)
		s.Take(6, c.run(way)...)
	}
	for _, ring := range h.Rings {
		ring.draw(s, c, r)
	}
	if h.Tightest != nil {
		x, y, _ := c.at(*h.Tightest)
		tight(s, x, y)
	}
	frame := picture.Box{Left: c.left - picture.Edge + 4, Top: c.top - 6, Right: c.left + viewWidth + picture.Edge - 4, Bottom: c.top + c.view + 6}
	for _, o := range h.Openings {
		o.name(s, c, frame)
	}
	for i, ring := range h.Rings {
		ring.number(s, c, i+1, frame)
	}
}

// name writes the name of an opening out of which it faces, or beside that where
// another has that place.
func (o Opening) name(s *picture.Sheet, c *camera, frame picture.Box) {
	x, y, _ := c.at(o.At)
	facing := math.Atan2(-r3.Dot(o.Facing, c.up), r3.Dot(o.Facing, c.right))
	if math.Hypot(r3.Dot(o.Facing, c.up), r3.Dot(o.Facing, c.right)) < 0.15 {
		facing = -math.Pi / 2 // it faces the viewer
	}
	for far := 34.0; far < 400; far += 14 {
		for k := range 12 { // now to one side, now to the other
			sin, cos := math.Sincos(facing + float64((k+1)/2)*math.Pi/6*float64(1-2*(k%2)))
			px, py := x+far*cos, y+far*sin
			room := picture.Box{Left: px - picture.DiscSize, Top: py - picture.DiscSize, Right: px + picture.DiscSize, Bottom: py + picture.DiscSize}
			if room.Within(frame) && !onText(s, room.Grow(3)) {
				s.Badge(o.Name, px, py, x, y)
				return
			}
		}
	}
}

// onText reports whether a room would cover something written, or a mark.
func onText(s *picture.Sheet, room picture.Box) bool {
	for _, m := range s.Marks {
		if room.Meets(m) {
			return true
		}
	}
	for _, l := range s.Labels {
		if room.Meets(l.Box) {
			return true
		}
	}
	return false
}

// draw draws the ring: what of it lies at the back and behind a wall is thin
// and dashed.
func (g Ring) draw(s *picture.Sheet, c *camera, r *raster) {
	var middle r3.Vec
	for _, p := range g.Loop {
		middle = r3.Add(middle, r3.Scale(1/float64(len(g.Loop)), p))
	}
	behind := func(p r3.Vec) bool { return r3.Dot(r3.Sub(p, middle), c.out) < 0 && r.hides(c, p) }
	for _, hidden := range []bool{true, false} {
		var run []float64
		end := func() {
			if run == nil {
				return // a stroke of nothing goes over the whole sheet all the same
			}
			if !hidden {
				s.Line(picture.HaloLine, run...)
				s.Line(ringLine, run...)
			} else {
				s.Line(backLine, run...)
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
func (g Ring) number(s *picture.Sheet, c *camera, n int, frame picture.Box) {
	for _, way := range [][2]float64{{1, 0}, {-1, 0}, {0.7, 0.7}, {-0.7, 0.7}, {0.7, -0.7}, {-0.7, -0.7}} {
		x, y, far := 0.0, 0.0, math.Inf(-1)
		for _, p := range g.Loop {
			if px, py, _ := c.at(p); way[0]*px+way[1]*py > far {
				x, y, far = px, py, way[0]*px+way[1]*py
			}
		}
		for _, off := range []float64{30, 44, 58} {
			px, py := x+off*way[0], y+off*way[1]
			room := picture.Box{Left: px - picture.DiscSize, Top: py - picture.DiscSize, Right: px + picture.DiscSize, Bottom: py + picture.DiscSize}
			if room.Within(frame) && !onText(s, room.Grow(3)) {
				s.Line(ringLine, x, y, px, py)
				s.Disc(strconv.Itoa(n), px, py)
				return
			}
		}
	}
}

// tight marks the tightest place.
func tight(s *picture.Sheet, x, y float64) {
	s.SetDash()
	s.DrawRegularPolygon(3, x, y, 16, math.Pi)
	s.SetColor(picture.Paper)
	s.FillPreserve()
	s.Use(picture.Stroke{Colour: picture.Ink, Width: 3.5})
	s.Stroke()
	s.Marks = append(s.Marks, picture.Box{Left: x - 15, Top: y - 10, Right: x + 15, Bottom: y + 17})
}

// key says what the lines are, and how long a bar of the drawing is.
func (h Shell) key(s *picture.Sheet, scale, y float64) {
	l := s.Explain(y)
	if len(h.Ways) > 0 {
		l.Line("way through", wayLine)
	}
	if len(h.Openings) > 0 {
		l.Add("opening", func(x, y float64) { s.Disc(h.Openings[0].Name, x+picture.SampleWide/2, y) })
	}
	if h.Panel != nil {
		l.Stripes("panel to take off", picture.Vermilion)
	}
	if h.Tightest != nil {
		l.Add(h.TightestText, func(x, y float64) { tight(s, x+picture.SampleWide/2, y) })
	}
	for i, ring := range h.Rings {
		l.Add(ring.Text, func(x, y float64) {
			s.Line(ringLine, x, y, x+picture.SampleWide, y)
			s.Disc(strconv.Itoa(i+1), x+picture.SampleWide/2, y)
		})
	}
	l.Bar(scale)
}
