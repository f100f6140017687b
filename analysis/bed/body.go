package bed

import (
	"math"
	"slices"

	"gambeson/analysis/bed/hull"
	"gambeson/analysis/bed/tilt"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// body is what a placement needs to know of a part.
type body struct {
	box  r3.Box
	hull *hull.Hull
	mid  r3.Vec // where its weight is
}

// newBody returns the body of m. A shell is printed with walls of one
// thickness, so that its weight lies in the middle of its surface.
func newBody(m *mesh.Mesh) *body {
	return &body{box: m.Bounds(), hull: hull.Of(m), mid: middle(m)}
}

// middle returns the middle of the surface of m, or of its box where it has
// none.
func middle(m *mesh.Mesh) r3.Vec {
	var sum r3.Vec
	var area float64
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		size := length(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
		sum = r3.Add(sum, r3.Scale(size/3, r3.Add(a, r3.Add(b, c))))
		area += size
	}
	if !(area > 0) {
		return m.Bounds().Center()
	}
	return r3.Scale(1/area, sum)
}

// length is that of v, without the care for overflow that r3.Norm takes and
// that costs most of the time of a pass over all facets.
func length(v r3.Vec) float64 { return math.Sqrt(r3.Norm2(v)) }

// upright is the frame of a part as it lies.
var upright = tilt.Frame{{X: 1}, {Y: 1}, {Z: 1}}

// footprint returns the outline of the hull seen from above in a frame,
// counter-clockwise.
func (b *body) footprint(f tilt.Frame) []r2.Vec {
	points := make([]r2.Vec, len(b.hull.Points))
	for i, p := range b.hull.Points {
		points[i] = r2.Vec{X: r3.Dot(f[0], p), Y: r3.Dot(f[1], p)}
	}
	return section.Hull(outer(points))
}

// surely is how far within an octagon, as a share of its greatest squares, a point
// lies inside whatever rounding makes of it.
const surely = 1e-9

// outer drops points that lie inside the octagon of those farthest along the axes and
// midway between them, and so are no corners of the hull: in a view of a body that is
// most of them, and sorting takes longer than this. It uses their room.
func outer(points []r2.Vec) []r2.Vec {
	if len(points) == 0 {
		return points
	}
	along := func(p r2.Vec) [4]float64 { return [4]float64{p.X, p.X + p.Y, p.Y, p.Y - p.X} }
	var ends [8]r2.Vec // anticlockwise
	var far [8]float64
	for k, d := range along(points[0]) {
		ends[k], far[k], ends[k+4], far[k+4] = points[0], d, points[0], -d
	}
	for _, p := range points {
		for k, d := range along(p) {
			if d > far[k] {
				ends[k], far[k] = p, d
			} else if -d > far[k+4] {
				ends[k+4], far[k+4] = p, -d
			}
		}
	}
	size := far[0] + far[4] + far[2] + far[6]
	least := surely * size * size
	if !(least > 0) {
		return points
	}
	inside := func(p r2.Vec) bool {
		for k, a := range ends {
			if b := ends[(k+1)%8]; a != b && r2.Cross(r2.Sub(b, a), r2.Sub(p, a)) <= least {
				return false
			}
		}
		return true
	}
	return slices.DeleteFunc(points, inside)
}

// asIs returns how the part lies in v as it is.
func (b *body) asIs(v Volume) Lie {
	size := b.box.Size()
	best := Lie{Kind: AsIs, Rotation: matrix(upright), Room: Room{Scale: -1}}
	var hull []r2.Vec
	for _, f := range v.fields() {
		r := Room{Scale: ratio(v.Height, size.Z), Size: [3]float64{size.X, size.Y, size.Z}}
		if f.diameter > 0 {
			hull = b.footprint(upright)
			r.Scale = min(r.Scale, ratio(f.diameter, 2*circle(hull)))
		} else {
			r.Scale = min(r.Scale, ratio(f.size.X, size.X), ratio(f.size.Y, size.Y))
		}
		if r.Scale > best.Scale {
			best.Room, best.at = r, f
		}
	}
	return best
}

// turned returns how the part lies in v turned about the vertical, which is as
// it is where that is no worse: never turn a part for nothing.
func (b *body) turned(v Volume) Lie {
	asIs := b.asIs(v)
	if best := b.stand(v, upright, Turned); best.Scale > asIs.Scale {
		return best
	}
	return asIs
}

// stand returns the best lie in v among the turns about the vertical of a
// frame.
func (b *body) stand(v Volume, f tilt.Frame, kind Kind) Lie {
	low, high := b.hull.Along(f[2])
	tall := max(0, high-low)
	outline := b.footprint(f)
	best, where := Room{Scale: -1}, field{}
	for _, at := range v.fields() {
		r := Room{Size: [3]float64{2: tall}}
		if at.diameter > 0 {
			r.Scale = ratio(at.diameter, 2*circle(outline))
			r.Size[0], r.Size[1] = extents(newOutline(outline), 0)
		} else {
			r.Scale, r.Turn, r.Size[0], r.Size[1] = turned(outline, at.size.X, at.size.Y)
		}
		if r.Scale = min(r.Scale, ratio(v.Height, tall)); r.Scale > best.Scale {
			best, where = r, at
		}
	}
	sin, cos := math.Sincos(best.Turn)
	turn := tilt.Frame{
		r3.Sub(r3.Scale(cos, f[0]), r3.Scale(sin, f[1])),
		r3.Add(r3.Scale(sin, f[0]), r3.Scale(cos, f[1])),
		f[2],
	}
	return Lie{Kind: kind, Room: best, Rotation: matrix(turn), at: where}
}

// tilted returns the lie of the greatest scale at all, given known ones.
func (b *body) tilted(v Volume, known []Lie) Lie {
	frames := []tilt.Frame{upright}
	for _, l := range known {
		frames = append(frames, frameOf(l.Rotation))
	}
	best := Lie{Kind: Tilted, Rotation: matrix(upright), Room: Room{Scale: -1}}
	for _, at := range v.fields() {
		f, scale := tilt.Best(b.hull.Points, tilt.Room{Width: at.size.X, Depth: at.size.Y, Height: v.Height, Diameter: at.diameter}, frames)
		if scale > best.Scale {
			best.Rotation, best.Scale, best.at = matrix(f), scale, at
		}
	}
	f := frameOf(best.Rotation)
	for k := range f {
		if low, high := b.hull.Along(f[k]); high > low {
			best.Size[k] = high - low
		}
	}
	return best
}

// amid returns the place of the part, from the low corner of its extent, that
// goes to the middle of its field: the middle of the extent, on a round bed that
// of the circle round it.
func (b *body) amid(l *Lie) r2.Vec {
	if l.at.diameter == 0 {
		return r2.Scale(0.5, r2.Vec{X: l.Size[0], Y: l.Size[1]})
	}
	outline := b.footprint(frameOf(l.Rotation))
	return r2.Sub(centreOf(outline), lowCorner(outline))
}

// lowCorner returns that of the points' extent.
func lowCorner(points []r2.Vec) r2.Vec {
	if len(points) == 0 {
		return r2.Vec{}
	}
	low := points[0]
	for _, p := range points {
		low = r2.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y)}
	}
	return low
}

func highCorner(points []r2.Vec) r2.Vec {
	turned := make([]r2.Vec, len(points))
	for i, p := range points {
		turned[i] = r2.Scale(-1, p)
	}
	return r2.Scale(-1, lowCorner(turned))
}

func matrix(f tilt.Frame) (m [3][3]float64) {
	for i, row := range f {
		m[i] = [3]float64{row.X, row.Y, row.Z}
	}
	return m
}

func frameOf(m [3][3]float64) (f tilt.Frame) {
	for i, row := range m {
		f[i] = r3.Vec{X: row[0], Y: row[1], Z: row[2]}
	}
	return f
}
