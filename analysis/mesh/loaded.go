package mesh

import (
	"context"
	"math/rand/v2"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

// Formats, as Loaded.Format and the findings name them.
const (
	FormatSTLBinary = "stl-binary"
	FormatSTLASCII  = "stl-ascii"
	Format3MF       = "3mf"
	FormatOBJ       = "obj"
)

// Loaded is what a file held.
type Loaded struct {
	Mesh    *Mesh // welded, at least one triangle, every coordinate finite
	Format  string
	Unit    Unit
	Remarks []Remark // oddities that did not keep it from being read
	Objects []Object // that the file names, in its order
	thin    Defect   // facets without area that were left out of Mesh
}

// Unit is the unit of length of a file.
type Unit struct {
	Name     string  // millimetre, inch, …
	Factor   float64 // mm per unit; already applied to Mesh where FromFile
	FromFile bool    // the file says so itself; otherwise mm is assumed
}

// assumedUnit is the unit of formats that carry none.
func assumedUnit() Unit { return Unit{Name: "millimetre", Factor: 1} }

// Remark is an oddity of a file that was read all the same.
type Remark struct {
	Code string // stable, for programs: "trailing-bytes", "several-solids", …
	Text string // for people
}

// remark adds a remark.
func (l *Loaded) remark(code, text string) {
	l.Remarks = append(l.Remarks, Remark{Code: code, Text: text})
}

// Condition is the condition of the mesh as the file has it: that of l.Mesh,
// and under "sliver" also the facets without area that Load left out.
func (l *Loaded) Condition() Condition {
	return l.Mesh.Condition().with(l.thin)
}

// finish makes the Loaded of an indexed mesh as a reader filled it: corners
// in range, nothing else promised. It refuses coordinates that are no
// numbers, welds, leaves out facets without area and vertices that no facet
// uses, and refuses what is then empty. The caller adds the unit and its
// remarks; m is no longer the caller's.
func finish(ctx context.Context, m *Mesh, format string) (*Loaded, error) {
	sh := shard{ix: newIndex(m.Vertices(), m.typicalFacet(), rand.Uint64()), t: m.T[:0]}
	for t := range m.Triangles() {
		if t%stlChunk == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		var corner [3]uint32
		for k := range corner {
			v := m.T[3*t+k]
			p := point{m.X[v], m.Y[v], m.Z[v]}
			if !p.finite() {
				return nil, notFinite("triangle "+strconv.Itoa(t+1), p)
			}
			corner[k] = sh.corner(p)
		}
		sh.add(corner[0], corner[1], corner[2])
	}
	l := &Loaded{Format: format, Unit: assumedUnit()}
	if err := l.complete(ctx, []shard{sh}, 1, ""); err != nil {
		return nil, err
	}
	return l, nil
}

// typicalFacet returns the median area of up to a thousand facets.
func (m *Mesh) typicalFacet() float64 {
	step := max(1, m.Triangles()/1000)
	var areas []float64
	for t := 0; t < m.Triangles(); t += step {
		a, b, c := m.Corners(t)
		areas = append(areas, r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))/2)
	}
	return median(areas)
}

// median returns the middle one of some numbers, 0 where there are none.
func median(some []float64) float64 {
	if len(some) == 0 {
		return 0
	}
	slices.Sort(some)
	return some[len(some)/2]
}

// complete makes the mesh of what the workers of a reader gathered. The place
// is where the triangles should begin.
func (l *Loaded) complete(ctx context.Context, shards []shard, workers int, place string) error {
	l.thin.Kind = "sliver"
	for i := range shards {
		l.thin.add(shards[i].thin)
	}
	var loose []uint32
	l.Mesh, loose = merge(shards, workers)
	if l.thin.Count > 0 {
		l.Mesh.compact()
		loose = l.Mesh.loose() // by their new numbers
	}
	joined, tolerance, thin, err := l.Mesh.weld(ctx, loose)
	if err != nil {
		return err
	}
	l.thin.add(thin)
	if joined > 0 {
		l.remark("welded", plural(int64(joined), "corner")+" along cracks joined to others less than "+
			strconv.FormatFloat(tolerance, 'g', 2, 64)+" away")
	}
	if l.thin.Count > 0 {
		l.remark("no-area", plural(int64(l.thin.Count), "triangle")+" without area left out")
	}
	if l.Mesh.Triangles() == 0 {
		return l.empty(place)
	}
	return nil
}

// empty is the error of a file that held no facet with an area.
func (l *Loaded) empty(place string) error {
	cause := "holds no triangles"
	if l.thin.Count > 0 {
		cause = "holds no triangle that has an area (" + plural(int64(l.thin.Count), "triangle") + " without)"
	}
	return &ReadError{Place: place, Cause: cause, Remedy: "export it again with the part selected"}
}

// notFinite is the error of corners of which one is no place.
func notFinite(place string, corners ...point) error {
	what := "infinite"
	for _, p := range corners {
		if p != p {
			what = "not a number (NaN)"
		}
	}
	return &ReadError{Place: place, Cause: "a coordinate is " + what,
		Remedy: "the file is damaged or was exported wrongly: download or export it again"}
}
