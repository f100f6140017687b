package solid

import (
	"image"
	"math"
	"strconv"

	"gambeson/analysis/mesh"
	"gambeson/report/picture"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bed is a printer's bed with a part on it, to be drawn from above and from the
// front. Lengths are mm; places count from the low corner of the bed, of the
// square round a round one.
type Bed struct {
	Title  string
	Part   []*mesh.Mesh // as it stands on the bed
	Width  float64
	Depth  float64
	Round  bool // Width is the diameter then
	Height float64
	Margin float64
	Strips [][4]float64 // x, y, width, depth
	// Numbered parts get a badge with their number, from 1; sizes are drawn of
	// a part that lies alone.
	Numbered bool
	Also     picture.Also
}

var (
	limitLine  = picture.Stroke{Colour: picture.Blue, Width: 3, Dashes: []float64{16, 6, 3, 6}} // what the printer reaches
	bedLine    = picture.Stroke{Colour: picture.Ink, Width: 3}
	marginLine = picture.Stroke{Colour: picture.Soft, Width: 2, Dashes: []float64{8, 6}}
)

// OnBed draws the bed: its outline, what is kept free at its edge, the strips
// that cannot be printed on, the part with its sizes and how high the printer
// reaches.
func OnBed(b Bed) *image.RGBA { return b.draw().Pixels }

func (b Bed) draw() *picture.Sheet {
	box := boundsOf(b.Part)
	var parts []surface
	for _, m := range b.Part {
		parts = append(parts, surface{Mesh: m})
	}
	above, front, high := b.cameras(box)
	s := picture.NewSheet(int(above.top+high) + 260)
	s.Heading(b.Title)
	for _, c := range []*camera{&above, &front} {
		text := "from above"
		if c == &front {
			text = "from the front"
		}
		s.Write(picture.Note(text), c.left+viewWidth/2, picture.Edge+picture.TitleSize+20, 0.5, 0)
		c.shade(s.Pixels, parts).free()
	}
	b.drawAbove(s, &above, box)
	b.drawFront(s, &front, box)
	b.key(s, above.scale, above.top+high+34)
	return s.Trim()
}

// boundsOf is the box round meshes.
func boundsOf(of []*mesh.Mesh) r3.Box {
	all := r3.Box{Min: r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, Max: r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}}
	for _, m := range of {
		b := m.Bounds()
		all.Min = r3.Vec{X: min(all.Min.X, b.Min.X), Y: min(all.Min.Y, b.Min.Y), Z: min(all.Min.Z, b.Min.Z)}
		all.Max = r3.Vec{X: max(all.Max.X, b.Max.X), Y: max(all.Max.Y, b.Max.Y), Z: max(all.Max.Z, b.Max.Z)}
	}
	return all
}

// Room kept in each view for the size lines, px.
const (
	sizeAbove = 76
	sizeRight = 186
	viewEdge  = 16
)

// cameras returns the two views at one scale, and their common height.
func (b Bed) cameras(box r3.Box) (above, front camera, high float64) {
	low := r3.Vec{X: min(0, box.Min.X), Y: min(0, box.Min.Y)}
	top := r3.Vec{X: max(b.Width, box.Max.X), Y: max(b.Depth, box.Max.Y), Z: max(b.Height, box.Max.Z)}
	size := r3.Sub(top, low)
	tall := max(size.Y, size.Z)
	const wide = viewWidth - viewEdge - sizeRight
	scale := min(wide/size.X, (mostHigh-sizeAbove-viewEdge)/tall)
	high = math.Ceil(tall*scale) + sizeAbove + viewEdge
	// The middle of a view in mm: the drawing stands on its lower edge and
	// leaves room above and on the right.
	mid := low.X + size.X/2 + (sizeRight-viewEdge)/2/scale
	up := (high/2 - viewEdge) / scale
	above = camera{out: r3.Vec{Z: 1}, right: r3.Vec{X: 1}, up: r3.Vec{Y: 1}, middle: r3.Vec{X: mid, Y: low.Y + up}}
	front = camera{out: r3.Vec{Y: -1}, right: r3.Vec{X: 1}, up: r3.Vec{Z: 1}, middle: r3.Vec{X: mid, Z: up}}
	for i, c := range []*camera{&above, &front} {
		c.scale, c.view = scale, high
		c.left, c.top = picture.Edge+float64(i)*(viewWidth+picture.Edge), picture.Edge+picture.TitleSize+60
	}
	return above, front, high
}

// drawAbove draws what lies on the bed and the bed's own lines over it.
func (b Bed) drawAbove(s *picture.Sheet, c *camera, box r3.Box) {
	for _, strip := range b.Strips {
		b.hatch(s, c, strip)
	}
	b.rim(s, c, bedLine, 0)
	if b.Margin > 0 {
		b.rim(s, c, marginLine, b.Margin)
	}
	if b.Numbered {
		b.number(s, c)
		return
	}
	_, over, _ := c.at(r3.Vec{Y: max(b.Depth, box.Max.Y)})
	b.sizes(s, c, box.Min, box.Max, over)
}

// rim draws the bed's outline, moved inward.
func (b Bed) rim(s *picture.Sheet, c *camera, st picture.Stroke, in float64) {
	var run []r3.Vec
	if b.Round {
		for k := range 181 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 90)
			run = append(run, r3.Vec{X: b.Width/2 + (b.Width/2-in)*cos, Y: b.Width/2 + (b.Width/2-in)*sin})
		}
	} else {
		for _, p := range [5][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}, {0, 0}} {
			run = append(run, r3.Vec{X: in + p[0]*(b.Width-2*in), Y: in + p[1]*(b.Depth-2*in)})
		}
	}
	s.Line(st, c.run(run)...)
}

// hatch marks a strip, as far as it lies on the bed.
func (b Bed) hatch(s *picture.Sheet, c *camera, strip [4]float64) {
	left, bottom, _ := c.at(r3.Vec{X: max(0, strip[0]), Y: max(0, strip[1])})
	right, top, _ := c.at(r3.Vec{X: min(b.Width, strip[0]+strip[2]), Y: min(b.Depth, strip[1]+strip[3])})
	midX, midY, _ := c.at(r3.Vec{X: b.Width / 2, Y: b.Depth / 2})
	for y := int(top); y < int(bottom); y++ {
		for x := int(left); x < int(right); x++ {
			if b.Round && math.Hypot(float64(x)-midX, float64(y)-midY) > c.scale*b.Width/2 {
				continue
			}
			if picture.Striped(x, y) {
				s.Pixels.SetRGBA(x, y, picture.Vermilion)
			}
		}
	}
}

// sizes draws the size lines of what spans low to high in this view: the width
// above the px over, the other on the right.
func (b Bed) sizes(s *picture.Sheet, c *camera, low, high r3.Vec, over float64) {
	left, bottom, _ := c.at(low)
	right, top, _ := c.at(high)
	y, x := over-20, max(right, c.left+viewWidth-sizeRight)+20
	for _, px := range []float64{left, right} {
		s.Line(picture.GuideLine, px, top, px, y-8)
	}
	for _, py := range []float64{bottom, top} {
		s.Line(picture.GuideLine, right, py, x+8, py)
	}
	s.Arrow(left, y, right, y)
	s.Arrow(x, bottom, x, top)
	text := b.Also.After(picture.MM1(high.X-low.X), high.X-low.X)
	s.Write(picture.Strong(text), room(s, text, (left+right)/2, c.left), y-10, 0.5, 1)
	s.Size(r3.Dot(r3.Sub(high, low), c.up), b.Also, x+12, (top+bottom)/2, 0, 0.5)
}

// room moves the middle x of a text so far that it stays right of left.
func room(s *picture.Sheet, text string, x, left float64) float64 {
	w, _, _ := picture.Strong(text).Size()
	return max(x, left+w/2)
}

// drawFront draws the bed from the front with the height that the printer
// reaches.
func (b Bed) drawFront(s *picture.Sheet, c *camera, box r3.Box) {
	line := func(st picture.Stroke, z float64) (x0, x1, y float64) {
		x0, y, _ = c.at(r3.Vec{Z: z})
		x1, _, _ = c.at(r3.Vec{X: b.Width})
		s.Line(st, x0, y, x1, y)
		return x0, x1, y
	}
	line(picture.Stroke{Colour: picture.Ink, Width: 5}, 0)
	_, _, y := line(limitLine, b.Height)
	if b.Numbered {
		return
	}
	_, top, _ := c.at(box.Max)
	b.sizes(s, c, box.Min, box.Max, min(y, top))
}

// number puts a badge at each part, on a corner of its outline where it covers
// no other.
func (b Bed) number(s *picture.Sheet, c *camera) {
	const ways, radius = 16, picture.DiscSize + 1
	for i, m := range b.Part {
		for k := range ways {
			x, y := outermost(m, c, 2*math.Pi*(float64(i)*0.618+float64(k)/ways))
			room := picture.Box{Left: x - radius, Top: y - radius, Right: x + radius, Bottom: y + radius}
			if s.Covers(room) && k < ways-1 {
				continue
			}
			s.Disc(strconv.Itoa(i+1), x, y)
			break
		}
	}
}

// outermost returns where the vertex of m lies that is farthest in a direction.
func outermost(m *mesh.Mesh, c *camera, way float64) (x, y float64) {
	sin, cos := math.Sincos(way)
	far := math.Inf(-1)
	for v := range m.Vertices() {
		if px, py, _ := c.at(m.At(uint32(v))); cos*px+sin*py > far {
			x, y, far = px, py, cos*px+sin*py
		}
	}
	return x, y
}

// key says what the lines are.
func (b Bed) key(s *picture.Sheet, scale, y float64) {
	l := s.Explain(y)
	length := func(text string, mm float64) string { return b.Also.After(text, mm) }
	bed := "bed " + length(picture.MM0(b.Width), b.Width) + " × " + length(picture.MM0(b.Depth), b.Depth)
	if b.Round {
		bed = "bed " + length(picture.MM0(b.Width), b.Width) + " across"
	}
	l.Line(bed, bedLine)
	if b.Margin > 0 {
		l.Line(length(picture.MM1(b.Margin), b.Margin)+" kept free", marginLine)
	}
	l.Line("prints up to "+length(picture.MM0(b.Height), b.Height), limitLine)
	if len(b.Strips) > 0 {
		l.Stripes("cannot be printed on", picture.Vermilion)
	}
	l.Bar(scale)
}
