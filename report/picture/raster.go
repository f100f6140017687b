package picture

import (
	"image"
	"image/color"
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// fine is how many pixels of a raster make one of the sheet, each way.
const fine = 2

// raster holds for each fine pixel of a view what is nearest to the viewer.
type raster struct {
	wide, high int
	dots       []dot
	touched    image.Rectangle // all that is not empty lies in it
}

// dot is a fine pixel; what belongs together lies together in memory.
type dot struct {
	depth   float32 // mm; −Inf where there is nothing
	grey    uint8
	striped bool
}

// surface is a mesh to be shaded; of its triangles those that striped reports are
// hatched, none where it is nil.
type surface struct {
	*mesh.Mesh
	striped func(t int) bool
}

// shade draws surfaces into the view of c.
func (c *camera) shade(im *image.RGBA, of []surface) *raster {
	r := &raster{wide: fine * viewWidth, high: fine * int(c.view)}
	r.dots = make([]dot, r.wide*r.high)
	empty := dot{depth: float32(math.Inf(-1))}
	for i := range r.dots {
		r.dots[i] = empty
	}
	for _, m := range of {
		seen := c.see(m.Mesh)
		for t := range m.Triangles() {
			a, b, d := m.T[3*t], m.T[3*t+1], m.T[3*t+2]
			grey, ok := shadeOf(c.scale*fine, seen[a], seen[b], seen[d])
			if ok {
				r.fill(seen[a], seen[b], seen[d], grey, m.striped != nil && m.striped(t))
			}
		}
	}
	r.lay(im, int(c.left), int(c.top))
	return r
}

// see returns every vertex as the camera sees it: x and y in fine pixels of the
// view, y downward, z the depth towards the viewer in mm.
func (c *camera) see(m *mesh.Mesh) []r3.Vec {
	out := make([]r3.Vec, m.Vertices())
	for v := range out {
		x, y, depth := c.at(m.At(uint32(v)))
		out[v] = r3.Vec{X: fine * (x - c.left), Y: fine * (y - c.top), Z: depth}
	}
	return out
}

// light shines over the viewer's left shoulder: to the right, up, to the viewer.
var light = r3.Unit(r3.Vec{X: -0.5, Y: 0.7, Z: 1})

// shadeOf returns the grey of a triangle as the camera sees it, at so many pixels
// per mm. The wall's inside, which faces away from the viewer, is darker. One
// without an area has none.
func shadeOf(scale float64, a, b, c r3.Vec) (grey uint8, ok bool) {
	level := func(v r3.Vec) r3.Vec { return r3.Vec{X: v.X / scale, Y: -v.Y / scale, Z: v.Z} }
	n := r3.Cross(level(r3.Sub(b, a)), level(r3.Sub(c, a)))
	length := math.Sqrt(r3.Dot(n, n))
	if !(length > 0) {
		return 0, false
	}
	lit := r3.Dot(n, light) / length
	if n.Z < 0 {
		return uint8(105 + 45*max(0, -lit)), true
	}
	return uint8(150 + 95*max(0, lit)), true
}

// edges are the sides that bound the rows of a triangle on the left or on the
// right: in the row y they lie at base + slope·y.
type edges struct {
	base, slope [2]float64
	n           int
}

func (e *edges) add(base, slope float64) {
	e.base[e.n], e.slope[e.n] = base, slope
	e.n++
}

// fill draws one triangle, row by row. Pixels count by their middle.
func (r *raster) fill(a, b, c r3.Vec, grey uint8, striped bool) {
	area := (b.X-a.X)*(c.Y-a.Y) - (c.X-a.X)*(b.Y-a.Y)
	if area == 0 {
		return
	}
	first := max(0, int(math.Ceil(min(a.Y, b.Y, c.Y)-0.5)))
	last := min(r.high-1, int(math.Floor(max(a.Y, b.Y, c.Y)-0.5)))
	left := max(0, int(math.Ceil(min(a.X, b.X, c.X)-0.5)))
	right := min(r.wide-1, int(math.Floor(max(a.X, b.X, c.X)-0.5)))
	if first > last || left > right {
		return
	}
	var lefts, rights edges
	for _, s := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
		p, q := s[0], s[1]
		rise := q.Y - p.Y
		if rise == 0 {
			continue // level: the first or the last row ends there
		}
		slope := (q.X - p.X) / rise
		if base := p.X - slope*p.Y - 0.5; (rise > 0) == (area > 0) {
			rights.add(base, slope)
		} else {
			lefts.add(base, slope)
		}
	}
	across := ((b.Z-a.Z)*(c.Y-a.Y) - (c.Z-a.Z)*(b.Y-a.Y)) / area // depth for one pixel to the right
	down := ((c.Z-a.Z)*(b.X-a.X) - (b.Z-a.Z)*(c.X-a.X)) / area
	base := a.Z - across*(a.X-0.5) - down*a.Y
	r.touched = r.touched.Union(image.Rect(left, first, right+1, last+1))
	for py := first; py <= last; py++ {
		y := float64(py) + 0.5
		low, high := float64(left), float64(right)
		for i := range lefts.n {
			low = max(low, lefts.base[i]+lefts.slope[i]*y)
		}
		for i := range rights.n {
			high = min(high, rights.base[i]+rights.slope[i]*y)
		}
		from, to := int(math.Ceil(low)), int(math.Floor(high))
		z := base + down*y + across*float64(from)
		if from > to {
			continue
		}
		row := r.dots[py*r.wide+from : py*r.wide+to+1]
		for i := range row {
			if d := float32(z); d > row[i].depth {
				row[i] = dot{d, grey, striped}
			}
			z += across
		}
	}
}

// lay puts the raster on the sheet, with dark lines where the depth jumps and
// what is striped hatched.
func (r *raster) lay(im *image.RGBA, left, top int) {
	of := r.touched.Inset(-2 * fine).Intersect(image.Rect(0, 0, r.wide, r.high))
	for y := of.Min.Y / fine; y < of.Max.Y/fine; y++ {
		for x := of.Min.X / fine; x < of.Max.X/fine; x++ {
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
	is := r.dots[at]
	here := is.depth
	for _, d := range [2]int{fine, fine * r.wide} {
		if at-d < 0 || at+d >= len(r.dots) {
			continue
		}
		if bend := r.dots[at-d].depth + r.dots[at+d].depth - 2*here; bend > jump || bend < -jump { // −Inf where the part ends
			return soft
		}
	}
	if math.IsInf(float64(here), -1) {
		return paper
	}
	g := is.grey
	if is.striped && striped(x/fine, y/fine) {
		lit := float64(g) / 255
		return color.RGBA{uint8(lit * float64(vermilion.R)), uint8(lit * float64(vermilion.G)), uint8(lit * float64(vermilion.B)), 255}
	}
	return color.RGBA{g, g, g, 255}
}

// hides reports whether what was shaded lies before a point.
func (r *raster) hides(c *camera, p r3.Vec) bool {
	x, y, depth := c.at(p)
	px, py := int(fine*(x-c.left)), int(fine*(y-c.top))
	return px >= 0 && py >= 0 && px < r.wide && py < r.high && float64(r.dots[py*r.wide+px].depth) > depth+jump
}
