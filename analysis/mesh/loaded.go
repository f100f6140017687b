package mesh

import (
	"context"

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
// numbers, welds, leaves out facets without area, and refuses what is then
// empty. Vertices that no facet uses are left out too. The caller adds the
// unit and its remarks; m is no longer the caller's.
func finish(ctx context.Context, m *Mesh, format string) (*Loaded, error) {
	out := &Loaded{Mesh: &Mesh{T: m.T[:0]}, Format: format, Unit: assumedUnit()}
	ix := newIndex(m.Vertices())
	for t := range m.Triangles() {
		if t&0xffff == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		var corner [3]uint32
		for k := range corner {
			v := m.T[3*t+k]
			x, y, z := m.X[v], m.Y[v], m.Z[v]
			if sum := x - x + y - y + z - z; sum != 0 { // NaN unless all are finite
				return nil, notFinite("triangle "+thousands(int64(t)+1), [3]float32{x, y, z})
			}
			corner[k] = ix.corner(x, y, z)
		}
		out.add(ix, corner[0], corner[1], corner[2])
	}
	return out.complete(ix)
}

// add appends a facet of corners of ix, or counts it as one without area.
func (l *Loaded) add(ix *index, a, b, c uint32) {
	if a == b || b == c || c == a {
		if l.thin.Count == 0 {
			l.thin = Defect{Kind: "sliver", Where: r3.Vec{X: float64(ix.x[a]), Y: float64(ix.y[a]), Z: float64(ix.z[a])}}
		}
		l.thin.Count++
		return
	}
	l.Mesh.T = append(l.Mesh.T, a, b, c)
}

// complete ends the reading of a mesh whose facets were added.
func (l *Loaded) complete(ix *index) (*Loaded, error) {
	l.Mesh.X, l.Mesh.Y, l.Mesh.Z = ix.x, ix.y, ix.z
	if l.Mesh.Triangles() == 0 {
		return nil, l.empty()
	}
	return l, nil
}

// empty is the error of a file that held no facet with an area.
func (l *Loaded) empty() error {
	cause := "holds no triangles"
	if l.thin.Count > 0 {
		cause = plural(int64(l.thin.Count), "triangle") + ", none of which has an area"
	}
	return &ReadError{Cause: cause, Remedy: "export it again with the part selected"}
}

// notFinite is the error of a coordinate that is no number.
func notFinite(place string, p [3]float32) error {
	what := "infinite"
	for _, x := range p {
		if x != x {
			what = "not a number (NaN)"
		}
	}
	return &ReadError{Place: place, Cause: "a coordinate is " + what,
		Remedy: "the file is damaged or was exported wrongly: download or export it again"}
}
