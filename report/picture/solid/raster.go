package solid

import (
	"image"
	"image/color"
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/pages"
	"gambeson/report/picture"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// fine is how many pixels of a raster make one of the sheet, each way.
const fine = 2

// raster holds for each fine pixel of a part of a view what is nearest to the
// viewer. Beyond that part there is nothing.
type raster struct {
	of         image.Rectangle // fine pixels of the view that may be touched, on whole pixels of the sheet
	around     image.Rectangle // of with room for what is compared with its neighbours; depths holds it
	wide, high int             // of the view
	stride     int
	depths     []float32 // mm, of each fine pixel of around; −Inf where there is nothing
	looks      []look    // parallel to depths; anything where there is nothing
	// back has for each tile of around the depth that all of it was nearer than when
	// it was last asked: what lies behind that is hidden, since a pixel only comes
	// nearer. It is nil before.
	back  []float32
	tiles int // in a row of back
}

// look is how a fine pixel looks. It lies apart from the depth: most of what is asked
// is only how deep a place is.
type look struct {
	grey    uint8
	striped bool
}

// The memory of one raster is used again for the next.
var (
	depthsAgain = pages.NewAgain[float32]()
	looksAgain  = pages.NewAgain[look]()
	backsAgain  = pages.NewAgain[float32]()
	tiledAgain  = pages.NewAgain[tiled]()
	pointsAgain = pages.NewAgain[r3.Vec]()
	facetsAgain = pages.NewAgain[uint32]()
)

// surface is a mesh to be shaded; of its triangles those that striped reports are
// hatched, none where it is nil.
type surface struct {
	*mesh.Mesh
	striped func(t int) bool
}

// shade draws surfaces into the view of c.
func (c *camera) shade(im *image.RGBA, of []surface) *raster {
	seen := make([][]r3.Vec, len(of))
	for i, m := range of {
		seen[i] = c.see(m.Mesh)
	}
	r := newRaster(seen, fine*viewWidth, fine*int(c.view))
	far, away := make([][]uint32, len(of)), make([][]uint32, len(of)) // what faces the viewer nearby hides most of the rest
	halves := newMiddles(seen, r.wide, r.high)
	for i, m := range of {
		far[i], away[i] = c.paint(r, m, seen[i], halves)
	}
	r.lookBack()
	in := make([][]tiled, len(of))
	for i := range of {
		in[i] = r.inTiles(seen[i])
	}
	for _, rest := range [][][]uint32{far, away} {
		for i, m := range of {
			for _, t := range rest[i] {
				if !r.under(&in[i][m.T[3*t]], &in[i][m.T[3*t+1]], &in[i][m.T[3*t+2]]) {
					c.fill(r, m, seen[i], t)
				}
			}
			facetsAgain.Give(rest[i])
		}
	}
	for i, all := range seen {
		pointsAgain.Give(all)
		tiledAgain.Give(in[i])
	}
	r.lay(im, int(c.left), int(c.top))
	return r
}

// middles has for each cell of a view the depth halfway through what is seen there:
// of a limb that leans away its lower end is nearer than the upper end's back.
type middles struct {
	wide, high, cells int // the view in fine pixels, and the cells in a row
	depth             []float64
}

// cellSize is the side of a cell in fine pixels: a guess, some triangles wide and
// less than a limb.
const cellSize = 32

func newMiddles(seen [][]r3.Vec, wide, high int) *middles {
	m := &middles{wide: wide, high: high, cells: wide/cellSize + 1}
	n := m.cells * (high/cellSize + 1)
	low, most := make([]float64, n), make([]float64, n)
	for i := range n {
		low[i], most[i] = math.Inf(1), math.Inf(-1)
	}
	for _, all := range seen {
		for i := range all {
			at, z := m.cell(&all[i]), all[i].Z
			low[at], most[at] = min(low[at], z), max(most[at], z)
		}
	}
	for i := range n {
		low[i] = (low[i] + most[i]) / 2
	}
	m.depth = low
	return m
}

// cell is the number of the cell that a place lies in, or beside.
func (m *middles) cell(p *r3.Vec) int {
	return pixelOf(p.Y, m.high)/cellSize*m.cells + pixelOf(p.X, m.wide)/cellSize
}

// near reports whether a place that is seen lies in the nearer half.
func (m *middles) near(p *r3.Vec) bool { return p.Z > m.depth[m.cell(p)] }

// paint draws the triangles of a surface that face the viewer and begin in the
// nearer half, and returns the others that face the viewer, and those that face away.
// Of two at one depth that which faces the viewer shows.
func (c *camera) paint(r *raster, m surface, seen []r3.Vec, halves *middles) (far, away []uint32) {
	far, away = facetsAgain.Take(m.Triangles())[:0], facetsAgain.Take(m.Triangles())[:0]
	for t := range uint32(m.Triangles()) {
		a := &seen[m.T[3*t]]
		switch area := areaOf(a, &seen[m.T[3*t+1]], &seen[m.T[3*t+2]]); { // y points down
		case area < 0 && halves.near(a):
			c.fill(r, m, seen, t)
		case area < 0:
			far = append(far, t)
		case area > 0:
			away = append(away, t)
		}
	}
	return far, away
}

// fill draws a triangle of a surface.
func (c *camera) fill(r *raster, m surface, seen []r3.Vec, t uint32) {
	a, b, d := &seen[m.T[3*t]], &seen[m.T[3*t+1]], &seen[m.T[3*t+2]]
	r.fill(a, b, d, func() (look, bool) {
		grey, ok := shadeOf(c.scale*fine, *a, *b, *d)
		return look{grey: grey, striped: m.striped != nil && m.striped(int(t))}, ok
	})
}

// areaOf is twice the area of a triangle in fine pixels, positive where it is
// seen clockwise.
func areaOf(a, b, c *r3.Vec) float64 { return (b.X-a.X)*(c.Y-a.Y) - (c.X-a.X)*(b.Y-a.Y) }

// newRaster is an empty raster for what is seen in a view, as large as that
// needs: a limb fills a third of its view, and memory that is used for the first
// time costs more than what is drawn in it.
func newRaster(seen [][]r3.Vec, wide, high int) *raster {
	low, most := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, all := range seen {
		for i := range all {
			p := &all[i]
			low.X, low.Y, most.X, most.Y = min(low.X, p.X), min(low.Y, p.Y), max(most.X, p.X), max(most.Y, p.Y)
		}
	}
	r := &raster{wide: wide, high: high}
	whole := image.Rect(0, 0, wide, high)
	if low.X <= most.X {
		touched := image.Rect(pixelOf(low.X, wide), pixelOf(low.Y, high), pixelOf(most.X, wide)+1, pixelOf(most.Y, high)+1)
		r.of = touched.Inset(-2 * fine).Intersect(whole)
		r.of.Min = r.of.Min.Sub(image.Pt(r.of.Min.X%fine, r.of.Min.Y%fine))
	}
	r.around = r.of.Inset(-fine)
	r.stride = r.around.Dx()
	n := r.stride * r.around.Dy()
	r.depths, r.looks = depthsAgain.Take(n), looksAgain.Take(n)
	nothing := float32(math.Inf(-1))
	for i := range r.depths {
		r.depths[i] = nothing
	}
	return r
}

// pixelOf is the pixel at x of so many, the nearest where there is none.
func pixelOf(x float64, of int) int { return int(min(max(x, 0), float64(of))) }

// at is the number of a fine pixel of the view, which must lie in what is around.
func (r *raster) at(x, y int) int { return (y-r.around.Min.Y)*r.stride + x - r.around.Min.X }

// see returns every vertex as the camera sees it: x and y in fine pixels of the
// view, y downward, z the depth towards the viewer in mm.
func (c *camera) see(m *mesh.Mesh) []r3.Vec {
	out := pointsAgain.Take(m.Vertices())
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

// fill draws one triangle, row by row. Pixels count by their middle. How it looks
// is asked when the first of them is seen: most of a part is hidden. One that
// looks like nothing is not drawn.
func (r *raster) fill(a, b, c *r3.Vec, looks func() (look, bool)) {
	area := areaOf(a, b, c)
	if area == 0 {
		return
	}
	first := max(0, int(math.Ceil(min(a.Y, b.Y, c.Y)-0.5)))
	last := min(r.high-1, int(math.Floor(max(a.Y, b.Y, c.Y)-0.5)))
	left := max(0, int(math.Ceil(min(a.X, b.X, c.X)-0.5)))
	right := min(r.wide-1, int(math.Floor(max(a.X, b.X, c.X)-0.5)))
	if first > last || left > right || r.hidden(left, first, right, last, max(a.Z, b.Z, c.Z)) {
		return
	}
	var lefts, rights edges
	for _, s := range [3][2]*r3.Vec{{a, b}, {b, c}, {c, a}} {
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
	var is look
	for py := first; py <= last; py++ {
		y := float64(py) + 0.5
		low, high := float64(left), float64(right)
		for i := range lefts.n { // max and min take longer: they ask for NaN as well
			if x := lefts.base[i] + lefts.slope[i]*y; x > low {
				low = x
			}
		}
		for i := range rights.n {
			if x := rights.base[i] + rights.slope[i]*y; x < high {
				high = x
			}
		}
		from, to := int(math.Ceil(low)), int(math.Floor(high))
		z := base + down*y + across*float64(from)
		if from > to {
			continue
		}
		at := r.at(from, py)
		depths := r.depths[at : at+to-from+1]
		row := r.looks[at:][:len(depths)]
		for i := range depths {
			if d := float32(z); d > depths[i] {
				if is.grey == 0 {
					var ok bool
					if is, ok = looks(); !ok {
						return
					}
				}
				depths[i], row[i] = d, is
			}
			z += across
		}
	}
}

// small is the side of a rectangle, in fine pixels, that is quickly looked over: of
// a fine mesh half of the triangles lie behind others, and most are smaller.
const small = 6

// hidden reports whether all of a rectangle is nearer than a depth; both of its ends
// belong to it. Where it says no it may be so all the same.
func (r *raster) hidden(left, first, right, last int, depth float64) bool {
	if r.behind(left, first, right, last, depth) {
		return true
	}
	if right-left >= small || last-first >= small {
		return false
	}
	for y := first; y <= last; y++ {
		at := r.at(left, y)
		for _, d := range r.depths[at : at+right-left+1] {
			if !(float64(d) > depth) {
				return false
			}
		}
	}
	return true
}

// tile is the side of a tile in fine pixels: 4 are no quicker, 16 a little slower
// (tried).
const tile = 8

// lookBack notes how far back each tile reaches.
func (r *raster) lookBack() {
	wide, high := r.stride, r.around.Dy()
	r.tiles = (wide + tile - 1) / tile
	r.back = backsAgain.Take(r.tiles * ((high + tile - 1) / tile))
	for i := range r.back {
		r.back[i] = float32(math.Inf(1))
	}
	for y := range high {
		row := r.back[y/tile*r.tiles:]
		for x, d := range r.depths[y*wide : (y+1)*wide] {
			if d < row[x/tile] {
				row[x/tile] = d
			}
		}
	}
}

// behind reports whether a depth lies behind all tiles that a rectangle touches.
func (r *raster) behind(left, first, right, last int, depth float64) bool {
	if r.back == nil {
		return false
	}
	from, to := (left-r.around.Min.X)/tile, (right-r.around.Min.X)/tile
	for y := (first - r.around.Min.Y) / tile; y <= (last-r.around.Min.Y)/tile; y++ {
		for _, back := range r.back[y*r.tiles+from : y*r.tiles+to+1] {
			if !(float64(back) > depth) {
				return false
			}
		}
	}
	return true
}

// tiled is a vertex that is seen: the tile that it lies in, or else the nearest, and
// its depth.
type tiled struct {
	x, y  int32
	depth float32
}

// inTiles puts what is seen in tiles, for under.
func (r *raster) inTiles(seen []r3.Vec) []tiled {
	out := tiledAgain.Take(len(seen))
	low, most := r.of.Min, r.of.Max.Sub(image.Pt(1, 1))
	for v := range out {
		p := &seen[v]
		x, y := min(max(pixelOf(p.X, r.wide), low.X), most.X), min(max(pixelOf(p.Y, r.high), low.Y), most.Y)
		out[v] = tiled{int32(x-r.around.Min.X) / tile, int32(y-r.around.Min.Y) / tile, float32(p.Z)}
	}
	return out
}

// under reports whether a triangle lies behind all tiles that it may touch. It is
// asked of three quarters of a part's triangles, of which nearly all do, and so
// looks at little.
func (r *raster) under(a, b, c *tiled) bool {
	left, right := min(a.x, b.x, c.x), max(a.x, b.x, c.x)
	first, last := min(a.y, b.y, c.y), max(a.y, b.y, c.y)
	depth := max(a.depth, b.depth, c.depth)
	for y := int(first); y <= int(last); y++ {
		for _, back := range r.back[y*r.tiles+int(left) : y*r.tiles+int(right)+1] {
			if !(back > depth) {
				return false
			}
		}
	}
	return true
}

// lay puts the raster on the sheet, with dark lines where the depth jumps and
// what is striped hatched. Each pixel is the mean of its fine ones.
func (r *raster) lay(im *image.RGBA, left, top int) {
	var tones [fine][]uint8
	for k := range tones {
		tones[k] = make([]uint8, r.of.Dx())
	}
	for y := r.of.Min.Y / fine; y < r.of.Max.Y/fine; y++ {
		for k := range tones {
			r.tones(tones[k], fine*y+k)
		}
		row := im.Pix[im.PixOffset(left+r.of.Min.X/fine, top+y):]
		for x := 0; x+fine <= r.of.Dx(); x += fine {
			a, b, c, d := tones[0][x], tones[0][x+1], tones[1][x], tones[1][x+1]
			pixel := row[4/fine*x:][:4]
			pixel[3] = 255
			if min(a, b, c, d) == 0 {
				pixel[0], pixel[1], pixel[2] = r.coloured(r.of.Min.X/fine+x/fine, y)
				continue
			}
			grey := uint8((int(a) + int(b) + int(c) + int(d)) / (fine * fine))
			pixel[0], pixel[1], pixel[2] = grey, grey, grey
		}
	}
}

// tones are the greys of a row of fine pixels, 0 where one is striped.
func (r *raster) tones(into []uint8, y int) {
	row := func(dx, dy int) []float32 {
		at := r.at(r.of.Min.X+dx, y+dy)
		return r.depths[at:][:len(into)]
	}
	here, before, after, above, below := row(0, 0), row(-next, 0), row(next, 0), row(0, -next), row(0, next)
	looks := r.looks[r.at(r.of.Min.X, y):][:len(into)]
	for i := range into {
		switch is := looks[i]; {
		case steps(here[i], before[i], after[i], above[i], below[i]):
			into[i] = picture.Soft.R // a grey
		case here[i] < -math.MaxFloat32:
			into[i] = picture.Paper.R
		case is.striped:
			into[i] = 0
		default:
			into[i] = is.grey
		}
	}
}

// coloured is the mean of the fine pixels of one of the sheet.
func (r *raster) coloured(x, y int) (red, green, blue uint8) {
	const n = fine * fine
	var sum [3]int
	for k := range n {
		p := r.pixel(fine*x+k%fine, fine*y+k/fine)
		sum[0], sum[1], sum[2] = sum[0]+int(p.R), sum[1]+int(p.G), sum[2]+int(p.B)
	}
	return uint8(sum[0] / n), uint8(sum[1] / n), uint8(sum[2] / n)
}

// jump is the step in depth, in mm, that is drawn as a line. Between steep walls
// it is one from the slope: an even slope is no step.
const jump = 6

// next is how far away the neighbours of a fine pixel are with which it is compared.
const next = fine

// steps reports whether the depth jumps from a place to its neighbours, −Inf where
// the part ends.
func steps(here, before, after, above, below float32) bool {
	along := before + after - 2*here
	down := above + below - 2*here
	return along > jump || along < -jump || down > jump || down < -jump
}

// pixel is the colour of a fine pixel.
func (r *raster) pixel(x, y int) color.RGBA {
	at := r.at(x, y)
	under := next * r.stride
	if steps(r.depths[at], r.depths[at-next], r.depths[at+next], r.depths[at-under], r.depths[at+under]) {
		return picture.Soft
	}
	if r.depths[at] < -math.MaxFloat32 {
		return picture.Paper
	}
	is := r.looks[at]
	g := is.grey
	if is.striped && picture.Striped(x/fine, y/fine) {
		lit := float64(g) / 255
		return color.RGBA{R: uint8(lit * float64(picture.Vermilion.R)), G: uint8(lit * float64(picture.Vermilion.G)), B: uint8(lit * float64(picture.Vermilion.B)), A: 255}
	}
	return color.RGBA{R: g, G: g, B: g, A: 255}
}

// hides reports whether what was shaded lies before a point.
func (r *raster) hides(c *camera, p r3.Vec) bool {
	x, y, depth := c.at(p)
	px, py := int(fine*(x-c.left)), int(fine*(y-c.top))
	return image.Pt(px, py).In(r.of) && float64(r.depths[r.at(px, py)]) > depth+jump
}

// free says that a raster is used no more: another may be drawn in its place.
func (r *raster) free() {
	depthsAgain.Give(r.depths)
	looksAgain.Give(r.looks)
	backsAgain.Give(r.back)
}
