package solid

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/report/picture"

	"gonum.org/v1/gonum/spatial/r3"
)

// A view is seen from a little above, so that an upper rim shows as a loop. The
// two views are a quarter turn apart.
const (
	elevation = 22 * math.Pi / 180
	viewWidth = (picture.Width - 3*picture.Edge) / 2
	mostHigh  = 760
)

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
		c.left, c.top = picture.Edge+float64(i)*(viewWidth+picture.Edge), picture.Edge+picture.TitleSize+64
	}
	return cameras, scale, high
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

// run lists the places of points on the sheet.
func (c *camera) run(points []r3.Vec) []float64 {
	xy := make([]float64, 0, 2*len(points))
	for _, p := range points {
		x, y, _ := c.at(p)
		xy = append(xy, x, y)
	}
	return xy
}
