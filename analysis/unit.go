package analysis

import (
	"slices"

	"gambeson/analysis/mesh"
)

// unitFactors are the units a file may be drawn in, in mm: those of the 3MF
// core specification, under the names the reports use.
var unitFactors = []struct {
	name   string
	factor float64
}{
	{"micron", 0.001}, {"millimetre", 1}, {"centimetre", 10},
	{"inch", 25.4}, {"foot", 304.8}, {"metre", 1000},
}

// UnitNames lists the units that Brief.Unit may name.
func UnitNames() []string {
	names := make([]string, len(unitFactors))
	for i, u := range unitFactors {
		names[i] = u.name
	}
	return names
}

// unitOf decides what one unit of the file is, and by what its mesh, as
// loaded, must be scaled to be in mm: suit.toml first, then the file's own
// word, then millimetres.
func unitOf(of mesh.Unit, named string) (u Unit, scale float64) {
	i := slices.IndexFunc(unitFactors, func(u struct {
		name   string
		factor float64
	}) bool {
		return u.name == named
	})
	switch {
	case i >= 0:
		scale = unitFactors[i].factor
		if of.FromFile { // the mesh is in mm by the file's unit already
			scale /= of.Factor
		}
		return Unit{Name: named, Factor: unitFactors[i].factor, Source: "config"}, scale
	case of.FromFile:
		return Unit{Name: of.Name, Factor: of.Factor, Source: "file"}, 1
	}
	return Unit{Name: "millimetre", Factor: 1, Source: "assumed"}, 1
}
