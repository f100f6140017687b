package section

import (
	"slices"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// cut is where a plane cuts a mesh in two, with what closes the half above it or
// the one below.
type cut struct {
	over   bool         // the half above is kept
	points [][3]float32 // places where the plane meets edges, each once
	pieces []hit        // triangles that are cut
	ends   []uint32     // two of each piece: where the cut comes in and goes out, points
	caps   []uint32     // three points a triangle
	flaws  Flaws
}

// newCut cuts the triangles hits of m, which f crosses.
func newCut(m *mesh.Mesh, f frame, hits []hit) *cut {
	tr := &tracer{m: m}
	tr.collect(f, hits)
	c := &cut{over: f.over, pieces: tr.pieces, ends: make([]uint32, len(tr.ends)), flaws: Flaws{Lost: tr.lost}}
	nodes := c.meet(tr)
	for i, node := range tr.ends {
		c.ends[i] = nodes[node]
	}
	flat := make([]r2.Vec, len(c.points))
	for i := range c.points {
		flat[i] = f.flat(c.at(uint32(i)))
	}
	for more := true; more; {
		tr.trace()
		c.flaws = c.flaws.And(c.cap(tr, nodes, flat))
		// Duplicate triangles are a skin of their own, capped like the first.
		tr.ends, tr.copies = tr.copies, nil
		more = len(tr.ends) > 0
	}
	return c
}

// at returns the place of a point.
func (c *cut) at(i uint32) r3.Vec {
	p := c.points[i]
	return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}
}

// meet finds the points, places that float32 can tell apart, and returns that of
// each node of tr. A node that is no place has none, and no piece has it.
func (c *cut) meet(tr *tracer) (nodes []uint32) {
	nodes = make([]uint32, len(tr.places))
	known := make(map[[3]float32]uint32, len(tr.places))
	for node, at := range tr.places {
		if !finite(at) {
			continue
		}
		place := [3]float32{float32(at.X), float32(at.Y), float32(at.Z)}
		point, ok := known[place]
		if !ok {
			point = uint32(len(c.points))
			known[place] = point
			c.points = append(c.points, place)
		}
		nodes[node] = point
	}
	return nodes
}

// cap closes the cut along the runs of tr.
func (c *cut) cap(tr *tracer, nodes []uint32, flat []r2.Vec) Flaws {
	loops, flaws := tr.loops(flat, func(node int32) uint32 { return nodes[node] }, c.at)
	caps := Triangulate(flat, loops)
	if c.over {
		for i := 0; i < len(caps); i += 3 {
			caps[i+1], caps[i+2] = caps[i+2], caps[i+1]
		}
	}
	c.caps = slices.Concat(c.caps, caps)
	return flaws
}

// loops returns the runs as loops of points, of which flat are the places in the
// plane. Gaps between open ones are bridged; f says which, and what stays open.
func (tr *tracer) loops(flat []r2.Vec, point func(node int32) uint32, place func(point uint32) r3.Vec) (loops [][]uint32, f Flaws) {
	var open [][]uint32
	for _, r := range tr.runs {
		line := make([]uint32, 0, r.to-r.from)
		for _, node := range tr.line[r.from:r.to] {
			line = append(line, point(node))
		}
		if r.closed {
			loops = append(loops, line)
		} else {
			open = append(open, line)
		}
	}
	bridged, f := bridgeGaps(flat, open)
	if f.Any() {
		f.Where = place(open[0][0])
	}
	loops = append(loops, bridged...)
	for i := range loops {
		loops[i] = tidy(loops[i])
	}
	return loops, f
}
