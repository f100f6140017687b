// Package grid draws a part as voxels in the part's own frame and finds the air
// that the part closes round.
//
// The frame turns with the part, so that answers do not depend on how the part
// lies in its file. Sets of voxels are bits, and what is done to them is done
// to 64 at a time.
package grid

import (
	"context"
	"math"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// finest and coarsest bound the pitch of the grid in mm; between them it is
	// the part's longest side over fineness. A small part has at least
	// fewest voxels along its longest side, however fine that makes them.
	finest, coarsest = 1.0, 4.0
	fineness, fewest = 160.0, 64.0
	// mostVoxels bounds the memory: 1.25 MB for each set of voxels.
	mostVoxels = 10_000_000
	// margin is the number of empty voxels kept on every side of the part, so
	// that the closing of the wall never reaches the border.
	margin = 3
)

// grid is the part as voxels in the part's own frame. Wall is what a triangle
// meets, gaps of up to two voxels closed, and whatever cannot be reached from
// outside: the material of a closed mesh, sealed voids. Air is the rest.
type grid struct {
	lattice
	Frame     Frame
	Pitch     float64 // mm
	wall, air set
}

// newGrid draws m into a grid of the given pitch in mm, 0 for one that suits its
// size. The grid is nil where m has no surface; the only error is that of ctx.
func newGrid(ctx context.Context, m *mesh.Mesh, pitch float64, workers int, arena *Arena) (*grid, error) {
	f, ok := principal(m, workers)
	if !ok {
		return nil, nil
	}
	low, high := f.box(m, workers)
	size := r3.Sub(high, low)
	if pitch == 0 {
		pitch = suitable(size)
	}
	pitch = bounded(pitch, size)
	// Half a voxel more, so that a flat end of the part lies in the middle of a
	// layer and rounding cannot move it into the next.
	f.Origin = f.From(r3.Sub(low, r3.Scale((margin+0.5)*pitch, r3.Vec{X: 1, Y: 1, Z: 1})))
	count := func(length float64) int { return int(length/pitch+0.5) + 1 + 2*margin }
	g := &grid{lattice: newLattice(count(size.X), count(size.Y), count(size.Z)), Frame: f, Pitch: pitch}
	g.wall, g.air = arena.set(g.size()), arena.set(g.size())
	if err := g.draw(ctx, m, workers, arena); err != nil {
		return nil, err
	}
	g.closeGaps(arena)
	g.flood()
	return g, nil
}

// space returns a place in voxels, counted from the middle of the first, as a
// point in space.
func (g *grid) space(p r3.Vec) r3.Vec {
	return g.Frame.From(r3.Scale(g.Pitch, r3.Add(p, r3.Vec{X: 0.5, Y: 0.5, Z: 0.5})))
}

// suitable returns the pitch in mm that suits a part of that size.
func suitable(size r3.Vec) float64 {
	longest := max(size.X, size.Y, size.Z)
	return min(max(longest/fineness, min(finest, longest/fewest)), coarsest)
}

// bounded raises pitch until the grid has no more than mostVoxels.
func bounded(pitch float64, size r3.Vec) float64 {
	for {
		n := 1.0
		for _, length := range []float64{size.X, size.Y, size.Z} {
			n *= length/pitch + 2 + 2*margin
		}
		if n <= mostVoxels {
			return pitch
		}
		pitch *= 1.02
	}
}

// flood sorts the voxels into air, which the corner of the box can reach, and
// wall.
func (g *grid) flood() {
	open := g.wall // turned round in place, and back below
	for i, w := range open {
		open[i] = ^w & g.used(i)
	}
	g.add(g.air, 0, 0, 0)
	g.spread(g.air, open, 0)
	for i, w := range g.air {
		g.wall[i] = ^w & g.used(i)
	}
}

// closeGaps closes gaps of up to two voxels in the wall, as missing facets
// leave them: grown by a voxel all round and shrunk again, air is left only
// where a cube of 3³ voxels of it fits.
func (g *grid) closeGaps(arena *Arena) {
	other := arena.set(g.size())
	g.grow(other, g.wall)
	for i, w := range other {
		other[i] = ^w & g.used(i)
	}
	g.grow(g.wall, other)
	for i, w := range g.wall {
		g.wall[i] = ^w & g.used(i)
	}
	arena.giveBack(other)
}

// grow writes to out the voxels that touch s by a face, an edge or a corner.
func (l lattice) grow(out, s set) {
	wide := make([]uint64, l.words)
	clear(out)
	for z := range l.nz {
		for y := range l.ny {
			row := l.row(s, y, z)
			if isZero(row) {
				continue
			}
			for i, w := range row {
				wide[i] = w | w<<1 | w>>1
				if i > 0 {
					wide[i] |= row[i-1] >> 63
				}
				if i+1 < len(row) {
					wide[i] |= row[i+1] << 63
				}
				wide[i] &= l.used(i)
			}
			for dz := -1; dz <= 1; dz++ {
				for dy := -1; dy <= 1; dy++ {
					near := l.row(out, y+dy, z+dz)
					for i := range near {
						near[i] |= wide[i]
					}
				}
			}
		}
	}
}

func isZero(row []uint64) bool {
	for _, w := range row {
		if w != 0 {
			return false
		}
	}
	return true
}

// draw adds to the wall every voxel that a triangle of m meets. Each worker
// draws into a set of its own.
func (g *grid) draw(ctx context.Context, m *mesh.Mesh, workers int, arena *Arena) error {
	workers = min(max(workers, 1), m.Chunks())
	walls := []set{g.wall}
	for len(walls) < workers {
		walls = append(walls, arena.set(g.size()))
	}
	voxels := g.Frame.inSteps(g.Pitch)
	m.EachChunk(workers, func(c mesh.Chunk) {
		if ctx.Err() != nil {
			return
		}
		wall := walls[c.Worker]
		for t := c.First; t < c.End; t++ {
			p, q, r := m.Corners(t)
			g.drawTriangle(wall, [3]r3.Vec{voxels.To(p), voxels.To(q), voxels.To(r)})
		}
	})
	for _, wall := range walls[1:] {
		merge(g.wall, wall)
		arena.giveBack(wall)
	}
	return context.Cause(ctx)
}

// drawTriangle adds to wall the voxels that a triangle meets, its corners in voxels. A
// long one is halved until it is short, so that the work is by its area and
// not by the box round it.
func (g *grid) drawTriangle(wall set, p [3]r3.Vec) {
	const short = 6
	longest, at := 0.0, 0
	for k := range 3 {
		if d := r3.Norm2(r3.Sub(p[(k+1)%3], p[k])); d > longest {
			longest, at = d, k
		}
	}
	if longest > short*short {
		a, b, c := p[at], p[(at+1)%3], p[(at+2)%3]
		mid := r3.Scale(0.5, r3.Add(a, b))
		g.drawTriangle(wall, [3]r3.Vec{a, mid, c})
		g.drawTriangle(wall, [3]r3.Vec{mid, b, c})
		return
	}
	low, high := p[0], p[0]
	for _, q := range p[1:] {
		low = r3.Vec{X: min(low.X, q.X), Y: min(low.Y, q.Y), Z: min(low.Z, q.Z)}
		high = r3.Vec{X: max(high.X, q.X), Y: max(high.Y, q.Y), Z: max(high.Z, q.Z)}
	}
	// Most facets of a fine mesh lie among voxels that are wall already, or within
	// a single one: these need no separator.
	one := int(low.X) == int(high.X) && int(low.Y) == int(high.Y) && int(low.Z) == int(high.Z)
	var s separator
	ready := false
	for z := int(low.Z); z <= int(high.Z); z++ {
		for y := int(low.Y); y <= int(high.Y); y++ {
			for x := int(low.X); x <= int(high.X); x++ {
				if g.has(wall, x, y, z) {
					continue
				}
				if !one && !ready {
					s, ready = newSeparator(p), true
				}
				if one || s.meets(r3.Vec{X: float64(x) + 0.5, Y: float64(y) + 0.5, Z: float64(z) + 0.5}) {
					g.add(wall, x, y, z)
				}
			}
		}
	}
}

// separator tells whether a triangle meets a unit cube by the separating axes
// that its box does not cover already: the triangle's normal and the products
// of its edges with the axes (Akenine-Möller, Journal of Graphics Tools 6,
// 2001, 29–33). Each axis holds the range of the triangle on it, widened by
// the half width of the cube.
type separator struct {
	axis      [10]r3.Vec
	low, high [10]float64
}

func newSeparator(p [3]r3.Vec) (s separator) {
	e := [3]r3.Vec{r3.Sub(p[1], p[0]), r3.Sub(p[2], p[1]), r3.Sub(p[0], p[2])}
	s.axis[9] = r3.Cross(e[0], e[1])
	for k := range 3 {
		s.axis[3*k] = r3.Vec{Y: -e[k].Z, Z: e[k].Y}
		s.axis[3*k+1] = r3.Vec{X: e[k].Z, Z: -e[k].X}
		s.axis[3*k+2] = r3.Vec{X: -e[k].Y, Y: e[k].X}
	}
	for i, n := range s.axis {
		a, b, c := r3.Dot(n, p[0]), r3.Dot(n, p[1]), r3.Dot(n, p[2])
		half := (math.Abs(n.X) + math.Abs(n.Y) + math.Abs(n.Z)) / 2
		s.low[i], s.high[i] = min(a, b, c)-half, max(a, b, c)+half
	}
	return s
}

func (s *separator) meets(center r3.Vec) bool {
	for i, n := range s.axis {
		if d := r3.Dot(n, center); d < s.low[i] || d > s.high[i] {
			return false
		}
	}
	return true
}
