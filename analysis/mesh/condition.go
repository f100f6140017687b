package mesh

import "gonum.org/v1/gonum/spatial/r3"

// Condition says how sound a mesh is.
type Condition struct {
	Closed     bool
	Components int
	Defects    []Defect
}

// Defect counts one kind of fault and shows one place of it.
type Defect struct {
	Kind  string
	Count int
	Where r3.Vec
}

// with returns c with d added to the defects of its kind.
func (c Condition) with(d Defect) Condition { return c }

// Condition examines m.
func (m *Mesh) Condition() Condition { return Condition{} }
