package analysis

import (
	"fmt"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// describe states what was read, in mm: drawn is l's mesh after the unit that
// suit.toml names, which scaled it by scale, with what faces inward turned round.
func describe(l *mesh.Loaded, drawn *mesh.Mesh, condition mesh.Condition, scale float64) *Mesh {
	box := drawn.Bounds()
	area, volume := drawn.Measure()
	m := &Mesh{
		Format:     l.Format,
		Triangles:  drawn.Triangles(),
		Vertices:   drawn.Vertices(),
		Bounds:     triple(r3.Sub(box.Max, box.Min)),
		Area:       area,
		Volume:     volume,
		Closed:     condition.Closed,
		Components: condition.Components,
		Defects:    []Defect{},
	}
	for _, d := range condition.Defects {
		m.Defects = append(m.Defects, Defect{Kind: d.Kind, Count: d.Count, Where: triple(r3.Scale(scale, d.Where))})
	}
	return m
}

// noteMesh turns the condition of the mesh and the reader's remarks into
// warnings and notes.
func (f *Findings) noteMesh(l *mesh.Loaded) {
	if f.Unit.Source == "assumed" {
		f.note("unit-assumed", "The file names no unit of length; its numbers were taken as millimetres.")
	}
	for _, r := range l.Remarks {
		if r.Code == "several-objects" && f.named() {
			continue // see noteObjects
		}
		f.note(r.Code, r.Text)
	}
	for _, d := range f.Mesh.Defects {
		switch d.Kind {
		case "open-edge":
			f.warn("mesh-open", fmt.Sprintf("The surface is open: %s with facets on one side only, for example near %s. The printing program may fill or drop walls there; look at the preview before printing.", count(d.Count, "edge"), place(d.Where)))
		case "non-manifold-edge":
			f.note("mesh-non-manifold", fmt.Sprintf("%s where more than two facets meet, for example near %s.", count(d.Count, "edge"), place(d.Where)))
		case "flipped":
			f.note("mesh-flipped", fmt.Sprintf("%s facing the wrong way, for example near %s. What is cut from it has them turned right.", count(d.Count, "facet"), place(d.Where)))
		case "sliver":
			f.note("mesh-sliver", fmt.Sprintf("%s thinner than can be printed or seen, for example near %s. They do no harm.", count(d.Count, "facet"), place(d.Where)))
		case "duplicate":
			f.note("mesh-duplicate", fmt.Sprintf("%s lying twice in the same place, for example near %s.", count(d.Count, "facet"), place(d.Where)))
		}
	}
}
