package assembly

import (
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// probes is the number of points that are tried in each of two solids.
	probes = 2000
	// depth is how far below the surface they lie, in reaches of a meeting: what
	// is pressed or drawn into another by less is a fit, not a clash.
	depth = 2.0
	// clash is the share of the points in one solid from which on that lie in the
	// other too both cannot be there: in few points a rounding may lie (a guess).
	clash = 0.004
)

// ShareSpace reports whether two closed parts have more room in common, as they
// lie, than what a fit or a rounding makes. Pieces of one shell have none: parts
// that have were drawn each for itself, about the same place. Surfaces that are
// not closed have no inside and share none.
func ShareSpace(a, b *mesh.Mesh) bool {
	below := depth * reachOf(&Rims{Box: a.Bounds()}, &Rims{Box: b.Bounds()})
	return sharedBy(a, b, below) > clash || sharedBy(b, a, below) > clash
}

// sharedBy returns the share of the points below the surface of a, mm, that lie
// in b too.
func sharedBy(a, b *mesh.Mesh, below float64) float64 {
	points := pointsBelow(a, below)
	own, other := windings(a, points), windings(b, points)
	in, both := 0, 0
	for i := range points {
		if own[i] == 0 {
			continue // it went through a thin wall
		}
		in++
		if other[i] != 0 {
			both++
		}
	}
	return float64(both) / float64(max(1, in))
}

// pointsBelow returns points spread evenly under the surface of a closed mesh,
// always the same ones: one at every equal share of the area.
func pointsBelow(m *mesh.Mesh, below float64) []r3.Vec {
	if m.Volume() < 0 {
		below = -below // it is drawn inside out
	}
	step, sum := m.Area()/probes, 0.0
	var points []r3.Vec
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		cross := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
		twice := length(cross)
		for sum += twice / 2; sum > step/2 && len(points) < probes; sum -= step {
			u, v := spread(len(points))
			p := r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a))))
			points = append(points, r3.Sub(p, r3.Scale(below/twice, cross)))
		}
	}
	return points
}

// skew are the axes along which windings looks: none along an edge or a face of
// what people draw.
var skew = func() [3]r3.Vec {
	turn := r3.NewRotation(1.0, r3.Vec{X: 0.31, Y: 0.77, Z: 0.56})
	return [3]r3.Vec{turn.Rotate(r3.Vec{X: 1}), turn.Rotate(r3.Vec{Y: 1}), turn.Rotate(r3.Vec{Z: 1})}
}()

func skewed(p r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(skew[0], p), Y: r3.Dot(skew[1], p), Z: r3.Dot(skew[2], p)}
}

// windings returns how often a closed mesh goes round each point: 0 outside of
// it. Every facet is looked at once, against the points whose line of sight may
// pass through it.
func windings(m *mesh.Mesh, points []r3.Vec) []int {
	around := make([]int, len(points))
	view := newSight(points)
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		a, b, c = skewed(a), skewed(b), skewed(c)
		view.each(a, b, c, func(i int) {
			p := view.points[i]
			ab, bc, ca := turn(a, b, p), turn(b, c, p), turn(c, a, p)
			whole := ab + bc + ca
			if whole == 0 || !(ab >= 0 && bc >= 0 && ca >= 0) && !(ab <= 0 && bc <= 0 && ca <= 0) {
				return
			}
			if height := (ab*c.Z + bc*a.Z + ca*b.Z) / whole; height > p.Z {
				around[i] += int(math.Copysign(1, whole))
			}
		})
	}
	return around
}

// turn is twice the area of a, b and p as seen along Z, positive where they go
// round against the clock.
func turn(a, b, p r3.Vec) float64 { return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X) }

// sight is points in the cells of a grid as seen along Z of the skewed axes.
type sight struct {
	points []r3.Vec
	low    r3.Vec
	cell   float64 // mm
	cells  [sightCells][sightCells][]int
}

const sightCells = 64

func newSight(points []r3.Vec) *sight {
	s := &sight{points: make([]r3.Vec, len(points))}
	box := r3.Box{Min: vec(math.Inf(1)), Max: vec(math.Inf(-1))}
	for i, p := range points {
		s.points[i] = skewed(p)
		box = grown(box, s.points[i])
	}
	s.low = box.Min
	s.cell = max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y) / sightCells
	for i, p := range s.points {
		x, y := s.column(p.X-s.low.X), s.column(p.Y-s.low.Y)
		s.cells[x][y] = append(s.cells[x][y], i)
	}
	return s
}

// column returns the cell at a distance from the low end, the nearest one where
// that is outside of the grid.
func (s *sight) column(at float64) int {
	if !(at > 0) {
		return 0
	}
	return int(min(at/s.cell, sightCells-1))
}

// each calls f for the points that may lie behind or before a triangle.
func (s *sight) each(a, b, c r3.Vec, f func(i int)) {
	x, y := s.column(min(a.X, b.X, c.X)-s.low.X), s.column(min(a.Y, b.Y, c.Y)-s.low.Y)
	toX, toY := s.column(max(a.X, b.X, c.X)-s.low.X), s.column(max(a.Y, b.Y, c.Y)-s.low.Y)
	for ; x <= toX; x++ {
		for at := y; at <= toY; at++ {
			for _, i := range s.cells[x][at] {
				f(i)
			}
		}
	}
}
