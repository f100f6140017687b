package analysis

import (
	"gambeson/analysis/cost"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// countCosts says what printing the part, its pieces and its bands takes. The
// part is printed as it was placed; one that must be parted is the sum of its
// pieces.
func (a *Answer) countCosts(brief Brief, workers int) {
	f := &a.Findings
	a.countBands(brief, workers)
	on := costing{f: f, brief: brief, workers: workers}
	var sum Print
	for i, m := range a.Pieces {
		c := on.of(m, upward, brief.Printer)
		f.Bed.Pieces[i].Hours, f.Bed.Pieces[i].Grams = c.Hours, c.Grams
		sum.add(c)
	}
	if len(a.Pieces) == 0 {
		printer, lies := brief.Printer, f.Bed.Placement
		if second := f.Bed.Second; !f.Bed.Fits && second != nil && second.Fits {
			printer, lies = *brief.Second, second.Placement
		}
		sum = on.of(a.Own, vec(lies.Rotation[2]), printer)
	}
	if sum.Hours > 0 {
		f.Print = &sum
	}
}

// countBands says what printing the bands takes.
func (a *Answer) countBands(brief Brief, workers int) {
	f := &a.Findings
	on := costing{f: f, brief: brief, workers: workers}
	for i, m := range a.Bands {
		c := on.of(m, upward, brief.Printer)
		f.Bands[i].Hours, f.Bands[i].Grams = c.Hours, c.Grams
	}
}

var upward = r3.Vec{Z: 1}

// costing tells what prints of one part take.
type costing struct {
	f       *Findings
	brief   Brief
	workers int
}

// of returns what m takes on a printer, with up upright.
func (on costing) of(m *mesh.Mesh, up r3.Vec, p Printer) Print {
	raw := cost.Of(m, up, cost.Settings{
		Nozzle: p.Nozzle, Layer: p.Layer, Walls: p.Walls, Infill: p.Infill,
		Speed: p.Speed, Flow: p.Flow, Acceleration: p.Acceleration,
		Diameter: on.brief.Filament.Diameter, Density: on.brief.Filament.Density,
		Sheet: on.f.Mesh.sheet(),
	}, on.workers)
	by := on.brief.Calibration
	if by == (cost.Calibration{}) {
		by = cost.Calibrate(nil)
	}
	return Print{
		Hours: raw.Hours * by.Hours, HoursSD: raw.Hours * by.Hours * by.HoursSD,
		Grams: raw.Grams * by.Grams, GramsSD: raw.Grams * by.Grams * by.GramsSD,
		Metres:     raw.Metres * by.Grams,
		ModelHours: raw.Hours, ModelGrams: raw.Grams, Prints: by.Prints,
	}
}

// add adds a print. Their doubts go together: what one takes longer, the other
// does too.
func (p *Print) add(q Print) {
	p.Hours += q.Hours
	p.HoursSD += q.HoursSD
	p.Grams += q.Grams
	p.GramsSD += q.GramsSD
	p.Metres += q.Metres
	p.ModelHours += q.ModelHours
	p.ModelGrams += q.ModelGrams
	p.Prints = q.Prints
}

// sheet reports whether the mesh is a surface without an inside. A few open edges
// are a small hole, not a rim (a guess: one for each thousand triangles).
func (m *Mesh) sheet() bool {
	if m.Closed {
		return false
	}
	for _, d := range m.Defects {
		if d.Kind == mesh.DefectOpen {
			return d.Count > m.Triangles/1000
		}
	}
	return false
}
