package analysis

import (
	"math"

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
		sum = on.corrected(a.ownCost())
	}
	if !(sum.Hours > 0) { // also where that is no number
		return
	}
	sum.Percent = f.Percent
	if to := f.Advised(); to > 0 {
		sum.Advised = a.advisedPrint(on, to)
	}
	f.Print = &sum
}

// costAhead begins to count what the part takes in one piece, as it was placed, while
// the body is asked about, where it can be printed so. settle is that of ahead.
func (a *Answer) costAhead(brief Brief, workers int) (settle func()) {
	on := costing{f: &a.Findings, brief: brief, workers: workers}
	printer, lies := on.where()
	own, up, settings := a.Own, vec(lies.Rotation[2]), on.settings(printer)
	second := a.Findings.Bed.Second
	whole := a.Findings.Bed.Fits || second != nil && second.Fits
	a.ownCost, settle = ahead(workers > 1 && whole, func() cost.Cost { return cost.Of(own, up, settings, workers) })
	return settle
}

// advisedPrint says about what the print takes at another scale, lying as now and
// parted as now.
func (a *Answer) advisedPrint(on costing, percent float64) *PrintAt {
	parts, up := a.Pieces, upward
	printer, lies := on.where()
	if len(parts) == 0 {
		parts, up = []*mesh.Mesh{a.Own}, vec(lies.Rotation[2])
	} else {
		printer = on.brief.Printer
	}
	at := PrintAt{Percent: percent}
	for _, m := range parts {
		c := on.corrected(cost.About(m.Scaled(percent/a.Findings.Percent), up, on.settings(printer), on.workers))
		if c.Hours <= 0 {
			return nil
		}
		at.Hours, at.Grams = at.Hours+c.Hours, at.Grams+c.Grams
	}
	return &at
}

const (
	// SameScale is how far two scales may differ and be called the same, percent:
	// half of the last decimal that a scale is written with.
	SameScale = 0.05
	// growth is as which power of its size a print takes longer and weighs more,
	// where it was counted at one scale only: between the 2 of a sheet and the 3 of a
	// block (a guess).
	growth = 2.5
	// leastGrowth and mostGrowth keep that between two counts within reason, as a
	// wall that takes another line at one of them makes a step.
	leastGrowth, mostGrowth = 1.5, 3.5
)

// At says about what the print takes at a scale: what was counted there, or what
// follows from the scales that it was counted at, of which the nearest counts.
func (p Print) At(percent float64) PrintAt {
	near := PrintAt{p.Percent, p.Hours, p.Grams}
	hours, grams := growth, growth
	if q := p.Advised; q != nil && q.Percent != p.Percent {
		by := math.Log(q.Percent / p.Percent)
		within := func(x float64) float64 { return min(max(x, leastGrowth), mostGrowth) }
		hours, grams = within(math.Log(q.Hours/p.Hours)/by), within(math.Log(q.Grams/p.Grams)/by)
		if math.Abs(percent-q.Percent) < math.Abs(percent-p.Percent) {
			near = *q
		}
	}
	if near.Percent <= 0 || math.Abs(percent-near.Percent) < SameScale {
		near.Percent = percent
		return near
	}
	f := percent / near.Percent
	return PrintAt{percent, near.Hours * math.Pow(f, hours), near.Grams * math.Pow(f, grams)}
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

// where says which printer takes the part in one piece, and how it lies there.
func (on costing) where() (Printer, Placement) {
	if second := on.f.Bed.Second; !on.f.Bed.Fits && second != nil && second.Fits {
		return *on.brief.Second, second.Placement
	}
	return on.brief.Printer, on.f.Bed.Placement
}

// of returns what m takes on a printer, with up upright.
func (on costing) of(m *mesh.Mesh, up r3.Vec, p Printer) Print {
	return on.corrected(cost.Of(m, up, on.settings(p), on.workers))
}

func (on costing) settings(p Printer) cost.Settings {
	return cost.Settings{
		Nozzle: p.Nozzle, Layer: p.Layer, Walls: p.Walls, Infill: p.Infill,
		Speed: p.Speed, Flow: p.Flow, Acceleration: p.Acceleration,
		Diameter: on.brief.Filament.Diameter, Density: on.brief.Filament.Density,
		Sheet: on.f.Mesh.sheet(),
	}
}

// corrected corrects what the model says by what prints took so far.
func (on costing) corrected(raw cost.Cost) Print {
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
